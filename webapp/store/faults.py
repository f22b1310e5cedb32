"""Why a file of the store cannot be used: damaged, full, read-only, newer, not permitted or busy, each told apart.

Knows SQLite's codes and the disk's; knows no table and no sentence for a player.
"""

import errno
import os
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

_UNREADABLE = (sqlite3.SQLITE_IOERR_READ, sqlite3.SQLITE_IOERR_SHORT_READ)
# Before SQLite reads a file it needs room beside it: a shared index of 32 kB and some pages.
_LEAST_FREE_BYTES = 65_536
_LOOKS = 5  # at a file before it is called damaged
_looked: dict[Path, tuple[int, ...]] = {}  # how each file was that was looked at and found good
_MOST_LOOKED = 10_000


class StoreFault(Exception):
    """A file of the store that cannot be used as it was asked; nothing of it was changed."""

    def __init__(self, words: str = "") -> None:
        super().__init__(" ".join(words.split()))  # SQLite tells some damage over several lines


class DamagedFile(StoreFault):
    """A file that is missing, empty, no database, or that SQLite finds broken; it is left as it is."""


class DamagedDirectory(DamagedFile):
    """The directory of the server is damaged, so no book can be found."""


class StoreFull(StoreFault):
    """The disk took no more; what was being written was left out whole."""


class ReadOnlyStore(StoreFault):
    """The disk can be read and not written to."""


class NewerFile(StoreFault):
    """A later version of this program wrote the file; this one reads and writes nothing of it."""


class NewerLog(NewerFile):
    """A later version of this program made the tables of the log; this one reads and writes nothing of them."""


class NotPermitted(StoreFault):
    """The program may not read or write the file: its owner or mode is wrong."""


class BusyFile(StoreFault):
    """Another process held the file for too long, or the system could not open it now; nothing is wrong with it."""


class LogAway(StoreFault):
    """The log that many hosts share cannot be reached, or did not say in time that it keeps what was written."""


class Gone(StoreFault):
    """The log holds no such book, or the player deleted it."""


@contextmanager
def telling_faults(path: Path) -> Iterator[None]:
    """Raise what SQLite or the system says about the file at `path` as the fault it is."""
    try:
        yield
    except (sqlite3.Error, OSError) as error:
        fault = fault_of(error, path)
        if fault is None:
            raise
        raise fault from error


def fault_of(error: Exception, path: Path) -> StoreFault | None:
    """The fault behind an error of SQLite or the system; None when the program itself is wrong."""
    if isinstance(error, OSError):
        return _by_number(error)
    code = getattr(error, "sqlite_errorcode", None)
    if code is None:  # Python's own: it could not decode what a damaged page holds
        return DamagedFile(str(error)) if "decode" in str(error) else None
    kind = code & 0xFF  # SQLite's extended codes hold the plain one in their lowest byte
    if kind in (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB) or code in _UNREADABLE:
        return DamagedFile(str(error))
    if kind == sqlite3.SQLITE_FULL:
        return StoreFull(str(error))
    if is_busy(error):
        return BusyFile(str(error))
    if kind in (sqlite3.SQLITE_READONLY, sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_PERM, sqlite3.SQLITE_IOERR):
        return _by_the_disk(path, str(error), kind)
    return None


def is_busy(error: Exception) -> bool:
    """Whether another process held the file for too long; nothing is wrong with the file."""
    code = getattr(error, "sqlite_errorcode", None)
    busy = (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED, sqlite3.SQLITE_PROTOCOL)
    return code is not None and code & 0xFF in busy


def look_at_header(path: Path, newest_version: int) -> None:
    """Refuse what is no database or too new before SQLite opens it for writing, which may write beside a file.

    SQLite itself reads it, without locks: a plain open and close would drop the locks that other connections of this
    process hold on the file (SQLite, "How To Corrupt An SQLite Database File", 2.2). A file that nothing was written
    to since is not looked at again.
    """
    try:
        told = path.stat()
    except FileNotFoundError as error:
        raise DamagedFile("the file is not there") from error
    except OSError as error:
        raise _by_number(error) or DamagedFile(str(error)) from error
    if not told.st_size:
        raise DamagedFile("the file is empty")
    seen = told.st_dev, told.st_ino, told.st_mtime_ns, told.st_size, newest_version
    if _looked.get(path) == seen:
        return
    version = _version(path)
    if version is not None and version > newest_version:
        raise NewerFile(f"{path.name} has version {version}, this program knows {newest_version}")
    if len(_looked) >= _MOST_LOOKED:
        _looked.clear()
    _looked[path] = seen


def _version(path: Path, looks: int = _LOOKS) -> int | None:
    """The version of a file; None where only SQLite with the file's log can tell.

    The look takes no locks, so the file may be half-way: another process is copying its log into it, or stopped in that
    on a full disk. With the log it is whole. A process that ended its copying before the log was looked for has taken
    the log away and left a whole file: the next look finds it.
    """
    try:
        return _version_without_its_log(path)
    except DamagedFile:
        if _holds_bytes(Path(f"{path}-wal")):
            return None
        if looks == 1:
            raise
    return _version(path, looks - 1)


def _version_without_its_log(path: Path) -> int:
    address = f"{path.resolve().as_uri()}?mode=ro&immutable=1"
    with telling_faults(path), closing(sqlite3.connect(address, uri=True)) as conn:
        conn.execute("SELECT 1 FROM sqlite_master LIMIT 1").fetchone()
        return int(conn.execute("PRAGMA user_version").fetchone()[0])


def _holds_bytes(path: Path) -> bool:
    try:
        return path.stat().st_size > 0
    except FileNotFoundError:
        return False


def _by_number(error: OSError) -> StoreFault | None:
    if error.errno in (errno.EACCES, errno.EPERM):
        return NotPermitted(str(error))
    if error.errno == errno.EROFS:
        return ReadOnlyStore(str(error))
    if error.errno in (errno.ENOSPC, errno.EDQUOT):
        return StoreFull(str(error))
    if error.errno in (errno.EIO, errno.EFBIG):
        return BusyFile(str(error))
    return None


def _by_the_disk(path: Path, words: str, kind: int) -> StoreFault:
    """What SQLite leaves open: it says "unable to open" and "disk I/O error" for a full and a read-only disk alike."""
    there = path.parent if path.parent.exists() else Path("/")
    disk = os.statvfs(there)
    if disk.f_flag & os.ST_RDONLY:
        return ReadOnlyStore(words)
    if disk.f_bavail * disk.f_frsize < _LEAST_FREE_BYTES or (disk.f_files and not disk.f_favail):
        return StoreFull(words)
    if not path.exists():
        return DamagedFile("the file is not there")
    if not all(os.access(one, os.R_OK | os.W_OK) for one in (path, there)):
        return NotPermitted(words)
    if kind == sqlite3.SQLITE_READONLY:
        return ReadOnlyStore(words)
    return BusyFile(words)
