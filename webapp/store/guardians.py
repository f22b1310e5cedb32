"""The PIN of a junior's guardian: hashed slowly, five wrong tries, then an hour's wait.

Knows the directory's table of them and nothing of what a PIN lets anybody do.
"""

import hashlib
import hmac
import secrets

from ..moments import moved
from . import revocations
from .directory import Directory, hash_of

TRIES, WAIT_HOURS = 5, 1
# About a quarter of a second and 16 MB a try (as OWASP advises for scrypt, from memory): there are few PINs.
_COST = {"n": 1 << 14, "r": 8, "p": 5}
_SALT_BYTES = 16


class Barred(Exception):
    """Too many wrong PINs: no other is looked at before `until`."""

    def __init__(self, until: str) -> None:
        super().__init__(until)
        self.until = until


def has_pin(directory: Directory, book_id: str) -> bool:
    """Whether a book has a guardian's PIN."""
    return directory.conn.execute("SELECT 1 FROM guardians WHERE book_id = ?", (book_id,)).fetchone() is not None


def set_pin(directory: Directory, book_id: str, pin: str, now: str) -> bool:
    """Keep the PIN of a book that has none; False when it has one."""
    salt = secrets.token_bytes(_SALT_BYTES)
    with directory.writing(book_id):
        made = directory.conn.execute(
            """INSERT INTO guardians (book_id, salt, pin_hash, set_at, tries, barred_until)
            VALUES (?, ?, ?, ?, 0, '') ON CONFLICT DO NOTHING""",
            (book_id, salt, _hashed(pin, salt), now),
        )
    return made.rowcount > 0


def is_right(directory: Directory, book_id: str, pin: str, now: str) -> bool:
    """Whether this is the guardian's PIN; Barred after too many wrong ones.

    A try is counted before it is looked at, so that many at once are not more than one after the other.
    """
    with directory.writing(book_id):
        row = directory.conn.execute("SELECT * FROM guardians WHERE book_id = ?", (book_id,)).fetchone()
        if row is None:
            return False
        if now < row["barred_until"]:
            raise Barred(row["barred_until"])
        tries = row["tries"] + 1
        _note(directory, book_id, tries % TRIES, moved(now, hours=WAIT_HOURS) if tries >= TRIES else "")
    if not hmac.compare_digest(_hashed(pin, row["salt"]), row["pin_hash"]):
        return False
    with directory.writing(book_id):
        _note(directory, book_id, 0, "")
    return True


def reset(directory: Directory, book_id: str, code: str, now: str) -> bool:
    """End the guardian's PIN with the code of the book's recovery sheet; False when it is not that code."""
    query = "SELECT 1 FROM codes WHERE code_hash = ? AND book_id = ? AND kind = 'recovery'"
    if directory.conn.execute(query, (hash_of(code), book_id)).fetchone() is None:
        return False
    with directory.writing(book_id):
        done = revocations.close(directory.conn, "pin_reset", book_id, "", now)
    directory.copy_off_journal()
    return done


def _note(directory: Directory, book_id: str, tries: int, barred_until: str) -> None:
    query = "UPDATE guardians SET tries = ?, barred_until = ? WHERE book_id = ?"
    directory.conn.execute(query, (tries, barred_until, book_id))


def _hashed(pin: str, salt: bytes) -> bytes:
    return hashlib.scrypt(pin.encode(), salt=salt, **_COST)
