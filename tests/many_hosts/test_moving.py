"""A folder moves into a log and out again with everything in it, or not at all."""

import subprocess
import sys
from pathlib import Path
from typing import Any

import psycopg
import pytest
from click.testing import CliRunner, Result

from tests import factories as make
from tests.factories import NOW
from tests.store.test_derived import rows_of
from webapp.cli import main
from webapp.config import kept_secret
from webapp.moments import moved
from webapp.store import guardians
from webapp.store.book import Book
from webapp.store.copying import check_copies
from webapp.store.directory import DIRECTORY, Directory
from webapp.store.open_directory import open_directory


def run(url: str, *words: str | Path, **more: str) -> Result:
    """A command with a log."""
    return CliRunner().invoke(main, list(map(str, words)), env={"STORE_URL": url, **more})


@pytest.fixture
def folder(data: Path) -> Path:
    """A data folder in which everything is there once, and one book was deleted."""
    kept_secret(data)
    with Directory(data) as directory:
        books = [directory.new_book(NOW, alias) for alias in ("mine", None, "gone")]
        for book_id in books:
            bucket, club = make.a_bucket(), make.a_club()
            with directory.open_book(book_id) as book:
                book.add(
                    [bucket, club, *make.f1_balls(bucket, club), make.raw("note", {"words": "nass\t\\N"})], None, NOW
                )
        for number in range(2):
            directory.new_device(books[number], "Phone", NOW)
            token = directory.new_link(books[number], "Coach", NOW, moved(NOW, days=9), {"days": True})
        ended = directory.link(token)
        assert ended is not None
        directory.end_link(ended.book_id, ended.id, NOW)
        directory.set_recovery(books[0], "sheet", NOW)
        directory.set_joining(books[0], "code", NOW, moved(NOW, minutes=9))
        directory.new_clinic("clinic", "Saturday", 3, NOW, moved(NOW, hours=9))
        directory.note_backup(NOW, "", "elsewhere", {books[0]: (1, b"\x01" * 16)})
        guardians.set_pin(directory, books[1], "2468", NOW)
        directory.delete_book(books[2], NOW)
    return data


def everything(data: Path) -> dict[str, Any]:
    """What a folder holds, row by row."""
    with Directory(data) as directory:
        tables = directory.conn.execute("SELECT name FROM sqlite_master WHERE type = 'table'").fetchall()
        found: dict[str, Any] = {
            name: sorted(map(tuple, directory.conn.execute(f"SELECT * FROM {name}")), key=repr)
            for (name,) in map(tuple, tables)
            if not name.startswith(("sqlite", "_sqlite"))
        }
        for row in directory.books():
            with directory.open_book(row["id"]) as book:
                found[row["id"]] = (
                    book.after(0, 10_000),
                    rows_of(book),
                    list(map(tuple, book.conn.execute("SELECT * FROM facts"))),
                )
    return found


def test_a_folder_that_moved_in_and_out_is_the_same_folder(folder: Path, tmp_path: Path, log_url: str) -> None:
    before = everything(folder)
    moved_in = run(log_url, "move-in", "--data", folder)
    assert (moved_in.exit_code, "Moved 2 books" in moved_in.output) == (0, True), moved_in.output
    assert everything(folder) == before
    out = tmp_path / "out"
    moved_out = run(log_url, "move-out", out, "--data", tmp_path / "host")
    assert moved_out.exit_code == 0, moved_out.output
    assert everything(out) == before
    assert kept_secret(out) == kept_secret(folder)
    assert sorted(path.name for path in out.iterdir()) == ["books", DIRECTORY, "secret"]
    assert not [path for path in (out, *out.rglob("*")) if path.stat().st_mode & 0o077]


def test_what_moved_in_is_served_and_goes_on(folder: Path, tmp_path: Path, log_url: str) -> None:
    assert run(log_url, "move-in", "--data", folder).exit_code == 0
    with Directory(folder) as old, open_directory(tmp_path / "host", store_url=log_url) as directory:
        assert directory.books() == old.books()
        book_id = old.book_of_alias("mine") or ""
        with old.open_book(book_id) as before, directory.open_book(book_id) as book:
            assert rows_of(book) == rows_of(before)
            assert book.add([make.a_club("51")], None, NOW).cursor == before.cursor + 1
        assert directory.use_code("sheet", NOW) == book_id
        assert directory.use_code("code", NOW) == book_id
        assert directory.new_clinic("another", "", 1, NOW, moved(NOW, hours=9)) == 2
        directory.cut_off(book_id, directory.devices(book_id)[0].id, NOW)
        numbers = [one.number for one in directory.revocation_journal().revocations]
        assert numbers == sorted(set(numbers))
        assert len(numbers) == 4


def test_a_second_move_says_that_the_log_is_in_use(folder: Path, log_url: str) -> None:
    assert run(log_url, "move-in", "--data", folder).exit_code == 0
    again = run(log_url, "move-in", "--data", folder)
    assert (again.exit_code, "holds 3 books already" in again.output) == (1, True), again.output


def test_a_damaged_book_keeps_everything_out(folder: Path, log_url: str) -> None:
    harmed = sorted((folder / "books").glob("*.sqlite"))[-1]
    whole = harmed.read_bytes()
    harmed.write_bytes(whole[:4096] + b"\x5a" * (len(whole) - 4096))
    told = run(log_url, "move-in", "--data", folder)
    assert (told.exit_code, "Nothing was moved" in told.output, harmed.name in told.output) == (1, True, True), (
        told.output
    )
    with psycopg.connect(log_url) as owner:
        assert owner.execute("SELECT (SELECT COUNT(*) FROM books) + (SELECT COUNT(*) FROM facts)").fetchone() == (0,)
    harmed.write_bytes(whole)
    assert run(log_url, "move-in", "--data", folder).exit_code == 0


KILLED = """
import os, signal, sys
from pathlib import Path
from webapp.store.directory import Directory
from webapp.store.log import moving_in, moving_out
from webapp.store.open_directory import open_directory

way, url, data, folder, after = sys.argv[1:]
with (Directory(Path(data)) if way == "in" else open_directory(Path(data), store_url=url)) as directory:
    steps = moving_in.move_in(directory, url, "") if way == "in" else moving_out.move_out(directory, Path(folder), "")
    for step, _ in enumerate(steps):
        if step == int(after):
            os.kill(os.getpid(), signal.SIGKILL)
"""


def killed(way: str, url: str, data: Path, folder: Path, after: int) -> None:
    """A move that is killed after so many of its steps."""
    words = [sys.executable, "-c", KILLED, way, url, str(data), str(folder), str(after)]
    assert subprocess.run(words, stderr=subprocess.DEVNULL).returncode == -9


@pytest.mark.parametrize("after", [0, 1, 2])
def test_a_move_in_that_was_killed_moved_nothing(folder: Path, log_url: str, after: int) -> None:
    killed("in", log_url, folder, folder, after)
    with psycopg.connect(log_url) as owner:
        assert owner.execute("SELECT (SELECT COUNT(*) FROM books) + (SELECT COUNT(*) FROM facts)").fetchone() == (0,)
    assert run(log_url, "move-in", "--data", folder).exit_code == 0


@pytest.mark.parametrize("after", [1, 2, 4])
def test_a_move_out_that_was_killed_left_no_folder(folder: Path, tmp_path: Path, log_url: str, after: int) -> None:
    assert run(log_url, "move-in", "--data", folder).exit_code == 0
    out = tmp_path / "out"
    killed("out", log_url, tmp_path / "host", out, after)
    assert not out.exists()
    assert run(log_url, "move-out", out, "--data", tmp_path / "host").exit_code == 0
    assert everything(out) == everything(folder)
    again = run(log_url, "move-out", out, "--data", tmp_path / "host")
    assert (again.exit_code, "there already" in again.output) == (1, True)


def test_a_backup_of_a_log_is_a_folder_of_books(folder: Path, tmp_path: Path, log_url: str) -> None:
    assert run(log_url, "move-in", "--data", folder).exit_code == 0
    done = run(log_url, "backup", tmp_path / "copy", "--data", tmp_path / "host")
    assert done.exit_code == 0, done.output
    assert [one.problem for one in check_copies(tmp_path / "copy")] == ["", "", ""]
    with open_directory(tmp_path / "host", store_url=log_url) as directory:
        last, book_id = directory.last_backup(), directory.book_of_alias("mine") or ""
        assert last is not None
        assert not last.problem
        with directory.open_book(book_id) as book, Book(tmp_path / "copy" / "books" / f"{book_id}.sqlite") as copy:
            assert directory.safe_cursor(book) == book.cursor == copy.cursor


@pytest.mark.parametrize("command", ["move-in", "move-out"])
def test_a_move_without_a_log_says_so(folder: Path, tmp_path: Path, command: str) -> None:
    words = [command, *([str(tmp_path / "out")] if command == "move-out" else []), "--data", str(folder)]
    told = run("", *words)
    assert (told.exit_code, "STORE_URL names no log" in told.output) == (1, True)
