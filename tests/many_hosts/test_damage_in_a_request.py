"""Damage that a page or a coach's link meets in a host's copy is mended before the answer."""

import os
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from webapp.store.log.numbers import numbers
from webapp.store.open_directory import open_directory

from .test_log_away import a_phone


def break_table(copy: Path, table: str) -> None:
    """Write over the first page of a table and leave the file's age, so that only who reads the table finds it."""
    told = copy.stat()
    with closing(sqlite3.connect(copy)) as conn:
        (page,) = conn.execute("SELECT rootpage FROM sqlite_master WHERE name = ?", (table,)).fetchone()
        (size,) = conn.execute("PRAGMA page_size").fetchone()
    with copy.open("r+b") as file:
        file.seek((page - 1) * size)
        file.write(b"\x5a" * size)
    os.utime(copy, ns=(told.st_atime_ns, told.st_mtime_ns))


@pytest.mark.parametrize(
    ("address", "table"), [("/card", "clubs"), ("/visits", "buckets"), ("/api/facts", "facts"), ("/w/LINK", "settings")]
)
def test_whoever_reads_is_answered_from_a_new_copy(tmp_path: Path, log_url: str, address: str, table: str) -> None:
    client, link, _ = a_phone(tmp_path / "host", log_url)
    address = address.replace("LINK", link)
    assert client.get(address).status_code == 200
    with open_directory(tmp_path / "host", store_url=log_url) as directory:
        name = directory.book_path(directory.books()[0]["id"])
    healed = numbers.healed
    break_table(name.resolve(), table)
    assert client.get(address).status_code == 200
    assert numbers.healed == healed + 1
    assert client.get("/api/facts").get_json()["cursor"] == 12
    assert numbers.healed == healed + 1
