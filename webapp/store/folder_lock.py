"""Who works in a data folder: servers and commands side by side, a restore alone.

Knows no file of the store but its own; the lock goes with the process that holds it, however that ends.
"""

import fcntl
import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from .faults import telling_faults

_FILE = "in-use"


class FolderInUse(Exception):
    """A server or a command works in the folder, or a restore is putting another in its place."""


@contextmanager
def side_by_side(folder: Path) -> Iterator[None]:
    """Work in a folder with others; FolderInUse while it is being restored."""
    with _locked(folder, fcntl.LOCK_SH):
        yield


@contextmanager
def alone(folder: Path) -> Iterator[None]:
    """Work in a folder with nobody else; FolderInUse while a server or a command does."""
    with _locked(folder, fcntl.LOCK_EX):
        yield


@contextmanager
def _locked(folder: Path, kind: int) -> Iterator[None]:
    with telling_faults(folder):
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        handle = os.open(folder / _FILE, os.O_RDWR | os.O_CREAT, 0o600)
    try:
        try:
            fcntl.flock(handle, kind | fcntl.LOCK_NB)
        except BlockingIOError as error:
            raise FolderInUse(str(folder)) from error
        yield
    finally:
        os.close(handle)
