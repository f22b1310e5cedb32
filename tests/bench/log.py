"""What a log costs a host: `python -m tests.bench.log` prints ratios to a host that keeps its books in files.

A PostgreSQL of its own, on the disk of temporary folders as the books are, alone and with a standby for which commits
wait. Batches go in turns to a file and to the log; processor time is that of the host's process alone. Medians.
"""

import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path
from statistics import median
from typing import TypeVar

from tests import factories as make
from tests.factories import NOW, Raw
from tests.many_hosts import postgres
from tests.many_hosts.fixtures import Clusters
from webapp.moments import moved
from webapp.store import reading
from webapp.store.book import Book
from webapp.store.directory import Directory
from webapp.store.log.line import line_to
from webapp.store.open_directory import open_directory

SIZES = {1: 100, 40: 30, 200: 15}  # balls of a batch, and how many batches
OPENINGS = 200
MANY = 20_000
PHONE = b"\x01" * 16

Answer = TypeVar("Answer")


def main() -> None:
    """Each size of batch, opening an up-to-date book, and a book that a host has not yet."""
    place = postgres.programs()
    assert place is not None, "PostgreSQL 15 was not found"
    with ExitStack() as held:
        folder = Path(held.enter_context(tempfile.TemporaryDirectory()))
        folder.chmod(0o755)
        clusters = Clusters(place, postgres.own_folder(folder))
        held.callback(clusters.end_all)
        alone, (primary, _) = clusters.new().start(), clusters.pair()
        for words, url in (("one server", alone.url()), ("a standby too", primary.url())):
            with tempfile.TemporaryDirectory() as file, tempfile.TemporaryDirectory() as host:
                directories = open_directory(Path(file)), open_directory(Path(host), store_url=url)
                print(f"PostgreSQL: {words}. Ratios: the log / the file alone")
                batches(*directories)
                openings(*directories)
            line_to(url).close()
        cold(alone.url())


def batches(file: Directory, log: Directory) -> None:
    """What a batch takes, of the processor and of the clock."""
    for size, n in SIZES.items():
        took: list[list[tuple[float, float]]] = [[], []]
        with a_book(file) as plain, a_book(log) as followed:
            sides = [(plain, begun(plain)), (followed, begun(followed))]
            for _ in range(n):
                for (book, visit), times in zip(sides, took, strict=True):
                    facts = [next(visit) for _ in range(size)]
                    times.append(timed(lambda book=book, facts=facts: book.add(facts, PHONE, NOW))[1])  # type: ignore[misc]
        cpu, wall = ([median(one[at] for one in times) for times in took] for at in (0, 1))
        print(
            f"a batch of {size:3}: processor {cpu[1] / cpu[0]:5.2f} (<= 1.5)   clock {wall[1] / wall[0]:5.2f} (<= 2.5)"
            f"   file alone {1000 * cpu[0]:.1f} and {1000 * wall[0]:.1f} ms"
        )


def openings(file: Directory, log: Directory) -> None:
    """Opening an up-to-date book and reading its wedges."""
    took: list[list[float]] = [[], []]
    ids = []
    for directory in (file, log):
        with a_book(directory) as book:
            begun(book)
            ids.append(book.id)
    for _ in range(OPENINGS):
        for directory, book_id, times in zip((file, log), ids, took, strict=True):
            times.append(timed(lambda directory=directory, book_id=book_id: read(directory, book_id))[1][1])  # type: ignore[misc]
    plain, followed = map(median, took)
    print(f"open and read: {1000 * (followed - plain):.2f} ms more (<= 1.5) than {1000 * plain:.2f} ms")


def cold(url: str) -> None:
    """A book that a host has not yet, against making a file's tables again from the same facts."""
    with (
        tempfile.TemporaryDirectory() as host,
        tempfile.TemporaryDirectory() as another,
        open_directory(Path(host), store_url=url) as log,
    ):
        with a_book(log) as book:
            visit = begun(book)
            book.add_whole([next(visit) for _ in range(MANY)], None, NOW)
            rebuilt = min(timed(book.rebuild)[1][1] for _ in range(2))
        taken = []
        for number in range(3):
            with open_directory(Path(another) / str(number), store_url=url) as directory:
                taken.append(timed(lambda directory=directory: read(directory, book.id))[1])  # type: ignore[misc]
        print(
            f"{MANY:,} facts that a host has not yet: {min(one[1] for one in taken):.2f} s (<= 1), "
            f"{min(one[0] for one in taken):.2f} of the processor; "
            f"{min(one[1] for one in taken) / rebuilt:.2f} x making the tables of a file again"
        )


def a_book(directory: Directory) -> Book:
    """A new open book."""
    return directory.open_book(directory.new_book(NOW))


def begun(book: Book) -> Iterator[Raw]:
    """A bucket begun in a book, and its balls."""
    bucket, club = make.a_bucket(), make.a_club()
    book.add([bucket, club], PHONE, NOW)
    return (make.a_shot(bucket, club, made_at=moved(NOW, seconds=second)) for second in range(10**9))


def read(directory: Directory, book_id: str) -> None:
    """Open a book and read its wedges."""
    with directory.open_book(book_id) as book:
        reading.clubs(book)


def timed(work: Callable[[], Answer]) -> tuple[Answer, tuple[float, float]]:
    """What work gives, and the seconds it took of the processor and of the clock."""
    cpu_s, wall_s = time.process_time(), time.perf_counter()
    answer = work()
    return answer, (time.process_time() - cpu_s, time.perf_counter() - wall_s)


if __name__ == "__main__":
    main()
