"""How a SQLite file is opened, migrated once and written to by one writer at a time.

Knows no table; what the tables are is said in migrations.py.
"""

import sqlite3
import threading
import time
from collections import defaultdict
from collections.abc import Callable, Collection, Iterator
from contextlib import contextmanager
from pathlib import Path
from types import TracebackType
from typing import Literal, Self

_BUSY_MS = 10_000
_MOST_VARIABLES = 500  # in one statement; SQLite may have been built for few
_write_locks: defaultdict[str, threading.Lock] = defaultdict(threading.Lock)


class DamagedFile(Exception):
    """A file that SQLite cannot read; it is left where it is, untouched."""


class StoreFull(Exception):
    """The disk took no more; the batch was rolled back whole."""


class OpenFile:
    """A file held open by `conn` until its `with` block ends or it is closed."""

    conn: sqlite3.Connection

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        """Let the file go."""
        self.conn.close()


def connect(path: Path, read_only: bool = False) -> sqlite3.Connection:
    """An open connection in autocommit mode, durable at every commit; DamagedFile if it is no database.

    `read_only` refuses every write in SQLite itself (coach links); the file must have been migrated before.
    """
    mode = "ro" if read_only else "rwc"
    conn = sqlite3.connect(f"{path.resolve().as_uri()}?mode={mode}", uri=True, isolation_level=None)
    conn.row_factory = sqlite3.Row
    try:
        conn.execute(f"PRAGMA busy_timeout={_BUSY_MS}")
        conn.execute("PRAGMA foreign_keys=ON")
        if not read_only:
            _use_wal(conn)
            conn.execute("PRAGMA synchronous=FULL")
        else:
            conn.execute("SELECT 1 FROM sqlite_master LIMIT 1")
    except sqlite3.DatabaseError as error:
        conn.close()
        if is_busy(error):
            raise
        raise DamagedFile(str(error)) from error
    return conn


@contextmanager
def writing(conn: sqlite3.Connection, path: Path) -> Iterator[None]:
    """One transaction, whole or not at all; within this process one writer a file, so batches do not starve.

    StoreFull: the disk took no more, and nothing of this was written.
    """
    with _write_locks[str(path)]:
        try:
            conn.execute("BEGIN IMMEDIATE")
            yield
            conn.execute("COMMIT")
        except BaseException as error:
            _roll_back(conn)
            if isinstance(error, sqlite3.Error) and is_full(error):
                raise StoreFull(str(error)) from error
            raise


def migrate(
    conn: sqlite3.Connection,
    path: Path,
    which: Literal["book", "directory"],
    version: int,
    settle: Callable[[sqlite3.Connection], None] | None = None,
) -> None:
    """Bring a file of one kind to a version under its write lock; foreign keys are checked before the commit.

    `settle` then fills the tables that a new version made or changed, in the same transaction.
    """
    if conn.execute("PRAGMA user_version").fetchone()[0] >= version:
        return
    from . import migrations  # what it imports takes long, and most files are up to date

    steps = {"book": migrations.book, "directory": migrations.directory}[which]
    database = migrations.Database(conn, execute_plugins=False)
    conn.execute("PRAGMA foreign_keys=OFF")
    with writing(conn, path):
        if steps.pending(database):
            steps.apply(database)
            if settle is not None:
                settle(conn)
        conn.execute(f"PRAGMA user_version={version}")
        if conn.execute("PRAGMA foreign_key_check").fetchone():
            raise DamagedFile("rows name other rows that are not there")
    conn.execute("PRAGMA foreign_keys=ON")


def chunks(keys: Collection[bytes]) -> Iterator[tuple[str, list[bytes]]]:
    """Keys in their order, as many at once as one statement takes, each time with its question marks."""
    ordered = list(keys)
    for at in range(0, len(ordered), _MOST_VARIABLES):
        some = ordered[at : at + _MOST_VARIABLES]
        yield marks(some), some


def marks(values: Collection[object]) -> str:
    """A question mark for each value."""
    return ", ".join("?" * len(values))


def is_full(error: sqlite3.Error) -> bool:
    """Whether SQLite gave up because the disk (or its page limit) is full."""
    return getattr(error, "sqlite_errorcode", None) == sqlite3.SQLITE_FULL


def is_busy(error: sqlite3.Error) -> bool:
    """Whether another process held the file for too long; nothing is wrong with the file."""
    return getattr(error, "sqlite_errorcode", None) in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED)


def _use_wal(conn: sqlite3.Connection) -> None:
    """Turn a fresh file to write-ahead logging; SQLite itself does not wait when two processes do that at once."""
    give_up = time.monotonic() + _BUSY_MS / 1000
    while True:
        try:
            conn.execute("PRAGMA journal_mode=WAL")
            return
        except sqlite3.OperationalError as error:
            if not is_busy(error) or time.monotonic() > give_up:
                raise
        time.sleep(0.01)


def _roll_back(conn: sqlite3.Connection) -> None:
    if conn.in_transaction:
        conn.execute("ROLLBACK")
