"""Makes the files in which a player takes a book away, row by row, so that a large book needs no more memory.

Knows books; files/exporting.py writes what stands in a file.
"""

from collections.abc import Iterator
from pathlib import Path

from ..files import exporting
from ..store import reading
from ..store.book import Book
from .reporting import Tell, reporting

KINDS = {"shots.csv": "text/csv", "book.json": "application/json", "book.sqlite": "application/vnd.sqlite3"}
_FACTS_AT_ONCE = 1000
_MANY = 10**9


def make_file(book: Book, name: str, path: Path, unit: str, now: str, tell: Tell = lambda share: None) -> None:
    """Write one of `KINDS` to a path where nothing is, as the book is at one moment even while others write.

    `unit` is that of the CSV's lengths; `tell(share)` is called with the share done.
    """
    if name == "book.sqlite":
        book.copy_to(path)
        return
    with book.as_of_one_moment(), path.open("x", encoding="utf-8", newline="") as file:
        if name == "shots.csv":
            clubs = {club.id: club for club in reading.clubs(book, retired=True)}
            buckets = {bucket["id"]: bucket for bucket in reading.buckets(book, most=_MANY)}
            lines = exporting.shots_csv(reading.every_shot(book), clubs, buckets, unit)
            file.writelines(reporting(lines, tell, reading.count_of_balls(book)))
        else:
            file.writelines(reporting(exporting.book_json(_facts(book), now), tell, book.cursor))


def _facts(book: Book) -> Iterator[dict[str, object]]:
    cursor = 0
    while some := book.after(cursor, _FACTS_AT_ONCE):
        yield from some
        cursor = some[-1]["seq"]
