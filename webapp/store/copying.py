"""Copies of a data folder, each file as of one moment while others write, and the proof that they can be used.

Knows SQLite's files; what is in a book is looked at only to compare it with itself.
"""

import shutil
import sqlite3
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from . import derived
from .book import Book
from .connect import DamagedFile, connect
from .directory import Directory

_DIRECTORY = "directory.sqlite"


class DestinationInUse(Exception):
    """The folder for a backup holds something; nothing was copied."""


@dataclass(frozen=True)
class Checked:
    """One file of a backup: its facts, and what is wrong with it ("" when nothing is)."""

    name: str
    facts: int
    problem: str


def back_up(directory: Directory, destination: Path) -> Iterator[int]:
    """Copy the directory, then every book it lists; gives first the number of files, then 1 after each.

    A book started meanwhile is left for the next backup. A file is named in full only once it is whole.
    """
    if destination.exists() and any(destination.iterdir()):
        raise DestinationInUse(f"{destination} is not empty; nothing was copied. Name a new folder.")
    (destination / "books").mkdir(parents=True, exist_ok=True)
    book_ids = [row["id"] for row in directory.books()]
    yield 1 + len(book_ids)
    _copy(directory.path, destination / _DIRECTORY)
    yield 1
    for book_id in book_ids:
        # A book deleted since the list was made is gone, and stays gone.
        if directory.book_path(book_id).exists():
            _copy(directory.book_path(book_id), destination / "books" / f"{book_id}.sqlite")
        yield 1


def check_copies(folder: Path) -> Iterator[Checked]:
    """Open every file of a backup as a server would, in a copy of it, and compare each book with its own facts."""
    with tempfile.TemporaryDirectory() as scratch:
        tried = Path(scratch) / "tried"
        shutil.copytree(folder, tried)
        try:
            with Directory(tried) as directory:
                _check_whole(directory.conn)
                listed = [row["id"] for row in directory.books()]
        except (DamagedFile, sqlite3.DatabaseError) as error:
            yield Checked(_DIRECTORY, 0, str(error))
            return
        yield Checked(_DIRECTORY, 0, "")
        for book_id in listed:
            yield _check_book(tried / "books" / f"{book_id}.sqlite")


def _copy(source: Path, copy: Path) -> None:
    """SQLite itself writes the copy in one read transaction, so writers meanwhile neither wait nor show half."""
    unfinished = copy.with_suffix(".part")
    conn = connect(source)
    try:
        conn.execute("VACUUM INTO ?", (str(unfinished),))
    finally:
        conn.close()
    unfinished.rename(copy)


def _check_book(path: Path) -> Checked:
    if not path.exists():
        return Checked(path.name, 0, "the directory lists it, but the file is not there")
    try:
        with Book(path) as book:
            _check_whole(book.conn)
            facts = int(book.conn.execute("SELECT COUNT(*) FROM facts").fetchone()[0])
            before = _derived_rows(book.conn)
            book.rebuild()
            differs = [table for table, rows in _derived_rows(book.conn).items() if rows != before[table]]
    except (DamagedFile, sqlite3.DatabaseError) as error:
        return Checked(path.name, 0, str(error))
    return Checked(path.name, facts, f"differs from its own facts in {', '.join(differs)}" if differs else "")


def _check_whole(conn: sqlite3.Connection) -> None:
    found = conn.execute("PRAGMA integrity_check(1)").fetchone()[0]
    if found != "ok":
        raise DamagedFile(found)


def _derived_rows(conn: sqlite3.Connection) -> dict[str, list[tuple[object, ...]]]:
    return {
        table: sorted(map(tuple, conn.execute(f"SELECT * FROM {table}")), key=repr) for table in derived.TABLES.values()
    }
