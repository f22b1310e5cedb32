"""A length of swing that was taken off comes back with no file; one that went with its table comes with the next."""

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from webapp.store import reading
from webapp.store.book import Book

from .test_leaving import bring as bring_own
from .test_leaving import take
from .test_table_back import back
from .test_table_remade import OWN, table_taken
from .visitor import send, words

USUAL = [45.0, 90.0, 135.0, 180.0]
OF_90 = OWN.replace(b",64,105,", b",56,90,")


def swings_of(book: Book) -> list[float]:
    """The lengths of swing in use [deg]."""
    return [swing.swing_deg for swing in reading.swings(book)]


def another_day(own: bytes) -> bytes:
    """The same balls as those of the next day."""
    return own.replace(b"05-02", b"05-03")


def took_off(player: FlaskClient, swing_deg: float) -> None:
    """Leave a length of swing out in Settings."""
    page = send(player, "/settings/swings", do="remove", swing_deg=str(swing_deg))
    assert "The swing is left out. Its balls are kept." in words(page)


@pytest.mark.parametrize("own", [OWN + another_day(OWN).partition(b"\n")[2], another_day(OWN)])
def test_with_a_file_of_our_own(player: FlaskClient, book: Book, bag: dict[str, str], own: bytes) -> None:
    bring_own(player, OWN, "own.csv")
    assert swings_of(book) == [45.0, 90.0, 105.0, 135.0, 180.0]
    took_off(player, 105.0)
    assert "3 balls came into the book" in words(bring_own(player, own, "own.csv"))
    assert swings_of(book) == USUAL
    assert [ball["swing_deg"] for ball in reading.shots(book)] == [105.0] * 6
    bring_own(player, another_day(OWN).replace(b",105,", b",110,"), "own.csv")
    assert swings_of(book) == [45.0, 90.0, 110.0, 135.0, 180.0]


@pytest.mark.parametrize("said_before", [False, True])
def test_a_usual_one(player: FlaskClient, book: Book, bag: dict[str, str], said_before: bool) -> None:
    if said_before:
        bring_own(player, OWN, "own.csv")
    before = swings_of(book)
    took_off(player, 90.0)
    for own in (OF_90, another_day(OF_90)):
        assert "3 balls came into the book" in words(bring_own(player, own, "own.csv"))
        assert swings_of(book) == [swing for swing in before if swing != 90.0]
    send(player, "/settings/swings", do="add", clock="9:00", name="")
    assert swings_of(book) == before


def test_with_any_table(player: FlaskClient, book: Book, bag: dict[str, str]) -> None:
    bring_own(player, OWN, "own.csv")
    took_off(player, 105.0)
    table_taken(player)
    assert swings_of(book) == USUAL
    assert len(reading.shots(book)) == 5


def test_one_that_a_table_brought_and_that_was_taken_off_before_the_table_was_taken_back(
    app: Flask, player: FlaskClient, book: Book, bag: dict[str, str], fresh: Any
) -> None:
    table_taken(player)
    took_off(player, 105.0)
    app.config["NOW"] = lambda: datetime.now(UTC) + timedelta(hours=3)
    back(player, book)
    export = take(player, "book.json")
    bring_own(player, OWN, "own.csv")
    assert swings_of(book) == USUAL
    elsewhere, other = fresh
    bring_own(elsewhere, export)
    bring_own(elsewhere, OWN, "own.csv")
    assert swings_of(other) == USUAL


def test_one_that_was_added_by_hand_and_taken_off_after_the_table_that_brought_it_first(
    player: FlaskClient, book: Book, bag: dict[str, str]
) -> None:
    table_taken(player)
    back(player, book)
    send(player, "/settings/swings", do="add", clock="105", name="")
    took_off(player, 105.0)
    bring_own(player, OWN, "own.csv")
    assert swings_of(book) == USUAL


def test_one_that_went_with_its_table_comes_again_also_in_a_book_that_was_brought_back(
    player: FlaskClient, book: Book, bag: dict[str, str], fresh: Any
) -> None:
    table_taken(player)
    back(player, book)
    elsewhere, other = fresh
    bring_own(elsewhere, take(player, "book.json"))
    for who, where in ((player, book), (elsewhere, other)):
        assert swings_of(where) == USUAL
        bring_own(who, OWN, "own.csv")
        assert swings_of(where) == [45.0, 90.0, 105.0, 135.0, 180.0]
