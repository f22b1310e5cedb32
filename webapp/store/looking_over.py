"""Looks over a data folder without changing anything: which files cannot be used and why, and how safe they are.

Knows the tables of the directory; opens every file for reading only, and not at all where even that would write.
"""

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path

from . import backups, revocations
from .backups import Backup
from .book import VERSION as BOOK_VERSION
from .directory import DIRECTORY
from .directory import VERSION as DIRECTORY_VERSION
from .faults import DamagedDirectory, DamagedFile, StoreFault, look_at_header, telling_faults


@dataclass(frozen=True)
class Look:
    """What was found: files with their faults, the last backup, how many entries each copy of the journal lacks."""

    books: int
    faults: list[tuple[str, StoreFault]]
    oldest_book_at: str
    last_backup: Backup | None
    journal_lacks: list[tuple[Path, int]]


@dataclass(frozen=True)
class Numbers:
    """What the directory tells of itself: how many books there are, and how the last backup went."""

    books: int
    last_backup: Backup | None


def numbers_of(data: Path) -> Numbers:
    """The numbers of a data folder, from its directory alone; a fault when it cannot be used."""
    with _reading(data / DIRECTORY, DIRECTORY_VERSION) as conn:
        books = conn.execute("SELECT COUNT(*) FROM books WHERE deleted_at IS NULL").fetchone()[0]
        current = conn.execute("PRAGMA user_version").fetchone()[0] == DIRECTORY_VERSION
        return Numbers(int(books), backups.last(conn) if current else None)


def look_over(data: Path) -> Look:
    """Look at every file of a data folder; a fault when the directory itself cannot be used."""
    path = data / DIRECTORY
    try:
        with _reading(path, DIRECTORY_VERSION) as conn:
            rows = conn.execute(
                "SELECT id, created_at FROM books WHERE deleted_at IS NULL ORDER BY created_at"
            ).fetchall()
            current = conn.execute("PRAGMA user_version").fetchone()[0] == DIRECTORY_VERSION
            last = backups.last(conn) if current else None
            journal = revocations.journal_of(conn, data) if current else None
    except DamagedFile as error:
        raise DamagedDirectory(str(error)) from error
    names = {f"{row['id']}.sqlite" for row in rows} | {one.name for one in (data / "books").glob("*.sqlite")}
    faults = [(name, fault) for name in sorted(names) if (fault := _fault_of(data / "books" / name))]
    folders = [data, *([Path(last.folder)] if last and not last.problem and Path(last.folder).is_dir() else [])]
    lacks = [(folder, revocations.lacking(journal, folder)) for folder in folders] if journal else []
    return Look(len(rows), faults, rows[0]["created_at"] if rows else "", last, lacks)


def _fault_of(path: Path) -> StoreFault | None:
    try:
        with _reading(path, BOOK_VERSION) as conn:
            found = conn.execute("PRAGMA quick_check(1)").fetchone()[0]
            if found != "ok":
                return DamagedFile(found)
            if conn.execute("SELECT 1 FROM sqlite_master WHERE name = 'facts'").fetchone() is None:
                return DamagedFile("the file holds no facts")
    except StoreFault as fault:
        return fault
    return None


@contextmanager
def _reading(path: Path, version: int) -> Iterator[sqlite3.Connection]:
    """A connection that reads and leaves no file beside the one it reads, where nobody writes to it."""
    look_at_header(path, version)
    idle = not Path(f"{path}-wal").exists()
    how = "mode=ro&immutable=1" if idle else "mode=ro"
    with telling_faults(path), closing(sqlite3.connect(f"{path.resolve().as_uri()}?{how}", uri=True)) as conn:
        conn.row_factory = sqlite3.Row
        yield conn
