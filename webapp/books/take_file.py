"""Takes a file that a player brings back into a book, whole or not at all: balls, eye checks, or a whole book as JSON.

Knows books; how a table's lines are read is tables/own_lines.py's, what they say files/importing.py's.
"""

import codecs
from itertools import chain
from pathlib import Path
from typing import BinaryIO

from ..card.card_words import count
from ..files.columns import NEEDED as OF_BALLS
from ..files.eye_check_row import NEEDED as OF_EYE_CHECKS
from ..files.importing import Unreadable
from ..store.book import Book, NotWhole, TooLarge
from ..tables.lines import LONG_BYTES, Line, is_long_table
from ..tables.no_table import NoTable
from ..tables.own_lines import own_lines
from .bring_back import bring_back
from .import_balls import import_whole, import_whole_eye_checks
from .reporting import Tell, of_reading, of_taking, reporting

_NAMED_BALLS = 3
_HEAD = 4096
_BLOCK = 1 << 16
_DATABASE = b"SQLite format 3\0"  # how such a file begins (SQLite's own description of its format, from memory)
OF_A_DATABASE = (
    "This is a book’s own SQLite file, which is for looking into. Bring the whole book as JSON, from the page "
    "that gave this file out."
)

OF_A_COPY = (
    "This is a copy of entries that one phone had not sent yet, and no whole book. Open your book with its recovery "
    "sheet or from another phone, or start one with your wedges; then bring the copy in under Your data."
)


class NotTaken(Exception):
    """A file of which nothing was taken; `reasons` are sentences."""

    def __init__(self, reasons: list[str]) -> None:
        super().__init__(reasons[0])
        self.reasons = reasons


def is_long(file: BinaryIO, most_balls: int) -> bool:
    """Whether an opened file holds more than `most_balls` balls, by its lines or facts, or more than one MB."""
    if not is_a_book(file):
        return is_long_table(file, most_balls)
    facts = size = 0
    while block := file.read(_BLOCK):
        size += len(block)
        facts += block.count(b'"kind"')
    file.seek(0)
    return size > LONG_BYTES or facts > most_balls


def is_a_book(file: BinaryIO) -> bool:
    """Whether an opened file is a whole book as JSON, by its first character, and no table of balls."""
    return _head(file, _HEAD).removeprefix(codecs.BOM_UTF8).lstrip().startswith(b"{")


def is_a_copy(file: BinaryIO) -> bool:
    """Whether an opened file is what a phone saves of entries it has not sent: a whole book says what its fields mean.

    Both begin with what made them, so that is where it is looked for.
    """
    head = _head(file, _HEAD)
    return is_a_book(file) and b'"made_by"' in head and b'"fields"' not in head


def is_a_database(file: BinaryIO) -> bool:
    """Whether an opened file is an SQLite file, such as the one that holds a book."""
    return _head(file, len(_DATABASE)) == _DATABASE


def _head(file: BinaryIO, size: int) -> bytes:
    head = file.read(size)
    file.seek(0)
    return head


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
        raise NotTaken(["The file begins like JSON, but it is not text in UTF-8."]) from error
    except (Unreadable, NoTable) as error:
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
    with path.open("rb") as raw:
        if is_a_database(raw):
            raise NotTaken([OF_A_DATABASE])
        if is_a_book(raw):
            text = raw.read().decode("utf-8-sig")
            came, there = bring_back(book, text, now, most_bytes, tell, seen)
            return f"{came_words('1 entry' if came == 1 else f'{came} entries', there)}."
    lines = reporting(own_lines(path), of_reading(tell), path.stat().st_size, _n_signs)
    headings = next(lines, (1, [""]))
    rows, named = chain([headings], lines), {name.strip().lower() for name in headings[1]}
    tell_rest = of_taking(tell)
    if named.issuperset(OF_EYE_CHECKS) and not named.issuperset(OF_BALLS):
        put = import_whole_eye_checks(book, rows, now, most_bytes, tell_rest)
        return f"{came_words(count(put.taken, 'eye check'), put.known)}."
    put = import_whole(book, rows, now, most_bytes, tell_rest)
    words = came_words(count(put.taken, "ball"), put.known - put.withdrawn)
    return f"{words}.{_out(put.withdrawn)}{_otherwise(put.otherwise)}"


def _out(n: int) -> str:
    """What is said of balls of a file that were withdrawn here, which is for good."""
    if not n:
        return ""
    words = "was taken out of this book before and stays" if n == 1 else "were taken out of this book before and stay"
    return f" {n} of the file {words} out."


def _otherwise(balls: list[str]) -> str:
    """What is said of balls of which the book says something else than the file."""
    if not balls:
        return ""
    more = f"; and {len(balls) - _NAMED_BALLS} more" if len(balls) > _NAMED_BALLS else ""
    some = "; ".join(balls[:_NAMED_BALLS])
    who = "One of them was" if len(balls) == 1 else f"{len(balls)} of them were"
    as_here = "stays as it is" if len(balls) == 1 else "stay as they are"
    return f" {who} changed since, here or in the file, and {as_here} here: {some}{more}."


def _n_signs(line: Line) -> int:
    """About how many signs of the file a line is."""
    _, cells = line
    return sum(map(len, cells)) + len(cells)
