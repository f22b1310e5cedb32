"""What tests of several pages share: a phone with the demo book, the demo set in a player's book, and a bag."""

from pathlib import Path

import pytest
from flask import Flask
from flask.testing import FlaskClient

from tests.factories import NOW, Raw, a_club, a_setting, the_demo_set
from webapp.books.demo import load_demo
from webapp.moments import moment_of, moved
from webapp.store.book import Book
from webapp.store.directory import Directory


@pytest.fixture
def demo(app: Flask, data: Path, directory: Directory) -> FlaskClient:
    """A phone with the demo book."""
    app.config["NOW"] = lambda: moment_of(moved(NOW, hours=1))
    client = app.test_client()
    client.set_cookie("book", directory.new_device(load_demo(directory, NOW), "phone", NOW))
    return client


@pytest.fixture
def demo_set(app: Flask, book: Book, player: FlaskClient) -> list[Raw]:
    """The demo set in the player's book, read a little later."""
    app.config["NOW"] = lambda: moment_of(moved(NOW, hours=1))
    facts = the_demo_set()
    assert book.add(facts, None, NOW).refused == []
    return facts


@pytest.fixture
def bag(book: Book) -> dict[str, str]:
    """A bag with two wedges: their ids by name."""
    clubs = [a_club("51", loft_deg=51), a_club("56", loft_deg=56)]
    book.add([*clubs, a_setting("unit", "m")], None, NOW)
    return {club["body"]["name"]: club["id"] for club in clubs}
