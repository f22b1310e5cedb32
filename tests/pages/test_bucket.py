"""The bucket without a script: plain forms that start it, note a ball and end it."""

import json
import re
from typing import Any

import pytest
from flask.testing import FlaskClient

from webapp.store import reading
from webapp.store.book import Book
from webapp.units import YARD_M

from ..factories import NOW, a_bucket, a_setting, a_shot, the_demo_set
from .visitor import send, words

A_BUCKET = {"surface": "mat", "ball": "range", "judged_by": "monitor", "place": "Pellow Fen", "wind": "calm",
            "wind_force": "light", "do": "start"}  # fmt: skip


@pytest.fixture
def clubs(book: Book) -> list[str]:
    """The demo set in the book; the clubs' ids, strongest first."""
    assert not book.add(the_demo_set(), None, NOW).refused
    return [club.id for club in reading.clubs(book)]


def noted(player: FlaskClient, club_id: str, **changed: Any) -> Any:
    """The answer to the typed ball: 56 9:00 meant 54, carried 54, clean, with some answers changed."""
    ball = {"club_id": club_id, "swing_deg": "90", "mode": "swing", "meant_carry": "54", "carry": "54",
            "contact": "clean", "landed": "seen"}  # fmt: skip
    return send(player, "/bucket/shot", **{**ball, **changed})


def page_data(player: FlaskClient) -> dict[str, Any]:
    """What the page gives the script."""
    found = re.search(r'id="page-data">(.*?)</script>', player.get("/bucket").text, re.DOTALL)
    assert found
    return dict(json.loads(found[1]))


def test_an_empty_bag_is_asked_for_first(player: FlaskClient) -> None:
    assert "There is no wedge in the bag yet." in words(player.get("/bucket"))


def test_it_shows_the_safety_lines_before_a_bucket(player: FlaskClient, clubs: list[str]) -> None:
    shown = words(player.get("/bucket"))
    for line in ("never walk out for a ball", "wait 30 minutes after the last", "a qualified professional come first"):
        assert line in shown
    assert "Juniors" not in shown


def test_a_junior_is_told_that_an_adult_must_be_there(player: FlaskClient, book: Book, clubs: list[str]) -> None:
    assert not book.add([a_setting("junior", True, NOW)], None, NOW).refused
    shown = words(player.get("/bucket"))
    assert "Pain or heat: stop. Juniors: only with an adult present. The range’s own rules" in shown


def test_a_bucket_starts_takes_a_ball_and_ends(player: FlaskClient, book: Book, clubs: list[str]) -> None:
    assert "The bucket is open." in words(send(player, "/bucket/start", **A_BUCKET))
    assert "The ball is noted." in words(noted(player, clubs[2]))
    refused = noted(player, clubs[2], carry="61", landed="unseen", contact="fat")
    assert "Say that it was seen, or empty the carry" in words(refused)
    assert "The ball is noted." in words(noted(player, clubs[2], carry="", landed="unseen", contact="fat"))
    assert "Last balls: 54 clean, lost sight fat." in words(player.get("/bucket"))
    assert "The bucket has ended: 2 balls noted." in words(send(player, "/bucket/end"))
    second, first = reading.shots(book)
    assert (first["carry_m"], first["meant_carry_m"], first["run_index"]) == (54 * YARD_M, 54 * YARD_M, 1)
    assert (second["carry_m"], second["landed"], second["run_index"]) == (None, "unseen", 2)
    (bucket,) = reading.buckets(book)
    assert (bucket["place"], bucket["judged_by"], bool(bucket["ended_at"])) == ("Pellow Fen", "monitor", True)


def test_the_end_of_a_bucket_offers_a_recovery_sheet_until_one_is_made(player: FlaskClient, clubs: list[str]) -> None:
    assert "Without a recovery sheet a lost phone is a lost book." in words(player.get("/bucket"))
    send(player, "/recovery")
    assert "Without a recovery sheet" not in words(player.get("/bucket"))


def test_an_ended_bucket_shows_what_the_visit_says(player: FlaskClient, book: Book, clubs: list[str]) -> None:
    send(player, "/bucket/start", **A_BUCKET)
    noted(player, clubs[2])
    ended = send(player, "/bucket/end", follow=False)
    assert ended.location == f"/visits/{reading.buckets(book)[0]['id']}"
    assert "The bucket has ended: 1 ball noted." in words(player.get(ended.location))


def test_the_next_bucket_is_the_same_with_one_touch(player: FlaskClient, book: Book, clubs: list[str]) -> None:
    send(player, "/bucket/start", **{**A_BUCKET, "surface": "grass", "bay_offset": "-6", "wind": "into"})
    send(player, "/bucket/end")
    assert "Pellow Fen, grass, range balls, judged by a launch monitor" in words(player.get("/bucket"))
    send(player, "/bucket/start", do="same")
    latest = reading.buckets(book)[0]
    assert (latest["surface"], latest["bay_offset_m"], latest["wind"]) == ("grass", -6 * YARD_M, "calm")


def test_a_bucket_says_its_degrees_what_the_monitor_shows_and_how_the_flags_were_checked(
    player: FlaskClient, book: Book, clubs: list[str]
) -> None:
    said = {"temperature": "50", "temperature_unit": "f", "monitor_note": "indoor", "flags_checked": "paces"}
    send(player, "/bucket/start", **A_BUCKET, **said)
    (bucket,) = reading.buckets(book)
    assert bucket["temperature_c"] == pytest.approx(10)
    assert (bucket["monitor_note"], bucket["flags_checked"]) == ("indoor", "paces")
    noted(player, clubs[2])
    visit = words(player.get(f"/visits/{bucket['id']}"))
    assert "flags paced, 10 °C, indoor estimates, not in the card" in visit
    assert "No ball counts for the card: indoor estimate." in visit
    send(player, f"/visits/{bucket['id']}/indoor", do="in")
    assert reading.shots(book)[0]["counted"]
    send(player, f"/visits/{bucket['id']}/indoor", do="out")
    assert not reading.shots(book)[0]["counted"]


def test_a_visit_lists_every_ball_that_counts_also_one_lost_from_sight(
    player: FlaskClient, book: Book, clubs: list[str]
) -> None:
    send(player, "/bucket/start", **A_BUCKET)
    bucket = reading.buckets(book)[0]["id"]
    lost = {"landed": "unseen", "contact": ""}
    balls = [a_shot(bucket, clubs[2], made_at=NOW), a_shot(bucket, clubs[2], None, NOW, **lost)]
    assert book.add(balls, None, NOW).refused == []
    assert "Balls that count for the card 2" in words(player.get(f"/visits/{bucket}"))


def test_a_temperature_out_of_range_starts_no_bucket(player: FlaskClient, book: Book, clubs: list[str]) -> None:
    answer = send(player, "/bucket/start", **A_BUCKET, temperature="51", temperature_unit="c")
    assert answer.status_code == 400
    assert "Temperature must be from −20 to 50 °C." in words(answer)
    assert reading.buckets(book) == []


def test_a_ball_says_how_it_was_judged_its_grip_and_its_roll(player: FlaskClient, book: Book, clubs: list[str]) -> None:
    send(player, "/bucket/start", **A_BUCKET)
    noted(player, clubs[2], judged_by="eye", flight="grip-down", roll="6")
    noted(player, clubs[2], judged_by="monitor")
    plain, gripped = reading.shots(book)
    assert (gripped["judged_by"], gripped["flight"], gripped["counted"]) == ("eye", "grip-down", False)
    assert gripped["roll_m"] == pytest.approx(6 * YARD_M)
    assert gripped["carry_m"] == pytest.approx(54 * YARD_M)
    assert (plain["judged_by"], plain["flight"], plain["roll_m"], plain["counted"]) == ("monitor", "", None, True)
    assert (gripped["judged_apart"], plain["judged_apart"]) == (True, False)


def test_the_first_task_is_offered_on_an_empty_book_only(player: FlaskClient, book: Book, clubs: list[str]) -> None:
    assert len(page_data(player)["first_task"]["plan"]) == 20
    send(player, "/bucket/start", **{**A_BUCKET, "do": "task", "surface": "grass", "judged_by": "laser"})
    begun = reading.buckets(book)[0]
    assert (begun["surface"], begun["judged_by"]) == ("grass", "laser")  # what was chosen below its button
    assert [word.split(":")[0] for word in reading.buckets(book)[0]["plan"]] == [
        club for club in clubs for _ in range(5)
    ]
    assert page_data(player)["first_task"] is None


def test_the_first_task_is_named_as_the_players_own_clock_reads(player: FlaskClient, clubs: list[str]) -> None:
    assert "9:00, each wedge, 5 balls" in words(player.get("/bucket"))
    send(player, "/settings/swings", do="name", swing_deg="90", name="belt to belt")
    assert "belt to belt, each wedge, 5 balls" in words(player.get("/bucket"))


@pytest.mark.parametrize(
    ("changed", "sentence"),
    [
        ({"carry": "far"}, "Nothing was changed yet"),
        ({"carry": "-3"}, "Carry must be from 0 to 400 yards."),
        ({"carry": "401"}, "Carry must be from 0 to 400 yards."),
        ({"carry": ""}, "Give the carry, or say that the landing was not seen."),
    ],
)
def test_a_ball_that_cannot_be_is_refused_in_words_and_nothing_is_noted(
    player: FlaskClient, book: Book, clubs: list[str], changed: dict[str, str], sentence: str
) -> None:
    send(player, "/bucket/start", **A_BUCKET)
    answer = noted(player, clubs[2], **changed)
    assert answer.status_code == 400
    assert sentence in words(answer)
    assert reading.shots(book) == []


def test_a_place_with_markup_is_refused(player: FlaskClient, book: Book, clubs: list[str]) -> None:
    answer = send(player, "/bucket/start", **{**A_BUCKET, "place": "<b>fen</b>"})
    assert answer.status_code == 400
    assert "“place” must not hold < or >" in words(answer)
    assert reading.buckets(book) == []


def test_without_an_open_bucket_a_ball_is_refused_in_words(player: FlaskClient, clubs: list[str]) -> None:
    answer = noted(player, clubs[2])
    assert answer.status_code == 409
    assert "No bucket is open, so this ball was not noted." in words(answer)


def test_the_script_gets_every_fact_of_an_open_bucket(player: FlaskClient, book: Book, clubs: list[str]) -> None:
    data = page_data(player)
    assert data["facts"] == []
    assert {cell["trust"] for cell in data["cells"]} == {"guess", "told"}
    send(player, "/bucket/start", **A_BUCKET)
    noted(player, clubs[2])
    assert [fact["kind"] for fact in page_data(player)["facts"]] == ["bucket", "shot"]


def test_a_bucket_of_long_ago_is_over(player: FlaskClient, book: Book, clubs: list[str]) -> None:
    bucket = a_bucket(NOW)
    book.add([bucket, a_shot(bucket, clubs[2])], None, NOW)
    data = page_data(player)
    assert data["facts"] == []
    assert data["last_bucket"]["place"] == "Pellow Fen"
