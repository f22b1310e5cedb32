"""A book begun with the file of one that was taken away: whole or not at all, and nothing but what it holds."""

import io
import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient

from webapp import create_app
from webapp.store import reading
from webapp.store.directory import Directory

from ..conftest import SECRET
from ..factories import NOW, the_demo_set
from .test_jobs import over
from .visitor import send, send_facts, token, words


def start_with(client: FlaskClient, content: bytes, follow: bool = True, **fields: Any) -> Any:
    """The answer to a file on a phone without a book."""
    fields |= {"file": (io.BytesIO(content), "book.json"), "csrf_token": token(client)}
    return client.post("/start/file", data=fields, follow_redirects=follow)


@pytest.fixture
def taken(player: FlaskClient) -> bytes:
    """The file of a book with four wedges and four swings."""
    assert send_facts(player, the_demo_set(NOW)).status_code == 200
    return player.get("/export/book.json").data


@pytest.fixture
def elsewhere(tmp_path: Path) -> Iterator[Any]:
    """A phone on another server, which has no book yet."""
    folder = tmp_path / "elsewhere"
    with Directory(folder) as directory:
        yield create_app({"DATA": folder, "SECRET": SECRET, "TESTING": True}).test_client(), directory


def test_the_first_page_leads_to_it(client: FlaskClient) -> None:
    assert '<a class="alone" href="/start/file">I have a file</a>' in client.get("/").text
    assert "up to" in words(client.get("/start/file"))


def test_the_new_book_holds_the_files_wedges_and_no_other(taken: bytes, elsewhere: Any) -> None:
    client, directory = elsewhere
    answer = start_with(client, taken)
    assert (answer.status_code, answer.request.path) == (200, "/card")
    assert "entries came into the book" in words(answer)
    with directory.open_book(directory.books()[0]["id"]) as book:
        assert [club.name for club in reading.clubs(book)] == ["46", "51", "56", "60"]
        assert len(reading.clubs(book)) * len(reading.swings(book)) == 16


def test_a_second_file_opens_no_second_book(taken: bytes, elsewhere: Any) -> None:
    client, directory = elsewhere
    start_with(client, taken)
    assert "has a book open already" in words(start_with(client, taken))
    assert len(directory.books()) == 1


@pytest.mark.parametrize(
    ("content", "told"),
    [
        (b"club,carry\n56,61\n", "no book as JSON"),
        (b"", "no book as JSON"),
        (b"{}", "Nothing was changed yet"),
        (b'{"facts": [{"kind": "club"}]}', "This entry has no va"),
    ],
)
def test_a_file_that_is_no_book_starts_none(elsewhere: Any, content: bytes, told: str) -> None:
    client, directory = elsewhere
    answer = start_with(client, content)
    assert answer.status_code == 400
    assert told in words(answer)
    assert not directory.books()
    assert "Start my book" in words(client.get("/")), "the phone still has none"


def test_a_copy_of_what_a_phone_had_not_sent_is_told_from_a_book(elsewhere: Any) -> None:
    client, directory = elsewhere
    copy = {"made_by": "clockyard", "made_at": NOW, "facts": the_demo_set(NOW)}  # as static/ui/notices.js saves it
    answer = start_with(client, json.dumps(copy, indent=1).encode())
    assert answer.status_code == 400
    assert "a copy of entries that one phone had not sent yet, and no whole book" in words(answer)
    assert not directory.books()


def test_half_a_book_is_not_taken(taken: bytes, elsewhere: Any) -> None:
    client, directory = elsewhere
    told = json.loads(taken)
    told["facts"][-1]["body"] = {"loft_deg": "steep"}
    assert start_with(client, json.dumps(told).encode()).status_code == 400
    assert not directory.books()


def test_without_a_file_it_asks_for_one(client: FlaskClient) -> None:
    answer = send(client, "/start/file")
    assert answer.status_code == 400
    assert "Choose a file" in words(answer)


def test_a_private_server_asks_for_its_word(taken: bytes, data: Path) -> None:
    private = create_app({"DATA": data, "SECRET": SECRET, "TESTING": True, "JOIN_CODE": "heron nest"}).test_client()
    assert "word of this private server" in words(private.get("/start/file"))
    assert "ask its owner" in words(start_with(private, taken))
    assert start_with(private, taken, follow=False, join_code="heron nest").location == "/card"


def test_a_long_file_goes_in_beside_the_server(taken: bytes, tmp_path: Path) -> None:
    folder = tmp_path / "elsewhere"
    settings = {"DATA": folder, "SECRET": SECRET, "TESTING": True, "BALLS_AT_ONCE": 1}
    client = create_app(settings).test_client()
    page = start_with(client, taken)
    assert page.request.path == "/job"
    assert "entries came into the book" in words(over(client))
    with Directory(folder) as directory, directory.open_book(directory.books()[0]["id"]) as book:
        assert len(reading.clubs(book)) == 4
