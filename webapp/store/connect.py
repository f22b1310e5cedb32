"""How a SQLite file is made, opened, migrated once and written to by one writer at a time; its faults are in faults.py.

Knows no table; what the tables are is said in migrations.py.
"""

import os
import sqlite3
import threading
import time
from collections import defaultdict
from collections.abc import Callable, Collection, Iterator
from contextlib import closing, contextmanager, suppress
from functools import cache
from pathlib import Path
from types import TracebackType
from typing import Generic, Literal, Protocol, Self, TypeVar
from uuid import uuid4

from .faults import DamagedFile as DamagedFile
from .faults import NewerFile, is_busy, look_at_header, telling_faults
from .faults import StoreFault as StoreFault
from .faults import StoreFull as StoreFull

_BUSY_MS = 10_000
_ROOM_KB = 64_000
_MOST_VARIABLES = 500  # in one statement; SQLite may have been built for few
_write_locks: defaultdict[str, threading.Lock] = defaultdict(threading.Lock)
_checked: set[tuple[str, int]] = set()

Which = Literal["book", "directory"]
Settle = Callable[[sqlite3.Connection], None]


class Closes(Protocol):
    """What can be let go."""

    def close(self) -> None:
        """Let it go."""


Conn = TypeVar("Conn", bound=Closes)


class OpenFile(Generic[Conn]):
    """A file held open by `conn` until its `with` block ends or it is closed."""

    conn: Conn
    path: Path

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        """Let the file go."""
        self.conn.close()


def open_current(path: Path, which: Which, version: int, settle: Settle | None = None) -> sqlite3.Connection:
    """A connection that may write to a whole file of this version; an older file is brought up to date first.

    NewerFile: a later program wrote it, and nothing of it was touched. Other faults are those of faults.py.
    """
    look_at_header(path, version)
    conn = connect(path)
    try:
        with telling_faults(path):
            _check_once(conn, path)
            migrate(conn, path, which, version, settle)
    except BaseException:
        conn.close()
        raise
    return conn


def make(path: Path, which: Which, version: int) -> None:
    """Make an empty file of this version, whole before it bears its name; one that is there meanwhile stays.

    Only its owner can read it. An empty file therefore always is damage and never a book that is just being made.
    """
    unfinished = path.with_name(f".{path.name}.{uuid4().hex}")
    with telling_faults(path):
        handle = os.open(unfinished, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600)
        try:
            with open(handle, "wb") as file:
                file.write(_empty(which, version))
                file.flush()
                os.fsync(handle)
            with suppress(FileExistsError):
                os.link(unfinished, path)
        finally:
            unfinished.unlink(missing_ok=True)
        settle_on_disk(path.parent)


@cache
def _empty(which: Which, version: int) -> bytes:
    """The bytes of an empty file of this version; to go through all steps takes far longer than to write them."""
    with closing(sqlite3.connect(":memory:", isolation_level=None)) as conn:
        migrate(conn, Path(which), which, version)
        content = bytearray(conn.serialize())
    content[18:20] = b"\2\2"  # written and read with write-ahead logging (SQLite, "Database File Format", 1.3.3)
    return bytes(content)


def connect(path: Path, read_only: bool = False) -> sqlite3.Connection:
    """An open connection in autocommit mode to a file that is there, durable at every commit.

    `read_only` refuses every write in SQLite itself (coach links); the file must have been migrated before. On a full
    disk, where SQLite finds no room for what it keeps beside the file, the file can still be read.
    """
    try:
        return _connect(path, read_only)
    except StoreFull:
        wal = Path(f"{path}-wal")
        if wal.exists() and wal.stat().st_size:
            raise  # what was written last stands there, and reading without it would show an older book
        return _connect(path, read_only=True, beside="&immutable=1")


def _connect(path: Path, read_only: bool, beside: str = "") -> sqlite3.Connection:
    mode = "ro" if read_only else "rw"
    with telling_faults(path):
        conn = sqlite3.connect(f"{path.resolve().as_uri()}?mode={mode}{beside}", uri=True, isolation_level=None)
        conn.row_factory = sqlite3.Row
        try:
            conn.execute(f"PRAGMA busy_timeout={_BUSY_MS}")
            conn.execute("PRAGMA foreign_keys=ON")
            if not read_only:
                _use_wal(conn)
                conn.execute("PRAGMA synchronous=FULL")
            else:
                conn.execute("SELECT 1 FROM sqlite_master LIMIT 1")
        except BaseException:
            conn.close()
            raise
    return conn


@contextmanager
def writing(conn: sqlite3.Connection, path: Path) -> Iterator[None]:
    """One transaction, whole or not at all; within this process one writer a file, so batches do not starve.

    A fault of faults.py: nothing of this was written.
    """
    with _write_locks[str(path)], telling_faults(path):
        try:
            _begin_writing(conn)
            yield
            conn.execute("COMMIT")
        except BaseException:
            _roll_back(conn)
            raise


def migrate(conn: sqlite3.Connection, path: Path, which: Which, version: int, settle: Settle | None = None) -> None:
    """Bring a file of one kind to a version under its write lock; foreign keys are checked before the commit.

    `settle` then fills the tables that a new version made or changed, in the same transaction.
    """
    found = conn.execute("PRAGMA user_version").fetchone()[0]
    if found > version:
        raise NewerFile(f"{path.name} has version {found}, this program knows {version}")
    if found == version:
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


def give_room(conn: sqlite3.Connection) -> None:
    """Let SQLite hold a whole book in memory while much of it is written: indexes of ids lie all over the file."""
    conn.execute(f"PRAGMA cache_size=-{_ROOM_KB}")


def vouch_for(path: Path, file: Path) -> None:
    """Spare a file that this process has just written the look at its first opening, by the name it is to bear."""
    _checked.add((str(path), file.stat().st_ino))


def doubt(path: Path) -> None:
    """Have a file looked over again at its next opening, because damage was met in it meanwhile."""
    for key in [key for key in _checked if key[0] == str(path)]:
        _checked.discard(key)


def copy_whole(source: Path, copy: Path) -> None:
    """SQLite itself writes the copy in one read transaction, so writers meanwhile neither wait nor show half."""
    if not source.exists():
        raise DamagedFile("the directory lists it, but the file is not there")
    if not source.stat().st_size:
        raise DamagedFile("the file is empty")  # SQLite would begin a file of its own in it
    conn = connect(source)
    try:
        with telling_faults(copy):
            conn.execute("VACUUM INTO ?", (str(copy),))
    finally:
        conn.close()


def settle_on_disk(path: Path) -> None:
    """Return once a file, or the names in a folder, would be found after a power cut too."""
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def chunks(keys: Collection[bytes]) -> Iterator[tuple[str, list[bytes]]]:
    """Keys in their order, as many at once as one statement takes, each time with its question marks."""
    ordered = list(keys)
    for at in range(0, len(ordered), _MOST_VARIABLES):
        some = ordered[at : at + _MOST_VARIABLES]
        yield marks(some), some


def marks(values: Collection[object]) -> str:
    """A question mark for each value."""
    return ", ".join("?" * len(values))


def _check_once(conn: sqlite3.Connection, path: Path) -> None:
    """Let SQLite look a file over at its first opening in this process, so damage is found before a write."""
    key = (str(path), path.stat().st_ino)
    if key in _checked:
        return
    found = conn.execute("PRAGMA quick_check(1)").fetchone()[0]
    if found != "ok":
        raise DamagedFile(found)
    if conn.execute("SELECT 1 FROM sqlite_master WHERE name IN ('facts', 'books') LIMIT 1").fetchone() is None:
        raise DamagedFile("the file holds no table of a book or a directory")
    _checked.add(key)


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


def _begin_writing(conn: sqlite3.Connection) -> None:
    conn.execute("BEGIN IMMEDIATE")


def _roll_back(conn: sqlite3.Connection) -> None:
    with suppress(sqlite3.Error):  # the error that led here is the one to tell
        if conn.in_transaction:
            conn.execute("ROLLBACK")
