"""Deleting a book: what goes is named, nothing goes without a yes, and no door opens it any more."""

import pytest
from flask import Flask
from flask.testing import FlaskClient

from webapp.moments import moment_of, moved
from webapp.store.book import Book
from webapp.store.directory import Directory

from ..factories import NOW, a_bucket, a_club, f1_balls, the_demo_set
from .visitor import send, send_facts, words


@pytest.fixture
def filled(book: Book) -> Book:
    """The player's book with ten balls."""
    clubs, bucket = the_demo_set(), a_bucket()
    fifty_six = next(fact for fact in clubs if fact["body"].get("name") == "56")
    assert book.add([*clubs, bucket, *f1_balls(bucket, fifty_six)], None, NOW).refused == []
    return book


def test_deleting_names_what_goes_one_by_one(player: FlaskClient, filled: Book, directory: Directory) -> None:
    directory.new_link(filled.id, "", NOW, moved(NOW, days=9999), {})
    directory.set_recovery(filled.id, "A" * 26, NOW)
    shown = words(player.get("/delete"))
    for sentence in (
        "the server’s file with 10 balls",
        "what this phone keeps",
        "the access of 1 phone;",
        "1 open coach link;",
        "the recovery sheet, which will open nothing",
        "Not deleted: what a coach copied or printed, files you took away, and backups",
    ):
        assert sentence in shown


def test_nothing_is_deleted_without_a_last_yes(player: FlaskClient, filled: Book) -> None:
    answer = send(player, "/delete")
    assert answer.status_code == 400
    assert "Nothing was deleted: tick the box to say yes." in words(answer)
    assert filled.path.exists()
    assert player.get("/card").status_code == 200


def test_a_deleted_book_is_dead_at_every_door(
    app: Flask, player: FlaskClient, filled: Book, directory: Directory
) -> None:
    app.config["NOW"] = lambda: moment_of(moved(NOW, days=2))  # so that the cookie would be renewed
    second, secret = app.test_client(), directory.new_device(filled.id, "Phone", NOW)
    second.set_cookie("book", secret)
    link = "/w/" + directory.new_link(filled.id, "", NOW, moved(NOW, days=14), {})
    directory.set_recovery(filled.id, "A" * 26, NOW)
    own = player.get_cookie("book")
    assert own

    answer = send(player, "/delete", follow=False, yes="y")
    assert answer.headers["Location"] == "/deleted"
    assert answer.headers["Clear-Site-Data"] == '"cache", "cookies", "storage"'
    assert "The book is deleted" in words(player.get("/deleted"))
    assert player.get_cookie("book") is None

    filled.close()
    assert list(filled.path.parent.iterdir()) == []
    for phone, cookie in ((player, own.value), (second, secret)):
        for path in ("/api/facts", "/export/book.json", "/card"):
            phone.set_cookie("book", cookie)  # a copy of the cookie opens nothing either, and a page takes it back
            assert phone.get(path).status_code == 410
        assert phone.get_cookie("book") is None
        phone.set_cookie("book", cookie)
        assert send_facts(phone, [a_club()], filled.id).status_code == 410
    assert app.test_client().get(link).status_code == 410
    assert send(app.test_client(), "/open", code="A" * 26).status_code == 404
    assert list(filled.path.parent.iterdir()) == []


def test_a_link_that_was_made_while_its_book_was_deleted_is_closed(
    app: Flask, directory: Directory, filled: Book
) -> None:
    app.config["NOW"] = lambda: moment_of(NOW)
    filled.close()
    directory.delete_book(filled.id, NOW)
    link = directory.new_link(filled.id, "", NOW, moved(NOW, days=14), {})
    answer = app.test_client().get(f"/w/{link}")
    assert answer.status_code == 410
    assert "This link is closed." in words(answer)
