"""A clinic's code starts so many books until its end, and nothing else."""

from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from webapp.moments import moment_of, moved
from webapp.store.clinics import ClinicClosed
from webapp.store.directory import Directory

from ..factories import NOW
from .visitor import send, words

CODE = "ABCDEFGHIJ"
CLOSED = "This code starts no book: it is not known here, it is used up, or its time is over."


@pytest.fixture
def app(app: Flask) -> Flask:
    """The app at a known moment."""
    app.config["NOW"] = lambda: moment_of(NOW)
    return app


@pytest.fixture
def clinic(directory: Directory) -> int:
    """A code for two starts within eight hours."""
    return directory.new_clinic(CODE, "Saturday", 2, NOW, moved(NOW, hours=8))


def begin(app: Flask, code: str = CODE, **more: Any) -> TestResponse:
    """A new phone that starts a book."""
    return send(app.test_client(), "/start", **{"hand": "right", "unit": "yd", "loft_1": "56", "clinic": code, **more})


def test_it_starts_so_many_books_and_no_more(app: Flask, clinic: int, directory: Directory) -> None:
    as_typed = ("abcde fghij", f"https://range.example/clinic#{CODE}")
    assert [begin(app, code).status_code for code in as_typed] == [200, 200]
    answer = begin(app)
    assert (answer.status_code, CLOSED in words(answer)) == (404, True)
    assert (len(directory.books()), [one.used for one in directory.clinics()]) == (2, [2])


def test_it_starts_none_after_its_end_nor_when_the_clock_is_set_back(
    app: Flask, clinic: int, directory: Directory
) -> None:
    app.config["NOW"] = lambda: moment_of(moved(NOW, hours=8))
    assert begin(app).status_code == 404
    directory.saw(moved(NOW, hours=8))
    app.config["NOW"] = lambda: moment_of(NOW)
    assert begin(app).status_code == 404
    assert directory.books() == []


def test_one_that_is_ended_or_made_up_starts_none(app: Flask, clinic: int, directory: Directory) -> None:
    assert begin(app, "ABCDEFGHIK").status_code == 404
    assert directory.end_clinic(clinic)
    assert not directory.end_clinic(clinic)
    assert begin(app).status_code == 404
    assert directory.books() == []


def test_it_stands_for_the_word_of_a_private_server(app: Flask, clinic: int) -> None:
    app.config["JOIN_CODE"] = "a word"
    assert "code of the clinic" in words(app.test_client().get("/clinic"))
    assert begin(app, "").status_code == 400
    assert begin(app).status_code == 200


@pytest.mark.parametrize("code", ["-", " ", "#", "\u00e9\u0301", "ABCDEFGHIK"])
def test_what_is_no_code_opens_no_private_server_and_lifts_no_limit(
    app: Flask, clinic: int, directory: Directory, code: str
) -> None:
    app.config |= {"JOIN_CODE": "a word", "STARTS_AN_HOUR": 1}
    assert begin(app, code).status_code in (400, 404)
    assert directory.books() == []
    app.config["JOIN_CODE"] = ""
    started = [begin(app, code).status_code for _ in range(4)]
    assert started.count(200) <= 1


def test_one_network_may_start_as_many_as_the_code_allows(app: Flask, directory: Directory) -> None:
    app.config["STARTS_AN_HOUR"] = 1
    directory.new_clinic(CODE, "", 15, NOW, moved(NOW, hours=8))
    assert [begin(app).status_code for _ in range(15)] == [200] * 15


def test_trying_codes_is_slowed_down_and_a_missing_loft_is_no_try(app: Flask, clinic: int) -> None:
    assert {begin(app, CODE, loft_1="").status_code for _ in range(15)} == {400}
    assert [begin(app, f"ABCDEFGHI{sign}").status_code for sign in "KLMNOPQRSTU"] == [404] * 10 + [429]


@pytest.mark.files_only
def test_two_phones_never_share_the_last_start(data: Path, directory: Directory) -> None:
    directory.new_clinic(CODE, "", 1, NOW, moved(NOW, hours=8))

    def take(_: int) -> bool:
        with Directory(data) as own:
            try:
                own.new_book(NOW, clinic=CODE)
            except ClinicClosed:
                return False
            return True

    with ThreadPoolExecutor(8) as phones:
        assert sum(phones.map(take, range(8))) == 1
    assert len(directory.books()) == len(list((data / "books").glob("*.sqlite"))) == 1


def test_it_opens_no_book_and_no_recovery_code_starts_one(
    app: Flask, player: FlaskClient, clinic: int, directory: Directory
) -> None:
    assert send(app.test_client(), "/open", code=CODE).status_code == 404
    book_id = directory.books()[0]["id"]
    directory.set_recovery(book_id, "A" * 26, NOW)
    assert begin(app, "A" * 26).status_code == 404


@pytest.mark.files_only
def test_of_a_code_only_its_hash_is_kept(data: Path, clinic: int, directory: Directory) -> None:
    directory.conn.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    assert CODE.encode() not in directory.path.read_bytes()


def test_a_phone_that_has_a_book_keeps_it(player: FlaskClient, clinic: int, directory: Directory) -> None:
    assert player.get("/clinic").location == "/card"
    send(player, "/start", hand="right", unit="yd", loft_1="56", clinic=CODE)
    assert (len(directory.books()), [one.used for one in directory.clinics()]) == (1, [0])


def test_a_restore_ends_every_code(clinic: int, directory: Directory) -> None:
    directory.end_codes_that_are_used_up()
    assert directory.clinics() == []
