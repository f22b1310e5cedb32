"""Today is the day of the clock of the phone that asks, whatever zone the last ball was struck in."""

import json
import re
from typing import Any
from urllib.parse import quote

import pytest
from flask import Flask
from flask.testing import FlaskClient

from webapp.moments import moment_of
from webapp.store import reading
from webapp.store.book import Book
from webapp.store.directory import Directory

from ..factories import NOW, a_bucket, a_club, a_setting, f1_balls
from .test_own_days import CLUB, PAGES
from .visitor import send, words

# The 1st in UTC, the 2nd by every clock that is half an hour ahead.
EVENING = "2025-05-01T23:30:00.000Z"
TODAY = {
    **PAGES,
    "the year": lambda phone: phone.get("/trends/year"),
    "what fits": lambda phone: phone.get("/fits"),
    "what to leave": lambda phone: phone.get("/fits/leave"),
    "the yardage card": lambda phone: phone.get("/yardage"),
    "the sums for the day": lambda phone: phone.get("/conditions"),
    "the card": lambda phone: phone.get("/card"),
    "a visit": lambda phone: phone.get("/visits/last"),
    "an eye check": lambda phone: send(phone, "/eye-check", do="measured", by="laser", said_1="50", measured_1="47"),
}


@pytest.fixture
def abroad(app: Flask, directory: Directory, book: Book) -> FlaskClient:
    """A phone that tells a clock on which the 2nd has begun, of a book with balls of the 1st told in UTC."""
    app.config["NOW"] = lambda: moment_of(EVENING)
    bucket, club = a_bucket(NOW, utc_offset_min=0), {**a_club(), "id": CLUB, "root": CLUB}
    number_moved = a_setting("moved_cells", [f"{CLUB}:90 {EVENING}"])
    assert book.add([bucket, club, *f1_balls(bucket, club, NOW), number_moved], None, EVENING).refused == []
    return another(app, directory, book, ahead_min=780)


def another(app: Flask, directory: Directory, book: Book, **told: Any) -> FlaskClient:
    """One more phone of a book, with what its own cookie tells."""
    client = app.test_client()
    client.set_cookie("book", directory.new_device(book.id, "Phone", EVENING))
    client.set_cookie("phone", quote(json.dumps(told), safe=""))
    return client


@pytest.mark.parametrize("asked", TODAY)
def test_today_is_by_the_clock_of_the_phone_that_asks_not_by_that_of_the_last_ball(
    abroad: FlaskClient, asked: str
) -> None:
    page = TODAY[asked](abroad)
    assert page.status_code == 200
    assert "2 May 2025" in words(page)


def test_what_was_struck_keeps_the_clock_that_it_was_struck_by(abroad: FlaskClient) -> None:
    assert "1 May 2025" in words(abroad.get("/visits"))
    assert "2 May 2025" not in words(abroad.get("/visits"))


def test_a_number_moved_on_the_day_of_the_visit_that_was_named(abroad: FlaskClient, book: Book) -> None:
    evening = a_bucket("2025-05-01T03:30:00.000Z", utc_offset_min=-480)
    assert book.add([evening, *f1_balls(evening, CLUB, evening["made_at"])], None, EVENING).refused == []
    cell = f"{CLUB}:90"
    said = words(send(abroad, "/trends/moved", cell=cell, since=evening["root"]))
    assert "Balls from before 30 Apr 2025 now tell what it was" in said
    assert "balls from before 30 Apr 2025 tell what it was" in words(abroad.get(f"/trends?cell={cell}"))
    assert "balls from before 30 Apr 2025 tell little of it" in words(abroad.get(f"/card/{CLUB}/90"))


@pytest.mark.parametrize(("ahead_min", "told"), [(780, "1 May 2025"), (0, "1 May")])
def test_a_year_is_left_out_until_it_is_over_by_the_phones_own_clock(
    app: Flask, directory: Directory, book: Book, abroad: FlaskClient, ahead_min: int, told: str
) -> None:
    app.config["NOW"] = lambda: moment_of("2025-12-31T23:30:00.000Z")
    phone = another(app, directory, book, ahead_min=ahead_min)
    assert f">{told}</a>" in phone.get("/trends").text
    assert f"Last visit {told}." in words(phone.get("/card"))


def test_balls_of_yesterday_by_this_phones_clock_are_none_of_todays(abroad: FlaskClient) -> None:
    assert "Struck today: 0" in words(abroad.get("/visits"))


def test_a_mark_is_set_on_the_day_that_the_phone_shows(abroad: FlaskClient) -> None:
    assert "still to come" not in words(send(abroad, "/trends/marks", what="lesson", on="2025-05-02"))
    assert "still to come" in words(send(abroad, "/trends/marks", what="lesson", on="2025-05-03"))


def test_a_mark_is_set_on_the_day_of_a_visit_before_the_flight(
    app: Flask, directory: Directory, book: Book, abroad: FlaskClient
) -> None:
    app.config["NOW"] = lambda: moment_of(NOW)
    back = another(app, directory, book, ahead_min=-660)
    assert "still to come" not in words(send(back, "/trends/marks", what="lesson", on="2025-05-01"))


def test_a_bucket_begun_without_a_script_is_told_by_the_phones_clock(abroad: FlaskClient, book: Book) -> None:
    send(abroad, "/bucket/start", do="same")
    assert reading.buckets(book)[0]["utc_offset_min"] == 780


def test_a_coach_reads_the_clock_of_the_last_ball_whatever_the_coachs_phone_tells(
    app: Flask, abroad: FlaskClient
) -> None:
    (address,) = set(re.findall(r"/w/[\w-]{20,}", send(abroad, "/links", days="7").text))
    coach = app.test_client()
    coach.set_cookie("phone", quote(json.dumps({"ahead_min": 780}), safe=""))
    assert "Read only, open until 8 May 2025 unless" in words(coach.get(address))


@pytest.mark.parametrize("path", ["/card", "/print", "/fits", "/trends", "/trends/periods?what=last", "/trends/year"])
def test_two_phones_in_two_zones_never_get_each_others_page(
    app: Flask, directory: Directory, book: Book, abroad: FlaskClient, path: str
) -> None:
    at_home = another(app, directory, book, ahead_min=-660)
    asked = {"X-Kept-Page": "1"}
    first, second = abroad.get(path, headers=asked), at_home.get(path, headers=asked)
    for phone, told in ((abroad, first), (at_home, second), (abroad, first)):
        assert phone.get(path, headers=asked).text == told.text
    tag = first.headers.get("ETag", "")
    assert at_home.get(path, headers={**asked, "If-None-Match": tag}).text == second.text
    assert (abroad.get(path, headers={**asked, "If-None-Match": tag}).status_code == 304) is bool(tag)


@pytest.mark.parametrize("told", [841, -721, 10**400, 1.5, True, "780", None, [780], {"min": 780}, float("inf")])
def test_a_clock_that_no_phone_has_is_not_gone_by(
    app: Flask, directory: Directory, book: Book, abroad: FlaskClient, told: Any
) -> None:
    odd = another(app, directory, book, ahead_min=told)
    for path in ("/print", "/trends/year", "/visits", "/practice", "/phones"):
        page = odd.get(path)
        assert page.status_code == 200
        assert " 2 May 2025" not in words(page)
