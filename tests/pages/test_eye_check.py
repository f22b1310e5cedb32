"""The eye check through the real app: said first, then measured, kept as facts of their own, never as balls."""

import csv
from typing import Any

from flask import Flask
from flask.testing import FlaskClient

from tests.factories import NOW, a_bucket, a_club, a_setting, a_shot, raw
from webapp.books.read_card import card_of, rows_of
from webapp.files.importing import read_table_of_eye_checks
from webapp.moments import moment_of, moved
from webapp.store import reading
from webapp.store.book import Book
from webapp.units import YARD_M

from .visitor import send, words


def check(player: FlaskClient, measured: dict[str, str], by: str = "laser") -> Any:
    """Ten distances said, 55 each, then measured as told."""
    said = {f"said_{at}": "55" for at in range(1, 11)}
    assert "Now measure them" in words(send(player, "/eye-check", do="said", by=by, **said))
    return send(player, "/eye-check", do="measured", by=by, **said, **measured)


def test_ten_balls_are_said_and_then_measured(player: FlaskClient, book: Book) -> None:
    measured = {f"measured_{at}": str(51 + at % 3) for at in range(1, 11)}
    answer = words(check(player, measured, "paces"))
    assert "10 of 10 kept." in answer
    assert "You see 55 where it is 52 , give or take 1 (10 balls)." in answer
    checks = reading.eye_checks(book)
    assert {round(one["said_m"] / YARD_M) for one in checks} == {55}
    assert {one["by"] for one in checks} == {"paces"}
    assert reading.count_of_balls(book) == 0


def test_three_pairs_that_may_be_chance_tell_of_no_bias(player: FlaskClient) -> None:
    answer = words(check(player, {"measured_1": "52", "measured_2": "53", "measured_3": "54"}))
    assert "No bias shows: at 53 you say 55 , give or take 1 (3 balls)." in answer


def test_a_card_of_an_earlier_moment_hears_no_later_check(book: Book) -> None:
    later = moved(NOW, days=1)
    book.add([raw("eye_check", {"said_m": 50, "measured_m": 45, "by": "laser"}, later)], None, later)
    assert [len(rows_of(book, now).eye_checks) for now in (NOW, later)] == [0, 1]


def test_paces_are_counted_and_each_is_as_long_as_was_stated(player: FlaskClient, book: Book) -> None:
    check(player, {"measured_1": "60", "pace": "0.9"}, "paces")
    check(player, {"measured_1": "60"}, "paces")
    check(player, {"measured_1": "60", "pace": "0.9"}, "laser")
    assert [round(one["measured_m"] / YARD_M) for one in reading.eye_checks(book)] == [60, 60, 54]
    assert "A pace is a number from 0.4 to 1.6." in words(check(player, {"measured_1": "60", "pace": "9"}, "paces"))
    answer = words(check(player, {"measured_1": "390", "pace": "1.5"}, "paces"))
    assert "Measured must be from 2 to 400 yards." in answer
    assert len(reading.eye_checks(book)) == 3


def test_boxes_for_measuring_come_after_what_was_said(player: FlaskClient) -> None:
    text = player.get("/eye-check").text
    assert text.index('<div id="measure" hidden>') < text.index("measured_1")
    assert "Say at least one distance first" in words(send(player, "/eye-check", do="said", by="laser"))


def test_a_ball_that_was_not_measured_is_not_kept(player: FlaskClient, book: Book) -> None:
    assert "1 of 10 kept; the others were not measured." in words(check(player, {"measured_3": "52"}))
    assert len(reading.eye_checks(book)) == 1


def test_what_is_no_distance_is_refused_in_words(player: FlaskClient, book: Book) -> None:
    answer = check(player, {"measured_1": "far"})
    assert answer.status_code == 400
    assert "must be a number" in words(answer)
    assert "Ball 1, measured must be from 2 to 400 yards." in words(check(player, {"measured_1": "500"}))
    assert reading.eye_checks(book) == []


def test_a_pair_can_be_taken_out_and_a_rebuild_brings_the_others_back(player: FlaskClient, book: Book) -> None:
    body = {"said_m": 50.0, "measured_m": 48.0, "by": "laser"}
    first, second = raw("eye_check", body, NOW), raw("eye_check", body, NOW)
    book.add([first, second], None, NOW)
    send(player, f"/eye-check/{first['root']}/remove")
    assert [one["id"] for one in reading.eye_checks(book)] == [second["root"]]
    book.rebuild()
    assert [one["id"] for one in reading.eye_checks(book)] == [second["root"]]


def test_who_judges_by_eye_is_offered_the_check(player: FlaskClient, book: Book) -> None:
    book.add([a_club()], None, NOW)
    assert 'href="/eye-check"' not in player.get("/bucket").text
    book.add([a_setting("judged_by", "eye")], None, NOW)
    assert 'href="/eye-check"' in player.get("/bucket").text


def test_a_number_no_ball_measured_is_settled_by_eye_on_every_page(player: FlaskClient, book: Book, app: Flask) -> None:
    app.config["NOW"] = lambda: moment_of(NOW)
    club = a_club()
    facts = [club, *(raw("eye_check", {"said_m": 50.0, "measured_m": 50.0, "by": "laser"}, NOW) for _ in range(12))]
    for visit in range(1, 7):
        bucket = a_bucket(moved(NOW, days=-visit), judged_by="eye")
        struck = [moved(NOW, days=-visit, minutes=at + 1) for at in range(8)]
        facts += [bucket, *(a_shot(bucket, club, 60 + at % 2, when, judged_by="eye") for at, when in enumerate(struck))]
    book.add(facts, None, NOW)
    assert card_of(book, NOW).cells[club["root"], 90.0].trust == "settled"
    for page, times in (("/card", 3), ("/fits?flag=61", 1), ("/fits/leave", 1), ("/trends", 1)):
        assert words(player.get(page)).count("settled by eye") >= times, page


def test_ten_checks_bring_a_number_judged_by_eye_nearer_to_the_truth(book: Book) -> None:
    club, bucket = a_club(), a_bucket(judged_by="eye")
    balls = [a_shot(bucket, club, 63.6, moved(NOW, minutes=at), judged_by="eye") for at in range(12)]
    later = moved(NOW, days=1)
    book.add([club, bucket, *balls], None, later)

    def carry_yd() -> float:
        return card_of(book, later).cells[club["root"], 90.0].typical_carry_m / YARD_M

    alone = carry_yd()
    pair = {"said_m": 53.0, "measured_m": 50.0, "by": "laser"}
    book.add([raw("eye_check", pair, moved(NOW, minutes=at)) for at in range(10)], None, later)
    assert 1.5 < alone - carry_yd() < 4.5  # six per cent of sixty yards is 3.6


def test_pairs_leave_as_a_table_that_the_command_reads_back(player: FlaskClient, book: Book) -> None:
    exact = {"said_m": 55 * YARD_M, "measured_m": 52 * YARD_M, "by": "paces"}
    odd = {"said_m": 50.1234567, "measured_m": 48.0, "by": "laser"}
    book.add([raw("eye_check", exact, NOW), raw("eye_check", odd, NOW)], None, NOW)
    text = player.get("/export/eye-checks.csv").text
    assert sorted(text.splitlines()[1:]) == sorted([f"55,52,yd,paces,{NOW}", f"50.1234567,48,m,laser,{NOW}"])
    rows = enumerate(csv.reader(text.splitlines()), 1)
    back = [fact["body"] for fact in read_table_of_eye_checks(rows, "yd").facts]
    assert sorted(back, key=lambda body: str(body["by"])) == [odd, exact]
