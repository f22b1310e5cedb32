"""Days are those of the player's own clock on every page, however far that clock is from UTC."""

import re
from collections.abc import Callable
from datetime import datetime

import pytest
from flask import Flask
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from webapp.moments import moment_of, moved
from webapp.phone_pages import KEPT
from webapp.store.book import Book
from webapp.store.directory import Directory

from ..factories import NOW, a_bucket, a_club, a_setting, f1_balls, numbered
from .visitor import send, words

CLUB = numbered(1)
PAGES: dict[str, Callable[[FlaskClient], TestResponse]] = {
    "a note of the course": lambda phone: send(phone, "/round/notes", meant="50", landed="on", lie="level"),
    "since when card only is on": lambda phone: send(phone, "/round", do="set"),
    "the phones": lambda phone: phone.get("/phones"),
    "the recovery sheet": lambda phone: send(phone, "/recovery"),
    "the printed card": lambda phone: send(phone, "/print", line="yd 0a1b2c3d 90=61") and phone.get("/print"),
    "the balls behind a number that moved": lambda phone: phone.get(f"/card/{CLUB}/90"),
}


FAR = pytest.mark.parametrize(
    ("ahead_min", "now", "today", "in_a_week"),
    [(-660, NOW, "30 Apr 2025", "7 May 2025"), (780, "2025-05-01T12:30:00.000Z", "2 May 2025", "9 May 2025")],
)


@pytest.fixture
def phone(app: Flask, directory: Directory, book: Book, ahead_min: int, now: str) -> FlaskClient:
    """A phone of a book with balls of just now, by a clock far from UTC."""
    app.config["NOW"] = lambda: moment_of(now)
    bucket, club = a_bucket(now, utc_offset_min=ahead_min), {**a_club(), "id": CLUB, "root": CLUB}
    number_moved = a_setting("moved_cells", [f"{CLUB}:90 {now}"])
    assert book.add([bucket, club, *f1_balls(bucket, club, now), number_moved], None, now).refused == []
    client = app.test_client()
    client.set_cookie("book", directory.new_device(book.id, "Phone", now))
    return client


@FAR
@pytest.mark.parametrize("asked", PAGES)
def test_a_day_is_the_one_that_the_players_clock_showed(
    phone: FlaskClient, asked: str, today: str, in_a_week: str
) -> None:
    page = words(PAGES[asked](phone))
    assert today in page
    assert " 1 May 2025" not in page


@FAR
def test_a_coachs_link_ends_on_the_day_that_the_players_clock_will_show(
    app: Flask, phone: FlaskClient, today: str, in_a_week: str
) -> None:
    page = send(phone, "/links", days="7")
    assert f"open until {in_a_week}, not opened yet" in words(page)
    (address,) = set(re.findall(r"/w/[\w-]{20,}", page.text))
    assert f"Read only, open until {in_a_week} unless" in words(app.test_client().get(address))


@pytest.mark.parametrize("path", [*KEPT, "/trends", "/trends/periods?what=last", "/trends/year", "/visits"])
def test_a_page_is_of_one_day_though_midnight_falls_while_it_is_made(
    app: Flask, player: FlaskClient, book: Book, path: str
) -> None:
    midnight, club, bucket = "2025-05-02T00:00:00.000Z", a_club(), a_bucket(NOW)
    assert not book.add([club, bucket, *f1_balls(bucket, club, NOW)], None, NOW).refused
    before, read = moved(midnight, seconds=-1), []

    def clock() -> datetime:
        read.append(midnight if read else before)
        return moment_of(read[-1])

    app.config["NOW"] = clock
    told = player.get(path, headers={"X-Kept-Page": "1"})
    assert (told.status_code, read) == (200, [before])
    app.config["NOW"] = lambda: moment_of(before)
    assert player.get(path, headers={"X-Kept-Page": "1"}).text == told.text
