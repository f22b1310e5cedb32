"""A table of many rows goes through every step as a job beside the server, and phones wait while it goes in."""

from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from webapp.store import tables
from webapp.store.book import Book
from webapp.store.jobs import TAKE, Job, Jobs

from ..factories import NOW
from .test_jobs import over
from .test_leaving import balls_of
from .test_table import COLUMNS, bring, say_words
from .visitor import send, words


@pytest.fixture
def small(app: Flask) -> Flask:
    """An app to which two rows are many."""
    app.config["BALLS_AT_ONCE"] = 2
    return app


def test_a_long_table_goes_through_every_step_beside_the_server(
    small: Flask, player: FlaskClient, book: Book, bag: dict[str, str]
) -> None:
    page = bring(player)
    assert page.request.path == "/job"
    while player.get("/job").status_code != 302:
        pass
    assert player.get("/job").headers["Location"] == "/table/columns"
    send(player, "/table/columns", **COLUMNS)
    assert say_words(player, bag).request.path == "/job"
    while player.get("/job").status_code != 302:
        pass
    assert "3 balls come in, of 2 visits" in words(player.get("/table/preview"))
    assert send(player, "/table/take").request.path == "/job"
    assert "3 balls came into the book; 0 were there already, 3 rows were left out." in words(over(player))
    assert len(balls_of(book)) == 3
    page = send(player, f"/table/{tables.tables(book)[0]['id']}/back")
    assert page.request.path == "/job"
    assert "3 balls were taken back." in words(over(player))
    assert balls_of(book) == {}


def test_a_table_is_taken_as_it_was_looked_over_or_not_at_all(
    small: Flask, player: FlaskClient, book: Book, bag: dict[str, str]
) -> None:
    bring(player)
    over(player)
    send(player, "/table/columns", **COLUMNS)
    say_words(player, bag)
    over(player)
    jobs = Jobs(small.config["DATA"])
    with jobs.alone():  # another player's file is being done
        jobs.put(Job(book.id, TAKE, NOW))
        send(player, "/table/columns", **{**COLUMNS, "unit": "yd"})
    player.get("/job")
    assert "changed since it was looked over, so nothing was taken" in words(over(player))
    assert balls_of(book) == {}


def test_a_long_file_that_is_no_table_is_refused_on_the_page_of_its_job(small: Flask, player: FlaskClient) -> None:
    bring(player, b"a\n" * 5 + b'"b\n')
    shown = words(over(player))
    assert "Your table was not looked through. Nothing was changed." in shown
    assert "Nothing was taken from night.csv: line 6 cannot be read as a row" in shown


def test_phones_are_told_to_wait_while_a_table_goes_in(book: Book, tmp_path: Any) -> None:
    jobs = Jobs(tmp_path)
    jobs.put(Job(book.id, TAKE, NOW))
    jobs.note(Job(book.id, TAKE, NOW).now("running"))
    assert not jobs.is_taking(book.id)
    with jobs.alone():
        assert jobs.is_taking(book.id)
