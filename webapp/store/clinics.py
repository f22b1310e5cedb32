"""Codes with which the players of a clinic start their books: so many starts, until an end.

Knows the directory's table of them; who may make one is the business of whoever keeps the server.
"""

from dataclasses import dataclass

from .speaking import Speaks

_OPEN = "code_hash = ? AND used < starts AND ends_at > ?"


@dataclass(frozen=True)
class Clinic:
    """A clinic's code: its number, what it was made for, when and until when, how many starts and how many are used."""

    number: int
    label: str
    made_at: str
    ends_at: str
    starts: int
    used: int


class ClinicClosed(Exception):
    """A code that starts no book: it is unknown, its starts are used up, or its end has passed."""


def put(conn: Speaks, code_hash: bytes, label: str, starts: int, now: str, ends_at: str) -> int:
    """Keep a new code's hash, inside the caller's transaction; gives the clinic's number."""
    row = conn.execute(
        "INSERT INTO clinics (code_hash, label, made_at, ends_at, starts) VALUES (?, ?, ?, ?, ?) RETURNING number",
        (code_hash, label, now, ends_at, starts),
    )
    return int(row.fetchone()["number"])


def is_open(conn: Speaks, code_hash: bytes, moment: str) -> bool:
    """Whether a code starts a book at `moment`."""
    return conn.execute(f"SELECT 1 FROM clinics WHERE {_OPEN}", (code_hash, moment)).fetchone() is not None


def use(conn: Speaks, code_hash: bytes, moment: str) -> None:
    """Take one start of a code, inside the transaction that notes the book; ClinicClosed when it has none to give."""
    if not conn.execute(f"UPDATE clinics SET used = used + 1 WHERE {_OPEN}", (code_hash, moment)).rowcount:
        raise ClinicClosed


def listed(conn: Speaks) -> list[Clinic]:
    """Every clinic's code that was not ended, the newest first."""
    rows = conn.execute("SELECT number, label, made_at, ends_at, starts, used FROM clinics ORDER BY number DESC")
    return [Clinic(**dict(row)) for row in rows]


def end(conn: Speaks, number: int) -> bool:
    """End a clinic's code; False when there is none of that number."""
    return conn.execute("DELETE FROM clinics WHERE number = ?", (number,)).rowcount > 0


def end_all(conn: Speaks, ended_by: str = "9") -> None:
    """End every code whose end is not after `ended_by`; all of them unless it is told."""
    conn.execute("DELETE FROM clinics WHERE ends_at <= ?", (ended_by,))
