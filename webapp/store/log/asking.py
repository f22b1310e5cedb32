"""Asks the directory's tables of a log in the words that its file is asked in.

Knows no table: one thread's statements, each by itself or several in one transaction.
"""

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from typing import Any

from psycopg import Cursor

from .line import Connection, Line, Values
from .wording import named_rows, spoken


class Asking:
    """Speaks as speaking.py says."""

    def __init__(self, line: Line) -> None:
        self._line = line
        self._held: Connection | None = None

    def execute(self, sql: str, values: Values = (), /) -> Cursor[Any]:
        """Run a statement, inside the transaction under way if there is one."""
        reads = sql.lstrip().startswith("SELECT")
        return self._line.run(spoken(sql), values, writes=not reads, conn=self._held, rows=named_rows)

    def executemany(self, sql: str, rows: Iterable[Any], /) -> Cursor[Any]:
        """Run a statement of the transaction under way once for each of these rows of values."""
        assert self._held is not None, "rows are written in a transaction"
        return self._line.many(self._held, spoken(sql), list(rows))

    def close(self) -> None:
        """Nothing stays open between statements: connections are the process's."""

    @contextmanager
    def transaction(self) -> Iterator[None]:
        """One transaction, whole or not at all."""
        with self._line.transaction() as conn:
            self._held = conn
            try:
                yield
            finally:
                self._held = None
