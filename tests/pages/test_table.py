"""Any table in, step by step: nothing guessed, nothing half taken; taken back, and brought in again."""

import io
import os
import re
from pathlib import Path

import pytest
from flask import Flask
from flask.testing import FlaskClient
from openpyxl import Workbook
from werkzeug.test import TestResponse

from webapp.books.take_file import NotTaken
from webapp.books.waiting_table import step
from webapp.store import reading, tables
from webapp.store.book import Book
from webapp.store.directory import Directory
from webapp.store.jobs import TAKE, Job
from webapp.store.waiting_tables import WaitingTables

from ..factories import NOW
from .test_leaving import balls_of
from .visitor import send, token, words

TABLE = (
    "Range night\n\n"
    "No;Stick;Flight (m);When;Arm;Strike\n"
    "1;Sand;54,5;03/05/2025 09:30;half;Clean\n"
    "2;51°;84,25;03/05/2025 09:31;9:00;fat\n"
    "3;51°;82;04/05/2025 09:32;;good\n"
    "4;Driver;190;04/05/2025 09:32;full;good\n"
    "5;51°;far;04/05/2025 09:33;9:00;\n"
    "Average;;75;;;\n"
).encode()
COLUMNS = {
    "col-club": "1", "col-carry": "2", "col-made_at": "3", "col-swing": "4", "col-contact": "5",
    "unit": "m", "dates": "dmy",
}  # fmt: skip
OF_ALL = {"all-surface": "grass", "all-ball": "own", "all-judged_by": "monitor"}


def bring(player: FlaskClient, content: bytes = TABLE, name: str = "night.csv") -> TestResponse:
    """The page after a table was brought."""
    fields = {"file": (io.BytesIO(content), name), "csrf_token": token(player)}
    return player.post("/table", data=fields, follow_redirects=True)


def boxes(page: TestResponse) -> dict[str, str]:
    """The box of each word that is asked for, by the word."""
    found = re.findall(r'<label for="([\w-]+)">([^<]+) <small>\d+ rows?</small>', page.text)
    return {word.strip(): box for box, word in found}


def say_words(player: FlaskClient, bag: dict[str, str], **other: str) -> TestResponse:
    """The page after every word was answered for."""
    box = boxes(player.get("/table/words"))
    answers = {
        "Sand": bag["56"],
        "51°": bag["51"],
        "Driver": "-",
        "half": "9:00",
        "(empty)": "full",
        "good": "clean",
        **other,
    }
    return send(
        player, "/table/words", **{box[word]: answer for word, answer in answers.items() if word in box}, **OF_ALL
    )


def to_preview(player: FlaskClient, bag: dict[str, str], content: bytes = TABLE) -> TestResponse:
    """The preview of a table whose every question was answered."""
    bring(player, content)
    send(player, "/table/columns", **COLUMNS)
    return say_words(player, bag)


def taken(player: FlaskClient, bag: dict[str, str], content: bytes = TABLE) -> TestResponse:
    """The page after a table was taken in."""
    to_preview(player, bag, content)
    return send(player, "/table/take")


def test_the_first_rows_are_shown_and_nothing_is_filled_in(player: FlaskClient, bag: dict[str, str]) -> None:
    page = bring(player)
    assert page.request.path == "/table/columns"
    shown = words(page)
    assert "night.csv: 6 rows." in shown
    assert "4 1 Sand 54,5 03/05/2025 09:30 half Clean" in shown
    assert "Its headings stand in line 3" in shown
    assert "selected" not in re.sub(r'<select id="heading_line".*?</select>', "", page.text, flags=re.DOTALL)
    assert " checked>" not in page.text


def test_suggestions_are_named_and_filled_in_on_request_alone(player: FlaskClient, bag: dict[str, str]) -> None:
    rows = "".join(f"{at};51;{60 + at},5;0{at}/05/2025;9:00;clean\n" for at in range(1, 6))
    page = bring(player, f"No;Stick;Flight (m);When;Arm;Strike\n{rows}".encode())
    assert words(page).count("Its values could be this:") == 5
    assert "the heading says metres" in words(page)
    filled = player.get("/table/columns?suggested=1")
    for box, place in (("club", 1), ("carry", 2), ("made_at", 3), ("swing", 4), ("contact", 5)):
        select = re.search(rf'<select id="col-{box}".*?</select>', filled.text, re.DOTALL)
        assert select
        assert f'value="{place}" selected' in select[0]
    assert 'name="unit" value="m" checked' in filled.text
    assert 'name="dates" value="dmy" checked' not in filled.text


def test_what_is_not_said_of_columns_is_asked_for(player: FlaskClient, book: Book, bag: dict[str, str]) -> None:
    bring(player)
    page = send(player, "/table/columns")
    assert page.status_code == 400
    for sentence in (
        "Say which column is the carry.",
        "Say which column is the wedge.",
        "Say in which unit the carries are.",
        "No column says when: give the day on which these balls were hit.",
        "Fill in what the values suggest",
    ):
        assert sentence in words(page)
    page = send(player, "/table/columns", **{**COLUMNS, "dates": ""})
    assert "The days can be read in more than one way: say in which order they stand." in words(page)
    page = send(player, "/table/columns", **{**COLUMNS, "col-carry": "99", "unit": "ells"})
    assert "Say which column is the carry." in words(page)
    assert "Say in which unit" in words(page)


def test_every_word_is_asked_for_and_a_new_wedge_needs_its_loft(player: FlaskClient, bag: dict[str, str]) -> None:
    bring(player)
    page = send(player, "/table/columns", **COLUMNS)
    assert page.request.path == "/table/words"
    assert set(boxes(page)) == {"Sand", "51°", "Driver", "half", "(empty)", "good"}
    assert f'value="{bag["51"]}" selected' in page.text, "51° is the one wedge of 51 degrees"
    page = send(player, "/table/words")
    assert page.status_code == 400
    for word in boxes(page):
        assert f"Say what “{word}” is." in words(page)
    page = say_words(player, bag, Sand="new")
    assert "Give the loft of the new wedge “Sand”, from 36 to 70°." in words(page)


def test_the_preview_counts_and_names_what_is_left_out_and_takes_nothing(
    player: FlaskClient, book: Book, bag: dict[str, str]
) -> None:
    before = book.cursor
    page = to_preview(player, bag)
    assert page.request.path == "/table/preview"
    shown = words(page)
    assert "3 balls come in, of 2 visits" in shown
    assert "3 rows are left out" in shown
    assert "4 56 9:00 54.5 3 May 2025 clean" in shown
    for sentence in (
        "Line 7: wedge 'Driver' was to be left out.",
        "Line 8: carry must be a number, not 'far'.",
        "Line 9: sums up other rows and is no ball.",
    ):
        assert sentence in shown
    assert book.cursor == before


def test_rows_left_out_for_one_reason_are_told_in_one_line(player: FlaskClient, bag: dict[str, str]) -> None:
    driver = next(line for line in TABLE.splitlines(keepends=True) if b"Driver" in line)
    shown = words(to_preview(player, bag, TABLE.replace(driver, 8 * driver)))
    assert "10 rows are left out" in shown
    assert "Lines 7, 8, 9, 10, 11 and 3 more: wedge 'Driver' was to be left out." in shown
    assert "Line 15: carry must be a number, not 'far'." in shown


def test_it_takes_the_balls_as_they_were_said(player: FlaskClient, book: Book, bag: dict[str, str]) -> None:
    page = taken(player, bag)
    assert "3 balls came into the book; 0 were there already, 3 rows were left out." in words(page)
    assert "night.csv" in words(page)
    balls = sorted(reading.shots(book), key=lambda ball: ball["made_at"])
    said = [
        (ball["club_id"], ball["carry_m"], ball["swing_deg"], ball["contact"], ball["made_at"][:16]) for ball in balls
    ]
    assert said == [
        (bag["56"], 54.5, 90.0, "clean", "2025-05-03T09:30"),
        (bag["51"], 84.25, 90.0, "fat", "2025-05-03T09:31"),
        (bag["51"], 82.0, 180.0, "clean", "2025-05-04T09:32"),
    ]
    assert {(ball["surface"], ball["ball"], ball["judged_by"]) for ball in balls} == {("grass", "own", "monitor")}
    assert len(reading.visits(book)) == 2


def test_a_second_time_changes_nothing(player: FlaskClient, book: Book, bag: dict[str, str]) -> None:
    taken(player, bag)
    before = book.cursor
    page = to_preview(player, bag)
    assert "Nothing new is in this table." in words(page)
    page = send(player, "/table/take")
    assert "0 balls came into the book; 3 were there already" in words(page)
    assert book.cursor == before


def test_one_of_a_thing_is_said_as_one(player: FlaskClient, bag: dict[str, str]) -> None:
    rows = TABLE.decode().splitlines(keepends=True)
    two = "".join([rows[2], rows[3], rows[7]]).encode()
    for said in ("1 ball came into the book; 0 were there already, 1 row was left out.", "1 was there already, 1 row"):
        assert said in words(taken(player, bag, two))
    back = re.search(r'action="(/table/[\w-]+/back)"', player.get("/table").text)
    assert back
    assert "1 ball was taken back." in words(send(player, back[1]))


def test_a_table_that_was_taken_before_and_is_read_otherwise_says_so(player: FlaskClient, bag: dict[str, str]) -> None:
    again = "This very table was taken in before."
    assert again not in words(to_preview(player, bag))
    send(player, "/table/take")
    assert again not in words(to_preview(player, bag))  # nothing new comes in
    send(player, "/table/columns", **{**COLUMNS, "col-carry": "0"})
    page = words(say_words(player, bag))
    assert "4 balls come in" in page
    assert again in page


def test_answers_are_found_again_for_the_same_headings(player: FlaskClient, book: Book, bag: dict[str, str]) -> None:
    taken(player, bag)
    page = bring(player, TABLE + b"6;Sand;56,5;05/05/2025 09:30;half;Clean\n", "later.csv")
    assert "Filled in as you said it of a table with these headings on" in words(page)
    assert 'name="unit" value="m" checked' in page.text
    send(player, "/table/columns", **COLUMNS)
    box = boxes(player.get("/table/words"))
    page = player.get("/table/words").text
    for word, answer in (
        ("Sand", bag["56"]),
        ("Driver", "-"),
        ("half", "9:00"),
        ("(empty)", "full"),
        ("good", "clean"),
    ):
        select = re.search(rf'<select id="{box[word]}".*?</select>', page, re.DOTALL)
        assert select
        assert f'value="{answer}" selected' in select[0]
    assert 'value="grass" selected' in page
    other = bring(player, TABLE.replace(b"Strike", b"Hit"))
    assert "Filled in as you said" not in words(other)


def test_the_line_of_the_headings_can_be_said(player: FlaskClient, bag: dict[str, str]) -> None:
    bring(player, b"Stick | x\nfoo,bar\nStick,Flight\n51,60\n")
    page = send(player, "/table/heading", heading_line="3")
    assert "Its headings stand in line 3" in words(page)
    for no_line in ("77", "9" * 5000, "³", ""):
        assert send(player, "/table/heading", heading_line=no_line).status_code == 400


def test_a_list_without_headings_loses_no_ball(player: FlaskClient, book: Book, bag: dict[str, str]) -> None:
    page = bring(player, b"51,54.5,2025-05-03,9:00\n51,52,2025-05-03,9:00\n")
    assert "It has no headings: its first line is a ball" in words(page)
    send(
        player,
        "/table/columns",
        **{"col-club": "0", "col-carry": "1", "col-made_at": "2", "col-swing": "3", "unit": "m"},
    )
    say_words(player, bag, **{"51": bag["51"]})
    send(player, "/table/take")
    assert sorted(ball["carry_m"] for ball in balls_of(book).values()) == [52, 54.5]
    page = bring(player, b"51,50,2025-06-03,9:00\n51,51,2025-06-03,9:00\n")
    assert "of as many columns without headings on" in words(page)
    assert "Its headings stand in line 1" in words(send(player, "/table/heading", heading_line="1"))
    assert "It has no headings" in words(send(player, "/table/heading", heading_line="-1"))


def test_another_sheet_of_a_workbook_can_be_read(player: FlaskClient, book: Book, bag: dict[str, str]) -> None:
    workbook = Workbook()
    for name, carries in (("Monday", (60, 61)), ("  Tue  sday", (70, 71, 72))):
        sheet = workbook.create_sheet(name)
        for row in [("Stick", "Flight"), *(("51", carry) for carry in carries)]:
            sheet.append(row)
    content = io.BytesIO()
    workbook.save(content)
    page = bring(player, content.getvalue(), "week.xlsx")
    assert "week.xlsx: 2 rows" in words(page)
    assert "Only its sheet “Monday” is read" in words(page)
    assert send(player, "/table/sheet", sheet="Sunday").status_code == 400
    page = send(player, "/table/sheet", sheet="  Tue  sday")
    assert "week.xlsx: 3 rows" in words(page)
    assert "its sheet “ Tue sday” is read" in words(page)
    assert '<option value="  Tue  sday" selected>' in page.text
    send(player, "/table/columns", **{"col-club": "0", "col-carry": "1", "unit": "m", "day": "2025-05-03"})
    box = boxes(player.get("/table/words"))["51"]
    send(player, "/table/words", **{box: bag["51"], "all-swing": "full"}, **OF_ALL)
    send(player, "/table/take")
    assert "week.xlsx, Tue sday" in words(player.get("/table"))
    assert sorted(shot["carry_m"] for shot in reading.shots(book)) == [70, 71, 72]


@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        (b"", "Nothing was taken from night.csv: it holds no row."),
        (b"Stick,Flight\n", "no row stands below its headings in line 1"),
        (b"\x00\x01\x02\x03", "Nothing was taken from night.csv"),
        (b"PK\x03\x04nothing", "it begins like a workbook and is none, or is damaged"),
        (b'Stick,Flight\n56,"54\n', "line 2 cannot be read as a row"),
        (b"id,made_at,club,swing,carry\nx,2025-05-03,56,9:00,54\n", "These are this program’s own headings"),
    ],
)
def test_a_file_that_is_no_table_is_refused_in_words(
    player: FlaskClient, book: Book, content: bytes, sentence: str
) -> None:
    page = bring(player, content)
    assert page.status_code == 400
    assert sentence in words(page)
    assert "waits here" not in words(player.get("/table"))
    assert book.cursor == 0


def test_markup_in_a_table_stays_text(player: FlaskClient, book: Book, bag: dict[str, str]) -> None:
    hostile = '"<script>alert(1)</script>"'
    rows = f"Stick;{hostile};When\n{hostile};54;2025-05-03\n".encode()
    page = bring(player, rows, "<b>night</b>.csv")
    pages = [
        page,
        send(player, "/table/columns", **{"col-club": "0", "col-carry": "1", "col-made_at": "2", "unit": "m"}),
    ]
    found = re.search(r'<select id="(club-\d+)"', player.get("/table/words").text)
    assert found
    pages.append(send(player, "/table/words", **{found[1]: bag["51"], "all-swing": "full"}, **OF_ALL))
    pages.append(send(player, "/table/take"))
    for one in pages:
        assert one.status_code == 200
        assert "<script>alert" not in one.text
        assert "<b>night" not in one.text
    assert len(balls_of(book)) == 1


def test_without_a_table_every_step_says_so(player: FlaskClient, bag: dict[str, str]) -> None:
    for path in ("/table/columns", "/table/words", "/table/preview"):
        page = player.get(path)
        assert page.status_code == 404
        assert "No table waits here" in words(page)


def test_steps_that_come_too_soon_lead_back(player: FlaskClient, bag: dict[str, str]) -> None:
    bring(player)
    assert player.get("/table/words", follow_redirects=True).request.path == "/table/columns"
    assert player.get("/table/preview", follow_redirects=True).request.path == "/table/columns"
    send(player, "/table/columns", **COLUMNS)
    assert player.get("/table/preview", follow_redirects=True).request.path == "/table/words"
    assert send(player, "/table/take").request.path == "/table/words"


def test_a_table_that_nobody_looked_over_is_not_taken(
    player: FlaskClient, data: Path, book: Book, bag: dict[str, str]
) -> None:
    to_preview(player, bag)
    WaitingTables(data).note(book.id, preview=None)  # its words were said anew meanwhile
    with pytest.raises(NotTaken, match="was changed since it was looked over"):
        step(data, book, Job(book.id, TAKE, NOW, most_bytes=10**8), NOW)
    assert balls_of(book) == {}


def test_another_book_sees_nothing_of_it(
    app: Flask, player: FlaskClient, directory: Directory, book: Book, bag: dict[str, str]
) -> None:
    taken(player, bag)
    bring(player)
    with directory.open_book(directory.new_book(NOW)) as other:
        stranger = app.test_client()
        stranger.set_cookie("book", directory.new_device(other.id, "Phone", NOW))
        assert stranger.get("/table/columns").status_code == 404
        assert "night.csv" not in words(stranger.get("/table"))
        send(stranger, f"/table/{tables.tables(book)[0]['id']}/back")
    assert len(balls_of(book)) == 3


def test_a_deleted_book_leaves_no_table_behind(player: FlaskClient, book: Book, bag: dict[str, str]) -> None:
    bring(player)
    folder = book.path.parents[1] / "tables"
    assert list(folder.iterdir())
    send(player, "/delete", yes="y")
    assert list(folder.iterdir()) == []


def test_a_table_that_nobody_goes_on_with_is_forgotten(
    player: FlaskClient, book: Book, bag: dict[str, str], directory: Directory
) -> None:
    waiting = WaitingTables(book.path.parents[1])
    bring(player)
    old = waiting.folder / book.id
    os.utime(old, (0, 0))
    waiting.sweep()
    assert not old.exists()


def test_a_full_book_takes_no_table(app: Flask, player: FlaskClient, book: Book, bag: dict[str, str]) -> None:
    rows = "".join(f"{at};51°;82;04/05/2025 09:32;9:00;clean\n" for at in range(300))
    to_preview(player, bag, TABLE + rows.encode())
    before, app.config["MOST_BOOK"] = book.cursor, book.size_bytes() + 1
    page = send(player, "/table/take")
    assert page.status_code == 400
    assert "With this table the book would hold more than" in words(page)
    app.config["MOST_BOOK"] = 1
    assert bring(player).status_code == 507
    assert book.cursor == before
