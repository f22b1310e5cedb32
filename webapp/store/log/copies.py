"""The files of a host that follow the log: made, made again when SQLite finds them damaged, dropped, swept.

Knows files. Each copy's name is a link to the file itself, which bears a name of its own: one that is made again takes
the name over in one step, and whoever still has the old one open never meets the new one's log of writes.
"""

import os
import sqlite3
import threading
import time
from collections import defaultdict
from collections.abc import Callable, Collection, Iterator
from contextlib import closing, contextmanager, suppress
from pathlib import Path
from uuid import uuid4

from ..connect import connect, make, settle_on_disk, vouch_for
from ..faults import Gone
from . import following
from .numbers import numbers

_ENDINGS = ("", "-wal", "-shm")
_LEFT_S = 3600  # a file that no name leads to for so long was left by a kill
_CHUNK = 500
Fill = Callable[[sqlite3.Connection, Path], None]
_making: defaultdict[str, threading.Lock] = defaultdict(threading.Lock)


def target_of(path: Path) -> Path | None:
    """The file that a copy's name leads to; None when there is no such name."""
    try:
        return path.with_name(os.readlink(path))
    except OSError:  # it is not there, or no link
        return None


def make_again(path: Path, version: int, before: Path | None, fill: Fill = lambda conn, file: None) -> None:
    """Give a copy's name to a new file instead of the one it led to, once `fill` has filled it.

    Where the name leads elsewhere by now, somebody else was first and nothing is changed. In this process whoever asks
    for the same copy meanwhile waits for it: a phone asks for a dozen pages at once.
    """
    with _making[str(path)]:
        if target_of(path) == before:
            _put(path, _made(path, version, fill), before)


def _made(path: Path, version: int, fill: Fill) -> Path:
    """A file without a name yet, on the disk; nothing is left of it when it cannot be filled."""
    target = path.with_name(f"{path.stem}.{uuid4().hex}")
    make(target, "book", version)
    try:
        with closing(connect(target)) as conn:
            following.begin(conn)
            fill(conn, target)
        settle_on_disk(target)
    except BaseException:
        _remove(target)
        raise
    vouch_for(path, target)
    return target


def _put(path: Path, target: Path, before: Path | None) -> None:
    name = path.with_name(f".{target.name}")
    name.symlink_to(target.name)
    if target_of(path) == before:
        if before or path.is_file():
            name.replace(path)
            numbers.healed += 1
            if before:
                _remove(before)
            return
        with suppress(FileExistsError):
            os.link(name, path, follow_symlinks=False)
            name.unlink()
            return
    name.unlink()
    _remove(target)


def drop(path: Path) -> None:
    """Remove a copy."""
    target = target_of(path)
    path.unlink(missing_ok=True)
    if target:
        _remove(target)


@contextmanager
def dropped_when_gone(path: Path) -> Iterator[None]:
    """Remove a copy when its book turns out to be deleted on some host while it is used here."""
    try:
        yield
    except Gone:
        drop(path)
        raise


def sweep(folder: Path, of_deleted: Callable[[Collection[str]], Collection[str]]) -> list[str]:
    """Drop the copies of the books that `of_deleted` finds among those named, and what a kill left; gives their ids."""
    names = sorted(path.stem for path in folder.glob("*.sqlite"))
    gone = [one for at in range(0, len(names), _CHUNK) for one in of_deleted(names[at : at + _CHUNK])]
    for book_id in gone:
        drop(folder / f"{book_id}.sqlite")
    led_to = {target_of(path) for path in folder.glob("*.sqlite")}
    for path in folder.glob("*.????????????????????????????????"):
        with suppress(FileNotFoundError):
            if path not in led_to and time.time() - path.lstat().st_mtime > _LEFT_S:
                _remove(path)
    return gone


def _remove(target: Path) -> None:
    for ending in _ENDINGS:
        Path(f"{target}{ending}").unlink(missing_ok=True)
