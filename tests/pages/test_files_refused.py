"""A file that cannot be brought in is refused with what to bring instead, or with how much may be brought."""

import io
import json
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient

from webapp import create_app
from webapp.books.bring_back import bring_back
from webapp.store import reading
from webapp.store.book import Book
from webapp.store.directory import Directory

from ..conftest import SECRET
from ..factories import NOW, a_club, a_swing
from .visitor import token, words


def bring(phone: FlaskClient, address: str, content: bytes) -> Any:
    """The answer to a file brought to a page."""
    fields = {"file": (io.BytesIO(content), "file"), "csrf_token": token(phone)}
    return phone.post(address, data=fields, follow_redirects=True)


@pytest.mark.parametrize("address", ["/import", "/start/file"])
def test_the_books_own_database_is_told_from_the_file_that_can_be_brought(
    player: FlaskClient, client: FlaskClient, book: Book, address: str
) -> None:
    book.add([a_club()], None, NOW)
    database = player.get("/export/book.sqlite").data
    answer = bring(player if address == "/import" else client, address, database)
    assert answer.status_code == 400
    assert "This is a book’s own SQLite file, which is for looking into. Bring the whole book as JSON" in words(answer)


def test_an_entry_without_an_id_that_can_be_read_is_named_by_no_place(player: FlaskClient, book: Book) -> None:
    entries = [{"id": [1]}, a_club(), 5]
    answer = bring(player, "/import", json.dumps({"facts": entries}).encode())
    assert answer.status_code == 400
    assert "Entry ?: This entry has no valid id, so it was not taken." in words(answer)
    assert book.cursor == 0


def test_entries_that_a_phone_sends_meanwhile_are_not_told_as_the_files(
    book: Book, directory: Directory, monkeypatch: pytest.MonkeyPatch
) -> None:
    bag = [a_club("56"), a_club("51")]
    book.add(bag, None, NOW)
    clubs = reading.clubs

    def while_a_phone_sends(of: Book) -> list[reading.Club]:
        monkeypatch.undo()
        with directory.open_book(book.id) as phone:
            phone.add([a_swing(105.0)], None, NOW)
        return clubs(of)

    monkeypatch.setattr(reading, "clubs", while_a_phone_sends)
    assert bring_back(book, json.dumps({"facts": bag}), NOW) == (0, 2)


@pytest.mark.parametrize(("most", "shown"), [(200_000, "0.2 MB"), (450_000, "0.45 MB")])
def test_a_file_that_is_too_large_is_told_how_large_it_may_be(
    data: Path, directory: Directory, book: Book, most: int, shown: str
) -> None:
    app = create_app({"DATA": data, "SECRET": SECRET, "TESTING": True, "MOST_IMPORT": most, "MOST_BODY": 1000})
    phone = app.test_client()
    phone.set_cookie("book", directory.new_device(book.id, "Phone", NOW))
    answer = bring(phone, "/import", b"x" * (most + 1))
    assert answer.status_code == 413
    assert f"Nothing was taken: at most {shown} go in at once;" in words(answer)
    facts = phone.post("/api/facts", data=b"x" * 1001, headers={"X-CSRFToken": token(phone)})
    assert "at most 0.001 MB go in at once;" in facts.get_json()["error"]["message"]
