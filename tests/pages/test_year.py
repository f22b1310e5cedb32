"""The year on one page through the real app, for the player and through a coach's link."""

import re
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from tests.factories import NOW, a_bucket, a_club, a_full_carry, a_setting, a_shot, raw
from webapp.books.demo import demo_facts
from webapp.moments import moment_of, moved
from webapp.store.book import Book
from webapp.store.directory import Directory

from .visitor import words

DAY = re.compile(r"\b\d{1,2} (Jan|Feb|Mar|Apr|May|Jun|Jul|Aug|Sep|Oct|Nov|Dec)")


@pytest.fixture
def demo(app: Flask, book: Book) -> None:
    """The demo book, read today."""
    app.config["NOW"] = lambda: moment_of(NOW)
    assert not book.add(demo_facts(NOW), None, NOW).refused


def link(directory: Directory, book: Book, **shows: Any) -> str:
    return f"/w/{directory.new_link(book.id, 'a coach', NOW, moved(NOW, days=14), shows)}"


def building(answer: TestResponse) -> str:
    """The balls of the first bucket that build the card."""
    return words(answer).partition("card-building")[2].partition("mixed")[0]


def test_the_player_reads_visits_numbers_months_and_the_first_bucket(demo: None, player: FlaskClient) -> None:
    answer = player.get("/trends/year")
    page, text = answer.text, words(answer)
    assert "June 2024 to May 2025" in text
    assert "8 visits, 272 balls; 252 range balls count for the card." in text
    months = re.findall(
        r'<tr><th scope="row">(\w{3} \d{4})</th><td data-as="visits">(\d+)</td><td data-as="balls">(\d+)</td>', page
    )
    assert [month for month, _, _ in months][::11] == ["Jun 2024", "May 2025"]
    assert sum(int(balls) for _, _, balls in months) == 272
    assert sum(int(visits) for _, visits, _ in months) == 8
    assert page.count('class="cell-name"') == 16
    assert "The next season’s first bucket" in text
    assert "50 balls, by the rule that plans a bucket" in text


def test_what_changed_and_the_coachs_page_lead_to_it(
    demo: None, player: FlaskClient, client: FlaskClient, directory: Directory, book: Book
) -> None:
    assert 'href="/trends/year"' in player.get("/trends").text
    at = link(directory, book)
    found = re.search(r'href="(/w/[^"]+/year[^"]*)"', client.get(at).text)
    assert found
    assert client.get(found[1].replace("&amp;", "&")).status_code == 200


def test_a_coach_reads_the_same_numbers_and_nothing_meant_for_the_player(
    demo: None, player: FlaskClient, client: FlaskClient, directory: Directory, book: Book
) -> None:
    own = re.findall(r'class="cell-name">.*?</tr>', player.get("/trends/year").text)
    answer = client.get(link(directory, book) + "/year")
    assert re.findall(r'class="cell-name">.*?</tr>', answer.text) == own
    assert "the player’s own" in words(answer)
    assert not re.search(r"\byours?\b", words(answer).partition("As of")[0])
    assert answer.headers["Cache-Control"] == "no-store"
    assert not re.search(r"[0-9a-f]{12}", answer.text.replace(link(directory, book), "").partition("<main")[2])


def test_a_coach_of_the_card_alone_is_shown_no_year(
    demo: None, client: FlaskClient, directory: Directory, book: Book
) -> None:
    at = link(directory, book, shows="card")
    assert client.get(at + "/year").status_code == 404
    assert "/year" not in client.get(at).text


def test_a_juniors_year_tells_weeks_and_months_and_no_day(
    demo: None, client: FlaskClient, directory: Directory, book: Book
) -> None:
    at = link(directory, book, days=True)
    assert "As of 1 May 2025" in words(client.get(at + "/year"))
    book.add([a_setting("junior", True, NOW)], None, NOW)
    answer = client.get(at + "/year")
    assert "As of week 18 of 2025" in words(answer)
    cells = re.findall(r"<t[hd][^>]*>(.*?)</t[hd]>", answer.text)
    assert not [cell for cell in cells if DAY.search(cell)]


def test_what_the_course_asked_for_is_no_matter_of_a_coachs(
    demo: None, player: FlaskClient, client: FlaskClient, directory: Directory, book: Book
) -> None:
    at = link(directory, book) + "/year"
    before, own = building(client.get(at)), building(player.get("/trends/year"))
    written = "meant_m=56.0000 landed=short lie=level"
    book.add(
        [raw("note", {"words": written, "about": "course"}, moved(NOW, minutes=-at)) for at in range(60)], None, NOW
    )
    assert building(client.get(at)) == before
    assert building(player.get("/trends/year")) != own


def test_an_empty_year_says_so_and_still_names_a_first_bucket(
    app: Flask, player: FlaskClient, book: Book, client: FlaskClient, directory: Directory
) -> None:
    app.config["NOW"] = lambda: moment_of(NOW)
    assert "No ball in these twelve months." in words(player.get("/trends/year"))
    club, bucket = a_club("56"), a_bucket(made_at=moved(NOW, days=-500))
    long_ago = [a_shot(bucket, club, 60, moved(NOW, days=-500)) for _ in range(3)]
    assert not book.add([club, a_full_carry(club, 85), bucket, *long_ago], None, NOW).refused
    for answer in (player.get("/trends/year"), client.get(link(directory, book) + "/year")):
        assert "No ball in these twelve months." in words(answer)
        assert "The next season’s first bucket" in words(answer)
        assert "Month by month" not in words(answer)
