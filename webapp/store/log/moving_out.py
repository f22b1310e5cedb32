"""Writes what a log holds as the portable folder that a host without a log serves: a file a book, and the directory's.

Knows both sides' tables; nothing of what was asked for a copy.
"""

import shutil
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

from ..book import VERSION
from ..connect import connect, make, settle_on_disk, writing
from ..copying import BackupFailed, DestinationInUse, copied_files
from ..directory import VERSION as DIRECTORY_VERSION
from ..directory import Directory
from ..speaking import Speaks
from . import directory_tables
from .following import take_in
from .head import Log

_SECRET = "secret"


def write_book(log: Log, path: Path) -> None:
    """Make a book's file of all the facts of its log; Gone when it was deleted."""
    head = log.head()
    make(path, "book", VERSION)
    with closing(connect(path)) as conn, writing(conn, path):
        take_in(conn, 0, list(log.after(0, head.cursor)))


def write_directory(log: Speaks, path: Path) -> None:
    """Make the directory's file of what lies beside the log."""
    make(path, "directory", DIRECTORY_VERSION)
    with closing(connect(path)) as conn, writing(conn, path):
        directory_tables.into_file(log, conn)


def move_out(directory: Directory, folder: Path, secret: str) -> Iterator[int]:
    """Write a new data folder and verify it; gives the number of steps, then 1 after each.

    It bears its name only once it is whole. DestinationInUse, BackupFailed: it does not bear it.
    """
    if folder.exists():
        raise DestinationInUse(f"{folder} is there already; nothing was moved. Name a new folder.")
    staged = folder.with_name(f".{folder.name}.moving")
    shutil.rmtree(staged, ignore_errors=True)  # of a run that was killed
    for made in (staged, staged / "books"):
        made.mkdir(mode=0o700, parents=True)
    for step in copied_files(directory, staged):
        if isinstance(step, int):
            yield step
        elif step.problem:
            raise BackupFailed(f"{step.name}: {step.problem}")
    if secret:
        kept = staged / _SECRET
        kept.touch(mode=0o600)
        kept.write_text(secret + "\n")
        settle_on_disk(kept)
    settle_on_disk(staged)
    staged.rename(folder)
    settle_on_disk(folder.parent)
