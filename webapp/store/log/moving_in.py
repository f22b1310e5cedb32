"""Moves a data folder's books and directory into an empty log, in one transaction: all of it or nothing.

Knows both sides' tables; the folder stays as it is.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import psycopg

from ..book import Book
from ..directory import Directory
from ..faults import DamagedFile, LogAway
from . import directory_tables
from .head import Head
from .line import Connection, line_to, listen_for_warnings, options_of
from .postgres_faults import fault_of
from .postgres_tables import make_current

_FACTS = """COPY facts (book, seq, id, root, kind, made_at, body, received_at, device) FROM STDIN"""
_ROWS = "SELECT seq, id, root, kind, made_at, body, received_at, device FROM facts ORDER BY seq"


class LogInUse(Exception):
    """The log holds books already; nothing was moved."""


def move_in(directory: Directory, url: str, secret: str) -> Iterator[int]:
    """Move every book and the directory; gives the number of books, then 1 after each; the last step commits.

    LogInUse; DamagedFile, named, for a book that cannot be read; LogAway and StoreFull: nothing was moved.
    """
    make_current(line_to(url))
    book_ids = [row["id"] for row in directory.books()]
    yield len(book_ids)
    with _transaction(url) as cursor:
        cursor.execute("LOCK TABLE books IN EXCLUSIVE MODE")
        there = cursor.execute("SELECT COUNT(*) FROM books").fetchone()
        if there and there[0]:
            raise LogInUse(f"{there[0]}")
        heads: dict[str, tuple[int, bytes]] = {}
        for book_id in book_ids:
            heads[book_id] = _move_book(directory.book_path(book_id), cursor)
            yield 1
        directory_tables.into_log(directory.conn, cursor, heads)
        if secret:
            put = "INSERT INTO told VALUES ('secret', %s) ON CONFLICT (name) DO UPDATE SET value = excluded.value"
            cursor.execute(put, (secret,))


def _move_book(path: Path, cursor: psycopg.Cursor[Any]) -> tuple[int, bytes]:
    head = Head()
    try:
        with Book(path, must_exist=True) as book, cursor.copy(_FACTS) as copy:
            for seq, *row in book.conn.execute(_ROWS):
                head = head.then([tuple(row)])
                if seq != head.cursor:
                    raise DamagedFile(f"the fact number {head.cursor} is not there")
                copy.write_row((path.stem, seq, *row))
    except DamagedFile as error:
        raise DamagedFile(f"{path.name}: {error}") from error
    return head.cursor, head.chain


@contextmanager
def _transaction(url: str) -> Iterator[psycopg.Cursor[Any]]:
    """One transaction of any length on a connection of its own; it ends whole or not at all."""
    try:
        with Connection.connect(**{**options_of(url), "autocommit": False}) as conn:
            listen_for_warnings(conn)
            with conn.cursor() as cursor:
                yield cursor
            conn.commit()
            if conn.warned:
                raise LogAway(conn.warned)
    except psycopg.Error as error:
        fault = fault_of(error)
        if fault is None:
            raise
        raise fault from error
