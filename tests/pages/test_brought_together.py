"""A book's JSON beside what is here already: the table of the same book, and wedges that were begun anew with balls."""

import json
from typing import Any

import pytest
from flask.testing import FlaskClient

from webapp.moments import moved
from webapp.store import from_coach, reading
from webapp.store.book import Book
from webapp.units import YARD_M

from ..factories import NOW, a_bucket, a_club, a_full_carry, a_homework, a_remark, a_setting, a_shot, corrected
from .test_leaving import balls_of, bring, figures, take
from .visitor import words

LATER = moved(NOW, days=2)


def test_the_json_of_a_book_comes_after_its_csv(player: FlaskClient, full_book: Book, fresh: Any) -> None:
    client, other = fresh
    bring(client, take(player, "shots.csv"), "shots.csv")
    answer = bring(client, take(player, "book.json"))
    assert answer.status_code == 200
    assert "entries came into the book" in words(answer)
    assert balls_of(other) == balls_of(full_book)
    assert figures(other) == figures(full_book)
    assert [(club.id, club.name) for club in reading.clubs(other)] == [
        (club.id, club.name) for club in reading.clubs(full_book)
    ]
    assert "0 entries came into the book" in words(bring(client, take(player, "book.json")))


def test_a_correction_in_the_file_moves_the_ball_that_came_by_the_csv(
    player: FlaskClient, book: Book, fresh: Any
) -> None:
    club, bucket = a_club(), a_bucket()
    ball = a_shot(bucket, club, 54)
    book.add([club, bucket, ball], None, NOW)
    client, other = fresh
    bring(client, take(player, "shots.csv"), "shots.csv")
    book.add([corrected(ball, carry_m=40.0)], None, LATER)
    bring(client, take(player, "book.json"))
    assert balls_of(other)[ball["id"]]["carry_m"] == 40.0


@pytest.mark.parametrize("in_file", [True, False], ids=["its bucket in the file", "its bucket in the book"])
def test_an_id_of_another_kind_is_still_refused_and_the_ball_named(
    player: FlaskClient, book: Book, in_file: bool
) -> None:
    club, bucket, of_ball = a_club(), a_bucket(), a_bucket(utc_offset_min=780)
    book.add([club, bucket, *([] if in_file else [of_ball])], None, NOW)
    ball = a_shot(of_ball, club, 54, "2025-05-01T18:30:00.000Z")
    ball["id"] = ball["root"] = bucket["id"]
    answer = bring(player, json.dumps({"facts": [club, *([of_ball] if in_file else []), ball]}).encode())
    assert answer.status_code == 400
    told = "(2 May 2025, 56, 54.0 yd): This entry was not taken: its id belongs to another entry."
    assert f"Entry {3 if in_file else 2} {told}" in words(answer)  # the day of the player's own clock


def test_a_wedge_begun_anew_and_its_balls_become_the_one_that_came_back(
    player: FlaskClient, book: Book, fresh: Any
) -> None:
    old, bucket = a_club("56"), a_bucket()
    ball = a_shot(bucket, old, 60)
    book.add([old, bucket, ball], None, NOW)
    client, other = fresh
    new = a_club("56")
    planned = a_bucket(plan=[f"{new['id']}:90:swing"])
    balls = [a_shot(planned, new, 50 + at, LATER) for at in range(3)]
    moved_one = corrected(balls[0], moved(LATER, minutes=1), carry_m=33.0)
    homework, remark = a_homework(new), a_remark(new)
    facts = [new, planned, *balls, moved_one, a_full_carry(new, 85), homework, remark]
    assert other.add(facts, None, LATER).refused == []
    answer = bring(client, take(player, "book.json"))
    assert "3 entries came into the book; 0 were there already." in words(answer)
    assert [club.id for club in reading.clubs(other, retired=True)] == [old["id"]]
    assert {shot["club_id"] for shot in reading.shots(other)} == {old["id"]}
    assert balls_of(other)[balls[0]["id"]]["carry_m"] == 33.0
    assert reading.full_carries(other)[old["id"]] == pytest.approx(85 * YARD_M)
    assert [remark["club_id"] for remark in from_coach.remarks(other)] == [old["id"]]
    told = json.dumps([work["plan"] for work in from_coach.homework(other)])
    told += json.dumps([one["plan"] for one in reading.buckets(other)])
    assert new["id"] not in told
    assert old["id"] in told
    assert "0 entries came into the book; 3 were there already." in words(bring(client, take(player, "book.json")))


def test_wedges_of_one_name_and_two_lofts_stay_two(player: FlaskClient, book: Book, fresh: Any) -> None:
    old = a_club("sand", loft_deg=56)
    book.add([old], None, NOW)
    client, other = fresh
    new, bucket = a_club("sand", loft_deg=54), a_bucket()
    other.add([new, bucket, a_shot(bucket, new)], None, NOW)
    bring(client, take(player, "book.json"))
    assert {club.id for club in reading.clubs(other)} == {old["id"], new["id"]}


def test_in_a_juniors_book_what_only_a_guardian_may_say_stays(player: FlaskClient, book: Book, fresh: Any) -> None:
    old = a_club("56")
    book.add([old], None, NOW)
    client, other = fresh
    new, bucket = a_club("56"), a_bucket()
    facts = [new, bucket, a_shot(bucket, new), a_remark(new), a_setting("junior", True)]
    assert other.add(facts, None, NOW).refused == []
    assert bring(client, take(player, "book.json")).status_code == 200
    assert {shot["club_id"] for shot in reading.shots(other)} == {old["id"]}
    assert len(from_coach.remarks(other)) == 1
