"""Takes a file that a player brings back into a book, whole or not at all: balls as CSV, or a whole book as JSON.

Knows books; how a table is read is files/importing.py's.
"""

import codecs
from collections.abc import Callable, Iterable, Iterator
from io import TextIOWrapper
from pathlib import Path
from typing import BinaryIO

from ..card.card_words import count
from ..files.importing import Unreadable
from ..store.book import Book, NotWhole, TooLarge
from .bring_back import bring_back
from .import_balls import import_whole

_READ_SHARE = 0.6  # of the time that a table takes; what is left is the book's part
_TOLD_EVERY = 500
_HEAD = 4096
_LONG_BYTES = 1_000_000
_BLOCK = 1 << 16
_DATABASE = b"SQLite format 3\0"  # how such a file begins (SQLite's own description of its format, from memory)
OF_A_DATABASE = (
    "This is a book’s own SQLite file, which is for looking into. Bring the whole book as JSON, from the page "
    "that gave this file out."
)

Tell = Callable[[float], None]


class NotTaken(Exception):
    """A file of which nothing was taken; `reasons` are sentences."""

    def __init__(self, reasons: list[str]) -> None:
        super().__init__(reasons[0])
        self.reasons = reasons


def is_long(file: BinaryIO, most_balls: int) -> bool:
    """Whether an opened file holds more than `most_balls` balls, by its lines or facts, or more than one MB."""
    lines = facts = size = 0
    while block := file.read(_BLOCK):
        size += len(block)
        lines += max(block.count(b"\n"), block.count(b"\r"))
        facts += block.count(b'"kind"')
    file.seek(0)
    return size > _LONG_BYTES or max(facts if is_a_book(file) else lines - 1, 0) > most_balls


def is_a_book(file: BinaryIO) -> bool:
    """Whether an opened file is a whole book as JSON, by its first character, and no table of balls."""
    head = file.read(_HEAD)
    file.seek(0)
    return head.removeprefix(codecs.BOM_UTF8).lstrip().startswith(b"{")


def is_a_database(file: BinaryIO) -> bool:
    """Whether an opened file is an SQLite file, such as the one that holds a book."""
    head = file.read(len(_DATABASE))
    file.seek(0)
    return head == _DATABASE


def take_file(
    book: Book, path: Path, now: str, most_bytes: int = 0, tell: Tell = lambda share: None, seen: bool = False
) -> str:
    """Put a file's content into the book; says what came and what was there already. NotTaken when any of it fails.

    The book's file may not grow beyond `most_bytes`; `tell(share)` is called with the share done; `seen` as of
    `bring_back`.
    """
    try:
        return _take(book, path, now, most_bytes, tell, seen)
    except UnicodeDecodeError as error:
        raise NotTaken(["The file is not text in UTF-8."]) from error
    except Unreadable as error:
        raise NotTaken([f"The file is no table of balls: {error}."]) from error
    except NotWhole as error:
        raise NotTaken([one["message"] for one in error.refused]) from error
    except TooLarge as error:
        words = f"With this file the book would hold more than the {most_bytes // 1_000_000} MB that one may hold here."
        raise NotTaken([words]) from error


def came_words(came: str, n_there: int) -> str:
    """What of a file came into the book, and how much was there: "3 balls came into the book; 1 was there already"."""
    return f"{came} came into the book; {n_there} {'was' if n_there == 1 else 'were'} there already"


def _take(book: Book, path: Path, now: str, most_bytes: int, tell: Tell, seen: bool) -> str:
    with path.open("rb") as raw, TextIOWrapper(raw, encoding="utf-8-sig", newline="") as file:
        if is_a_database(raw):
            raise NotTaken([OF_A_DATABASE])
        if is_a_book(raw):
            came, there = bring_back(book, file.read(), now, most_bytes, tell, seen)
            return f"{came_words('1 entry' if came == 1 else f'{came} entries', there)}."
        lines = _told(file, path.stat().st_size, tell)
        put = import_whole(book, lines, now, most_bytes, lambda share: tell(_READ_SHARE + (1 - _READ_SHARE) * share))
        return f"{came_words(count(put.taken, 'ball'), put.known)}."


def _told(lines: Iterable[str], of_bytes: int, tell: Tell) -> Iterator[str]:
    seen = 0
    for place, line in enumerate(lines):
        if place % _TOLD_EVERY == 0:
            tell(_READ_SHARE * min(seen / of_bytes, 1.0))
        seen += len(line)
        yield line
