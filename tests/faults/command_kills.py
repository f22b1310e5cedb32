"""Ends commands at any moment of their work, and counts facts that are lost, doubled or half there afterwards.

Knows the commands by their words and the store by what a server would find next.
"""

import json
import os
import random
import shutil
import sqlite3
import subprocess
import time
from collections.abc import Callable, Iterator
from contextlib import closing
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from sqlite_utils import Database

from tests.browser.server import STORE
from tests.factories import NOW, Raw, a_bucket, a_club, a_shot, raw
from tests.prepared import Process, run
from webapp import working
from webapp.moments import moved
from webapp.store import migrations, reading
from webapp.store.copying import check_copies
from webapp.store.directory import Directory
from webapp.store.identities import key_of
from webapp.store.jobs import IMPORT, Job, Jobs
from webapp.store.open_directory import open_directory

BALLS = 400


@dataclass
class Count:
    """What came of some kills: how many struck in the middle, and what was found wrong, each in words."""

    kills: int = 0
    ended_before: int = 0
    wrong: list[str] | None = None

    def told(self, what: str) -> str:
        """One line for people."""
        found = "; ".join(self.wrong or []) or "0 facts lost, doubled or half there"
        return f"{what}: killed {self.kills} times ({self.ended_before} had ended before): {found}"


def kill_imports(folder: Path, kills: int, store_url: str = "") -> Count:
    """An import that is killed and begun again brings each ball once."""
    opened = partial(open_directory, store_url=store_url)
    table = folder / "balls.csv"
    words = ["import", str(table), "--book", "mine"]
    folder.mkdir(parents=True)
    lines = [f"2025-05-01T{place // 60 % 24:02d}:{place % 60:02d}:00Z,one,56,9:00,{40 + place % 30},clean,"
             f"{place + 1:08d}-0000-4000-8000-000000000000" for place in range(BALLS * 12)]  # fmt: skip
    table.write_text("made_at,bucket,club,swing,carry,contact,id\n" + "\n".join(lines) + "\n")

    def found(data: Path) -> Iterator[str]:
        with opened(data) as directory:
            for row in directory.books():
                with directory.open_book(row["id"]) as book:
                    balls = [fact["id"] for fact in book.after(0, 10**9) if fact["kind"] == "shot"]
                    if len(balls) != len(set(balls)) or reading.count_of_balls(book) != len(balls):
                        yield "an import left balls twice or without their rows"
        done = _run(data, *words, store_url=store_url)
        with opened(data) as directory, directory.open_book(str(directory.book_of_alias("mine"))) as book:
            if done.returncode or reading.count_of_balls(book) != len(lines):
                yield f"an import begun again brought {reading.count_of_balls(book)} of {len(lines)} balls"

    return _kill(folder, kills, lambda data: _words(data, *words), lambda data: None, found, store_url)


def kill_jobs(folder: Path, kills: int, store_url: str = "") -> Count:
    """A job that is killed has taken its file whole or not at all; done again it brings each ball once and says so."""
    opened = partial(open_directory, store_url=store_url)
    lines = [f"2025-05-01T{place // 60 % 24:02d}:{place % 60:02d}:00Z,one,56,9:00,{40 + place % 30},clean"
             for place in range(BALLS * 12)]  # fmt: skip
    table = "made_at,bucket,club,swing,carry,contact\n" + "\n".join(lines) + "\n"

    def before(data: Path) -> None:
        with opened(data) as directory:
            book_id = directory.new_book(NOW)
        Jobs(data).put(Job(book_id, IMPORT, NOW), lambda file: file.write_text(table))

    def found(data: Path) -> Iterator[str]:
        with opened(data) as directory:
            book_id = directory.books()[0]["id"]
            for done_again in (False, True):
                if done_again:
                    working.work_off(data, store_url)
                with directory.open_book(book_id) as book:
                    balls, rows = [one for one in book.after(0, 10**9) if one["kind"] == "shot"], len(lines)
                    if len(balls) not in ((rows,) if done_again else (0, rows)):
                        yield f"a job left {len(balls)} of {rows} balls"
                    if reading.count_of_balls(book) != len(balls):
                        yield "a job left balls without their rows"
            job = Jobs(data).of(book_id)
            if not job or job.state != "done" or str(len(lines)) not in job.words[0]:
                yield "a job does not say what became of it"

    return _kill(folder, kills, lambda data: ["webapp.working", str(data)], before, found, store_url)


def kill_backups(folder: Path, kills: int, store_url: str = "") -> Count:
    """A backup that is killed changes no book, and calls nothing safe that does not lie in a whole copy."""
    opened = partial(open_directory, store_url=store_url)

    def found(data: Path) -> Iterator[str]:
        copy = data.with_name(f"{data.name}-copy")
        with opened(data) as directory:
            for row in directory.books():
                with directory.open_book(row["id"]) as book:
                    if book.cursor != BALLS + 2:
                        yield "a backup changed a book"
                    safe = directory.safe_cursor(book)
            if safe and [one for one in check_copies(copy) if one.problem]:
                yield "facts were called safe, but the copy is not whole"

    def full_books(data: Path) -> None:
        _full_books(opened(data))

    return _kill(folder, kills, lambda data: _words(data, "backup", str(_copy_of(data))), full_books, found, store_url)


def kill_restores(folder: Path, kills: int) -> Count:
    """A restore that is killed leaves the one folder or the other, whole, and can be run again."""

    def before(data: Path) -> None:
        _full_books(Directory(data))
        _run(data, "backup", str(_copy_of(data)))
        with Directory(data) as directory:
            (first, *_) = directory.books()
            directory.end_link(first["id"], directory.links(first["id"])[0].id, NOW)
            with directory.open_book(first["id"]) as book:
                book.add([raw("note", {"words": "since"})], None, NOW)

    def found(data: Path) -> Iterator[str]:
        if not data.exists():
            yield "the data folder is gone"
            return
        for ran in (False, True):
            again = _run(data, "restore", str(_copy_of(data))) if ran else None
            if again and again.returncode:
                yield f"a restore could not be run again: {again.stderr}"
            with Directory(data) as directory:
                (first, *_) = directory.books()
                with directory.open_book(first["id"]) as book:
                    if book.cursor not in ((BALLS + 2,) if ran else (BALLS + 2, BALLS + 3)):
                        yield "a restore left a book half there"
                if directory.links(first["id"])[0].is_open(NOW):
                    yield "a restore opened a link that was ended"

    return _kill(folder, kills, lambda data: _words(data, "restore", str(_copy_of(data))), before, found)


def kill_migrations(folder: Path, kills: int) -> Count:
    """A book of the first version that is being brought up to date when the program dies keeps every fact."""
    facts: list[Raw] = []

    def before(data: Path) -> None:
        facts[:] = _facts()
        with Directory(data) as directory:
            path = directory.book_path(directory.new_book(NOW))
        for ending in ("", "-wal", "-shm"):
            Path(f"{path}{ending}").unlink(missing_ok=True)
        with closing(sqlite3.connect(path, isolation_level=None)) as conn:
            migrations.book.apply(Database(conn, execute_plugins=False), stop_before="m002_derived")
            conn.executemany(
                "INSERT INTO facts (id, root, kind, made_at, received_at, body) VALUES (?, ?, ?, ?, ?, ?)",
                [(key_of(one["id"]), key_of(one["root"]), one["kind"], one["made_at"], NOW, json.dumps(one["body"]))
                 for one in facts],
            )  # fmt: skip

    def found(data: Path) -> Iterator[str]:
        with Directory(data) as directory, directory.open_book(directory.books()[0]["id"]) as book:
            if [one["id"] for one in book.after(0, 10**9)] != [one["id"] for one in facts]:
                yield "a migration lost facts"
            if reading.count_of_balls(book) != BALLS:
                yield "a migration left the tables behind their facts"

    return _kill(folder, kills, lambda data: _words(data, "books"), before, found)


def kill_deletions(folder: Path, kills: int, store_url: str = "") -> Count:
    """A deletion that is killed has happened or has not; the next start leaves no file of a deleted book."""
    opened = partial(open_directory, store_url=store_url)

    def found(data: Path) -> Iterator[str]:
        with opened(data) as directory:
            directory.remove_deleted_files()  # as every start of the server does
            listed = {row["id"] for row in directory.books()}
            for path in directory.book_path("any").parent.glob("*.sqlite"):
                if path.stem not in listed:
                    yield "the file of a deleted book is left"
            for book_id in listed:
                with directory.open_book(book_id) as book:
                    if book.cursor != BALLS + 2:
                        yield "a book is half deleted"

    def full_books(data: Path) -> None:
        _full_books(opened(data))

    def command(data: Path) -> list[str]:
        with opened(data) as directory:
            return _words(data, "delete", str(directory.books()[0]["id"]), "--yes")

    return _kill(folder, kills, command, full_books, found, store_url)


def _kill(
    folder: Path,
    kills: int,
    command: Callable[[Path], list[str]],
    before: Callable[[Path], None],
    found: Callable[[Path], Iterator[str]],
    store_url: str = "",
) -> Count:
    """Run a command on a fresh data folder each time, and kill it at a moment between its start and its usual end.

    A log is as fresh: every book goes from it once it was looked at.
    """
    chance, count = random.Random(1), Count(wrong=[])
    usual_s = 0.0
    for at in range(kills + 1):
        data = folder / f"data{at}"
        before(data)
        begun = time.monotonic()
        module, *words = command(data)
        process = Process(words, module=module, env={**os.environ, STORE: store_url})
        if at == 0:  # once to its end, to know how long it takes
            assert process.wait(120) == 0
            usual_s = time.monotonic() - begun
        else:
            try:
                process.wait(usual_s * chance.random())
                count.ended_before += 1
            except subprocess.TimeoutExpired:
                process.kill()
                process.wait(60)
            count.kills += 1
            assert count.wrong is not None
            count.wrong += found(data)
        with open_directory(data, store_url=store_url) as directory:
            for row in directory.books():
                directory.delete_book(row["id"], NOW)
        for left in folder.glob(f"*data{at}*"):
            shutil.rmtree(left)
    return count


def _facts() -> list[Raw]:
    bucket, club = a_bucket(), a_club()
    return [bucket, club, *(a_shot(bucket, club, made_at=moved(NOW, seconds=place)) for place in range(BALLS))]


def _full_books(directory: Directory) -> None:
    with directory:
        for _ in range(3):
            book_id = directory.new_book(NOW)
            directory.new_link(book_id, "coach", NOW, moved(NOW, days=14), {})
            with directory.open_book(book_id) as book:
                book.add(_facts(), None, NOW)


def _copy_of(data: Path) -> Path:
    return data.with_name(f"{data.name}-copy")


def _words(data: Path, *words: str) -> list[str]:
    return ["webapp.cli", *words, "--data", str(data)]


def _run(data: Path, *words: str, store_url: str = "") -> "subprocess.CompletedProcess[str]":
    return run(_words(data, *words)[1:], env={**os.environ, STORE: store_url})
