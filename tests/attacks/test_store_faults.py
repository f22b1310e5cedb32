"""Each fault of the store is told by its own status, code and sentence on every route that opens a book."""

import os
import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest
from flask import Flask

from webapp.fault_words import words_of
from webapp.store import connect, faults
from webapp.store.book import VERSION
from webapp.store.directory import VERSION as DIRECTORY_VERSION
from webapp.store.directory import Directory

from ..factories import raw
from .conftest import Owner, rules

pytestmark = pytest.mark.files_only  # what is done to a host's files: tests/many_hosts


def damaged(path: Path) -> None:
    path.write_bytes(b"no database at all " * 500)


def emptied(path: Path) -> None:
    path.write_bytes(b"")


def of_a_later_program(path: Path) -> None:
    version = 10 + (VERSION if path.parent.name == "books" else DIRECTORY_VERSION)
    with closing(sqlite3.connect(path)) as conn:
        conn.execute(f"PRAGMA user_version={version}")


FAULTS: list[tuple[Callable[[Path], None], type[faults.StoreFault]]] = [
    (damaged, faults.DamagedFile),
    (emptied, faults.DamagedFile),
    (of_a_later_program, faults.NewerFile),
]


@pytest.mark.parametrize(("spoil", "fault"), FAULTS, ids=lambda one: getattr(one, "__name__", ""))
def test_a_book_that_cannot_be_used_is_told_so_on_every_route_and_left_untouched(
    app: Flask, owner: Owner, spoil: Callable[[Path], None], fault: type[faults.StoreFault]
) -> None:
    path = owner.book.path
    owner.book.close()
    spoil(path)
    content, words = path.read_bytes(), words_of(fault(""))
    told = {}
    for rule in rules(app, "GET"):
        answer = owner.phone.get(owner.address(rule))
        assert answer.status_code < 500 or answer.status_code == words.status, (rule, answer.text)
        if answer.status_code >= 500:
            told[rule.endpoint] = answer.text
    assert {name for name, text in told.items() if words.message not in plain(text)} == set()
    assert set(told) >= {"card.show", "bag.show", "api.session", "api.give", "leaving.take_away", "coach.card"}
    assert path.read_bytes() == content


@pytest.mark.parametrize(("spoil", "fault"), FAULTS, ids=lambda one: getattr(one, "__name__", ""))
def test_a_directory_that_cannot_be_used_is_told_so_by_every_page_and_by_no_health_check(
    app: Flask, owner: Owner, directory: Directory, spoil: Callable[[Path], None], fault: type[faults.StoreFault]
) -> None:
    directory.close()
    spoil(directory.path)
    content = directory.path.read_bytes()
    words = words_of(faults.DamagedDirectory("") if fault is faults.DamagedFile else fault(""))
    for rule in rules(app, "GET"):
        answer = owner.phone.get(owner.address(rule))
        if rule.endpoint in ("shell.healthz", "shell.worker", "shell.manifest"):
            assert answer.status_code == 200, rule
        elif answer.status_code >= 500:
            assert (answer.status_code, words.message in plain(answer.text)) == (words.status, True), rule
    assert owner.phone.get("/card").status_code == words.status
    assert owner.phone.get(f"/w/{owner.link}").status_code == words.status
    assert directory.path.read_bytes() == content


@pytest.fixture(params=[faults.StoreFull, faults.ReadOnlyStore, faults.NotPermitted, faults.BusyFile])
def refusing(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> type[faults.StoreFault]:
    """A store whose every writing meets one fault; the real ones are made by tests/faults on real disks."""
    fault: type[faults.StoreFault] = request.param
    begin = connect._begin_writing

    def refuse(conn: sqlite3.Connection) -> None:
        begin(conn)
        raise fault("as asked by the test")

    monkeypatch.setattr(connect, "_begin_writing", refuse)
    return fault


def test_what_cannot_be_written_is_told_by_its_own_sentence_and_changes_nothing(
    app: Flask, owner: Owner, refusing: type[faults.StoreFault]
) -> None:
    cursor = owner.book.cursor
    words = words_of(refusing(""))
    headers = {"X-CSRFToken": owner.phone.get("/api/session").get_json()["csrf"]}
    sent = owner.phone.post("/api/facts", json={"facts": [raw("note", {"words": "one"})]}, headers=headers)
    assert (sent.status_code, sent.get_json()["error"]["code"]) == (words.status, words.code)
    assert sent.get_json()["error"]["message"] == words.message
    for rule in rules(app, "GET"):
        assert owner.phone.get(owner.address(rule)).status_code < 500, rule
    for address in ("/recovery", "/phones/join", f"/links/{owner.parts['link_id']}/end"):
        answer = owner.phone.post(address, headers=headers)
        assert (answer.status_code, words.message in plain(answer.text)) == (words.status, True), address
    assert owner.book.cursor == cursor


def test_damage_met_while_the_server_runs_is_told_like_damage_at_the_start(app: Flask, owner: Owner) -> None:
    assert owner.phone.get("/card").status_code == 200
    conn = owner.book.conn
    root = conn.execute("SELECT rootpage FROM sqlite_master WHERE name = 'settings'").fetchone()[0]
    size = conn.execute("PRAGMA page_size").fetchone()[0]
    conn.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    with owner.book.path.open("r+b") as file:  # the same file, as a failing disk leaves it
        file.seek((root - 1) * size)
        file.write(b"\xa5" * size)
        os.fsync(file.fileno())
    owner.book.close()
    for _ in range(2):
        answer = owner.phone.get("/card")
        assert answer.status_code == 503
        assert words_of(faults.DamagedFile("")).message in plain(answer.text)


def plain(text: str) -> str:
    """A page's text, or that of JSON with its apostrophes read."""
    return text.replace("\\u2019", "’")
