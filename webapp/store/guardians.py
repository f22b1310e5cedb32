"""The PIN of a junior's guardian: hashed slowly, five wrong tries, then an hour's wait.

Knows the directory's table of them and nothing of what a PIN lets anybody do.
"""

import hashlib
import hmac
import secrets
import sqlite3

from ..moments import moved

TRIES, WAIT_HOURS = 5, 1
# About a quarter of a second and 16 MB a try (as OWASP advises for scrypt, from memory): there are few PINs.
_COST = {"n": 1 << 14, "r": 8, "p": 5}
_SALT_BYTES = 16


class Barred(Exception):
    """Too many wrong PINs: no other is looked at before `until`."""

    def __init__(self, until: str) -> None:
        super().__init__(until)
        self.until = until


def put(conn: sqlite3.Connection, book_id: str, pin: str, now: str) -> bool:
    """Keep the PIN of a book that has none, inside the caller's transaction; False when it has one."""
    salt = secrets.token_bytes(_SALT_BYTES)
    made = conn.execute(
        """INSERT INTO guardians (book_id, salt, pin_hash, set_at, tries, barred_until) VALUES (?, ?, ?, ?, 0, '')
        ON CONFLICT DO NOTHING""",
        (book_id, salt, _hashed(pin, salt), now),
    )
    return made.rowcount > 0


def has(conn: sqlite3.Connection, book_id: str) -> bool:
    """Whether a book has a guardian's PIN."""
    return conn.execute("SELECT 1 FROM guardians WHERE book_id = ?", (book_id,)).fetchone() is not None


def begin_try(conn: sqlite3.Connection, book_id: str, now: str) -> tuple[bytes, bytes] | None:
    """Count a try, inside a transaction of its own; gives what `fits` asks for, None without a PIN. Barred at the end.

    It is counted before it is looked at, so that many at once are not more than one after the other.
    """
    row = conn.execute("SELECT * FROM guardians WHERE book_id = ?", (book_id,)).fetchone()
    if row is None:
        return None
    if now < row["barred_until"]:
        raise Barred(row["barred_until"])
    tries = row["tries"] + 1
    until = moved(now, hours=WAIT_HOURS) if tries >= TRIES else ""
    conn.execute("UPDATE guardians SET tries = ?, barred_until = ? WHERE book_id = ?", (tries % TRIES, until, book_id))
    return row["salt"], row["pin_hash"]


def fits(pin: str, kept: tuple[bytes, bytes]) -> bool:
    """Whether a PIN is the one that was kept."""
    salt, pin_hash = kept
    return hmac.compare_digest(_hashed(pin, salt), pin_hash)


def end_try(conn: sqlite3.Connection, book_id: str) -> None:
    """Forget the tries that went before a right one."""
    conn.execute("UPDATE guardians SET tries = 0, barred_until = '' WHERE book_id = ?", (book_id,))


def _hashed(pin: str, salt: bytes) -> bytes:
    return hashlib.scrypt(pin.encode(), salt=salt, **_COST)
