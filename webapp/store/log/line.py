"""The way of a process to PostgreSQL: pooled connections, each statement watched over and tried again once.

Knows no table. Whatever goes wrong comes as a fault of the store; while nothing answers that is said at once.
"""

import os
import threading
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from functools import lru_cache
from typing import Any

import psycopg
from psycopg.conninfo import conninfo_to_dict
from psycopg.rows import tuple_row
from psycopg_pool import ConnectionPool

from ..faults import LogAway
from .breaker import Breaker
from .numbers import numbers
from .postgres_faults import fault_of, is_of_the_line
from .watchdog import MOST_S, Watchdog

Values = Sequence[Any] | Mapping[str, Any]
CONNECTIONS = 8
_LOOKING_S = 1.5  # how long who looks whether PostgreSQL is back waits for a connection
_DEFAULTS = {"connect_timeout": 3, "keepalives_idle": 10, "keepalives_interval": 5, "keepalives_count": 3}
_lines: dict[tuple[int, str], "Line"] = {}
_making = threading.Lock()


def line_to(url: str) -> "Line":
    """The one way of this process to a log; a process that was forked off gets its own."""
    with _making:
        key = os.getpid(), url
        if key not in _lines:
            _lines[key] = Line(url)
        return _lines[key]


@lru_cache(maxsize=1)
def _watchdog_of(_process: int) -> Watchdog:
    return Watchdog()


def options_of(url: str) -> dict[str, Any]:
    """What a URL says, and our limits where it says nothing; psycopg.ProgrammingError when it is no URL."""
    return {**_DEFAULTS, **conninfo_to_dict(url), "autocommit": True, "prepare_threshold": 0}


class Connection(psycopg.Connection[Any]):
    """A connection that keeps the last warning of its server: success alone does not mean that a standby has it."""

    warned = ""


class Line:
    """Statements in autocommit mode, or in one transaction."""

    def __init__(self, url: str) -> None:
        self.url = url
        self.is_current = False  # whether this process has seen that the tables are those it knows
        self._options = options_of(url)
        self._lock = threading.Lock()
        self._pool: ConnectionPool[Connection] | None = None
        self._watchdog = _watchdog_of(os.getpid())
        self._reading, self._writing = Breaker(), Breaker()

    def reach(self) -> None:
        """See whether PostgreSQL lets this host in; LogAway says at once why not, as the pool does not."""
        try:
            Connection.connect(**self._options).close()
        except psycopg.Error as error:
            raise LogAway(" ".join(str(error).split())) from error

    def run(
        self,
        sql: str,
        values: Values = (),
        writes: bool = False,
        conn: Connection | None = None,
        rows: Any = tuple_row,
        binary: bool = False,
    ) -> psycopg.Cursor[Any]:
        """Run a statement, on the connection of a transaction when one is named; its cursor holds all its rows.

        A broken connection is left for another one once, so a statement that writes must be safe to repeat.
        """
        if conn is not None:
            return self._watched(conn, sql, values, rows, binary)
        for again in (True, False):
            with self._borrowed(writes) as (pool, lent):
                try:
                    return self._watched(lent, sql, values, rows, binary)
                except _Broken as error:
                    self._renew(pool)
                    if not again:
                        raise LogAway(str(error)) from error
        raise AssertionError

    @contextmanager
    def transaction(self) -> Iterator[Connection]:
        """One transaction; it is there once the block has ended without a fault."""
        for again in (True, False):
            with self._borrowed(writes=True) as (pool, conn):
                try:
                    self._watched(conn, "BEGIN")
                except _Broken as error:
                    self._renew(pool)
                    if again:
                        continue
                    raise LogAway(str(error)) from error
                try:
                    yield conn
                    if conn.info.transaction_status != psycopg.pq.TransactionStatus.IDLE:
                        self._watched(conn, "COMMIT")
                except _Broken as error:
                    self._renew(pool)
                    raise LogAway(str(error)) from error
                finally:
                    if conn.info.transaction_status != psycopg.pq.TransactionStatus.IDLE:
                        with suppress(psycopg.Error):
                            conn.execute("ROLLBACK")
                return

    def commit(self, conn: Connection) -> None:
        """End a transaction before its block ends."""
        self._watched(conn, "COMMIT")

    def many(self, conn: Connection, sql: str, rows: Sequence[Any]) -> psycopg.Cursor[Any]:
        """Run a statement of a transaction once for each of these rows of values."""
        with self._watchdog.over(conn), self._telling(conn):
            cursor = conn.cursor()
            cursor.executemany(sql, rows)
            return cursor

    def close(self) -> None:
        """Let every connection go; who asks for this log again gets a new way to it."""
        self._renew(self._pool)
        with _making:
            _lines.pop((os.getpid(), self.url), None)

    def _watched(
        self, conn: Connection, sql: str, values: Values = (), rows: Any = tuple_row, binary: bool = False
    ) -> psycopg.Cursor[Any]:
        conn.warned = ""
        with self._watchdog.over(conn), self._telling(conn):
            cursor = conn.cursor(row_factory=rows, binary=binary)
            cursor.execute(sql, values, prepare=None if values else False)
        if conn.warned:
            raise LogAway(conn.warned)
        return cursor

    @contextmanager
    def _telling(self, conn: Connection) -> Iterator[None]:
        """Raise an error of PostgreSQL as a fault, or as a broken line where another connection may do."""
        try:
            yield
        except psycopg.Error as error:
            if is_of_the_line(error) and not self._watchdog.has_told(conn):
                raise _Broken(str(error)) from error
            fault = fault_of(error)
            if fault is None:
                raise
            raise fault from error

    @contextmanager
    def _borrowed(self, writes: bool) -> Iterator[tuple[ConnectionPool[Connection], Connection]]:
        """A connection of the pool; both breakers hear how it went."""
        try:
            known = self._reading.ask(_LOOKING_S + MOST_S)
            if writes:
                self._writing.ask(MOST_S + MOST_S)
        except LogAway:
            numbers.away += 1
            raise
        pool = self._opened_pool()
        try:
            conn = pool.getconn(MOST_S if known else _LOOKING_S)
        except psycopg.Error as error:
            numbers.away += 1
            self._reading.failed(str(error))
            raise LogAway(str(error)) from error
        try:
            yield pool, conn
        except LogAway as away:
            numbers.away += 1
            (self._writing if writes else self._reading).failed(str(away))
            if conn.closed:
                self._reading.failed(str(away))
                self._renew(pool)
            raise
        else:
            self._reading.well()
            if writes:
                self._writing.well()
        finally:
            pool.putconn(conn)

    def _opened_pool(self) -> ConnectionPool[Connection]:
        with self._lock:
            if self._pool is None:
                self._pool = ConnectionPool(
                    kwargs=self._options,
                    connection_class=Connection,
                    min_size=0,
                    max_size=CONNECTIONS,
                    reconnect_timeout=1.0,  # then it gives up, and the next who asks makes it try again
                    configure=listen_for_warnings,
                    open=True,
                )
            return self._pool

    def _renew(self, pool: ConnectionPool[Connection] | None) -> None:
        """Leave a pool of which one connection was broken: after a failover all of them are."""
        with self._lock:
            if pool is None or self._pool is not pool:
                return
            self._pool = None
        threading.Thread(target=pool.close, daemon=True).start()  # it waits for its own threads


class _Broken(Exception):
    """The connection broke under a statement."""


def listen_for_warnings(conn: Connection) -> None:
    """Have a connection keep what its server warns of: a cancelled wait for a standby ends as if all were well."""

    def hear(told: psycopg.errors.Diagnostic) -> None:
        if told.sqlstate == "01000":
            conn.warned = told.message_primary or "a warning"

    conn.add_notice_handler(hear)
