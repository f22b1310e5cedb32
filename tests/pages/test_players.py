"""What the server gives a coach's list of players: a page that names nobody, and lines that hold what a link allows."""

import re

import pytest
from flask import Flask
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from webapp.moments import moment_of, moved
from webapp.store.book import Book
from webapp.store.directory import Directory
from webapp.units import YARD_M

from ..factories import NOW, Raw, a_bucket, a_setting, a_shot, f1_balls, raw, the_demo_set
from .visitor import words

HOMEWORK = "0a1b2c3d-4e5f-6071-8293-a4b5c6d7e8f9"


@pytest.fixture
def coach(app: Flask) -> FlaskClient:
    """A browser that never saw the app, at the factories' moment."""
    app.config["NOW"] = lambda: moment_of(NOW)
    return app.test_client()


def practised() -> list[Raw]:
    """Two visits of ten balls, 56 9:00 ten yards longer at the second; three of five balls of homework are struck."""
    clubs = the_demo_set(moved(NOW, days=-60))
    club = clubs[2]
    first, second = (a_bucket(moved(NOW, days=-days), place="Pellow Fen") for days in (30, 3))
    balls = [
        a_shot(second, club, 66 + at % 3, moved(second["made_at"], minutes=at), plan_ref=f"{at + 1}" if at < 3 else "")
        for at in range(10)
    ]
    plan = [f"{club['root']}:90:swing::lesson:0a1b2c3d.{place}" for place in range(1, 6)]
    second["body"]["plan"] = plan
    homework = raw("homework", {"plan": plan}, moved(NOW, days=-4), id=HOMEWORK, root=HOMEWORK)
    lesson = raw("mark", {"what": "lesson", "on": moved(NOW, days=-10)}, moved(NOW, days=-10))
    own = [*clubs, a_setting("nickname", "Heron"), homework, lesson]
    return [*own, first, *f1_balls(first, club, first["made_at"]), second, *balls]


def link_of(directory: Directory, book: Book, facts: list[Raw], **profile: object) -> str:
    assert book.add(facts, None, NOW).refused == []
    return "/w/" + directory.new_link(book.id, "", NOW, moved(NOW, days=14), profile)


def line_of(coach: FlaskClient, link: str) -> TestResponse:
    return coach.get(f"{link}/line")


def test_the_page_names_nobody_and_says_what_it_needs_without_a_script(coach: FlaskClient, demo: FlaskClient) -> None:
    for reader in (coach, demo):
        page = reader.get("/players")
        assert page.status_code == 200
        assert "This list lives in this browser alone" in words(page)
        assert "keep the links as bookmarks" in words(page)
        assert "/w/" not in page.text


def test_a_line_says_the_last_visit_its_balls_what_moved_and_homework(
    coach: FlaskClient, directory: Directory, book: Book
) -> None:
    link = link_of(directory, book, practised(), nickname=True)
    told = line_of(coach, link).get_json()
    assert told["name"] == "Heron"
    assert told["ends_on"] == "15 May 2025"
    assert told["told"][0].startswith(
        "Last visit week 18 of 2025. Since the lesson (week 17 of 2025): 1 visit, 10 balls"
    )
    assert told["told"][1].startswith("Moved: 56 9:00, ")
    assert told["told"][2] == "Homework: 3 of 5."
    assert len(told["told"]) == 3


def test_a_line_tells_the_aim_with_its_unit(coach: FlaskClient, directory: Directory, book: Book) -> None:
    facts = practised()
    club, bucket = facts[2], next(fact for fact in facts if fact["kind"] == "bucket")
    aimed = {"mode": "distance", "meant_carry_m": 60 * YARD_M}
    short = [a_shot(bucket, club, 40, moved(NOW, days=-1, minutes=at), **aimed) for at in range(9)]
    told = line_of(coach, link_of(directory, book, [*facts, *short])).get_json()["told"]
    assert "Aim: short by 20 yd from 40 to 70 (9 balls to a number)." in told


def test_a_line_holds_what_its_profile_allows(coach: FlaskClient, directory: Directory, book: Book) -> None:
    link = link_of(directory, book, practised(), shows="card")
    told = line_of(coach, link).get_json()
    assert told == {"name": "", "told": ["This link shows the card alone."], "ends_on": "15 May 2025"}


def test_a_line_of_a_new_book_says_that_there_is_no_ball(coach: FlaskClient, directory: Directory, book: Book) -> None:
    link = link_of(directory, book, the_demo_set())
    assert line_of(coach, link).get_json()["told"] == ["No ball yet."]


def test_asking_for_a_line_counts_as_no_opening_and_is_kept_nowhere(
    coach: FlaskClient, directory: Directory, book: Book
) -> None:
    link = link_of(directory, book, practised())
    answer = line_of(coach, link)
    assert answer.headers["Cache-Control"] == "no-store"
    assert directory.links(book.id)[0].opened_days == 0
    coach.get(link)
    assert directory.links(book.id)[0].opened_days == 1


@pytest.mark.parametrize("closed", ["ended", "past", "deleted", "never"])
def test_a_closed_link_is_said_plainly_and_tells_nothing(
    app: Flask, coach: FlaskClient, directory: Directory, book: Book, closed: str
) -> None:
    link = link_of(directory, book, practised())
    if closed == "ended":
        directory.end_link(book.id, directory.links(book.id)[0].id, NOW)
    elif closed == "past":
        app.config["NOW"] = lambda: moment_of(moved(NOW, days=15))
    elif closed == "deleted":
        book.close()
        directory.delete_book(book.id, NOW)
    else:
        link = "/w/" + "a" * 32
    answer = line_of(coach, link)
    assert answer.status_code == 410
    assert words(answer).endswith("This link is closed. Ask the player for a new one. Your players")


def test_the_page_of_a_closed_link_leads_to_the_coachs_own_list(coach: FlaskClient) -> None:
    closed = coach.get("/w/" + "a" * 32)
    assert (closed.status_code, re.findall(r'<a [^>]*href="([^"]*)"', closed.text)) == (410, ["/players"])
    assert coach.get("/players").status_code == 200  # without a book


def test_a_coachs_card_leads_to_the_list_with_its_secret_behind_the_hash(
    coach: FlaskClient, directory: Directory, book: Book
) -> None:
    link = link_of(directory, book, practised())
    assert f'href="/players#{link.removeprefix("/w/")}"' in coach.get(link).text
