"""Codes that open a book on another phone: a joining code lets one in, a recovery code is good until it is replaced.

Knows the directory's table of them, where a book has at most one of each kind; of every code only its hash.
"""

from .speaking import Speaks


def put_joining(conn: Speaks, code_hash: bytes, book_id: str, now: str, ends_at: str) -> None:
    """Keep a joining code, inside the caller's transaction; the one before it ends."""
    conn.execute("DELETE FROM codes WHERE book_id = ? AND kind = 'join'", (book_id,))
    conn.execute(
        "INSERT INTO codes (code_hash, book_id, kind, created_at, ends_at) VALUES (?, ?, 'join', ?, ?)",
        (code_hash, book_id, now, ends_at),
    )


def use(conn: Speaks, code_hash: bytes, moment: str) -> str | None:
    """The book that a code opens at `moment`, inside the caller's transaction.

    A joining code ends with it, and only whoever ended it is let in, so that two phones never both use one.
    """
    query = "DELETE FROM codes WHERE code_hash = ? AND kind = 'join' RETURNING book_id, ends_at"
    for row in conn.execute(query, (code_hash,)).fetchall():
        return str(row["book_id"]) if row["ends_at"] > moment else None
    row = conn.execute("SELECT book_id FROM codes WHERE code_hash = ? AND kind = 'recovery'", (code_hash,)).fetchone()
    return str(row["book_id"]) if row else None


def has_recovery(conn: Speaks, book_id: str) -> bool:
    """Whether a recovery sheet was made for a book."""
    query = "SELECT 1 FROM codes WHERE book_id = ? AND kind = 'recovery'"
    return conn.execute(query, (book_id,)).fetchone() is not None


def end_joining(conn: Speaks) -> None:
    """End every joining code."""
    conn.execute("DELETE FROM codes WHERE kind = 'join'")
