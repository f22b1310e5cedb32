"""One visitor cannot fill the server: how much a book holds and a day brings."""

from flask import Flask
from flask.testing import FlaskClient

from webapp.moments import moment_of, moved
from webapp.store.book import Book

from ..factories import NOW, raw
from .visitor import send_facts


def notes(many: int) -> list[dict[str, object]]:
    return [raw("note", {"words": f"{place}"}) for place in range(many)]


def test_a_book_takes_so_many_entries_a_day_and_more_the_day_after(app: Flask, player: FlaskClient, book: Book) -> None:
    app.config |= {"MOST_FACTS_A_DAY": 10, "NOW": lambda: moment_of(NOW)}
    assert send_facts(player, notes(10), book.id).status_code == 200
    late = notes(1)
    answer = send_facts(player, late, book.id)
    assert (answer.status_code, answer.get_json()["error"]["code"]) == (429, "too_many_today")
    assert "stays on the phone" in answer.get_json()["error"]["message"]
    app.config["NOW"] = lambda: moment_of(moved(NOW, days=1, minutes=1))
    assert send_facts(player, late, book.id).get_json()["taken"] == [late[0]["id"]]


def test_an_entry_that_came_a_day_ago_to_the_moment_still_counts(app: Flask, player: FlaskClient, book: Book) -> None:
    app.config |= {"MOST_FACTS_A_DAY": 10, "NOW": lambda: moment_of(NOW)}
    assert send_facts(player, notes(10), book.id).status_code == 200
    app.config["NOW"] = lambda: moment_of(moved(NOW, days=1))
    assert send_facts(player, notes(1), book.id).status_code == 429


def test_what_was_imported_does_not_shut_the_phone_out(app: Flask, player: FlaskClient, book: Book) -> None:
    app.config |= {"MOST_FACTS_A_DAY": 10, "NOW": lambda: moment_of(NOW)}
    book.add(notes(30), None, NOW)
    assert send_facts(player, notes(1), book.id).status_code == 200


def test_a_book_that_is_as_large_as_allowed_takes_no_more_and_can_be_read(
    app: Flask, player: FlaskClient, book: Book
) -> None:
    app.config["MOST_BOOK"] = book.size_bytes()
    answer = send_facts(player, notes(1), book.id)
    assert (answer.status_code, answer.get_json()["error"]["code"]) == (507, "book_full")
    assert book.cursor == 0
    assert player.get("/card").status_code == 200
