"""Copies of a data folder, each file as of one moment while others write, and the proof that they can be used.

Knows SQLite's files; what is in a book is looked at only to compare it with itself.
"""

import shutil
import sqlite3
import tempfile
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path

from . import derived
from .book import Book
from .connect import settle_on_disk
from .directory import DIRECTORY, Directory
from .faults import DamagedFile, NotPermitted, StoreFault
from .speaking import Speaks

# What stands in a finished backup for a book that could not be copied whole: its copy as far as there is one.
LEFT_OUT = ".left-out"


class DestinationInUse(Exception):
    """The folder for a backup holds something, or is part of what is to be copied; nothing was copied."""


class BackupFailed(Exception):
    """A backup that was begun and is not whole: the text says why. The directory notes it and calls no fact safe."""


class BooksLeftOut(Exception):
    """A backup that is finished and lacks some books, which the text names: all others are in it, and safe."""


@dataclass(frozen=True)
class Checked:
    """One file of a backup: its facts, its newest fact's number and id, and what is wrong with it ("" if nothing).

    `left_out` is a book that could not be copied whole when the backup was made; the others can be put back without it.
    """

    name: str
    facts: int = 0
    newest: tuple[int, bytes] | None = None
    problem: str = ""
    left_out: bool = False

    @property
    def book_id(self) -> str:
        """The book whose file it is; the directory's own is no book's."""
        return self.name.removesuffix(".sqlite")


def told_problems(checked: Iterable[Checked]) -> str:
    """What is wrong with some files, each by its name; "" if nothing."""
    return "; ".join(f"{one.name}: {one.problem}" for one in checked if one.problem)


def back_up(directory: Directory, destination: Path, now: str) -> Iterator[int]:
    """Copy the directory, then every book it lists, and verify each copy; gives the number of steps, then 1 after each.

    Only then the directory is told how far each book lies in the copy. A book started meanwhile is left for the next
    backup. A file is named in full only once it is whole, and so is a new folder; one that is there already is filled
    where it is, since a disk of its own cannot be renamed. BooksLeftOut when it lacks damaged books; BackupFailed when
    it cannot be put back.
    """
    if destination.resolve().is_relative_to(directory.folder.resolve()):
        raise DestinationInUse(f"{destination} lies in the data folder; nothing was copied. Name a folder outside it.")
    unfinished = destination if destination.exists() else unfinished_name(destination)
    if unfinished.exists() and any(unfinished.iterdir()):
        if unfinished == destination:
            advice = "Name a new folder."
        else:
            advice = "A backup that failed left it: remove it, or name another folder."
        raise DestinationInUse(f"{unfinished} is not empty; nothing was copied. {advice}")
    try:
        yield from _copy_and_verify(directory, unfinished, destination, now)
    except (BackupFailed, StoreFault, sqlite3.Error, OSError) as error:
        directory.note_backup(now, str(error) or type(error).__name__, str(destination.resolve()))
        raise BackupFailed(str(error)) from error


def unfinished_name(destination: Path) -> Path:
    """What the new folder of a backup is called until it is verified."""
    return destination.with_name(f"{destination.name}.part")


def check_copies(folder: Path) -> Iterator[Checked]:
    """Open every file of a backup as a server would, in a copy of it, and compare each book with its own facts."""
    with tempfile.TemporaryDirectory() as scratch:
        tried = Path(scratch)
        try:
            shutil.copy(folder / DIRECTORY, tried / DIRECTORY)
            with Directory(tried) as directory:
                _check_whole(directory.conn)
                listed = [row["id"] for row in directory.books()]
        except (StoreFault, sqlite3.DatabaseError, OSError) as error:
            yield Checked(DIRECTORY, problem=str(error))
            return
        yield Checked(DIRECTORY)
        for book_id in listed:
            yield _check_book(folder / "books" / f"{book_id}.sqlite", tried)


def copied_files(directory: Directory, destination: Path) -> Iterator[int | Checked]:
    """Copy everything into a folder: gives the number of steps, 1 after each, and what was found of each copy."""
    books = destination / "books"
    books.mkdir(parents=True, exist_ok=True)
    book_ids = [row["id"] for row in directory.books()]
    unreadable = {}
    yield 2 * (1 + len(book_ids))
    _whole(directory.copy_to, destination / DIRECTORY)
    yield 1
    for book_id in book_ids:
        # A book deleted since the list was made is gone, and stays gone.
        if not directory.is_deleted(book_id):
            name = f"{book_id}.sqlite"
            try:
                _whole(partial(directory.copy_book_to, book_id), books / name)
            except (DamagedFile, NotPermitted) as error:
                unreadable[name] = str(error)
        yield 1
    for folder in (books, destination, destination.parent):
        settle_on_disk(folder)
    for checked in check_copies(destination):
        if not (checked.problem and directory.is_deleted(checked.book_id)):
            yield replace(checked, problem=unreadable.get(checked.name, checked.problem))
        yield 1


def _copy_and_verify(directory: Directory, unfinished: Path, destination: Path, now: str) -> Iterator[int]:
    copied, lacking, whole = {}, [], 0
    for step in copied_files(directory, unfinished):
        if isinstance(step, int):
            yield step
        elif step.problem:
            lacking.append(step)
        elif step.name != DIRECTORY:
            whole += 1
            if step.newest:
                copied[step.book_id] = step.newest
    problem = told_problems(lacking)
    if problem and not whole:
        raise BackupFailed(problem)
    for one in lacking:
        _leave_out(unfinished / "books" / one.name)
    if unfinished != destination:
        unfinished.rename(destination)
        settle_on_disk(destination.parent)
    directory.note_backup(now, problem, str(destination.resolve()), copied)
    if problem:
        raise BooksLeftOut(problem)


def _leave_out(copy: Path) -> None:
    copy.with_suffix(".part").unlink(missing_ok=True)
    left_out = copy.with_suffix(LEFT_OUT)
    if copy.exists():
        copy.rename(left_out)
    else:
        left_out.touch(mode=0o600)
    settle_on_disk(copy.parent)


def _whole(write: Callable[[Path], None], copy: Path) -> None:
    unfinished = copy.with_suffix(".part")
    write(unfinished)
    unfinished.chmod(0o600)
    settle_on_disk(unfinished)
    unfinished.rename(copy)


def _check_book(copied: Path, scratch: Path) -> Checked:
    name = copied.name
    if not copied.exists() and copied.with_suffix(LEFT_OUT).exists():
        return Checked(name, problem="it could not be copied whole when this backup was made", left_out=True)
    if not copied.exists():
        return Checked(name, problem="the directory lists it, but the file is not there")
    path = scratch / name
    try:
        shutil.copy(copied, path)
        with Book(path) as book:
            _check_whole(book.conn)
            facts = int(book.conn.execute("SELECT COUNT(*) FROM facts").fetchone()[0])
            newest = book.newest()
            before = _derived_rows(book.conn)
            book.rebuild()
            differs = [table for table, rows in _derived_rows(book.conn).items() if rows != before[table]]
    except (StoreFault, sqlite3.DatabaseError, OSError) as error:
        return Checked(name, problem=str(error))
    finally:
        path.unlink(missing_ok=True)
    return Checked(name, facts, newest, f"differs from its own facts in {', '.join(differs)}" if differs else "")


def _check_whole(conn: Speaks) -> None:
    found = conn.execute("PRAGMA integrity_check(1)").fetchone()[0]
    if found != "ok":
        raise DamagedFile(found)


def _derived_rows(conn: sqlite3.Connection) -> dict[str, list[tuple[object, ...]]]:
    return {
        table: sorted(map(tuple, conn.execute(f"SELECT * FROM {table}")), key=repr) for table in derived.TABLES.values()
    }
