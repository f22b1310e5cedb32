"""Coach links: made, listed and ended by the player."""

import re
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from webapp.moments import moment_of, moved
from webapp.store.book import Book
from webapp.store.directory import Directory, hash_of

from ..factories import NOW, a_setting
from .visitor import send, words


def made(player: FlaskClient, **fields: Any) -> str:
    """The address of a new link, as the page shows it once."""
    page = send(player, "/links", **{"days": "14", "label": "", **fields})
    found = re.search(r'class="secret" href="http://localhost(/w/[^"]+)"', page.text)
    assert found, words(page)
    return found[1]


@pytest.fixture
def at_noon(app: Flask) -> str:
    """A clock that stands at the factories' moment."""
    app.config["NOW"] = lambda: moment_of(NOW)
    return NOW


def test_a_link_is_shown_once_and_opens_the_card(app: Flask, player: FlaskClient) -> None:
    address = made(player, label="Tuesday's lesson")
    assert app.test_client().get(address).status_code == 200
    again = player.get("/links")
    assert address not in again.text
    assert "Tuesday's lesson : open until" in words(again)


@pytest.mark.files_only
def test_only_the_fingerprint_of_a_link_is_kept(
    player: FlaskClient, directory: Directory, book: Book, data: Any
) -> None:
    secret = made(player).rpartition("/")[2]
    assert len(secret) >= 22  # 128 bits in base64, the least that invariant 7 allows
    assert directory.link(secret)
    assert directory.conn.execute("SELECT token_hash FROM links").fetchone()[0] == hash_of(secret)
    directory.conn.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    assert not any(secret.encode() in file.read_bytes() for file in data.rglob("*") if file.is_file())


@pytest.mark.parametrize("days", [7, 14, 30, 90])
def test_a_link_ends_when_it_was_said_to(at_noon: str, player: FlaskClient, app: Flask, days: int) -> None:
    address = made(player, days=str(days))
    app.config["NOW"] = lambda: moment_of(moved(NOW, days=days, seconds=-1))
    assert app.test_client().get(address).status_code == 200
    app.config["NOW"] = lambda: moment_of(moved(NOW, days=days))
    closed = app.test_client().get(address)
    assert closed.status_code == 410
    assert "This link is closed." in words(closed)


def test_a_juniors_link_lasts_thirty_days_at_most(at_noon: str, player: FlaskClient, book: Book, app: Flask) -> None:
    book.add([a_setting("junior", True)], None, NOW)
    page = player.get("/links")
    assert "made by the guardian" in words(page)
    assert "30 days</option>" in page.text
    assert "90 days</option>" not in page.text
    address = made(player, days="90", pin="2468")  # a page opened before the player became a junior
    app.config["NOW"] = lambda: moment_of(moved(NOW, days=30))
    assert app.test_client().get(address).status_code == 410


def test_an_ended_link_is_closed_at_once_and_another_stays_open(app: Flask, player: FlaskClient) -> None:
    first, second = made(player, label="first"), made(player, label="second")
    coach = app.test_client()
    assert coach.get(first).status_code == 200
    end = re.search(r'action="(/links/[^"]+/end)" aria-label="end the link for first"', player.get("/links").text)
    assert end
    assert "The link is closed." in words(send(player, end[1]))
    assert coach.get(first).status_code == 410
    assert coach.get(second).status_code == 200
    assert "There was no such open link. Nothing was changed." in words(send(player, end[1]))


@pytest.mark.parametrize(
    ("fields", "sentence"),
    [
        ({"days": "3650"}, "Choose one of the answers offered."),
        ({"label": "x" * 41}, "The name of the reader has at most 40 characters."),
        ({"label": "<b>"}, "“for whom” must not hold < or >"),
    ],
)
def test_it_says_what_is_wrong_and_makes_no_link(
    player: FlaskClient, directory: Directory, book: Book, fields: dict[str, str], sentence: str
) -> None:
    answer = send(player, "/links", **{"days": "14", **fields})
    assert answer.status_code == 400
    assert sentence in words(answer)
    assert directory.links(book.id) == []


def test_the_list_says_on_how_many_days_a_link_was_opened_and_when_last(
    at_noon: str, player: FlaskClient, app: Flask
) -> None:
    address = made(player)
    player.get(address)  # the player's own look
    assert "not opened yet" in words(player.get("/links"))
    first, third = "opened on 1 May 2025", "opened on 2 days, last on 3 May 2025"
    for hours, opened in ((0, first), (3, first), (49, third)):
        app.config["NOW"] = lambda hours=hours: moment_of(moved(NOW, hours=hours))
        for _ in range(2):
            app.test_client().get(address)
        assert opened in words(player.get("/links"))


def test_what_a_link_shows_is_chosen_and_said(player: FlaskClient, directory: Directory, book: Book) -> None:
    made(player, shows="delivery", nickname="y", by_day="y")
    assert "shots with their delivery numbers, by days, with the nickname" in words(player.get("/links"))
    assert directory.links(book.id)[0].profile == {"shows": "delivery", "nickname": True, "days": True}
    wrong = send(player, "/links", days="14", shows="everything")
    assert wrong.status_code == 400
    assert len(directory.links(book.id)) == 1


def test_a_juniors_link_never_tells_a_day(player: FlaskClient, book: Book) -> None:
    made(player, by_day="y")
    assert "by days" in words(player.get("/links"))
    book.add([a_setting("junior", True)], None, NOW)
    page = player.get("/links")
    assert "by weeks" in words(page)
    assert "show days instead" not in page.text
