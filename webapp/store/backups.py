"""How backups went, and how far each book lies in a copy that was verified.

Knows the directory's tables of them; copies are made in copying.py.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from .book import Book
from .speaking import Speaks


@dataclass(frozen=True)
class Backup:
    """The last backup that was tried: what went wrong ("" when nothing did), where to, and when one was last whole."""

    tried_at: str
    problem: str
    folder: str
    whole_at: str


def note(
    conn: Speaks, now: str, problem: str, folder: str, copied: Mapping[str, tuple[int, bytes]] | None = None
) -> None:
    """Note how a backup went, inside the caller's transaction; `copied` says how far each book lies in it."""
    conn.execute("INSERT INTO backups (tried_at, problem, folder) VALUES (?, ?, ?)", (now, problem, folder))
    conn.executemany(
        """INSERT INTO copies (book_id, seq, fact_id, copied_at) VALUES (?, ?, ?, ?) ON CONFLICT (book_id)
        DO UPDATE SET seq = excluded.seq, fact_id = excluded.fact_id, copied_at = excluded.copied_at""",
        [(book_id, seq, fact_id, now) for book_id, (seq, fact_id) in (copied or {}).items()],
    )


def last(conn: Speaks) -> Backup | None:
    """How the last backup went, and when the last whole one was taken; None before the first."""
    row = conn.execute("SELECT * FROM backups ORDER BY number DESC LIMIT 1").fetchone()
    whole = conn.execute("SELECT MAX(tried_at) FROM backups WHERE problem = ''").fetchone()[0]
    return Backup(row["tried_at"], row["problem"], row["folder"], whole or "") if row else None


def folder_of_last_finished(conn: Speaks) -> str:
    """Where the last backup lies that made something safe, with or without every book; "" before the first."""
    row = conn.execute(
        """SELECT folder FROM backups WHERE problem = '' OR tried_at IN (SELECT copied_at FROM copies)
        ORDER BY number DESC LIMIT 1"""
    ).fetchone()
    return str(row["folder"]) if row else ""


def safe_cursor(conn: Speaks, book: Book) -> int:
    """The highest number of a book that lies in a verified copy; 0 when none does.

    Numbers are given out again after an older file was put back: the copy counts only while the book's fact of
    that number is the copied one.
    """
    row = conn.execute("SELECT seq, fact_id FROM copies WHERE book_id = ?", (book.id,)).fetchone()
    return int(row["seq"]) if row and book.holds(row["seq"], row["fact_id"]) else 0
