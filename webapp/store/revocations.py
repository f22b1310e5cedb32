"""The revocation journal: what was closed for good, numbered in its order, and copied off at once to other places.

Knows how each kind closes its rows of the directory; finds out nothing about who asked for it.
"""

import fcntl
import json
import os
from collections.abc import Iterable, Iterator
from contextlib import suppress
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from .speaking import Speaks

# What closes each kind: the statements that are run again, as they stand here, on a copy that was restored.
_CLOSES = {
    "book_deleted": (
        "UPDATE books SET deleted_at = :at, alias = NULL WHERE id = :book_id AND deleted_at IS NULL",
        "DELETE FROM links WHERE book_id = :book_id",
        "DELETE FROM codes WHERE book_id = :book_id",
        "DELETE FROM copies WHERE book_id = :book_id",
        "DELETE FROM guardians WHERE book_id = :book_id",
    ),
    "link_ended": ("UPDATE links SET ended_at = :at WHERE id = :key AND book_id = :book_id AND ended_at IS NULL",),
    "phone_cut_off": ("UPDATE devices SET cut_off_at = :at WHERE id = :key_bytes AND book_id = :book_id",),
    # A PIN that was set after the reset stays.
    "pin_reset": ("DELETE FROM guardians WHERE book_id = :book_id AND set_at <= :at",),
    # The key is the hash of the new sheet's code, so that the new sheet works on a restored copy too.
    "sheet_replaced": (
        "DELETE FROM codes WHERE book_id = :book_id AND kind = 'recovery' AND code_hash <> :key_bytes",
        """INSERT INTO codes (code_hash, book_id, kind, created_at)
        SELECT :key_bytes, id, 'recovery', :at FROM books WHERE id = :book_id AND deleted_at IS NULL
        ON CONFLICT DO NOTHING""",
    ),
}


@dataclass(frozen=True)
class Revocation:
    """One thing closed: its number, when, what (a key of `_CLOSES`), whose book, and the id or hash of the thing."""

    number: int
    at: str
    what: str
    book_id: str
    key: str


@dataclass(frozen=True)
class Journal:
    """What a journal's file holds: which journal it is, the folder it was kept in, and its entries."""

    id: str
    folder: str
    revocations: tuple[Revocation, ...]


def close(conn: Speaks, what: str, book_id: str, key: str, now: str) -> bool:
    """Close one thing and note it, inside the caller's transaction; False when there was nothing open to close."""
    one = Revocation(0, now, what, book_id, key)
    if not _run(conn, one):
        return False
    told = {name: value for name, value in asdict(one).items() if name != "number"}
    conn.execute("INSERT INTO revocations (at, what, book_id, key) VALUES (:at, :what, :book_id, :key)", told)
    return True


def replay(conn: Speaks, revocations: Iterable[Revocation]) -> list[Revocation]:
    """Close again, inside the caller's transaction, what a copy holds open; gives what was open.

    The journal of the copy then is this one. Repeating is harmless, so all of it is run, whatever the copy knows.
    """
    told = list(revocations)
    newest_sheets = {one.book_id: one.number for one in told if one.what == "sheet_replaced"}
    run = [one for one in told if one.what != "sheet_replaced" or one.number == newest_sheets[one.book_id]]
    was_open = [one for one in run if one.what in _CLOSES and _run(conn, one)]
    conn.execute("DELETE FROM revocations")
    conn.executemany(
        "INSERT INTO revocations VALUES (:number, :at, :what, :book_id, :key)", [asdict(one) for one in told]
    )
    return was_open


def journal_of(conn: Speaks, folder: Path) -> Journal:
    """The journal as the directory of `folder` holds it."""
    name = conn.execute("SELECT value FROM told WHERE name = 'journal'").fetchone()[0]
    rows = conn.execute("SELECT * FROM revocations ORDER BY number")
    return Journal(name, str(folder.resolve()), tuple(Revocation(**dict(row)) for row in rows))


def copy_off(journal: Journal, folders: Iterable[Path]) -> list[str]:
    """Append to the journal's file in each folder what it lacks; gives what went wrong, in words.

    A folder that is not there is left out: a place on another disk may not be mounted.
    """
    problems = []
    for folder in folders:
        if not folder.is_dir():
            problems.append(f"{folder} is not there")
            continue
        try:
            _append(folder / file_name(journal.id), journal, str(folder.resolve()))
        except OSError as error:
            problems.append(f"{folder}: {error.strerror}")
    return problems


def lacking(journal: Journal, folder: Path) -> int:
    """How many entries of a journal its file in `folder` does not hold."""
    kept = read(folder / file_name(journal.id))
    return len(journal.revocations) - (len(kept.revocations) if kept else 0)


def read(path: Path) -> Journal | None:
    """The journal a file holds, a line cut short by a power cut left out; None when there is none."""
    try:
        lines = [line for line in map(_told, path.read_text().splitlines()) if line is not None]
    except (OSError, UnicodeDecodeError):
        return None
    if not lines or "journal" not in lines[0]:
        return None
    entries = {line["number"]: Revocation(**line) for line in lines[1:] if set(line) == _FIELDS}
    return Journal(lines[0]["journal"], lines[0].get("folder", ""), tuple(entries[at] for at in sorted(entries)))


def file_name(journal_id: str) -> str:
    """What a journal's file is called; a server begun anew has another journal and never adds to this one's file."""
    return f"revocations-{journal_id[:12]}.jsonl"


_FIELDS = set(Revocation.__dataclass_fields__)


def _run(conn: Speaks, one: Revocation) -> bool:
    told: dict[str, Any] = {**asdict(one), "key_bytes": b""}
    with suppress(ValueError):
        told["key_bytes"] = bytes.fromhex(one.key)
    changed = [conn.execute(statement, told).rowcount for statement in _CLOSES[one.what]]
    return any(changed)


def _append(path: Path, journal: Journal, folder: str) -> None:
    """Add the lines that are lacking and wait until they are on the disk; one process at a time."""
    handle = os.open(path, os.O_RDWR | os.O_CREAT | os.O_APPEND, 0o600)
    with os.fdopen(handle, "r+b") as file:
        fcntl.flock(file, fcntl.LOCK_EX)
        kept = read(path)
        if kept is None and os.geteuid() == 0:  # a command run as root must not shut the service out
            os.fchown(handle, path.parent.stat().st_uid, path.parent.stat().st_gid)
        known = {one.number for one in kept.revocations} if kept else set()
        lines = list(_lines(journal, folder, known, begun=kept is not None))
        if not lines:
            return
        file.seek(0, os.SEEK_END)
        if file.tell():
            file.seek(-1, os.SEEK_END)
            if file.read(1) != b"\n":  # the line before was cut short
                lines.insert(0, "")
        file.write("".join(f"{line}\n" for line in lines).encode())
        file.flush()
        os.fsync(file.fileno())


def _lines(journal: Journal, folder: str, known: set[int], begun: bool) -> Iterator[str]:
    if not begun:
        yield json.dumps({"journal": journal.id, "folder": folder})
    yield from (json.dumps(asdict(one)) for one in journal.revocations if one.number not in known)


def _told(line: str) -> dict[str, Any] | None:
    try:
        told = json.loads(line)
    except ValueError:
        return None
    return told if isinstance(told, dict) else None
