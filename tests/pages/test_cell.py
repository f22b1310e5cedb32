"""The page of one number, to its player and to a coach: how far its balls roll, what judging adds to the spread."""

from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from tests.factories import NOW, Raw, a_bucket, a_club, a_setting, a_shot
from webapp.moments import moment_of, moved
from webapp.store.book import Book
from webapp.store.directory import Directory
from webapp.units import YARD_M

from .visitor import page_of, words

JUDGING = "Judging by eye or markers adds to the spread."


@pytest.fixture
def readers(app: Flask, directory: Directory, book: Book, player: FlaskClient) -> Any:
    """Puts balls of a 56 into the book; gives what the page of 56 9:00 says to the player and to a coach."""
    app.config["NOW"] = lambda: moment_of(moved(NOW, hours=1))
    link = "/w/" + directory.new_link(book.id, "", NOW, moved(NOW, days=9), {})
    club = a_club("56")

    def read(*balls: Raw, bucket: Raw | None = None, unit: str = "yd") -> list[str]:
        of = bucket or a_bucket()
        struck = [a_shot(of, club, 50 + at, moved(NOW, minutes=at), **more) for at, more in enumerate(balls)]
        assert not book.add([club, of, a_setting("unit", unit), *struck], None, NOW).refused
        told = words(page_of(player, f"/card/{club['id']}/90"))
        coach = app.test_client()
        at = next(part for part in page_of(coach, link).text.split('"') if part.startswith(link) and "/90" in part)
        return [told, words(page_of(coach, at))]

    return read


def rolls(*yards: float, **more: Any) -> list[Raw]:
    return [{"roll_m": roll * YARD_M, **more} for roll in yards]


def test_the_usual_roll_is_the_median_of_five_balls_and_more(readers: Any) -> None:
    for page in readers(*rolls(6, 5, 7, 30, -1), {}, {}):
        assert "Usual roll 6 yards (5 balls)." in page


def test_balls_that_spin_back_are_told_in_the_readers_unit(readers: Any) -> None:
    for page in readers(*rolls(-4, -4, -4, -5, 0), unit="m"):
        assert "Usual roll back 4 metres (5 balls)." in page


@pytest.mark.parametrize(("roll_m", "unit"), [(-0.2, "m"), (0.0, "yd"), (0.48, "m"), (-0.49, "yd")])
def test_a_roll_too_short_for_a_number_is_said_in_words(readers: Any, roll_m: float, unit: str) -> None:
    for page in readers(*({"roll_m": roll_m} for _ in range(5)), unit=unit):
        assert "Usual roll: none to speak of (5 balls)." in page


def test_four_rolls_are_not_a_usual_one_and_balls_that_do_not_count_tell_none(readers: Any) -> None:
    for page in readers(
        *rolls(6, 6, 6, 6), *rolls(9, 9, lie="rough"), *rolls(9, aside=True), *rolls(3, mode="distance")
    ):
        assert "Usual roll" not in page


@pytest.mark.parametrize(
    ("ways", "adds"),
    [
        (["eye", "eye"], True),
        (["markers", "markers"], True),
        (["laser", "monitor", "eye"], True),
        (["laser", "monitor"], False),
    ],
)
def test_what_judging_adds_to_the_spread_is_said_where_carries_were_not_measured(
    readers: Any, ways: list[str], adds: bool
) -> None:
    for page in readers(*({"judged_by": way} for way in ways)):
        assert "Plain figures of these shots" in page
        assert (JUDGING in page) == adds
