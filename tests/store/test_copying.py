"""Backups: consistent while others write, and proved by opening them."""

import threading
from pathlib import Path

import pytest

from tests import factories as make
from tests.factories import NOW
from webapp.store.book import Book
from webapp.store.copying import BackupFailed, BooksLeftOut, DestinationInUse, back_up, check_copies
from webapp.store.directory import Directory


def test_a_backup_taken_while_books_are_written_is_whole(directory: Directory, tmp_path: Path) -> None:
    book_ids = [directory.new_book(NOW) for _ in range(3)]
    stop, acknowledged, begun = threading.Event(), {}, [threading.Event() for _ in book_ids]

    def write(place: int) -> None:
        with directory.open_book(book_ids[place]) as book:
            bucket, club = make.a_bucket(), make.a_club()
            book.add([bucket, club], None, NOW)
            while not stop.is_set():
                acknowledged[place] = book.add([make.a_shot(bucket, club) for _ in range(20)], None, NOW).cursor
                begun[place].set()

    writers = [threading.Thread(target=write, args=(place,)) for place in range(3)]
    for writer in writers:
        writer.start()
    try:
        assert all(event.wait(30) for event in begun)
        before = dict(acknowledged)
        assert list(back_up(directory, tmp_path / "copy", NOW)) == [8] + 8 * [1]
    finally:
        stop.set()
        for writer in writers:
            writer.join()
    checked = {one.name: one for one in check_copies(tmp_path / "copy")}
    assert [one.problem for one in checked.values()] == [""] * 4
    for place, book_id in enumerate(book_ids):
        facts = checked[f"{book_id}.sqlite"].facts
        assert facts >= before[place]
        assert facts % 20 == 2  # whole batches only


def test_what_a_failed_backup_left_is_called_so(directory: Directory, tmp_path: Path) -> None:
    (tmp_path / "copy.part").mkdir()
    (tmp_path / "copy.part" / "directory.sqlite").touch()
    with pytest.raises(DestinationInUse, match="A backup that failed left it: remove it"):
        list(back_up(directory, tmp_path / "copy", NOW))


def test_a_restored_folder_serves_the_same_phones(directory: Directory, tmp_path: Path) -> None:
    book_id = directory.new_book(NOW, "mine")
    token = directory.new_device(book_id, "phone", NOW)
    with directory.open_book(book_id) as book:
        book.add(make.the_demo_set(), None, NOW)
    list(back_up(directory, tmp_path / "copy", NOW))
    with Directory(tmp_path / "copy") as restored:
        device = restored.device(token)
        assert device is not None
        with restored.open_book(device.book_id) as book:
            assert book.cursor == 8


def test_a_new_folder_bears_its_name_only_once_it_is_verified(directory: Directory, tmp_path: Path) -> None:
    directory.new_book(NOW)
    steps = back_up(directory, tmp_path / "copy", NOW)
    seen = [(tmp_path / "copy").exists() for _ in steps]
    assert (any(seen), (tmp_path / "copy").exists(), (tmp_path / "copy.part").exists()) == (False, True, False)


def test_a_folder_that_is_there_already_is_filled_where_it_is(directory: Directory, tmp_path: Path) -> None:
    (tmp_path / "disk").mkdir()
    there = (tmp_path / "disk").stat().st_ino
    list(back_up(directory, tmp_path / "disk", NOW))
    assert (tmp_path / "disk").stat().st_ino == there
    assert [one.problem for one in check_copies(tmp_path / "disk")] == [""]


def test_it_never_writes_into_a_folder_that_holds_something(directory: Directory, tmp_path: Path) -> None:
    (tmp_path / "used").mkdir()
    (tmp_path / "used" / "letter").write_text("dear")
    with pytest.raises(DestinationInUse):
        next(back_up(directory, tmp_path / "used", NOW))
    assert [path.name for path in (tmp_path / "used").iterdir()] == ["letter"]


@pytest.mark.parametrize("place", ["", "copy", "books/copy"])
def test_it_never_writes_into_the_data_folder_itself(directory: Directory, tmp_path: Path, place: str) -> None:
    (tmp_path / "other").symlink_to(directory.folder)
    with pytest.raises(DestinationInUse, match="data folder"):
        next(back_up(directory, tmp_path / "other" / place, NOW))


def test_the_check_names_a_damaged_a_missing_and_a_tampered_copy(directory: Directory, tmp_path: Path) -> None:
    damaged, missing, tampered, whole = (directory.new_book(NOW) for _ in range(4))
    for book_id in (damaged, missing, tampered, whole):
        with directory.open_book(book_id) as book:
            book.add([make.raw("note", {"words": "x" * 300}) for _ in range(100)], None, NOW)
    list(back_up(directory, tmp_path / "copy", NOW))
    files = {book_id: tmp_path / "copy" / "books" / f"{book_id}.sqlite" for book_id in (damaged, missing, tampered)}
    content = bytearray(files[damaged].read_bytes())
    content[5 * 4096 : 20 * 4096] = b"\xa5" * (15 * 4096)
    files[damaged].write_bytes(content)
    files[missing].unlink()
    with Book(files[tampered]) as book:
        book.conn.execute("DELETE FROM notes")
    problems = {one.name.removesuffix(".sqlite"): one.problem for one in check_copies(tmp_path / "copy")}
    assert [bool(problems[book_id]) for book_id in (damaged, missing, tampered, whole)] == [True, True, True, False]
    assert "notes" in problems[tampered]


def test_a_fact_is_safe_once_it_lies_in_a_verified_copy(directory: Directory, tmp_path: Path) -> None:
    with directory.open_book(directory.new_book(NOW)) as book:
        assert directory.safe_cursor(book) == 0
        book.add([make.raw("note", {"words": "one"}) for _ in range(3)], None, NOW)
        list(back_up(directory, tmp_path / "one", NOW))
        book.add([make.raw("note", {"words": "two"}) for _ in range(2)], None, NOW)
        assert (directory.safe_cursor(book), book.cursor) == (3, 5)
        list(back_up(directory, tmp_path / "two", NOW))
        assert directory.safe_cursor(book) == 5


@pytest.mark.files_only
def test_numbers_given_out_again_after_an_older_file_was_put_back_are_not_called_safe(
    directory: Directory, tmp_path: Path
) -> None:
    book_id = directory.new_book(NOW)
    older = tmp_path / "older.sqlite"
    with directory.open_book(book_id) as book:
        book.copy_to(older)
        book.add([make.raw("note", {"words": "copied"}) for _ in range(3)], None, NOW)
        list(back_up(directory, tmp_path / "copy", NOW))
    older.rename(directory.book_path(book_id))
    with directory.open_book(book_id) as book:
        book.add([make.raw("note", {"words": "new"}) for _ in range(3)], None, NOW)
        assert (directory.safe_cursor(book), book.cursor) == (0, 3)


@pytest.mark.files_only
def test_a_backup_names_each_damaged_book_and_makes_the_others_safe(directory: Directory, tmp_path: Path) -> None:
    whole, *bad = (directory.new_book(NOW) for _ in range(4))
    for book_id in (whole, *bad):
        with directory.open_book(book_id) as book:
            book.add([make.raw("note", {"words": "x" * 300}) for _ in range(100)], None, NOW)
    gone, torn, tampered = map(directory.book_path, bad)
    gone.unlink()
    content = bytearray(torn.read_bytes())
    content[5 * 4096 : 20 * 4096] = b"\xa5" * (15 * 4096)
    torn.write_bytes(content)
    with Book(tampered) as book:
        book.conn.execute("DELETE FROM notes")
    with pytest.raises(BooksLeftOut, match="malformed") as left_out:
        list(back_up(directory, tmp_path / "copy", NOW))
    last = directory.last_backup()
    assert last is not None
    assert (last.problem, last.whole_at) == (str(left_out.value), "")
    assert [book_id in last.problem for book_id in (whole, *bad)] == [False, True, True, True]
    checked = {one.name.removesuffix(".sqlite"): one for one in check_copies(tmp_path / "copy")}
    assert [checked[book_id].left_out for book_id in (whole, *bad)] == [False, True, True, True]
    with directory.open_book(whole) as book:
        assert directory.safe_cursor(book) == 100
    # What was closed is told beside the copy that can be put back, whether or not books are left out of it.
    assert tmp_path / "copy" in directory.journal_folders()


@pytest.mark.files_only
def test_a_backup_changes_nothing_of_an_empty_file(directory: Directory, tmp_path: Path) -> None:
    directory.new_book(NOW)
    path = directory.book_path(directory.new_book(NOW))
    path.write_bytes(b"")
    with pytest.raises(BooksLeftOut, match="the file is empty"):
        list(back_up(directory, tmp_path / "copy", NOW))
    assert path.read_bytes() == b""


@pytest.mark.files_only
def test_a_backup_that_holds_no_whole_book_is_not_finished(directory: Directory, tmp_path: Path) -> None:
    gone_id = directory.new_book(NOW)
    directory.book_path(gone_id).unlink()
    with pytest.raises(BackupFailed, match=gone_id):
        list(back_up(directory, tmp_path / "copy", NOW))
    last = directory.last_backup()
    assert last is not None
    assert (last.tried_at, last.whole_at, gone_id in last.problem) == (NOW, "", True)
    assert not (tmp_path / "copy").exists()


def test_a_deleted_book_is_not_missed_by_a_backup(directory: Directory, tmp_path: Path) -> None:
    deleted_id, _ = directory.new_book(NOW), directory.new_book(NOW)
    directory.delete_book(deleted_id, NOW)
    list(back_up(directory, tmp_path / "copy", NOW))
    last = directory.last_backup()
    assert last is not None
    assert last.whole_at == NOW
