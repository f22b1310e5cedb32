"""The directory of a server: which device, coach link or code opens which book.

Knows only hashes of secrets; never looks into a book.
"""

import hashlib
import json
import secrets
import sqlite3
from collections.abc import Iterable, Mapping
from contextlib import AbstractContextManager
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from uuid import uuid4

from ..moments import moved
from . import backups, clinics, codes, revocations
from .backups import Backup
from .book import VERSION as BOOK_VERSION
from .book import Book
from .connect import OpenFile, copy_whole, make, open_current, writing
from .faults import DamagedDirectory, DamagedFile, telling_faults
from .revocations import Journal, Revocation
from .speaking import Speaks
from .waiting_tables import forget_files_on_their_way

VERSION = 6  # as many as the directory has steps in migrations.py
TOKEN_BYTES = 32  # of a device's cookie: 256 bits
DIRECTORY = "directory.sqlite"
LINK_BYTES = 24  # of a coach link: 192 bits


@dataclass(frozen=True)
class Device:
    """A phone that opens a book; `cut_off_at` is empty while it may."""

    id: bytes
    book_id: str
    name: str
    created_at: str
    last_seen_at: str
    cut_off_at: str


@dataclass(frozen=True)
class Link:
    """A coach link: read-only, with an end; `profile` says what it leaves out.

    It was opened on `opened_days` different days, last on `opened_on` ("" for never), by the player's clock.
    """

    id: str
    book_id: str
    label: str
    created_at: str
    ends_at: str
    ended_at: str
    profile: dict[str, Any]
    opened_days: int
    opened_on: str

    def is_open(self, now: str) -> bool:
        """Whether the link may be read at `now` (UTC ISO 8601)."""
        return not self.ended_at and now < self.ends_at


class Directory(OpenFile[Speaks]):
    """The open directory of one data folder; use it in a `with` block or close it."""

    def __init__(self, folder: Path, journal: Path | None = None) -> None:
        """Open (or make) the directory of `folder`, the folder too; DamagedDirectory where it is lost or broken.

        `journal` is a second folder for the revocation journal, best on another disk.
        """
        self.folder, self.journal = folder, journal
        self.path = folder / DIRECTORY
        try:
            if not self.path.exists():
                self._begin()
            self.conn = self._file = open_current(self.path, "directory", VERSION)
        except (DamagedFile, sqlite3.DatabaseError) as error:
            raise DamagedDirectory(str(error)) from error

    def new_book(self, now: str, alias: str | None = None, clinic: str = "") -> str:
        """Make an empty book and give its id; ValueError when the alias is taken.

        With a clinic's code it takes one of the code's starts, in the same transaction; ClinicClosed when it has none.
        The file comes first: a book that the directory names has one, whatever ends this process in between.
        """
        if clinic and not clinics.is_open(self.conn, hash_of(clinic), now):
            raise clinics.ClinicClosed
        book_id = str(uuid4())
        self._make_file(book_id)
        try:
            with self.writing():
                if clinic:
                    clinics.use(self.conn, hash_of(clinic), self._see(now))
                query = "INSERT INTO books (id, created_at, alias) VALUES (?, ?, ?) ON CONFLICT (alias) DO NOTHING"
                if not self.conn.execute(query, (book_id, now, alias)).rowcount:
                    raise ValueError(f"there is a book called {alias!r} already")
        except BaseException:
            self._remove_file(book_id)
            raise
        return book_id

    def writing(self, book_id: str = "") -> AbstractContextManager[None]:
        """One transaction, whole or not at all; nobody else writes what belongs to `book_id` meanwhile."""
        return writing(self._file, self.path)

    def open_book(self, book_id: str, read_only: bool = False) -> Book:
        """The book of an id that this directory gave out; DamagedFile when its file is gone, and none is made.

        An empty file in its place would look like a book without balls, and phones would fill it.
        """
        return Book(self.book_path(book_id), read_only, must_exist=True)

    def book_path(self, book_id: str) -> Path:
        """Where a book's file lies."""
        return self.folder / "books" / f"{book_id}.sqlite"

    def book_of_alias(self, alias: str) -> str | None:
        """The id of the book the command line calls by this name."""
        row = self.conn.execute("SELECT id FROM books WHERE alias = ? AND deleted_at IS NULL", (alias,)).fetchone()
        return row["id"] if row else None

    def books(self) -> list[dict[str, Any]]:
        """Every book that was not deleted, oldest first."""
        rows = self.conn.execute("SELECT id, alias, created_at FROM books WHERE deleted_at IS NULL ORDER BY created_at")
        return [dict(row) for row in rows]

    def is_deleted(self, book_id: str) -> bool:
        """Whether the player deleted this book."""
        row = self.conn.execute("SELECT deleted_at FROM books WHERE id = ?", (book_id,)).fetchone()
        return bool(row and row["deleted_at"])

    def delete_book(self, book_id: str, now: str) -> None:
        """Remove a book's file, devices' access, links and codes; only the fact that it was deleted stays."""
        self._close("book_deleted", book_id, "", now)
        self._remove_file(book_id)

    def note_backup(
        self, now: str, problem: str, folder: str, copied: Mapping[str, tuple[int, bytes]] | None = None
    ) -> None:
        """Note how a backup went; `copied` says up to which number and id each book lies in the verified copy."""
        with self.writing():
            backups.note(self.conn, now, problem, folder, copied)

    def last_backup(self) -> Backup | None:
        """How the last backup went, and when the last whole one was taken; None before the first."""
        return backups.last(self.conn)

    def safe_cursor(self, book: Book) -> int:
        """The highest number of a book that lies in a verified copy; 0 when none does."""
        return backups.safe_cursor(self.conn, book)

    def new_device(self, book_id: str, name: str, now: str) -> str:
        """Let a new phone open a book; gives the secret for its cookie, of which only the hash is kept."""
        token = secrets.token_urlsafe(TOKEN_BYTES)
        with self.writing():
            self.conn.execute(
                """INSERT INTO devices (token_hash, id, book_id, name, created_at, last_seen_at)
                VALUES (?, ?, ?, ?, ?, ?)""",
                (hash_of(token), uuid4().bytes, book_id, name, now, now),
            )
        return token

    def device(self, token: str) -> Device | None:
        """The phone a cookie's secret belongs to, cut off or not."""
        row = self.conn.execute("SELECT * FROM devices WHERE token_hash = ?", (hash_of(token),)).fetchone()
        return device_of(row) if row else None

    def devices(self, book_id: str) -> list[Device]:
        """The phones of a book, the first one first."""
        rows = self.conn.execute("SELECT * FROM devices WHERE book_id = ? ORDER BY created_at", (book_id,))
        return [device_of(row) for row in rows]

    def saw_device(self, device_id: bytes, now: str) -> None:
        """Note the day a phone was last seen; once a day is enough, so reading pages rarely writes."""
        with self.writing():
            self.conn.execute("UPDATE devices SET last_seen_at = ? WHERE id = ?", (now, device_id))

    def cut_off(self, book_id: str, device_id: bytes, now: str) -> bool:
        """Shut a phone out at once; False when the book has no such phone."""
        return self._close("phone_cut_off", book_id, device_id.hex(), now)

    def new_link(self, book_id: str, label: str, now: str, ends_at: str, profile: dict[str, Any]) -> str:
        """Make a coach link and give its secret, of which only the hash is kept."""
        token = secrets.token_urlsafe(LINK_BYTES)
        with self.writing():
            self.conn.execute(
                """INSERT INTO links (token_hash, id, book_id, label, created_at, ends_at, profile)
                VALUES (?, ?, ?, ?, ?, ?, ?)""",
                (hash_of(token), str(uuid4()), book_id, label, now, ends_at, json.dumps(profile)),
            )
        return token

    def link(self, token: str) -> Link | None:
        """The coach link of a secret, ended or not."""
        row = self.conn.execute("SELECT * FROM links WHERE token_hash = ?", (hash_of(token),)).fetchone()
        return link_of(row) if row else None

    def links(self, book_id: str) -> list[Link]:
        """The coach links of a book, newest first."""
        rows = self.conn.execute("SELECT * FROM links WHERE book_id = ? ORDER BY created_at DESC", (book_id,))
        return [link_of(row) for row in rows]

    def opened_link(self, link: Link, day: str) -> None:
        """Count a day on which a link was opened, once."""
        if link.opened_on < day:
            with self.writing():
                self.conn.execute(
                    "UPDATE links SET opened_days = opened_days + 1, opened_on = ? WHERE id = ? AND opened_on < ?",
                    (day, link.id, day),
                )

    def end_link(self, book_id: str, link_id: str, now: str) -> bool:
        """End a coach link at once; False when the book has no such link."""
        return self._close("link_ended", book_id, link_id, now)

    def set_recovery(self, book_id: str, code: str, now: str) -> None:
        """Keep the hash of a new recovery sheet's code; the sheet before it opens nothing any more."""
        self._close("sheet_replaced", book_id, hash_of(code).hex(), now)

    def set_joining(self, book_id: str, code: str, now: str, ends_at: str) -> None:
        """Keep the hash of a code that lets one more phone in until `ends_at`; a new one ends the old."""
        with self.writing(book_id):
            self._see(now)
            codes.put_joining(self.conn, hash_of(code), book_id, now, ends_at)

    def use_code(self, code: str, now: str) -> str | None:
        """The book a code opens at `now`; a joining code ends with it, a recovery code stays good until replaced."""
        with self.writing():
            return codes.use(self.conn, hash_of(code), self._see(now))

    def new_clinic(self, code: str, label: str, starts: int, now: str, ends_at: str) -> int:
        """Keep the hash of a code with which so many books may be started until `ends_at`; gives its number."""
        with self.writing():
            self._see(now)
            return clinics.put(self.conn, hash_of(code), label, starts, now, ends_at)

    def clinics(self) -> list[clinics.Clinic]:
        """Every clinic's code that was not ended, the newest first."""
        return clinics.listed(self.conn)

    def end_clinic(self, number: int) -> bool:
        """End a clinic's code at once; False when there is none of that number."""
        with self.writing():
            return clinics.end(self.conn, number)

    def has_recovery(self, book_id: str) -> bool:
        """Whether a recovery sheet was made for a book."""
        return codes.has_recovery(self.conn, book_id)

    def saw(self, now: str) -> None:
        """Note the present as the latest moment seen; what had ended by then stays ended if the clock is set back."""
        with self.writing():
            self._see(now)

    def close_all(self, now: str) -> None:
        """End every coach link and every code: for a copy that cannot tell which were ended since.

        The journal begins anew: its numbers would otherwise stand for other things than in the lost one.
        """
        with self.writing():
            self.conn.execute("UPDATE links SET ended_at = ? WHERE ended_at IS NULL", (now,))
            self.conn.execute("DELETE FROM codes")
            clinics.end_all(self.conn)
            self.conn.execute("UPDATE told SET value = ? WHERE name = 'journal'", (secrets.token_hex(16),))

    def close_again(self, closed: Iterable[Revocation]) -> list[Revocation]:
        """Close in a copy what was closed since it was made; gives what was open. Files of deleted books go."""
        with self.writing():
            was_open = revocations.replay(self.conn, closed)
        self.remove_deleted_files()
        return was_open

    def end_codes_that_are_used_up(self) -> None:
        """End every joining code and clinic's code: how far one was used since a copy was made is not known there."""
        with self.writing():
            codes.end_joining(self.conn)
            clinics.end_all(self.conn)

    def revocation_journal(self) -> Journal:
        """What was closed for good, in its order."""
        return revocations.journal_of(self.conn, self.folder)

    def journal_folders(self) -> list[Path]:
        """Where the journal is copied off to: beside the directory, to the second folder, to the last backup."""
        folder = backups.folder_of_last_finished(self.conn)
        backup = [Path(folder)] if folder and Path(folder).is_dir() else []
        return [self.folder, *([self.journal] if self.journal else []), *backup]

    def copy_off_journal(self) -> list[str]:
        """Bring the journal's files up to date; gives what went wrong, which undoes no closing."""
        return revocations.copy_off(self.revocation_journal(), self.journal_folders())

    def copy_to(self, path: Path) -> None:
        """Write the directory as it is at this moment into a new file, while others may write."""
        copy_whole(self.path, path)

    def copy_book_to(self, book_id: str, path: Path) -> None:
        """Write a book as it is at this moment into a new file, while others may write."""
        copy_whole(self.book_path(book_id), path)

    def remove_deleted_files(self) -> None:
        """Remove the files of deleted books that a kill between the note and the removal left behind."""
        for row in self.conn.execute("SELECT id FROM books WHERE deleted_at IS NOT NULL").fetchall():
            self._remove_file(row["id"])

    def _close(self, what: str, book_id: str, key: str, now: str) -> bool:
        with self.writing(book_id):
            self._see(now)
            done = revocations.close(self.conn, what, book_id, key, now)
            if what == "book_deleted":
                self._delete_facts(book_id)
        if done:
            self.copy_off_journal()
        return done

    def _see(self, now: str) -> str:
        """Take note of a moment, inside the caller's transaction; gives the one that codes are to be judged by.

        A clock found set back would open again what had ended: links that had ended are ended for good, and joining
        codes, good for minutes only, end altogether. A minute back is what setting a clock right may take.
        """
        latest = self.conn.execute("SELECT value FROM told WHERE name = 'latest_moment'").fetchone()[0]
        if latest and moved(latest, minutes=-1) > now:
            self.conn.execute("UPDATE links SET ended_at = ? WHERE ended_at IS NULL AND ends_at <= ?", (now, latest))
            codes.end_joining(self.conn)
            clinics.end_all(self.conn, ended_by=latest)
        elif latest >= now:
            return str(latest)
        self.conn.execute("UPDATE told SET value = ? WHERE name = 'latest_moment'", (now,))
        return now

    def _begin(self) -> None:
        """Make a directory where there are no books yet: over books it would shut every phone out of its own."""
        with telling_faults(self.path):
            for folder in (self.folder, self.folder / "books"):
                folder.mkdir(mode=0o700, parents=True, exist_ok=True)
            if next((self.folder / "books").glob("*.sqlite"), None):
                raise DamagedFile("the directory is not there, though books are")
        make(self.path, "directory", VERSION)

    def _make_file(self, book_id: str) -> None:
        make(self.book_path(book_id), "book", BOOK_VERSION)

    def _delete_facts(self, book_id: str) -> None:
        """Inside the transaction that notes it: nothing here, since the facts go with the file, after it."""

    def _remove_file(self, book_id: str) -> None:
        for ending in ("", "-wal", "-shm"):
            Path(f"{self.book_path(book_id)}{ending}").unlink(missing_ok=True)
        forget_files_on_their_way(self.folder, book_id)


def hash_of(secret: str) -> bytes:
    """What is kept of a secret: enough to know it again, useless to whoever reads the file."""
    return hashlib.sha256(secret.encode(errors="surrogatepass")).digest()


def device_of(row: Any) -> Device:
    """A phone as its row tells of it."""
    return Device(
        row["id"], row["book_id"], row["name"], row["created_at"], row["last_seen_at"], row["cut_off_at"] or ""
    )


def link_of(row: Any) -> Link:
    """A coach link as its row tells of it."""
    return Link(
        row["id"],
        row["book_id"],
        row["label"],
        row["created_at"],
        row["ends_at"],
        row["ended_at"] or "",
        json.loads(row["profile"]),
        row["opened_days"],
        row["opened_on"],
    )
