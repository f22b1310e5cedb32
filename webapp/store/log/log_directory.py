"""The directory of many hosts: its tables lie beside the log, its books' files are this host's copies.

Knows what differs from a directory that is a file; every word about phones, links and codes is the same.
"""

from collections.abc import Collection, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from ..book import Book
from ..directory import DIRECTORY, Device, Directory, Link, device_of, hash_of, link_of
from ..faults import telling_faults
from ..waiting_tables import forget_files_on_their_way
from . import copies
from .asking import Asking
from .head import Head
from .line import Line, line_to
from .moving_out import write_book, write_directory
from .open_copy import open_copy
from .postgres_log import PostgresLog
from .postgres_tables import make_current

COPIES = "cache"  # inside a host's data folder: never where the books of a host without a log lie


class LogDirectory(Directory):
    """The directory beside the log of a URL, for the host whose data folder is `folder`."""

    def __init__(self, folder: Path, url: str) -> None:
        """Reach the log, whose tables are made where there are none; LogAway, NewerLog."""
        self.folder, self.journal, self.path = folder, None, folder / DIRECTORY
        with telling_faults(folder):
            for made in (folder, folder / COPIES):
                made.mkdir(mode=0o700, parents=True, exist_ok=True)
        self.line: Line = line_to(url)
        make_current(self.line)
        self._asking = Asking(self.line)
        self._told: dict[str, tuple[bool, Head | None]] = {}
        self.conn = self._asking

    @contextmanager
    def writing(self, book_id: str = "") -> Iterator[None]:
        """One transaction, whole or not at all, alone on every host with what belongs to `book_id`."""
        with self._asking.transaction():
            if book_id:
                self.conn.execute("SELECT 1 FROM books WHERE id = ? FOR UPDATE", (book_id,))
            yield

    def device(self, token: str) -> Device | None:
        """The phone a cookie's secret belongs to; the same query tells how its book stands."""
        row = self._with_its_book("devices", token)
        return device_of(row) if row else None

    def link(self, token: str) -> Link | None:
        """The coach link of a secret; the same query tells how its book stands."""
        row = self._with_its_book("links", token)
        return link_of(row) if row else None

    def open_book(self, book_id: str, read_only: bool = False) -> Book:
        """The book of an id, this host's file brought up to the log first; Gone when it was deleted."""
        _, known = self._told.pop(book_id, (False, None))
        return open_copy(self.book_path(book_id), PostgresLog(self.line, book_id, known), read_only)

    def book_path(self, book_id: str) -> Path:
        """Where this host's copy of a book lies."""
        return self.folder / COPIES / f"{book_id}.sqlite"

    def is_deleted(self, book_id: str) -> bool:
        """Whether the player deleted this book; then what this host holds of it goes too."""
        deleted = self._told[book_id][0] if book_id in self._told else super().is_deleted(book_id)
        if deleted:
            self._remove_file(book_id)
        return deleted

    def journal_folders(self) -> list[Path]:
        """None: the journal lies beside the log and is kept as safe as that."""
        return []

    def copy_to(self, path: Path) -> None:
        """Write the directory into a new file, as a host without a log keeps it."""
        write_directory(self.conn, path)

    def copy_book_to(self, book_id: str, path: Path) -> None:
        """Write a book into a new file, as a host without a log keeps it."""
        write_book(PostgresLog(self.line, book_id), path)

    def remove_deleted_files(self) -> None:
        """Drop this host's copies of books that were deleted on any host."""
        for book_id in copies.sweep(self.folder / COPIES, self._not_there):
            self._remove_file(book_id)

    def _delete_facts(self, book_id: str) -> None:
        self._told.pop(book_id, None)
        self.conn.execute("DELETE FROM facts WHERE book = CAST(? AS uuid)", (book_id,))
        self.conn.execute("UPDATE books SET cursor = 0, chain = '' WHERE id = ?", (book_id,))

    def _with_its_book(self, table: str, token: str) -> Any:
        """A row of a table by its secret; how its book stands is kept for whoever opens that at once."""
        query = f"""SELECT {table}.*, books.deleted_at, books.cursor, books.chain FROM {table}
            JOIN books ON books.id = {table}.book_id WHERE token_hash = ?"""
        row = self.conn.execute(query, (hash_of(token),)).fetchone()
        if row:
            deleted = bool(row["deleted_at"])
            self._told[row["book_id"]] = deleted, None if deleted else Head(row["cursor"], row["chain"])
        return row

    def _not_there(self, book_ids: Collection[str]) -> list[str]:
        query = "SELECT id FROM books WHERE id = ANY(?) AND deleted_at IS NULL"
        there = {row["id"] for row in self.conn.execute(query, (list(book_ids),))}
        return [book_id for book_id in book_ids if book_id not in there]

    def _make_file(self, book_id: str) -> None:
        """A copy is made when the book is first opened here."""

    def _remove_file(self, book_id: str) -> None:
        copies.drop(self.book_path(book_id))
        forget_files_on_their_way(self.folder, book_id)
