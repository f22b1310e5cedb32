"""What was closed stays closed: a restored copy closes again what was closed since, with and without its journal."""

import shutil
import signal
import sqlite3
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

import pytest
from sqlite_utils import Database

from tests import factories as make
from tests.factories import NOW
from webapp.moments import moved
from webapp.store import migrations, revocations
from webapp.store.copying import back_up
from webapp.store.directory import DIRECTORY, Directory
from webapp.store.folder_lock import FolderInUse, side_by_side
from webapp.store.restoring import CannotSwap, CopyNotWhole, restore

KILLED_AT_THE_CHANGE = """
import os, signal, sys
from pathlib import Path
from webapp.store import restoring
change = restoring._exchange
def and_die(*folders):
    change(*folders)
    os.kill(os.getpid(), signal.SIGKILL)
restoring._exchange = and_die
restoring.restore(Path(sys.argv[1]), Path(sys.argv[2]), sys.argv[3])
"""
LATER, END = moved(NOW, hours=1), moved(NOW, days=14)


@dataclass
class Doors:
    """Ways into two books of a data folder: those that are closed after the backup, and those that stay open."""

    ended_link: str
    open_link: str
    cut_off_phone: str
    open_phone: str
    deleted_phone: str
    deleted_id: str
    book_id: str


@pytest.fixture
def doors(data: Path, tmp_path: Path) -> Doors:
    """A folder with a backup in `copy`, after which half of its doors were closed and a new recovery sheet was made."""
    with Directory(data) as directory:
        book_id, deleted_id = directory.new_book(NOW, "mine"), directory.new_book(NOW)
        with directory.open_book(book_id) as book:
            book.add(make.the_demo_set(), None, NOW)
        doors = Doors(
            *(directory.new_link(book_id, name, NOW, END, {}) for name in ("ended", "open")),
            *(directory.new_device(book_id, name, NOW) for name in ("lost", "kept")),
            directory.new_device(deleted_id, "phone", NOW),
            deleted_id,
            book_id,
        )
        directory.set_recovery(book_id, "OLD SHEET", NOW)
        directory.set_joining(book_id, "JOIN", NOW, moved(NOW, minutes=10))
        list(back_up(directory, tmp_path / "copy", NOW))
        link, lost = directory.link(doors.ended_link), directory.device(doors.cut_off_phone)
        assert link
        assert lost
        directory.end_link(book_id, link.id, LATER)
        directory.cut_off(book_id, lost.id, LATER)
        directory.set_recovery(book_id, "NEW SHEET", LATER)
        directory.delete_book(deleted_id, LATER)
    return doors


def check_closed(data: Path, doors: Doors) -> None:
    with Directory(data) as directory:
        links = [directory.link(token) for token in (doors.ended_link, doors.open_link)]
        assert [link.is_open(LATER) for link in links if link] == [False, True]
        phones = [directory.device(token) for token in (doors.cut_off_phone, doors.open_phone)]
        assert [bool(phone.cut_off_at) for phone in phones if phone] == [True, False]
        assert [directory.use_code(code, LATER) for code in ("OLD SHEET", "NEW SHEET")] == [None, doors.book_id]
        assert directory.use_code("JOIN", NOW) is None
        assert directory.is_deleted(doors.deleted_id)
        assert not directory.book_path(doors.deleted_id).exists()
        with directory.open_book(doors.book_id) as book:
            assert (book.cursor, directory.safe_cursor(book)) == (8, 8)


def test_what_was_closed_since_the_backup_stays_closed(data: Path, doors: Doors, tmp_path: Path) -> None:
    done = restore(tmp_path / "copy", data, LATER)
    assert sorted(one.what for one in done.closed) == ["book_deleted", "link_ended", "phone_cut_off", "sheet_replaced"]
    check_closed(data, doors)
    assert done.kept
    assert (done.kept / DIRECTORY).exists()


def test_a_second_restore_of_the_same_copy_closes_the_same(data: Path, doors: Doors, tmp_path: Path) -> None:
    for hours in (1, 2):
        restore(tmp_path / "copy", data, moved(NOW, hours=hours))
    check_closed(data, doors)


def test_a_lost_data_folder_is_closed_by_the_journal_beside_the_copy(data: Path, doors: Doors, tmp_path: Path) -> None:
    shutil.rmtree(data)
    done = restore(tmp_path / "copy", data, LATER)
    assert [path.parent for path in done.journals] == [tmp_path / "copy"]
    assert done.kept is None
    check_closed(data, doors)


def test_a_broken_directory_is_closed_by_the_journals_file(data: Path, doors: Doors, tmp_path: Path) -> None:
    (data / DIRECTORY).write_bytes(b"")
    for path in (tmp_path / "copy").glob("revocations*"):
        path.unlink()
    assert restore(tmp_path / "copy", data, LATER).journals
    check_closed(data, doors)


def test_a_second_folder_holds_the_journal_at_once(data: Path, tmp_path: Path) -> None:
    other_disk = tmp_path / "other disk"
    other_disk.mkdir()
    with Directory(data, other_disk) as directory:
        book_id = directory.new_book(NOW)
        directory.delete_book(book_id, NOW)
        told = revocations.read(other_disk / revocations.file_name(directory.revocation_journal().id))
    assert told
    assert [(one.what, one.book_id) for one in told.revocations] == [("book_deleted", book_id)]


def test_without_a_journal_every_link_and_code_is_ended(data: Path, doors: Doors, tmp_path: Path) -> None:
    shutil.rmtree(data)
    travelled = tmp_path / "another machine" / "copy"
    shutil.copytree(tmp_path / "copy", travelled)
    done = restore(travelled, data, LATER)
    assert done.journals == []
    with Directory(data) as directory:
        for token in (doors.ended_link, doors.open_link):
            link = directory.link(token)
            assert link
            assert not link.is_open(LATER)
        assert directory.use_code("OLD SHEET", LATER) is None


def test_a_restored_folder_and_its_copy_hold_the_whole_journal_at_once(
    data: Path, doors: Doors, tmp_path: Path
) -> None:
    with Directory(data) as directory:
        list(back_up(directory, tmp_path / "newer", LATER))  # so the older copy hears no more of what is closed
        link = directory.link(doors.open_link)
        assert link
        directory.end_link(doors.book_id, link.id, LATER)
    restore(tmp_path / "copy", data, LATER, owner=(4242, 4242))  # which root alone can give
    with Directory(data) as directory:
        (beside,) = data.glob("revocations-*")
        assert len(directory.revocation_journal().revocations) == 6
        for folder in (data, tmp_path / "copy"):
            told = revocations.read(folder / beside.name)
            assert told
            assert (told.folder, told.revocations) == (str(folder), directory.revocation_journal().revocations)
        owner = data.stat()
        assert (beside.stat().st_uid, beside.stat().st_gid) == (owner.st_uid, owner.st_gid)


def test_the_second_folder_of_a_restored_one_holds_the_whole_journal_at_once(
    data: Path, doors: Doors, tmp_path: Path
) -> None:
    other_disk = tmp_path / "other disk"
    other_disk.mkdir()
    restore(tmp_path / "copy", data, LATER, journal=other_disk)
    with Directory(data) as directory:
        own = directory.revocation_journal()
    told = revocations.read(other_disk / revocations.file_name(own.id))
    assert told
    assert told.revocations == own.revocations != []


def test_a_line_of_the_journal_that_was_cut_short_is_left_out_and_written_again(data: Path) -> None:
    with Directory(data) as directory:
        for _ in range(2):
            directory.delete_book(directory.new_book(NOW), NOW)
        path = data / revocations.file_name(directory.revocation_journal().id)
        path.write_bytes(path.read_bytes()[:-20])
        assert revocations.lacking(directory.revocation_journal(), data) == 1
        assert directory.copy_off_journal() == []
        assert revocations.lacking(directory.revocation_journal(), data) == 0


def test_a_copy_made_before_there_was_a_journal_is_closed_by_the_upgraded_folder(data: Path, tmp_path: Path) -> None:
    old = sqlite3.connect(tmp_path / DIRECTORY, isolation_level=None)
    migrations.directory.apply(Database(old, execute_plugins=False), stop_before="m003_revocations")
    old.execute("INSERT INTO books (id, created_at) VALUES ('0a0b0c0d-0000-4000-8000-000000000001', ?)", (NOW,))
    old.execute(
        "INSERT INTO links VALUES (x'01', 'link', '0a0b0c0d-0000-4000-8000-000000000001', '', ?, ?, NULL, '{}')",
        (NOW, END),
    )
    old.execute("PRAGMA user_version=2")
    for folder in (tmp_path / "copy", data):
        (folder / "books").mkdir(parents=True)
        old.execute("VACUUM INTO ?", (str(folder / DIRECTORY),))
        make_book = folder / "books" / "0a0b0c0d-0000-4000-8000-000000000001.sqlite"
        from webapp.store.book import Book

        Book(make_book).close()
    old.close()
    with Directory(data) as directory:
        assert directory.end_link("0a0b0c0d-0000-4000-8000-000000000001", "link", LATER)
    restore(tmp_path / "copy", data, LATER)
    with Directory(data) as directory:
        (link,) = directory.links("0a0b0c0d-0000-4000-8000-000000000001")
        assert link.ended_at == LATER


def test_nothing_is_changed_while_a_server_runs(data: Path, doors: Doors, tmp_path: Path) -> None:
    before = (data / DIRECTORY).stat().st_ino
    with side_by_side(data), pytest.raises(FolderInUse):
        restore(tmp_path / "copy", data, LATER)
    assert (data / DIRECTORY).stat().st_ino == before
    restore(tmp_path / "copy", data, LATER)


def test_a_copy_that_is_not_whole_is_not_put_back(data: Path, doors: Doors, tmp_path: Path) -> None:
    next((tmp_path / "copy" / "books").iterdir()).write_bytes(b"")
    before = (data / DIRECTORY).stat().st_ino
    with pytest.raises(CopyNotWhole, match="empty"):
        restore(tmp_path / "copy", data, LATER)
    assert (data / DIRECTORY).stat().st_ino == before


def test_the_secret_is_kept_unless_a_new_one_is_asked_for(data: Path, doors: Doors, tmp_path: Path) -> None:
    (data / "secret").write_text("kept\n")
    assert not restore(tmp_path / "copy", data, LATER).new_secret
    assert (data / "secret").read_text() == "kept\n"
    assert restore(tmp_path / "copy", data, moved(LATER, hours=1), new_secret=True).new_secret
    assert not (data / "secret").exists()


def test_a_restored_folder_is_its_owners_alone(data: Path, doors: Doors, tmp_path: Path) -> None:
    restore(tmp_path / "copy", data, LATER)
    assert [path for path in (data, *data.rglob("*")) if path.stat().st_mode & 0o077] == []


def test_folders_that_cannot_change_places_are_left_alone(
    data: Path, doors: Doors, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("webapp.store.restoring._EXCHANGE", 1 << 20)  # no such way of renaming: the system refuses
    with pytest.raises(CannotSwap):
        restore(tmp_path / "copy", data, LATER)
    with Directory(data) as directory:
        assert directory.is_deleted(doors.deleted_id)


def test_two_restores_within_one_second_keep_both_earlier_folders(data: Path, doors: Doors, tmp_path: Path) -> None:
    kept = [restore(tmp_path / "copy", data, LATER).kept for _ in range(2)]
    assert all(kept)
    assert len(set(kept)) == 2
    assert all((one / DIRECTORY).exists() for one in kept if one)


def test_a_ball_since_the_backup_outlives_a_restore_killed_at_the_change_and_the_next_one(
    data: Path, doors: Doors, tmp_path: Path
) -> None:
    with Directory(data) as directory, directory.open_book(doors.book_id) as book:
        book.add([make.raw("note", {"words": "since"})], None, LATER)
    killed = subprocess.run(
        [sys.executable, "-c", KILLED_AT_THE_CHANGE, str(tmp_path / "copy"), str(data), LATER], check=False
    )
    assert killed.returncode == -signal.SIGKILL
    restore(tmp_path / "copy", data, moved(LATER, minutes=1))
    earlier = [Directory(folder) for folder in data.parent.glob(f"{data.name}.before-*")]
    found = []
    for directory in earlier:
        with directory, directory.open_book(doors.book_id) as book:
            found += [fact["body"] for fact in book.after(0, 100) if fact["kind"] == "note"]
    assert found == [{"words": "since"}]
