"""A bucket that is put right on one phone and changed on another without signal says what both said, and once.

Source: the project's design, what two phones say of one thing is never lost; buckets and balls are invented.
"""

from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from webapp.moments import moment_of, moved
from webapp.store.book import Book
from webapp.store.directory import Directory

from ..factories import NOW, Raw, a_bucket, a_club, a_shot, corrected, voided
from .test_visits import right
from .visitor import send, send_facts

ENDED = moved(NOW, minutes=40)
CLUB = a_club("56")


@pytest.fixture
def bucket(app: Flask, book: Book) -> Raw:
    """A bucket that both phones have heard of."""
    at(app, 0)
    fact = a_bucket(warm_up_balls=2, plan=["mix"])
    assert book.add([CLUB, fact], None, NOW).refused == []
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
    answer = send_facts(other, batch).get_json()
    assert (answer["refused"], answer["cursor"]) == ([], book.cursor)
    assert shown(book, bucket) == {**put_right, "warm_up_balls": 3, "ended_at": ENDED}
    length = book.cursor
    send_facts(other, batch)
    at(app, 55)
    send_facts(other, batch)
    send_facts(other, [*batch, a_shot(bucket, CLUB)])
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
        send_facts(other, [fact])
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
        send_facts(phone, [fact])
    said = {"ball": "own", "place": "Low Field", "ended_at": moved(ENDED, minutes=5)}
    assert shown(book, bucket) == {**bucket["body"], **said}


def test_a_bucket_set_aside_on_one_phone_and_ended_on_another_is_both(
    app: Flask, player: FlaskClient, other: FlaskClient, book: Book, bucket: Raw
) -> None:
    at(app, 30)
    send(player, f"/visits/{bucket['id']}/aside", reason="hurt")
    at(app, 50)
    send_facts(other, [late(bucket, 40, ended_at=ENDED)])
    said = shown(book, bucket)
    assert (said["aside"], said["aside_reason"], said["ended_at"]) == (True, "hurt", ENDED)


def test_a_phone_that_has_heard_is_taken_at_its_word(
    app: Flask, player: FlaskClient, other: FlaskClient, book: Book, bucket: Raw
) -> None:
    at(app, 30)
    right(player, bucket, ball="own")
    heard = {**bucket, "body": shown(book, bucket)}
    back = late(heard, 40, ball="range")
    length = book.cursor
    at(app, 50)
    send_facts(other, [back])
    assert (shown(book, bucket), book.cursor) == (bucket["body"], length + 1)
    at(app, 51)
    send_facts(other, [late(back, 45, ended_at=ENDED)])
    assert (shown(book, bucket), book.cursor) == ({**bucket["body"], "ended_at": ENDED}, length + 2)


def test_going_back_and_ending_in_one_batch_is_taken_at_its_word_too(
    app: Flask, player: FlaskClient, other: FlaskClient, book: Book, bucket: Raw
) -> None:
    at(app, 30)
    right(player, bucket, ball="own", surface="grass")
    back = late({**bucket, "body": shown(book, bucket)}, 40, ball="range")
    length = book.cursor
    at(app, 50)
    send_facts(other, [back, late(back, 45, ended_at=ENDED)])
    assert shown(book, bucket) == {**bucket["body"], "surface": "grass", "ended_at": ENDED}
    assert book.cursor == length + 2


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
    send_facts(other, [elsewhere, *balls, late(bucket, 40, ended_at=ENDED)])
    assert shown(book, bucket)["judged_by"] == "eye"
    assert [shown(book, ball)["judged_by"] for ball in balls] == ["eye", "laser", "eye", "monitor"]


def test_a_withdrawn_bucket_stays_withdrawn(
    app: Flask, player: FlaskClient, other: FlaskClient, book: Book, bucket: Raw
) -> None:
    at(app, 30)
    right(player, bucket, ball="own")
    book.add([voided(bucket, moved(NOW, minutes=35))], None, NOW)
    length = book.cursor
    at(app, 50)
    send_facts(other, [late(bucket, 40, ended_at=ENDED), {"kind": ["no", "fact"]}, None])
    assert book.cursor == length + 1
