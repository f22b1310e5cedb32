"""How a host's file of a book follows its log, and how a batch reaches the log before the file.

Knows the tables of a book and the log's words; no database but SQLite. The file keeps the head it has reached.
"""

import sqlite3
from collections.abc import Callable, Sequence
from contextlib import nullcontext
from pathlib import Path
from typing import TypeVar

from .. import derived
from ..connect import chunks, give_room, writing
from ..faults import BusyFile, DamagedFile, StoreFault
from .head import Head, Log, Row
from .numbers import numbers

MOST_TRIES = 20  # of one batch, each time behind what other hosts appended meanwhile
_ALONE_AFTER = 3
_MANY = 1_000
_TABLE = "CREATE TABLE head (cursor INTEGER NOT NULL, chain BLOB NOT NULL) STRICT"
_INSERT = """INSERT INTO facts (seq, id, root, kind, made_at, body, received_at, device)
    VALUES (?, ?, ?, ?, ?, ?, ?, ?)"""

Answer = TypeVar("Answer")


class _Beaten(Exception):
    """Another host appended first."""


def begin(conn: sqlite3.Connection) -> None:
    """Let an empty book's file follow a log."""
    conn.execute(_TABLE)
    conn.execute("INSERT INTO head VALUES (0, x'')")


def end(conn: sqlite3.Connection) -> None:
    """Let a file follow no log any more: it is a book of its own then."""
    conn.execute("DROP TABLE IF EXISTS head")


def head_of(conn: sqlite3.Connection) -> Head:
    """How far a file has come; DamagedFile where it does not say."""
    row = conn.execute("SELECT cursor, chain FROM head").fetchone()
    if row is None:
        raise DamagedFile("the file does not say how far it has followed the log")
    return Head(row["cursor"], row["chain"])


def follow(conn: sqlite3.Connection, path: Path, log: Log, head: Head) -> None:
    """Bring a file up to its log, whose head was `head` just now."""
    own = head_of(conn)
    if own != head:
        if head.cursor - own.cursor > _MANY:
            give_room(conn)
        with writing(conn, path):
            catch_up(conn, log, head)


def fill(conn: sqlite3.Connection, path: Path, log: Log, head: Head) -> None:
    """Bring a new file that nobody else knows up to its log.

    After a fault it is good for nothing: SQLite keeps nothing to go back to, and does not wait for the disk.
    """
    conn.execute("PRAGMA journal_mode=OFF")
    conn.execute("PRAGMA synchronous=OFF")
    give_room(conn)
    with writing(conn, path):
        catch_up(conn, log, head)


def catch_up(conn: sqlite3.Connection, log: Log, head: Head) -> None:
    """Bring a file up to a head of its log inside the caller's transaction.

    A file that has gone another way, because the log was put back to an earlier moment, is emptied and filled again;
    DamagedFile when the log's own facts do not lead to its head.
    """
    own = head_of(conn)
    if own.cursor >= head.cursor and own != head:  # somebody brought the file further, or it went another way
        head = log.head()
    if own == head:
        return
    rows = list(log.after(own.cursor, head.cursor))
    if own.then(rows) != head:
        _empty(conn)
        own, rows = Head(), list(log.after(0, head.cursor))
        if own.then(rows) != head:
            log.head()  # Gone where the book was deleted meanwhile
            raise DamagedFile(f"the log's {len(rows)} facts do not lead to its head {head.cursor}")
    take_in(conn, own.cursor, rows)
    _note(conn, head)
    numbers.followed += len(rows)


def take_in(conn: sqlite3.Connection, cursor: int, rows: Sequence[Row]) -> None:
    """Put rows that follow number `cursor` into a book's tables, inside the caller's transaction."""
    known = _known(conn, {row[1] for row in rows}) if cursor else set()
    conn.executemany(_INSERT, ((seq, *row) for seq, row in enumerate(rows, cursor + 1)))
    derived.refresh(conn, derived.noted([row[:6] for row in rows]), known)


def write_through(
    conn: sqlite3.Connection, path: Path, log: Log, work: Callable[[], tuple[Answer, Sequence[Row], bool]]
) -> Answer:
    """Do `work` in one transaction of a file and append its rows to the log before that is committed.

    `work` gives its answer, its rows, and whether the answer names anything taken: that is said only after a commit of
    the log, also when there is no row, since another host may have shown what a lost server never handed on.
    """
    done: list[Answer] = []
    for attempt in range(MOST_TRIES):
        alone = log.alone() if attempt >= _ALONE_AFTER else nullcontext()
        try:
            with writing(conn, path), alone:
                if attempt:
                    catch_up(conn, log, log.head())
                old = head_of(conn)
                answer, rows, names_taken = work()
                new = old.then(rows)
                if not (log.append(old, new, rows) if rows or names_taken else log.head() == old):
                    raise _Beaten  # what was refused may fit behind what another host took
                done.append(answer)
                if rows:
                    _note(conn, new)
            return answer
        except _Beaten:
            numbers.beaten += 1
        except StoreFault:
            if done:  # the log has it, and a file that could not keep it follows later
                return done[0]
            raise
    raise BusyFile(f"other hosts were first {MOST_TRIES} times")


def _note(conn: sqlite3.Connection, head: Head) -> None:
    conn.execute("UPDATE head SET cursor = ?, chain = ?", (head.cursor, head.chain))


def _empty(conn: sqlite3.Connection) -> None:
    for table in ("facts", *derived.TABLES.values()):
        conn.execute(f"DELETE FROM {table}")


def _known(conn: sqlite3.Connection, roots: set[bytes]) -> set[bytes]:
    found: set[bytes] = set()
    for places, some in chunks(roots):
        query = f"SELECT DISTINCT root FROM facts WHERE root IN ({places})"
        found |= {row["root"] for row in conn.execute(query, some)}
    return found
