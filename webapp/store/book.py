"""One player's book: one SQLite file of facts that only grows.

Knows how facts are taken and given out; what is read from them is in reading.py.
"""

import json
import os
import sqlite3
from collections.abc import Callable, Hashable, Iterable, Iterator, Sequence
from contextlib import closing, contextmanager
from dataclasses import dataclass, field
from itertools import islice
from pathlib import Path
from typing import Any

from ..facts import Problem, check
from . import derived
from .connect import DamagedFile, OpenFile, chunks, connect, make, open_current, writing
from .faults import Gone, telling_faults
from .identities import key_of, text_of
from .log import copies, following
from .log.head import Log, Row
from .placing import Known

VERSION = 15  # as many as a book has steps in migrations.py
PIECE = 2000  # facts of a large batch that are looked at together
MOST_REFUSED = 2000  # of a batch that is taken whole; beyond that nobody reads on, and a hostile one fills the memory
_INSERT = "INSERT INTO facts (id, root, kind, made_at, body, received_at, device) VALUES (?, ?, ?, ?, ?, ?, ?)"


Barred = Callable[[dict[str, Any]], Problem | None]


@dataclass
class Taken:
    """The answer to a batch: ids now in the book, refusals with their reason, its newest number, how many were new."""

    taken: list[str] = field(default_factory=list)
    refused: list[dict[str, str]] = field(default_factory=list)
    cursor: int = 0
    n_new: int = 0


class NotWhole(Exception):
    """A batch that was to be taken whole or not at all, and was not: `refused` says what stood in the way."""

    def __init__(self, refused: list[dict[str, str]]) -> None:
        super().__init__(f"{len(refused)} entries could not be taken")
        self.refused = refused


class TooLarge(Exception):
    """A batch that would have made the book's file larger than it may be; nothing of it was taken."""


class Book(OpenFile[sqlite3.Connection]):
    """An open book; use it in a `with` block or close it."""

    def __init__(self, path: Path, read_only: bool = False, must_exist: bool = False, log: Log | None = None) -> None:
        """Open (and, to write, make or migrate) the file at `path`; a fault of faults.py when it cannot be used.

        With `must_exist` no file is made: an empty one in the place of a lost one would look like a book without
        balls, and phones would fill it. With a log the file is this host's copy of it (log/copies.py opens one).
        """
        self.path = path
        self.log = log
        self._rows: list[Row] = []  # taken in the transaction under way
        self.id = path.stem
        self._read: dict[Hashable, Any] | None = None
        if read_only:
            with Book(path, must_exist=must_exist):
                pass  # a read-only door cannot migrate, so the file is brought up to date first
            self.conn = connect(path, read_only=True)
            return
        if not must_exist and not path.exists():
            make(path, "book", VERSION)
        self._open()

    @property
    def cursor(self) -> int:
        """The number of the newest fact; 0 in an empty book."""
        return int(self.conn.execute("SELECT COALESCE(MAX(seq), 0) FROM facts").fetchone()[0])

    def newest(self) -> tuple[int, bytes] | None:
        """The number and the id of the newest fact; None in an empty book."""
        row = self.conn.execute("SELECT seq, id FROM facts ORDER BY seq DESC LIMIT 1").fetchone()
        return (row["seq"], row["id"]) if row else None

    def state(self) -> tuple[int, int, bytes, str]:
        """Which state of which file this is; whatever is made of a book's facts alone is the same for the same state.

        The newest fact alone would not do: of an older copy put back, to which phones sent again what it lacked, it may
        be the same while an earlier one is not. Such a copy is another file, and takes facts at other moments.
        """
        if self.log is not None:
            head = following.head_of(self.conn)
            return (self._stat().st_ino, head.cursor, head.chain, "")
        row = self.conn.execute("SELECT seq, id, received_at FROM facts ORDER BY seq DESC LIMIT 1").fetchone()
        return (self._stat().st_ino, *(row or (0, b"", "")))

    def size_bytes(self) -> int:
        """How large the book's file is."""
        return self._stat().st_size

    def sent_since(self, moment: str, most: int) -> int:
        """How many facts phones have sent since a moment of the server's clock; counted only near or above `most`.

        Facts lie in the order they came: when the one that lies `most` back is older, there are fewer.
        """
        first = self.cursor - most + 1
        row = self.conn.execute("SELECT received_at FROM facts WHERE seq = ?", (first,)).fetchone()
        if row is None or row["received_at"] < moment:
            return 0
        query = "SELECT COUNT(*) FROM facts WHERE received_at >= ? AND device IS NOT NULL"
        return int(self.conn.execute(query, (moment,)).fetchone()[0])

    def holds(self, seq: int, fact_id: bytes) -> bool:
        """Whether the fact of a number is this one."""
        row = self.conn.execute("SELECT id FROM facts WHERE seq = ?", (seq,)).fetchone()
        return row is not None and row["id"] == fact_id

    def has(self, fact_id: bytes) -> bool:
        """Whether a fact lies in the book, by whatever number."""
        return self.conn.execute("SELECT 1 FROM facts WHERE id = ?", (fact_id,)).fetchone() is not None

    def add(
        self,
        raw_facts: Sequence[Any],
        device: bytes | None,
        received_at: str,
        barred: Barred = lambda raw: None,
        then: Callable[[], Sequence[Any]] = tuple,
    ) -> Taken:
        """Take what can be taken of a batch in one transaction; one bad fact never blocks the others.

        A fact already here with the same content is taken again without effect; of others `barred` says what whoever
        brings them may not bring. `then` makes the server's own facts that follow from new ones; they are taken with
        them. On a fault nothing was taken.
        """
        checked = [(raw, check(raw)) for raw in raw_facts]

        def take() -> Taken:
            answer = self._take(checked, device, received_at, barred)
            if answer.n_new:
                self._take([(raw, check(raw)) for raw in then()], None, received_at, barred)
            answer.cursor = self.cursor
            return answer

        return self._written(take)

    def add_whole(
        self,
        raw_facts: Iterable[Any],
        device: bytes | None,
        received_at: str,
        most_bytes: int = 0,
        tell: Callable[[int], None] | None = None,
        then: Callable[[], Sequence[Any]] = tuple,
        barred: Barred = lambda raw: None,
    ) -> Taken:
        """Take every fact of a batch of any size in one transaction, or none: NotWhole when one is refused.

        After `MOST_REFUSED` refusals the rest is not looked at.
        TooLarge when the file would then hold more than `most_bytes` (0: as much as there is room for). `tell` hears
        after each piece how many facts were looked at. `then` makes the facts that follow from those taken; they are
        taken with them.
        """
        if self.log is not None:
            raw_facts = list(raw_facts)  # gone through again when another host is first

        def take() -> Taken:
            answer, seen = Taken(), 0
            pieces = iter(raw_facts)
            while len(answer.refused) < MOST_REFUSED and (some := list(islice(pieces, PIECE))):
                self._take_piece(answer, some, device, received_at, barred)
                seen += len(some)
                if tell:
                    tell(seen)
            if not answer.refused:
                self._take_piece(answer, then(), device, received_at, barred)
            if answer.refused:
                raise NotWhole(answer.refused)
            if most_bytes and self._bytes_with_this() > most_bytes:
                raise TooLarge(self.id)
            answer.cursor = self.cursor
            return answer

        return self._written(take)

    @contextmanager
    def as_of_one_moment(self) -> Iterator[None]:
        """Whatever is read inside is what the book held when the first of it was read; `once` reads it once.

        Inside another such block this one does nothing.
        """
        if self._read is not None:
            yield
            return
        self.conn.execute("BEGIN")
        self._read = {}
        try:
            yield
        finally:
            self._read = None
            self.conn.execute("ROLLBACK")

    def once(self, what: Hashable, read: Callable[[], Any]) -> Any:
        """What was read, read only once as of one moment; whoever gets it must not change it."""
        if self._read is None:
            return read()
        if what not in self._read:
            self._read[what] = read()
        return self._read[what]

    def after(self, cursor: int, limit: int = 500) -> list[dict[str, Any]]:
        """At most `limit` facts that came after number `cursor`, oldest first, each with its number `seq`."""
        rows = self.conn.execute("SELECT * FROM facts WHERE seq > ? ORDER BY seq LIMIT ?", (cursor, limit))
        return [_wire(row) for row in rows]

    def history(self, root: str) -> list[dict[str, Any]]:
        """Every fact of one root in the order they were made."""
        return self.histories([root])

    def histories(self, roots: Iterable[str]) -> list[dict[str, Any]]:
        """Every fact of some roots: root after root as they are named, of each in the order they were made."""
        found: dict[bytes, list[dict[str, Any]]] = {key_of(root): [] for root in roots}
        for marks, some in chunks(found):
            rows = self.conn.execute(f"SELECT * FROM facts WHERE root IN ({marks}) ORDER BY made_at, id", some)
            for row in rows:
                told = {**_wire(row), "received_at": row["received_at"], "device": row["device"]}
                found[row["root"]].append(told)
        return [fact for facts in found.values() for fact in facts]

    def copy_to(self, path: Path) -> None:
        """Write the book as it is at this moment into a new file, while others may write."""
        with telling_faults(path):
            self.conn.execute("VACUUM INTO ?", (str(path),))
            if self.log is not None:
                with closing(connect(path)) as copy:
                    following.end(copy)

    def throw_away(self) -> bool:
        """Have a file that only copies a log made again at its next opening; False for one that is the book itself."""
        if self.log is not None:
            copies.make_again(self.path, VERSION, copies.target_of(self.path))
        return self.log is not None

    def rebuild(self) -> None:
        """Make every derived table again from the facts."""
        with writing(self.conn, self.path):
            derived.rebuild(self.conn)

    def _stat(self) -> os.stat_result:
        """What the file system says of the file; another request may have deleted the book while it is open here."""
        try:
            return self.path.stat()
        except FileNotFoundError as error:
            raise Gone(self.id) if self.log is not None else DamagedFile("the file is gone") from error

    def _open(self) -> None:
        try:
            self.conn = open_current(self.path, "book", VERSION, derived.rebuild)
        except (sqlite3.DatabaseError, ValueError) as error:
            raise DamagedFile(f"a fact cannot be read: {error}") from error
        if self.log is not None:
            self.conn.execute("PRAGMA synchronous=NORMAL")  # a file that lost its end follows the log again

    def _written(self, take: Callable[[], Taken]) -> Taken:
        """Take in one transaction of the file; with a log in its one statement first."""
        if self.log is None:
            with writing(self.conn, self.path):
                return take()

        def work() -> tuple[Taken, list[Row], bool]:
            self._rows = []
            answer = take()
            return answer, self._rows, bool(answer.taken)

        with copies.dropped_when_gone(self.path):
            try:
                return following.write_through(self.conn, self.path, self.log, work)
            except DamagedFile:
                self.close()
                self.throw_away()
                self._open()
                following.follow(self.conn, self.path, self.log, self.log.head())
                return following.write_through(self.conn, self.path, self.log, work)

    def _take_piece(
        self, answer: Taken, some: Sequence[Any], device: bytes | None, received_at: str, barred: Barred
    ) -> None:
        took = self._take([(raw, check(raw)) for raw in some], device, received_at, barred)
        answer.taken += took.taken
        answer.refused += took.refused
        answer.n_new += took.n_new

    def _take(
        self, checked: Sequence[tuple[Any, Problem | None]], device: bytes | None, received_at: str, barred: Barred
    ) -> Taken:
        """Take what fits of facts that were checked by themselves, inside the caller's transaction."""
        known = Known(self.conn, [raw for raw, problem in checked if problem is None])
        answer, rows, new = Taken(), list[Row](), list[derived.Noted]()
        for raw, unsound in checked:
            problem = unsound or known.problem(raw) or (None if known.holds(raw) else barred(raw))
            if problem is None:
                answer.taken.append(raw["id"])
                if row := known.take(raw):
                    rows.append((*row, received_at, device))
                    new.append(derived.Noted(row[0], row[1], row[2], row[3], raw["body"], received_at))
            else:
                answer.refused.append(_refusal(raw, problem))
        self.conn.executemany(_INSERT, rows)
        if self.log is not None:
            self._rows += rows
        derived.refresh(self.conn, new, known.roots)
        answer.n_new = len(rows)
        return answer

    def _bytes_with_this(self) -> int:
        pages, size = (self.conn.execute(f"PRAGMA {name}").fetchone()[0] for name in ("page_count", "page_size"))
        return int(pages * size)


def _wire(row: sqlite3.Row) -> dict[str, Any]:
    return {
        "seq": row["seq"],
        "id": text_of(row["id"]),
        "root": text_of(row["root"]),
        "kind": row["kind"],
        "made_at": row["made_at"],
        "body": json.loads(row["body"]),
    }


def _refusal(raw: Any, problem: Problem) -> dict[str, str]:
    known_as = raw.get("id") if isinstance(raw, dict) else None
    return {
        "id": known_as if isinstance(known_as, str) else "",
        "field": problem.field,
        "code": problem.code,
        "message": problem.message,
    }
