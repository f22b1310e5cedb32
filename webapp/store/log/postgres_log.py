"""The log of one book in PostgreSQL: its head, its facts in order, and batches appended behind a head.

Knows the tables of books and facts; what a fact means is not its business.
"""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Any

from ..faults import Gone
from .head import Head, Row
from .line import Connection, Line
from .numbers import numbers

_PIECE = 5_000  # facts that are fetched at once
_HEAD = "SELECT cursor, chain FROM books WHERE id = %s AND deleted_at IS NULL"
_AFTER = """SELECT id, root, kind, made_at, body, received_at, device FROM facts
    WHERE book = %s::uuid AND seq > %s AND seq <= %s ORDER BY seq"""
_WON = """UPDATE books SET cursor = %(cursor)s, chain = %(chain)s
    WHERE id = %(book)s AND cursor = %(old)s AND chain = %(old_chain)s AND deleted_at IS NULL"""
_INTO = f"""WITH won AS ({_WON} RETURNING id::uuid AS book)
    INSERT INTO facts (book, seq, id, root, kind, made_at, body, received_at, device)"""
_APPEND = f"""{_INTO}
    SELECT won.book, %(old)s + n, one.id, one.root, one.kind, one.made_at, one.body, one.received_at, one.device
    FROM won, unnest(%(id)b::bytea[], %(root)b::bytea[], %(kind)b::text[], %(made_at)b::text[], %(body)b::text[],
        %(received_at)b::text[], %(device)b::bytea[])
        WITH ORDINALITY AS one(id, root, kind, made_at, body, received_at, device, n)"""
# Most batches are one ball; to make arrays of it takes a host a third of the statement's time.
_APPEND_ONE = f"""{_INTO}
    SELECT won.book, %(old)s + 1, %(id)b::bytea, %(root)b::bytea, %(kind)b::text, %(made_at)b::text, %(body)b::text,
        %(received_at)b::text, %(device)b::bytea FROM won"""
_COLUMNS = ("id", "root", "kind", "made_at", "body", "received_at", "device")


class PostgresLog:
    """The log of one book; `known` is its head as another query told it just now."""

    def __init__(self, line: Line, book_id: str, known: Head | None = None) -> None:
        self._line, self._book_id, self._known = line, book_id, known
        self._held: Connection | None = None

    def head(self) -> Head:
        """How far the log is; Gone when the book was deleted."""
        known, self._known = self._known, None
        return known or self._asked(_HEAD)

    def after(self, cursor: int, upto: int) -> Iterator[Row]:
        """The facts that came after a number, up to another, in their order."""
        for at in range(cursor, upto, _PIECE):
            asked = (self._book_id, at, min(at + _PIECE, upto))
            yield from self._line.run(_AFTER, asked, conn=self._held, binary=True)

    def append(self, old: Head, new: Head, rows: Sequence[Row]) -> bool:
        """Add rows behind `old` in one statement; False, and nothing added, when another host was first."""
        asked: dict[str, Any] = {
            "book": self._book_id, "cursor": new.cursor, "chain": new.chain, "old": old.cursor, "old_chain": old.chain,
        }  # fmt: skip
        statement = _WON
        if len(rows) == 1:
            statement = _APPEND_ONE
            asked |= dict(zip(_COLUMNS, rows[0], strict=True))
        elif rows:
            statement = _APPEND
            asked |= dict(zip(_COLUMNS, map(list, zip(*rows, strict=True)), strict=True))
        put = self._line.run(statement, asked, writes=True, conn=self._held).rowcount > 0
        if not put and rows and self._asked(_HEAD) == new:
            # A connection broke after these very rows were taken: they are there, and still wait for their commit.
            return self.append(new, new, ())
        if put and self._held is not None:
            self._line.commit(self._held)
        numbers.appended += len(rows) if put else 0
        return put

    @contextmanager
    def alone(self) -> Iterator[None]:
        """Hold the book's row, so that no other host appends inside."""
        with self._line.transaction() as conn:
            self._held = conn
            try:
                self._asked(f"{_HEAD} FOR UPDATE")
                yield
            finally:
                self._held = None

    def _asked(self, query: str) -> Head:
        row = self._line.run(query, (self._book_id,), conn=self._held, binary=True).fetchone()
        if row is None:
            raise Gone(self._book_id)
        return Head(*row)
