"""Card only: while it is on for a phone, no correction made there moves the numbers of its card."""

import json
from collections.abc import Callable
from typing import Any
from urllib.parse import quote

import pytest
from flask.testing import FlaskClient

from tests.factories import NOW, Raw, a_bucket, a_club, a_shot
from webapp.moments import moment_of, moved
from webapp.store.book import Book

from .visitor import page_of, send, words

STANDS = (
    "The card stands as it was when that was set, so no ball that is in its numbers is put right until it is lifted."
)
RIGHT = {"landed": "seen", "contact": "thin", "carry": "54"}


@pytest.fixture
def put(app: Any, book: Book) -> Callable[..., tuple[Raw, Raw]]:
    """Put a bucket with one ball into the book, judged indoors by a monitor; gives them."""
    app.config["NOW"] = lambda: moment_of(moved(NOW, hours=1))

    def one(**more: Any) -> tuple[Raw, Raw]:
        club, bucket = a_club("56"), a_bucket(monitor_note="indoor")
        ball = a_shot(bucket, club, 54, **more)
        assert not book.add([club, bucket, ball], None, NOW).refused
        return bucket, ball

    return one


def lock(player: FlaskClient, on: bool) -> None:
    player.set_cookie("phone", quote(json.dumps({"card_only": on, "card_since": NOW})))


@pytest.mark.parametrize(
    ("address", "answers"),
    [
        ("/visits/{bucket}/right", {"ball": "own"}),
        ("/visits/{bucket}/aside", {"do": "aside"}),
        ("/visits/{bucket}/indoor", {"do": "in"}),
        ("/shots/{ball}", RIGHT),
        ("/shots/{ball}/aside", {"do": "aside"}),
    ],
)
def test_what_moves_the_card_is_shut_until_it_is_lifted(
    player: FlaskClient, book: Book, put: Callable[..., tuple[Raw, Raw]], address: str, answers: Raw
) -> None:
    bucket, ball = put()
    here, before = address.format(bucket=bucket["id"], ball=ball["id"]), book.cursor
    page = page_of(player, f"/visits/{bucket['id']}" if "visits" in here else f"/shots/{ball['id']}")
    assert f'action="{here}"' in page.text
    lock(player, on=True)
    page = page_of(player, f"/visits/{bucket['id']}" if "visits" in here else f"/shots/{ball['id']}")
    assert f'action="{here}"' not in page.text
    assert STANDS in words(page)
    shut = send(player, here, **answers)
    assert shut.status_code == 403
    assert STANDS in words(shut)
    assert book.cursor == before


def test_a_ball_noted_during_the_round_is_put_right_at_once(
    player: FlaskClient, book: Book, put: Callable[..., tuple[Raw, Raw]]
) -> None:
    _, ball = put(course=True)
    lock(player, on=True)
    assert "Kept." in words(send(player, f"/shots/{ball['id']}", **RIGHT))
    assert book.history(ball["id"])[-1]["body"] == {**ball["body"], "contact": "thin"}
