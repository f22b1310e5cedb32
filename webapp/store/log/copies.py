"""The files of a host that follow the log: made, made again when SQLite finds them damaged, dropped, swept.

Knows files. Each copy's name is a link to the file itself, which bears a name of its own: one that is made again takes
the name over in one step, and whoever still has the old one open never meets the new one's log of writes.
"""

import os
import time
from collections.abc import Callable, Collection, Iterator
from contextlib import closing, contextmanager, suppress
from pathlib import Path
from uuid import uuid4

from ..connect import connect, make
from ..faults import Gone
from . import following
from .numbers import numbers

_ENDINGS = ("", "-wal", "-shm")
_LEFT_S = 3600  # a file that no name leads to for so long was left by a kill
_CHUNK = 500


def target_of(path: Path) -> Path | None:
    """The file that a copy's name leads to; None when there is no such name."""
    try:
        return path.with_name(os.readlink(path))
    except OSError:  # it is not there, or no link
        return None


def make_again(path: Path, version: int, before: Path | None) -> None:
    """Give a copy's name to an empty file instead of the one it led to; it is filled when it is next opened.

    Where the name leads elsewhere by now, somebody else was first and nothing is changed.
    """
    target = path.with_name(f"{path.stem}.{uuid4().hex}")
    make(target, "book", version)
    with closing(connect(target)) as conn:
        following.begin(conn)
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
