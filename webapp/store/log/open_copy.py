"""Opens the book of a log as this host's file holds it, brought up to the log first.

Knows when a file is thrown away: its book was deleted, or SQLite or a newer program says that it cannot be used.
"""

import sqlite3
from functools import partial
from pathlib import Path

from ..book import VERSION, Book
from ..connect import connect
from ..faults import BusyFile, DamagedFile, NewerFile, fault_of
from . import copies, following
from .head import Head, Log

_TRIES = 3


def open_copy(path: Path, log: Log, read_only: bool = False) -> Book:
    """The book of a log, its file on this host brought up to it; Gone when it was deleted, and the file goes too."""
    with copies.dropped_when_gone(path):
        return _open_copy(path, log, read_only)


def _open_copy(path: Path, log: Log, read_only: bool) -> Book:
    for _ in range(_TRIES):
        head = log.head()
        file = copies.target_of(path)
        if file is not None and file.exists():
            try:
                return _opened(path, log, head, read_only)
            except (DamagedFile, NewerFile, FileNotFoundError):
                pass  # where the book was deleted meanwhile, its head tells so next
            except BusyFile:
                if copies.target_of(path) == file:
                    raise
                continue  # somebody else made it again meanwhile
        copies.make_again(path, VERSION, file, partial(following.fill, log=log, head=head))
    return _opened(path, log, log.head(), read_only)


def _opened(path: Path, log: Log, head: Head, read_only: bool) -> Book:
    book = Book(path, must_exist=True, log=log)
    try:
        following.follow(book.conn, path, log, head)
        if read_only:
            book.close()
            book.conn = connect(path, read_only=True)
    except sqlite3.Error as error:
        book.close()
        raise fault_of(error, path) or DamagedFile(str(error)) from error
    except BaseException:
        book.close()
        raise
    return book
