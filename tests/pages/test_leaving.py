"""Taking a book away and bringing it back, also after it was deleted."""

import io
import json
import sqlite3
from math import inf, nan
from pathlib import Path
from statistics import median
from typing import Any

import pytest
from flask.testing import FlaskClient

from webapp import create_app
from webapp.moments import moved
from webapp.store import from_coach, reading
from webapp.store.book import Book
from webapp.store.directory import Directory
from webapp.units import YARD_M

from ..conftest import SECRET
from ..factories import (
    NOW,
    a_bucket,
    a_club,
    a_full_carry,
    a_setting,
    a_shot,
    raw,
)
from .visitor import send, token, words

LATER = moved(NOW, days=1)
Ball = dict[str, Any]


def take(player: FlaskClient, name: str) -> bytes:
    """A file taken away."""
    answer = player.get(f"/export/{name}")
    assert answer.status_code == 200
    return answer.data


def bring(player: FlaskClient, content: bytes, name: str = "book.json") -> Any:
    """The answer to a file brought back."""
    fields = {"file": (io.BytesIO(content), name), "csrf_token": token(player)}
    return player.post("/import", data=fields, follow_redirects=True)


def balls_of(book: Book) -> dict[str, Ball]:
    """Every ball by id, without what depends on when it came in."""
    left_out = ("received_at", "place", "surface", "bucket_aside")
    return {
        shot["id"]: {name: value for name, value in shot.items() if name not in left_out}
        for shot in reading.shots(book, most=10_000)
    }


def figures(book: Book) -> dict[Any, tuple[int, float]]:
    """n and the median carry of every cell's counted balls."""
    cells: dict[Any, list[float]] = {}
    for ball in reading.shots(book, most=10_000):
        if ball["counted"] and ball["carry_m"] is not None:
            cells.setdefault((ball["ball"], ball["club_id"], ball["swing_deg"]), []).append(ball["carry_m"])
    return {cell: (len(carries), median(carries)) for cell, carries in cells.items()}


def test_the_csv_brings_every_ball_back_into_an_empty_book(player: FlaskClient, full_book: Book, fresh: Any) -> None:
    client, other = fresh
    answer = bring(client, take(player, "shots.csv"), "shots.csv")
    assert "23 balls came into the book; 0 were there already." in words(answer)
    assert balls_of(other) == balls_of(full_book)
    assert figures(other) == figures(full_book)


@pytest.mark.parametrize("unit", ["yd", "m"])
def test_the_csv_changes_nothing_in_its_own_book(player: FlaskClient, full_book: Book, unit: str) -> None:
    full_book.add([a_setting("unit", unit)], None, LATER)
    before, balls = full_book.cursor, balls_of(full_book)
    answer = bring(player, take(player, "shots.csv"), "shots.csv")
    assert "0 balls came into the book; 23 were there already." in words(answer)
    assert full_book.cursor == before
    assert balls_of(full_book) == balls


def test_the_csv_brings_the_visits_back_as_they_were(player: FlaskClient, full_book: Book, fresh: Any) -> None:
    client, other = fresh
    bring(client, take(player, "shots.csv"), "shots.csv")
    kept = ("id", "place", "surface", "ball", "judged_by", "wind", "wind_force", "temperature_c", "bay_offset_m")
    kept += ("monitor_note", "warm_up_balls", "aside", "aside_reason", "n")
    kept += ("utc_offset_min", "indoor_counts", "flags_checked")

    def visits(book: Book) -> dict[str, Any]:
        return {one["id"]: {name: one[name] for name in kept} for one in reading.buckets(book)}

    assert visits(other) == visits(full_book)


def test_two_wedges_of_one_name_stay_two(player: FlaskClient, full_book: Book, fresh: Any) -> None:
    client, other = fresh
    bring(client, take(player, "shots.csv"), "shots.csv")
    bags = [
        sorted((club.id, club.name, club.loft_deg, club.retired) for club in reading.clubs(book, retired=True))
        for book in (other, full_book)
    ]
    struck = {ball["club_id"] for ball in balls_of(full_book).values()}
    assert bags[0] == [club for club in bags[1] if club[0] in struck]


def test_the_balls_of_a_csv_go_to_the_wedges_that_a_new_book_has(player: FlaskClient, book: Book, fresh: Any) -> None:
    client, other = fresh
    mine, theirs, bucket = a_club("56"), a_club("56"), a_bucket()
    book.add([mine, bucket, a_shot(bucket, mine)], None, NOW)
    other.add([theirs, a_full_carry(theirs, 85)], None, NOW)
    bring(client, take(player, "shots.csv"), "shots.csv")
    assert [club.id for club in reading.clubs(other)] == [theirs["id"]]
    assert len(reading.shots_of_club(other, theirs["id"])) == 1


def test_no_cell_of_the_csv_is_a_formula(player: FlaskClient, book: Book, fresh: Any) -> None:
    client, other = fresh
    signs = ["=1+1", "+1", "-1", "@SUM(A1)", "'=x", "''-y", "＝1", "'quoted'"]
    clubs = [a_club(sign, loft_deg=40 + place) for place, sign in enumerate(signs)]
    bucket = a_bucket(place='=HYPERLINK("x")')
    book.add([*clubs, bucket, *(a_shot(bucket, club, plan_ref=club["body"]["name"]) for club in clubs)], None, NOW)
    text = take(player, "shots.csv").decode()
    for cell in text.replace('"', "").replace("\r\n", ",").split(","):
        assert not cell.startswith(("=", "+", "@", "＝", "-1"))
    bring(client, text.encode(), "shots.csv")
    assert {club.name for club in reading.clubs(other)} == set(signs)
    assert balls_of(other) == balls_of(book)
    assert [visit["place"] for visit in reading.buckets(other)] == ['=HYPERLINK("x")']


def test_the_json_brings_everything_back_into_an_empty_book(player: FlaskClient, full_book: Book, fresh: Any) -> None:
    client, other = fresh
    answer = bring(client, take(player, "book.json"))
    facts = full_book.after(0, 10_000)
    assert f"{len(facts)} entries came into the book; 0 were there already." in words(answer)
    assert other.after(0, 10_000) == facts
    assert balls_of(other) == balls_of(full_book)
    assert figures(other) == figures(full_book)
    assert reading.settings(other) == reading.settings(full_book)
    assert reading.full_carries(other) == reading.full_carries(full_book)
    assert [work["focus"] for work in from_coach.homework(other)] == ["quiet wrists"]
    told = ("id", "words", "about", "club_id", "swing_deg", "shot_id", "aside", "made_at")
    there, here = ([[one[name] for name in told] for one in from_coach.remarks(some)] for some in (other, full_book))
    assert there == here
    assert {remark["words"] for remark in from_coach.remarks(other)} == {"hold the finish", '=early, "low"'}


def test_the_json_of_a_book_changes_nothing_in_it(player: FlaskClient, full_book: Book) -> None:
    before = full_book.cursor
    answer = bring(player, take(player, "book.json"))
    assert f"0 entries came into the book; {before} were there already." in words(answer)
    assert full_book.cursor == before


def test_a_book_brought_back_into_a_new_one_does_not_double_its_wedges(
    client: FlaskClient, player: FlaskClient, full_book: Book, directory: Directory
) -> None:
    send(client, "/start", hand="right", unit="yd", loft_1="56", loft_2="58")
    bring(client, take(player, "book.json"))
    new = next(row["id"] for row in directory.books() if row["id"] != full_book.id)
    with directory.open_book(new) as book:
        names = sorted(club.name for club in reading.clubs(book))
    assert names == ["46", "51", "56", "58", "60"]


def test_a_copy_of_a_few_balls_takes_no_stated_carry_away(player: FlaskClient, book: Book) -> None:
    own = a_club("56")
    book.add([own, a_full_carry(own, 85)], None, NOW)
    club, bucket = a_club("56"), a_bucket()  # as a phone that saves a copy of a deleted book's balls writes it
    facts = [club, bucket, a_shot(bucket, club, 60)]
    told = words(bring(player, json.dumps({"made_by": "clockyard", "facts": facts}).encode(), "not-copied.json"))
    assert "3 entries came into the book" in told
    (kept,) = reading.clubs(book)
    assert kept.id == club["id"]
    assert reading.full_carries(book)[club["id"]] == pytest.approx(85 * YARD_M)


def test_the_carry_that_a_file_states_stands_before_that_of_the_wedge_it_replaces(
    player: FlaskClient, book: Book
) -> None:
    own, club = a_club("56"), a_club("56")
    book.add([own, a_full_carry(own, 85)], None, NOW)
    bring(player, json.dumps({"facts": [club, a_full_carry(club, 90)]}).encode(), "book.json")
    assert reading.full_carries(book)[club["id"]] == pytest.approx(90 * YARD_M)


def test_the_json_says_what_every_field_means(player: FlaskClient, full_book: Book) -> None:
    told = json.loads(take(player, "book.json"))
    for fact in told["facts"]:
        assert set(fact["body"] or {}) <= set(told["fields"]["kinds"][fact["kind"]])


def test_the_page_says_what_every_column_of_the_csv_means(player: FlaskClient, full_book: Book) -> None:
    page, header = words(player.get("/leaving")), take(player, "shots.csv").decode().split("\r\n")[0]
    for column in header.split(","):
        assert f" {column} " in page


def test_the_sqlite_file_is_the_whole_book(player: FlaskClient, full_book: Book, tmp_path: Path) -> None:
    copy = tmp_path / "taken.sqlite"
    copy.write_bytes(take(player, "book.sqlite"))
    conn = sqlite3.connect(copy)
    assert conn.execute("PRAGMA integrity_check").fetchone()[0] == "ok"
    assert conn.execute("SELECT COUNT(*) FROM facts").fetchone()[0] == full_book.cursor
    assert conn.execute("SELECT COUNT(*) FROM shots").fetchone()[0] == len(balls_of(full_book))
    conn.close()


@pytest.mark.parametrize("name", ["shots.csv", "book.json", "book.sqlite"])
def test_a_file_is_a_download_that_no_cache_keeps(player: FlaskClient, name: str) -> None:
    headers = player.get(f"/export/{name}").headers
    assert headers["Content-Disposition"] == f'attachment; filename="{name}"'
    assert headers["Cache-Control"] == "no-store"


HEADER = b"made_at,club,swing,carry\n"
A_LINE = b"2025-04-30T10:00:00Z,56,9:00,54\n"


@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        (b"", "The file is no table of balls: the first line must name the columns"),
        (b"made_at,club,swing\n", "not there: carry"),
        (b"balls\x00\x01\n", "The file is no table of balls: line 1 holds signs that no text has."),
        (b"{\xff", "The file begins like JSON, but it is not text in UTF-8."),
        (HEADER + A_LINE + b"2025-04-30T10:00:30Z,56,9:00,far\n", "Line 3: carry must be a number, not 'far'."),
        (HEADER + b"2025-04-30T10:00:30Z,56,9:00,401\n", "Line 2: carry must be from 0 to 400 yd, not 401."),
        (HEADER + b"2025-04-30T10:00:30Z,56,9:00,-1\n", "Line 2: carry must be from 0 to 400 yd, not -1."),
        (HEADER + b"2025-04-30T10:00:30Z,<b>,9:00,50\n", "Line 2: wedge '<b>' is new and its loft is not told."),
        (HEADER + b"yesterday,56,9:00,50\n", "Line 2: made_at must be an ISO 8601 time, not 'yesterday'."),
        (HEADER + b"2025-04-30T10:00:30Z,56,5:00,50\n", "Line 2: swing must be 9:00, full or degrees"),
        (
            b"made_at,club,swing,carry,aside\n2025-04-30T10:00:30Z,56,9:00,50,maybe\n",
            "aside must be 1 or 0, not 'maybe'",
        ),
        (b"{", "begins like JSON, but it is not a whole book as this page gives it out"),
        (b'{"facts": 3}', "begins like JSON, but it is not a whole book"),
        (b'{"facts":' + b"[" * 100_000, "begins like JSON, but it is not a whole book"),
        (b'{"facts": [7]}', "This entry is not an object with an id and a kind, so it was not taken."),
        (
            json.dumps({"facts": [a_club(), raw("putt", {})]}).encode(),
            "Entry 2: This entry is of a kind not known here",
        ),
        (
            json.dumps({"facts": [a_club("x" * 41, 56)]}).encode(),
            "Entry 1: This entry was not taken: name must be at most",
        ),
        *[
            (json.dumps({"facts": [raw("table", {"chosen": {"a": odd}})]}).encode(), "must hold finite numbers")
            for odd in (nan, inf, "\ud800")
        ],
        (json.dumps({"facts": [a_shot(a_bucket(), a_club())]}).encode(), "its bucket is not in this book"),
    ],
)
def test_a_file_that_does_not_fit_is_refused_whole_and_in_words(
    player: FlaskClient, book: Book, content: bytes, sentence: str
) -> None:
    answer = bring(player, content)
    assert answer.status_code == 400
    assert sentence in words(answer)
    assert "Nothing was changed" in words(answer)
    assert "stays on the phone" not in words(answer)
    assert book.cursor == 0


def test_many_bad_rows_are_named_up_to_eight(player: FlaskClient, book: Book) -> None:
    shown = words(bring(player, HEADER + b"never,56,9:00,50\n" * 20))
    assert "Line 9:" in shown
    assert "Line 10:" not in shown
    assert "And 12 more like these." in shown


def test_no_file_at_all_is_answered_in_words(player: FlaskClient) -> None:
    answer = send(player, "/import")
    assert answer.status_code == 400
    assert "Choose a file: a book as JSON or balls as CSV." in words(answer)


def test_a_file_beyond_the_limit_is_refused_before_it_is_read(data: Path, directory: Directory, book: Book) -> None:
    small = create_app({"DATA": data, "SECRET": SECRET, "TESTING": True, "MOST_IMPORT": 200_000}).test_client()
    small.set_cookie("book", directory.new_device(book.id, "Phone", NOW))
    answer = bring(small, HEADER + A_LINE * 10_000)
    assert answer.status_code == 413
    assert "This is too much at once. Nothing was taken" in words(answer)
    assert book.cursor == 0


def test_a_deleted_book_can_be_brought_back_from_its_json(
    client: FlaskClient, player: FlaskClient, full_book: Book, directory: Directory
) -> None:
    taken, before = take(player, "book.json"), figures(full_book)
    send(player, "/delete", yes="y")
    send(client, "/start", hand="right", unit="yd", loft_1="56")
    bring(client, taken)
    (new,) = directory.books()
    with directory.open_book(new["id"]) as book:
        assert figures(book) == before
