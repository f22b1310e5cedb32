"""Refusals and faults: one shape, plain words, and nothing of a player in the log."""

import logging
import sqlite3
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from werkzeug.exceptions import abort

from webapp import create_app
from webapp.moments import moment_of, moved
from webapp.store.book import Book
from webapp.store.directory import Directory

from ..conftest import SECRET
from ..factories import NOW, a_club, raw
from .visitor import send_facts, token, words


@pytest.fixture
def served(data: Path) -> Flask:
    """The app as it is served, where a fault is answered instead of shown to the test."""
    app = create_app({"DATA": data, "SECRET": SECRET})

    def fall(text: str) -> str:
        raise ValueError(f"{text} cannot be read")

    app.add_url_rule("/fall/<text>", "fall", fall)
    app.add_url_rule("/api/fall/<text>", "api_fall", fall)
    app.add_url_rule("/status/<int:code>", "status", lambda code: abort(code))
    return app


@pytest.fixture
def phone(served: Flask, directory: Directory, book: Book) -> FlaskClient:
    """A phone that opens `book`."""
    client = served.test_client()
    client.set_cookie("book", directory.new_device(book.id, "Phone", NOW))
    return client


def test_a_page_that_is_not_there_is_a_plain_page(phone: FlaskClient) -> None:
    answer = phone.get("/no-such-page")
    assert answer.status_code == 404
    assert "There is nothing at this address. Your book is as it was." in words(answer)


def test_an_address_of_the_phone_that_is_not_there_is_answered_as_json(phone: FlaskClient) -> None:
    answer = phone.get("/api/no-such-thing")
    assert answer.status_code == 404
    assert set(answer.get_json()["error"]) == {"code", "message", "fields"}


def test_an_address_that_takes_no_writing_says_so(phone: FlaskClient) -> None:
    answer = phone.put("/card", headers={"X-CSRFToken": token(phone)})
    assert answer.status_code == 405
    assert "This address cannot be written to. Nothing was changed." in words(answer)


@pytest.mark.parametrize("path", ["/recovery", "/trends/marks", "/start"])
def test_an_address_that_only_takes_forms_says_so_to_whoever_looks(phone: FlaskClient, path: str) -> None:
    answer = phone.get(path)
    assert answer.status_code == 405
    assert "This address only takes what a form sends. Nothing was changed." in words(answer)


@pytest.mark.parametrize("code", [400, 403, 406, 409, 415, 416, 418, 422, 451])
def test_a_refusal_without_words_of_its_own_does_not_claim_a_fault(phone: FlaskClient, code: int) -> None:
    answer = phone.get(f"/status/{code}")
    assert answer.status_code == code
    assert "This could not be read, so nothing was changed." in words(answer)


def test_a_request_that_is_too_much_by_another_count_than_its_bytes_names_no_megabytes(phone: FlaskClient) -> None:
    answer = phone.get("/status/413")
    assert answer.status_code == 413
    assert "This is too much at once" in words(answer)
    assert "MB" not in words(answer)


def test_a_form_without_a_token_is_refused_in_words(phone: FlaskClient) -> None:
    answer = phone.post("/settings", data={"hand": "left"})
    assert answer.status_code == 400
    assert "This form was too old or not from this page, so nothing was changed." in words(answer)


@pytest.mark.parametrize("path", ["/fall/Heron", "/api/fall/Heron"])
def test_a_fault_is_answered_in_words_and_logged_without_what_was_typed(
    phone: FlaskClient, caplog: pytest.LogCaptureFixture, path: str
) -> None:
    with caplog.at_level(logging.DEBUG):
        answer = phone.get(path)
    assert answer.status_code == 500
    assert "Something went wrong on the server. What was saved before is safe" in answer.get_data(as_text=True)
    assert "ValueError at" in caplog.text
    assert "in fall" in caplog.text
    assert "Heron" not in caplog.text
    assert "Heron" not in answer.text


@pytest.mark.files_only
def test_a_damaged_book_is_left_as_it_is_and_takes_no_other_down(
    phone: FlaskClient, book: Book, served: Flask, directory: Directory
) -> None:
    book.add([a_club()], None, NOW)
    headers = {"X-CSRFToken": token(phone)}
    book.close()
    damaged = b"not a database at all" * 1000
    for leftover in book.path.parent.glob(f"{book.id}*"):
        leftover.unlink()
    book.path.write_bytes(damaged)
    sent = phone.post("/api/facts", json={"facts": [a_club()]}, headers=headers)
    for answer in (phone.get("/card"), phone.get("/bag"), phone.get("/api/facts"), sent):
        assert answer.status_code == 503
        told = answer.json["error"]["message"] if answer.is_json else words(answer)
        assert "This book’s file is damaged. It was left untouched, and no other book is harmed." in told
    assert book.path.read_bytes() == damaged
    other = served.test_client()
    other.set_cookie("book", directory.new_device(directory.new_book(NOW), "Phone", NOW))
    assert other.get("/card").status_code == 200


@pytest.mark.files_only
def test_a_book_whose_file_is_gone_is_not_begun_anew(phone: FlaskClient, book: Book) -> None:
    headers = {"X-CSRFToken": token(phone)}
    book.close()
    for file in book.path.parent.iterdir():
        file.unlink()
    assert phone.post("/api/facts", json={"facts": [a_club()]}, headers=headers).status_code == 503
    assert "whoever runs this server can restore the last copy" in words(phone.get("/card"))
    assert list(book.path.parent.iterdir()) == []


@pytest.mark.files_only
def test_a_full_disk_takes_nothing_loses_nothing_and_says_so(
    phone: FlaskClient, book: Book, monkeypatch: pytest.MonkeyPatch
) -> None:
    _fill(monkeypatch)
    facts = [raw("note", {"words": "x" * 200}) for _ in range(400)]
    answer = send_facts(phone, facts, book.id)
    assert answer.status_code == 507
    assert answer.get_json()["error"]["code"] == "disk_full"
    assert "what the phone holds stays on it" in answer.get_json()["error"]["message"]
    assert book.cursor == 0
    monkeypatch.undo()
    assert len(send_facts(phone, facts, book.id).get_json()["taken"]) == 400


@pytest.mark.files_only
def test_a_full_disk_keeps_nobody_from_reading(
    served: Flask, phone: FlaskClient, book: Book, monkeypatch: pytest.MonkeyPatch
) -> None:
    served.config["NOW"] = lambda: moment_of(moved(NOW, days=2))  # the day last seen would be written
    monkeypatch.setattr(Directory, "saw_device", _no_room)
    assert phone.get("/card").status_code == 200


def _fill(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let SQLite itself refuse new pages, as a full disk does, in every book opened from now on."""
    from webapp.store import connect as connect_module

    connect = connect_module.connect

    def small(path: Path, read_only: bool = False) -> sqlite3.Connection:
        conn = connect(path, read_only)
        pages = conn.execute("PRAGMA page_count").fetchone()[0]
        conn.execute(f"PRAGMA max_page_count={pages + 2}")
        return conn

    monkeypatch.setattr(connect_module, "connect", small)


def _no_room(directory: Directory, *_: Any) -> None:
    """What `saw_device` does on a full disk: one page more than there is room for."""
    from webapp.store.connect import writing

    pages = directory.conn.execute("PRAGMA page_count").fetchone()[0]
    directory.conn.execute(f"PRAGMA max_page_count={pages}")
    with writing(directory.conn, directory.path):
        directory.conn.execute("CREATE TABLE too_much (text TEXT)")
        directory.conn.execute("INSERT INTO too_much VALUES (zeroblob(100000))")
