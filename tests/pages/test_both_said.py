"""A bucket that is put right on one phone and changed on another without signal says what both said, and once.

Source: the project's design, what two phones say of one thing is never lost; buckets and balls are invented.
"""

import sys
from collections.abc import Sequence
from itertools import pairwise
from threading import Thread
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from webapp.moments import moment_of, moved
from webapp.store import reading
from webapp.store.book import Book
from webapp.store.directory import Directory

from ..factories import NOW, Raw, a_bucket, a_club, a_shot, corrected, voided
from .test_visits import AS_IT_STOOD, right
from .visitor import send, send_facts, token

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


def send_changes(client: FlaskClient, base: Raw, *changes: Raw, also: Sequence[Any] = ()) -> Any:
    """Send what a phone made of a version that it showed, each change of the one before."""
    made_of = {change["id"]: version["made_at"] for version, change in pairwise([base, *changes])}
    return send_facts(client, [*changes, *also], made_of=made_of)


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
    answer = send_changes(other, bucket, *batch).get_json()
    assert (answer["refused"], answer["cursor"]) == ([], book.cursor)
    assert shown(book, bucket) == {**put_right, "warm_up_balls": 3, "ended_at": ENDED}
    length = book.cursor
    send_changes(other, bucket, *batch)
    at(app, 55)
    send_changes(other, bucket, *batch)
    send_changes(other, bucket, *batch, also=[a_shot(bucket, CLUB)])
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
    ended = late(first, 60, ended_at=ENDED)
    placed = late(ended, 61, place="Low Field")
    for minute, base, fact in ((41, bucket, first), (42, first, ended), (43, ended, placed)):
        at(app, minute)
        send_changes(other, base, fact)
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
        send_changes(phone, bucket, fact)
    said = {"ball": "own", "place": "Low Field", "ended_at": moved(ENDED, minutes=5)}
    assert shown(book, bucket) == {**bucket["body"], **said}


def test_a_bucket_set_aside_on_one_phone_and_ended_on_another_is_both(
    app: Flask, player: FlaskClient, other: FlaskClient, book: Book, bucket: Raw
) -> None:
    at(app, 30)
    send(player, f"/visits/{bucket['id']}/aside", reason="hurt")
    at(app, 50)
    send_changes(other, bucket, late(bucket, 40, ended_at=ENDED))
    said = shown(book, bucket)
    assert (said["aside"], said["aside_reason"], said["ended_at"]) == (True, "hurt", ENDED)


def test_a_phone_that_has_heard_is_taken_at_its_word(
    app: Flask, player: FlaskClient, other: FlaskClient, book: Book, bucket: Raw
) -> None:
    at(app, 30)
    right(player, bucket, ball="own", surface="grass")
    heard = {**bucket, **book.history(bucket["id"])[-1]}
    length = book.cursor
    back = late(heard, 40, ball="range")
    at(app, 50)
    send_changes(other, heard, back, late(back, 45, ended_at=ENDED))
    assert shown(book, bucket) == {**bucket["body"], "surface": "grass", "ended_at": ENDED}
    assert book.cursor == length + 2


def test_a_script_of_before_that_does_not_say_what_it_changed_is_taken_at_its_word(
    app: Flask, player: FlaskClient, other: FlaskClient, book: Book, bucket: Raw
) -> None:
    at(app, 30)
    right(player, bucket, ball="own")
    at(app, 50)
    for told in ({}, {"made_of": ["no", "moments"]}, {"made_of": {"no": 7}}):
        assert send_facts(other, [late(bucket, 40, ended_at=ENDED)], **told).status_code == 200
    assert shown(book, bucket) == {**bucket["body"], "ended_at": ENDED}


def test_a_phone_that_hears_nothing_back_still_has_its_own_last_word(
    app: Flask, player: FlaskClient, other: FlaskClient, book: Book, bucket: Raw
) -> None:
    ended = late(bucket, 20, ended_at=ENDED)
    resumed = late(ended, 25, ended_at=None)
    at(app, 30)
    send_changes(other, bucket, ended)
    right(player, bucket, place="Low Field")
    at(app, 31)
    send_changes(other, ended, resumed)
    assert shown(book, bucket) == {**bucket["body"], "place": "Low Field"}
    again = late(resumed, 32, ended_at=ENDED)
    at(app, 33)
    send_changes(other, bucket, ended, resumed, again)
    assert shown(book, bucket) == {**bucket["body"], "place": "Low Field", "ended_at": ENDED}


def test_who_says_one_of_two_things_put_right_elsewhere_leaves_the_other(
    app: Flask, player: FlaskClient, other: FlaskClient, book: Book, bucket: Raw
) -> None:
    at(app, 30)
    right(player, bucket, ball="own", surface="grass")
    at(app, 50)
    send_changes(other, bucket, late(bucket, 40, surface="grass"))
    assert shown(book, bucket) == {**bucket["body"], "ball": "own", "surface": "grass"}


def test_of_what_both_changed_the_later_word_holds_however_late_it_was_sent(
    app: Flask, player: FlaskClient, other: FlaskClient, book: Book, bucket: Raw
) -> None:
    at(app, 50)
    send_changes(player, bucket, late(bucket, 20, place="Low Field"))
    send_changes(player, bucket, late(bucket, 10, warm_up_balls=3))  # both hold from here on, said by the server
    at(app, 51)
    send_changes(other, bucket, late(bucket, 30, place="High Field"))
    assert shown(book, bucket) == {**bucket["body"], "place": "High Field", "warm_up_balls": 3}
    at(app, 52)
    send_changes(other, bucket, late(bucket, 15, place="Far Field"))
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
    send_facts(other, [reopened, corrected(balls[1], moved(NOW, minutes=21), aside=True)])
    first, second = (reading.shot(book, ball["id"]) for ball in balls)
    assert first
    assert second
    assert (first["carry_m"], first["contact"], second["aside"]) == (30.0, "thin", 1)
    assert [first["judged_by"], second["judged_by"]] == ["eye", "eye"]


def struck(bucket: Raw, judged_by: str, minute: int = 31) -> Raw:
    ball = a_shot(bucket, CLUB, 50, moved(NOW, minutes=minute))
    return {**ball, "body": {**ball["body"], "judged_by": judged_by}}


def test_balls_struck_without_signal_are_judged_as_the_bucket_was_put_right(
    app: Flask, player: FlaskClient, other: FlaskClient, book: Book, bucket: Raw
) -> None:
    at(app, 30)
    right(player, bucket, judged_by="eye")
    elsewhere = a_bucket(moved(NOW, minutes=32))
    balls = [struck(bucket, "monitor"), struck(bucket, "laser"), struck(elsewhere, "monitor", 33)]
    at(app, 50)
    send_changes(other, bucket, late(bucket, 40, warm_up_balls=3), also=[elsewhere, *balls])
    assert [judged(book, ball) for ball in balls] == ["eye", "laser", "monitor"]
    right(player, bucket, judged_by="markers")
    assert [judged(book, ball) for ball in balls] == ["markers", "laser", "monitor"]
    send_facts(other, [corrected(balls[0], moved(NOW, minutes=52), aside=True)])
    assert judged(book, balls[0]) == "markers"


def judged(book: Book, ball: Raw) -> str:
    shown = reading.shot(book, ball["id"])
    assert shown
    return str(shown["judged_by"])


@pytest.mark.parametrize(
    ("address", "answers"),
    [
        ("/visits/{}/right", {**AS_IT_STOOD, "surface": "grass"}),
        ("/visits/{}/aside", {"do": "aside", "reason": "ill"}),
        ("/practice/start", {"do": "bucket", "balls": "20"}),
        ("/bucket/end", {}),
    ],
)
def test_what_comes_while_a_form_is_being_answered_holds_beside_it(
    app: Flask, player: FlaskClient, book: Book, bucket: Raw, address: str, answers: dict[str, str]
) -> None:
    """A phone's words are written when the form's answer has been read and waits for its turn to be written."""
    at(app, 30)
    fields = {**answers, "csrf_token": token(player)}
    form = Thread(target=player.post, args=[address.format(bucket["id"])], kwargs={"data": fields})

    def meanwhile() -> list[Raw]:
        form.start()
        while form.is_alive() and not waits_to_write(form):
            form.join(0.001)
        assert form.is_alive()
        return []

    book.add([corrected(bucket, moved(NOW, minutes=20), warm_up_balls=7)], None, NOW, then=meanwhile)
    form.join()
    *_, by_phone, by_form = (said["body"] for said in book.history(bucket["id"]))
    assert by_form != by_phone
    assert by_form["warm_up_balls"] == by_phone["warm_up_balls"] == 7


def waits_to_write(thread: Thread) -> bool:
    """Whether a thread stands in store/connect.py's `writing`, which waits for whoever writes."""
    frame, names = sys._current_frames().get(thread.ident or 0), set[str]()
    while frame:
        names.add(frame.f_code.co_name)
        frame = frame.f_back
    return "writing" in names


def test_a_withdrawn_bucket_stays_withdrawn(
    app: Flask, player: FlaskClient, other: FlaskClient, book: Book, bucket: Raw
) -> None:
    at(app, 30)
    right(player, bucket, ball="own")
    book.add([voided(bucket, moved(NOW, minutes=35))], None, NOW)
    length = book.cursor
    at(app, 50)
    send_changes(other, bucket, late(bucket, 40, ended_at=ENDED), also=[{"kind": ["no", "fact"]}, None])
    assert book.cursor == length + 1
