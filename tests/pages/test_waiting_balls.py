"""Balls that waited on a phone for signal while their wedge was withdrawn: by a book brought back, or by an undone one.

Source: the project's design, a ball noted is never lost to the card; the balls are invented.
"""

import json
import re
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from webapp.card.rows import heirs_of
from webapp.moments import moment_of, moved
from webapp.store import reading
from webapp.store.book import Book
from webapp.store.directory import Directory

from ..factories import NOW, Raw, a_bucket, a_club, a_full_carry, a_shot, corrected, the_demo_set, voided
from .test_bag import id_of, replaced, shown
from .test_coach import made
from .test_leaving import bring, take
from .visitor import page_of, send, send_facts, words

LATER = moved(NOW, minutes=5)


@pytest.fixture
def demo_bag(book: Book) -> Book:
    """The book with the wedges 46, 51, 56 and 60."""
    assert book.add(the_demo_set(), None, NOW).refused == []
    return book


def brought_back_meanwhile(player: FlaskClient, book: Book, fresh: Any, *begun: Raw) -> tuple[str, FlaskClient, Book]:
    """The old 52, and a book that began with these wedges and into which the old one was brought since."""
    old = a_club("52")
    assert book.add([old], None, NOW).refused == []
    client, other = fresh
    assert other.add(begun, None, NOW).refused == []
    assert bring(client, take(player, "book.json")).status_code == 200
    return old["id"], client, other


def wedges_of(book: Book) -> dict[str, int]:
    """How many balls count of each wedge that the book shows, in the bag or not."""
    shown_balls = [shot["club_id"] for shot in reading.shots(book) if shot["counted"]]
    return {club.id: shown_balls.count(club.id) for club in reading.clubs(book, retired=True)}


def test_balls_that_waited_while_a_book_was_brought_back_count_for_the_wedge_that_came(
    player: FlaskClient, book: Book, fresh: Any
) -> None:
    new, bucket = a_club("52"), a_bucket()
    old, client, other = brought_back_meanwhile(player, book, fresh, new)
    balls = [a_shot(bucket, new, 70 + at, moved(LATER, minutes=at)) for at in range(3)]
    moved_ball = corrected(balls[2], carry_m=60.0)
    answer = send_facts(client, [bucket, *balls, moved_ball])
    assert answer.get_json()["taken"] == [fact["id"] for fact in (bucket, *balls, moved_ball)]
    assert wedges_of(other) == {old: 3}
    assert next(shot["carry_m"] for shot in reading.shots(other)) == 60.0
    length = other.cursor
    assert answer.get_json()["cursor"] == length
    send_facts(client, [bucket, *balls, moved_ball])
    assert other.cursor == length
    send_facts(client, [corrected(moved_ball, aside=True)])  # noted before the first batch was sent, in the second
    assert wedges_of(other) == {old: 2}
    other.rebuild()
    assert wedges_of(other) == {old: 2}


def test_a_ball_that_is_withdrawn_meanwhile_is_not_corrected(player: FlaskClient, book: Book, fresh: Any) -> None:
    new, bucket = a_club("52"), a_bucket()
    old, client, other = brought_back_meanwhile(player, book, fresh, new)
    ball = a_shot(bucket, new, 70, LATER)
    before = other.cursor
    send_facts(client, [bucket, ball, voided(ball)])
    assert (wedges_of(other), other.cursor) == ({old: 0}, before + 3)


def test_balls_of_a_withdrawn_wedge_that_is_none_of_the_bags_stay_with_it(
    player: FlaskClient, book: Book, fresh: Any
) -> None:
    new, bucket = a_club("52", loft_deg=53), a_bucket()
    old, client, other = brought_back_meanwhile(player, book, fresh, new)
    send_facts(client, [bucket, a_shot(bucket, new, 70, LATER)])
    assert wedges_of(other) == {old: 0, new["id"]: 1}


def test_of_two_alike_in_the_bag_none_is_chosen(player: FlaskClient, book: Book, fresh: Any) -> None:
    new, bucket = a_club("52"), a_bucket()
    old, client, other = brought_back_meanwhile(player, book, fresh, new)
    twin = a_club(" 52")
    other.add([twin], None, NOW)
    send_facts(client, [bucket, a_shot(bucket, new, 70, LATER)])
    assert wedges_of(other) == {old: 0, twin["id"]: 0, new["id"]: 1}


def test_balls_of_a_wedge_that_was_replaced_by_its_like_stay_its_own(player: FlaskClient, demo_bag: Book) -> None:
    old, _ = replaced(player, demo_bag)
    bucket = a_bucket()
    send_facts(player, [bucket, a_shot(bucket, old, 54, LATER)])
    assert wedges_of(demo_bag)[old] == 1


@pytest.mark.parametrize("loft_deg", ["56", "58"], ids=["alike", "of another loft"])
def test_balls_that_waited_while_their_new_wedge_was_undone_go_to_the_old_one_if_it_is_alike(
    player: FlaskClient, demo_bag: Book, loft_deg: str
) -> None:
    old = id_of(demo_bag, "56")
    send(player, "/bag/set", do=f"replace {old}", **shown(demo_bag, wedge_56={"loft_deg": loft_deg}))
    new = id_of(demo_bag, "56")
    send(player, "/bag/set", do=f"undo {new}", **shown(demo_bag))
    bucket = a_bucket()
    send_facts(player, [bucket, a_shot(bucket, new, 54, LATER)])
    counted = wedges_of(demo_bag)
    assert (counted[old], counted.get(new)) == ((1, None) if loft_deg == "56" else (0, 1))


@pytest.mark.parametrize("made_at", ["0001-01-01T00:00:00.000Z", "1969-12-31T23:59:59.000Z"])
def test_a_ball_of_a_clock_that_was_never_set_keeps_no_other_from_coming(
    player: FlaskClient, demo_bag: Book, made_at: str
) -> None:
    old, new = replaced(player, demo_bag)
    send(player, "/bag/set", do=f"undo {new}", **shown(demo_bag))
    bucket = a_bucket()
    facts = [bucket, a_shot(bucket, new, 54, made_at), a_shot(bucket, new, 55, LATER)]
    answer = send_facts(player, facts)
    assert (answer.status_code, len(answer.get_json().get("taken", ()))) == (200, 3)
    assert {shot["club_id"] for shot in reading.shots(demo_bag)} == {old}
    page_of(player, "/card")


def test_a_page_made_meanwhile_tells_which_wedge_a_withdrawn_one_is(
    player: FlaskClient, book: Book, fresh: Any
) -> None:
    new, other_loft = a_club("52"), a_club("60", loft_deg=61)
    old, client, other = brought_back_meanwhile(player, book, fresh, new, other_loft)
    other.add([voided(other_loft, LATER)], None, LATER)
    told = re.search(r'id="page-data">(.*?)</script>', page_of(client, "/bucket").text)
    assert told
    assert sorted(json.loads(told[1])["left_bag"], key=lambda club: str(club["name"])) == [
        {"id": new["id"], "name": "52", "heir": old},
        {"id": other_loft["id"], "name": "60", "heir": ""},
    ]


def test_a_coach_reads_on_after_a_wedge_was_undone_or_brought_back(
    app: Flask, player: FlaskClient, demo_bag: Book, directory: Directory, fresh: Any
) -> None:
    """The full carry stated of a withdrawn wedge stays in the book and is nobody's."""
    app.config["NOW"] = lambda: moment_of(NOW)
    _, new = replaced(player, demo_bag)
    assert new in reading.full_carries(demo_bag)
    send(player, "/bag/set", do=f"undo {new}", **shown(demo_bag))
    assert new not in reading.full_carries(demo_bag)
    for page in ("", "/homework", "/periods", "/year", "/line"):
        page_of(app.test_client(), made(app, directory, demo_bag) + page)
    client, other = fresh
    begun = a_club("56")
    assert other.add([begun, a_full_carry(begun, 90)], None, NOW).refused == []
    assert bring(client, take(player, "book.json")).status_code == 200
    page_of(app.test_client(), made(app, directory, other))


def test_a_wedge_that_was_undone_takes_no_other_ones_place(player: FlaskClient, demo_bag: Book) -> None:
    old = id_of(demo_bag, "56")
    send(player, "/bag/set", do=f"replace {old}", **shown(demo_bag, wedge_56={"loft_deg": "58"}))
    undone = id_of(demo_bag, "56")
    send(player, "/bag/set", do=f"undo {undone}", **shown(demo_bag))
    bucket = a_bucket()
    send_facts(player, [bucket, a_shot(bucket, undone)])
    assert undone in wedges_of(demo_bag)
    _, next_one = replaced(player, demo_bag)
    assert heirs_of(reading.clubs(demo_bag, retired=True))[old] == next_one


def test_a_wedge_put_into_the_bag_gets_the_balls_of_its_withdrawn_like_at_once(
    player: FlaskClient, demo_bag: Book
) -> None:
    club, bucket = a_club("64", loft_deg=64), a_bucket()
    demo_bag.add([club, bucket, voided(club), a_shot(bucket, club)], None, NOW)
    assert wedges_of(demo_bag)[club["id"]] == 1
    told = words(send(player, "/bag", **{"new-name": "64", "new-loft_deg": "64"}))
    assert wedges_of(demo_bag)[id_of(demo_bag, "64")] == 1
    assert "The 64 is in the bag. 1 ball kept under a withdrawn wedge of its name and loft is its own now." in told


@pytest.mark.parametrize("how", ["corrected", "put back", "in another's place"])
def test_a_wedge_that_becomes_the_like_of_a_withdrawn_one_says_how_many_balls_it_got(
    player: FlaskClient, demo_bag: Book, how: str
) -> None:
    wedge, old = a_club("64", loft_deg=64), a_club("64", loft_deg=64, retired=how == "put back")
    bucket = a_bucket()
    balls = [a_shot(bucket, wedge, 40, LATER), a_shot(bucket, wedge, 41, LATER)]
    before = [old] if how == "put back" else []
    demo_bag.add([wedge, bucket, *balls, voided(wedge), *before], None, LATER)
    as_it_is_now = {"name": "64", "loft_deg": "64"}
    if how == "put back":
        told = words(send(player, "/bag/back", club=old["id"]))
    else:
        do = "keep" if how == "corrected" else f"replace {id_of(demo_bag, '60')}"
        told = words(send(player, "/bag/set", do=do, **shown(demo_bag, wedge_60=as_it_is_now)))
    assert wedges_of(demo_bag)[id_of(demo_bag, "64")] == 2
    assert "2 balls kept under a withdrawn wedge of its name and loft are its own now." in told
    assert "a button puts it back" not in told
    assert "are its own now" not in words(send(player, "/bag/set", do="keep", **shown(demo_bag)))


def test_a_ball_struck_before_a_wedge_came_is_its_predecessors(player: FlaskClient, demo_bag: Book) -> None:
    """Decision 10: a replaced wedge's balls never enter the medians of what took its place."""
    old = a_club("64", loft_deg=64, retired=True)
    new = a_club("64", 64, moved(NOW, days=2), follows=old["id"])
    waiting, bucket = a_club("64", loft_deg=64), a_bucket()
    demo_bag.add([old, new, waiting, voided(waiting)], None, moved(NOW, days=2))
    send_facts(player, [bucket, a_shot(bucket, waiting), a_shot(bucket, waiting, made_at=moved(NOW, days=3))])
    counted = wedges_of(demo_bag)
    assert (counted[old["id"]], counted[new["id"]]) == (1, 1)
