"""A bucket that is put right on one phone and changed on another without signal says what both said, and once.

Source: the project's design, what two phones say of one thing is never lost; buckets and balls are invented.
"""

from functools import partial
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from webapp.moments import moment_of, moved
from webapp.store import reading
from webapp.store.book import Book
from webapp.store.directory import Directory

from ..factories import NOW, Raw, a_bucket, a_club, a_shot, corrected, voided
from .test_visits import right
from .visitor import send, send_facts

ENDED = moved(NOW, minutes=40)
HEARD = 2  # the number of the book's last fact when the phones lost their signal
CLUB = a_club("56")


@pytest.fixture
def bucket(app: Flask, book: Book) -> Raw:
    """A bucket that both phones have heard of."""
    at(app, 0)
    fact = a_bucket(warm_up_balls=2, plan=["mix"])
    assert book.add([CLUB, fact], None, NOW).cursor == HEARD
    return fact


@pytest.fixture
def other(app: Flask, directory: Directory, book: Book) -> FlaskClient:
    """The phone that has no signal while the bucket is put right."""
    client = app.test_client()
    client.set_cookie("book", directory.new_device(book.id, "Other", NOW))
    return client


def at(app: Flask, minute: int) -> None:
    """Have the server's clock stand so many minutes after the bucket began."""
    app.config["NOW"] = lambda: moment_of(moved(NOW, minutes=minute))


def late(bucket: Raw, minute: int, **changes: Any) -> Raw:
    """What a phone says of a bucket by its whole body at a minute."""
    return corrected(bucket, moved(NOW, minutes=minute), **changes)


def shown(book: Book, fact: Raw) -> Raw:
    """What is said last of a thing, without what is not said of it."""
    body = book.history(fact["root"])[-1]["body"]
    return {name: value for name, value in body.items() if value is not None}


@pytest.mark.parametrize("ended_after", [40, 20], ids=["ended later", "ended before"])
def test_a_bucket_put_right_and_ended_elsewhere_without_signal_is_both(
    app: Flask, player: FlaskClient, other: FlaskClient, book: Book, bucket: Raw, ended_after: int
) -> None:
    at(app, 30)
    right(player, bucket, ball="own", surface="grass", bay_offset="-2", temperature="11")
    put_right = shown(book, bucket)
    at(app, 50)
    warm = late(bucket, ended_after - 1, warm_up_balls=3)
    batch = [warm, late(warm, ended_after, ended_at=ENDED)]
    answer = send_facts(other, batch, heard=HEARD).get_json()
    assert (answer["refused"], answer["cursor"]) == ([], book.cursor)
    assert shown(book, bucket) == {**put_right, "warm_up_balls": 3, "ended_at": ENDED}
    length = book.cursor
    send_facts(other, batch, heard=HEARD)
    at(app, 55)
    send_facts(other, batch, heard=HEARD)
    send_facts(other, [*batch, a_shot(bucket, CLUB)], heard=HEARD)
    assert book.cursor == length + 1  # the ball
    book.rebuild()
    assert shown(book, bucket)["ball"] == "own"


def test_what_a_phone_says_in_two_batches_before_it_hears_is_kept(
    app: Flask, player: FlaskClient, other: FlaskClient, book: Book, bucket: Raw
) -> None:
    at(app, 30)
    right(player, bucket, ball="own")
    right(player, bucket, ball="own", surface="grass")
    first = late(bucket, 20, warm_up_balls=3)
    for minute, fact in ((41, first), (42, late(first, 60, ended_at=ENDED)), (43, late(first, 61, place="Low Field"))):
        at(app, minute)
        send_facts(other, [fact], heard=HEARD)
    said = {"ball": "own", "surface": "grass", "warm_up_balls": 3, "ended_at": ENDED, "place": "Low Field"}
    assert shown(book, bucket) == {**bucket["body"], **said}


def test_two_phones_without_signal_end_what_a_third_put_right(
    app: Flask, player: FlaskClient, other: FlaskClient, book: Book, bucket: Raw, directory: Directory
) -> None:
    third = app.test_client()
    third.set_cookie("book", directory.new_device(book.id, "Third", NOW))
    at(app, 30)
    right(third, bucket, ball="own")
    for minute, phone, fact in (
        (50, player, late(bucket, 40, ended_at=ENDED)),
        (51, other, late(bucket, 45, ended_at=moved(ENDED, minutes=5))),
        (52, player, late(bucket, 20, place="Low Field")),
    ):
        at(app, minute)
        send_facts(phone, [fact], heard=HEARD)
    said = {"ball": "own", "place": "Low Field", "ended_at": moved(ENDED, minutes=5)}
    assert shown(book, bucket) == {**bucket["body"], **said}


def test_a_bucket_set_aside_on_one_phone_and_ended_on_another_is_both(
    app: Flask, player: FlaskClient, other: FlaskClient, book: Book, bucket: Raw
) -> None:
    at(app, 30)
    send(player, f"/visits/{bucket['id']}/aside", reason="hurt")
    at(app, 50)
    send_facts(other, [late(bucket, 40, ended_at=ENDED)], heard=HEARD)
    said = shown(book, bucket)
    assert (said["aside"], said["aside_reason"], said["ended_at"]) == (True, "hurt", ENDED)


@pytest.mark.parametrize("heard", [HEARD + 1, None], ids=["heard", "a script of before, which does not say"])
def test_a_phone_that_has_heard_is_taken_at_its_word(
    app: Flask, player: FlaskClient, other: FlaskClient, book: Book, bucket: Raw, heard: int | None
) -> None:
    at(app, 30)
    right(player, bucket, ball="own", surface="grass")
    back = late({**bucket, "body": shown(book, bucket)}, 40, ball="range")
    at(app, 50)
    send_facts(other, [back, late(back, 45, ended_at=ENDED)], heard=heard)
    assert shown(book, bucket) == {**bucket["body"], "surface": "grass", "ended_at": ENDED}
    assert book.cursor == HEARD + 3


def test_who_says_one_of_two_things_put_right_elsewhere_leaves_the_other(
    app: Flask, player: FlaskClient, other: FlaskClient, book: Book, bucket: Raw
) -> None:
    at(app, 30)
    right(player, bucket, ball="own", surface="grass")
    at(app, 50)
    send_facts(other, [late(bucket, 40, surface="grass")], heard=HEARD)
    assert shown(book, bucket) == {**bucket["body"], "ball": "own", "surface": "grass"}


def test_of_what_both_changed_the_later_word_holds_however_late_it_was_sent(
    app: Flask, player: FlaskClient, other: FlaskClient, book: Book, bucket: Raw
) -> None:
    at(app, 50)
    send_facts(player, [late(bucket, 20, place="Low Field")], heard=HEARD)
    send_facts(player, [late(bucket, 10, warm_up_balls=3)], heard=HEARD)  # both hold from here on, said by the server
    at(app, 51)
    send_facts(other, [late(bucket, 30, place="High Field")], heard=HEARD)
    assert shown(book, bucket) == {**bucket["body"], "place": "High Field", "warm_up_balls": 3}
    at(app, 52)
    send_facts(other, [late(bucket, 15, place="Far Field")], heard=HEARD)
    assert shown(book, bucket)["place"] == "High Field"


def test_a_bucket_put_right_leaves_what_a_phone_without_signal_said_of_a_ball(
    app: Flask, player: FlaskClient, other: FlaskClient, book: Book, bucket: Raw
) -> None:
    balls = [a_shot(bucket, CLUB, 50 + ball, moved(NOW, minutes=ball)) for ball in range(2)]
    book.add(balls, None, NOW)
    at(app, 30)
    right(player, bucket, judged_by="eye")
    at(app, 50)
    reopened = corrected(balls[0], moved(NOW, minutes=20), carry_m=30.0, contact="thin")
    send_facts(other, [reopened, corrected(balls[1], moved(NOW, minutes=21), aside=True)], heard=HEARD)
    first, second = (reading.shot(book, ball["id"]) for ball in balls)
    assert first
    assert second
    assert (first["carry_m"], first["contact"], second["aside"]) == (30.0, "thin", 1)
    assert [first["judged_by"], second["judged_by"]] == ["eye", "eye"]


def test_balls_struck_without_signal_are_judged_as_the_bucket_was_put_right(
    app: Flask, player: FlaskClient, other: FlaskClient, book: Book, bucket: Raw
) -> None:
    at(app, 30)
    right(player, bucket, judged_by="eye")
    balls = [a_shot(bucket, CLUB, 50 + ball, moved(NOW, minutes=31 + ball)) for ball in range(3)]
    balls[1]["body"]["judged_by"] = "laser"
    elsewhere = a_bucket(moved(NOW, minutes=32))
    balls.append(a_shot(elsewhere, CLUB, 50, moved(NOW, minutes=33)))
    at(app, 50)
    send_facts(other, [elsewhere, *balls], heard=HEARD)
    assert [shot["judged_by"] for shot in map(partial(reading.shot, book), (ball["id"] for ball in balls)) if shot] == [
        "eye", "laser", "eye", "monitor"
    ]  # fmt: skip


def test_a_withdrawn_bucket_stays_withdrawn(
    app: Flask, player: FlaskClient, other: FlaskClient, book: Book, bucket: Raw
) -> None:
    at(app, 30)
    right(player, bucket, ball="own")
    book.add([voided(bucket, moved(NOW, minutes=35))], None, NOW)
    length = book.cursor
    at(app, 50)
    send_facts(other, [late(bucket, 40, ended_at=ENDED), {"kind": ["no", "fact"]}, None], heard=HEARD)
    assert book.cursor == length + 1
