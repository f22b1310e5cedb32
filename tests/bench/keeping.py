"""What a book file costs: batches against bare SQLite, bytes a shot, one book among thousands.

Knows no page and prints nothing; `python -m tests.bench.serving` prints these figures with its own.
"""

import sqlite3
import statistics
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from tests.factories import NOW, a_bucket, a_shot, raw, the_demo_set
from webapp.moments import moved
from webapp.store.connect import connect, marks
from webapp.store.directory import Directory

BATCH = 100
WRITTEN = ("facts", "shots")  # the tables that a batch of shots goes to


def writing(data: Path) -> float:
    """Speed of taking batches of 100 shots against executemany of the very rows they become, both durable, in turns.

    The rows go to the same tables with the same indexes, so what is left is what checking and folding cost.
    """
    facts, shots = shots_of_a_player(3000)
    times: dict[str, list[float]] = {"ours": [], "bare": []}
    with Directory(data) as directory, directory.open_book(directory.new_book(NOW)) as book:
        book.add(facts, None, NOW)
        bare_path = data / "bare.sqlite"
        book.copy_to(bare_path)
        bare = connect(bare_path)
        for some in batches(shots):
            times["ours"].append(took(lambda some=some: book.add(some, None, NOW)))
            latest = [
                book.conn.execute(f"SELECT * FROM {table} ORDER BY rowid DESC LIMIT {BATCH}").fetchall()
                for table in WRITTEN
            ]
            rows = [[tuple(row) for row in reversed(every)] for every in latest]
            times["bare"].append(took(lambda rows=rows: _write_bare(bare, rows)))
        bare.close()
    return statistics.median(times["bare"]) / statistics.median(times["ours"])


def _write_bare(conn: sqlite3.Connection, rows: list[list[tuple[Any, ...]]]) -> None:
    conn.execute("BEGIN IMMEDIATE")
    for table, values in zip(WRITTEN, rows, strict=True):
        conn.executemany(f"INSERT INTO {table} VALUES ({marks(values[0])})", values)
    conn.execute("COMMIT")


def many_books(data: Path) -> float:
    """Time to open a book and read its clubs, with 5,000 books in the folder against 50."""
    found = []
    for count in (50, 5_000):
        with Directory(data / str(count)) as directory:
            ids = [directory.new_book(NOW) for _ in range(count)]
            picked = ids[:: max(1, count // 50)]

            def look(directory: Directory = directory, picked: list[str] = picked) -> None:
                for book_id in picked:
                    with directory.open_book(book_id) as book:
                        book.conn.execute("SELECT * FROM clubs").fetchall()

            look()
            found.append(min(took(look) / len(picked) for _ in range(5)))
    return found[1] / found[0]


def bytes_a_shot(data: Path) -> float:
    """The file's growth by 10,000 shots, facts and derived rows together."""
    facts, shots = shots_of_a_player(10_000)
    with Directory(data) as directory, directory.open_book(directory.new_book(NOW)) as book:
        book.add(facts, None, NOW)
        before = _size(book.conn)
        book.add(shots, None, NOW)
        return (_size(book.conn) - before) / len(shots)


def shots_of_a_player(count: int) -> tuple[list[Any], list[Any]]:
    """Facts of a set and its visits, then `count` shots spread over 16 cells and visits of 50 balls."""
    clubs = the_demo_set()
    visits = [a_bucket(moved(NOW, days=-at)) for at in range(1 + count // 50)]
    shots = []
    for at in range(count):
        club, swing = clubs[at % 4], 45.0 * (1 + at // 4 % 4)
        shot = a_shot(visits[at // 50], club, 40 + at % 17, moved(NOW, days=-(at // 50)), swing_deg=swing)
        shots.append(raw(shot["kind"], shot["body"], shot["made_at"], id=shot["id"]))
    return [*clubs, *visits], shots


def batches(shots: list[Any]) -> list[list[Any]]:
    """The shots by hundreds."""
    return [shots[at : at + BATCH] for at in range(0, len(shots), BATCH)]


def took(work: Callable[[], Any]) -> float:
    """Seconds of the clock on the wall."""
    began = time.perf_counter()
    work()
    return time.perf_counter() - began


def _size(conn: sqlite3.Connection) -> int:
    return int(conn.execute("PRAGMA page_count").fetchone()[0] * conn.execute("PRAGMA page_size").fetchone()[0])
