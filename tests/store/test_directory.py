"""The directory: phones, coach links, codes and names, each opening its own book and no other."""

import pytest

from tests import factories as make
from tests.factories import NOW
from webapp.moments import moved
from webapp.store.directory import Directory
from webapp.store.faults import DamagedDirectory

LATER = moved(NOW, days=14)


@pytest.fixture
def book_id(directory: Directory) -> str:
    """The id of a fresh book."""
    return directory.new_book(NOW, "mine")


def all_bytes(directory: Directory) -> bytes:
    directory.conn.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    return directory.path.read_bytes()


def test_a_phone_opens_its_own_book_and_no_other(directory: Directory, book_id: str) -> None:
    other_id = directory.new_book(NOW)
    tokens = {book: directory.new_device(book, "Phone", NOW) for book in (book_id, other_id)}
    for book, token in tokens.items():
        device = directory.device(token)
        assert device is not None
        assert device.book_id == book


@pytest.mark.parametrize("token", ["", "x", "0" * 43])
def test_a_made_up_secret_opens_nothing(directory: Directory, book_id: str, token: str) -> None:
    directory.new_device(book_id, "phone", NOW)
    assert directory.device(token) is None
    assert directory.link(token) is None


@pytest.mark.files_only
def test_of_a_secret_only_its_hash_is_kept(directory: Directory, book_id: str) -> None:
    token, link = directory.new_device(book_id, "phone", NOW), directory.new_link(book_id, "Coach", NOW, LATER, {})
    directory.set_recovery(book_id, "ABCD-EFGH", NOW)
    stored = all_bytes(directory)
    assert b"phone" in stored
    assert not any(secret.encode() in stored for secret in (token, link, "ABCD-EFGH"))


def test_a_phone_that_is_cut_off_is_known_as_such_at_once(directory: Directory, book_id: str) -> None:
    lost, kept = (directory.new_device(book_id, name, NOW) for name in ("lost", "kept"))
    device = directory.device(lost)
    assert device is not None
    assert not directory.cut_off(directory.new_book(NOW), device.id, LATER)
    assert directory.cut_off(book_id, device.id, LATER)
    cut, other = directory.device(lost), directory.device(kept)
    assert cut is not None
    assert other is not None
    assert (cut.cut_off_at, other.cut_off_at) == (LATER, "")


def test_a_coach_link_has_an_end(directory: Directory, book_id: str) -> None:
    link = directory.link(directory.new_link(book_id, "Coach", NOW, LATER, {"nickname": False}))
    assert link is not None
    assert (link.book_id, link.profile) == (book_id, {"nickname": False})
    assert link.is_open(NOW)
    assert not link.is_open(LATER)


def test_a_coach_link_can_be_ended_by_its_own_book_only(directory: Directory, book_id: str) -> None:
    ended, other = (directory.new_link(book_id, name, NOW, LATER, {}) for name in ("one", "other"))
    link = directory.link(ended)
    assert link is not None
    assert not directory.end_link(directory.new_book(NOW), link.id, NOW)
    assert directory.end_link(book_id, link.id, NOW)
    assert not directory.end_link(book_id, link.id, NOW)
    assert [directory.link(token).is_open(NOW) for token in (ended, other)] == [False, True]  # type: ignore[union-attr]


def test_a_new_recovery_code_ends_the_old_one(directory: Directory, book_id: str) -> None:
    directory.set_recovery(book_id, "OLD", NOW)
    directory.set_recovery(book_id, "NEW", NOW)
    assert directory.use_code("OLD", NOW) is None
    assert [directory.use_code("NEW", NOW) for _ in range(2)] == [book_id, book_id]


def test_a_joining_code_opens_once_and_not_after_its_end(directory: Directory, book_id: str) -> None:
    directory.set_joining(book_id, "SHORT", NOW, moved(NOW, minutes=10))
    assert directory.use_code("SHORT", moved(NOW, minutes=10)) is None
    directory.set_joining(book_id, "SHORT", NOW, moved(NOW, minutes=10))
    assert [directory.use_code("SHORT", NOW) for _ in range(2)] == [book_id, None]


def test_a_name_belongs_to_one_book(directory: Directory, book_id: str) -> None:
    with pytest.raises(ValueError, match="mine"):
        directory.new_book(NOW, "mine")
    assert directory.book_of_alias("mine") == book_id
    assert directory.book_of_alias("../../secret") is None


def test_deleting_a_book_removes_its_file_and_every_way_in(directory: Directory, book_id: str) -> None:
    other_id = directory.new_book(NOW)
    token, link = directory.new_device(book_id, "phone", NOW), directory.new_link(book_id, "Coach", NOW, LATER, {})
    directory.set_recovery(book_id, "CODE", NOW)
    with directory.open_book(book_id) as book:
        book.add([make.a_club()], None, NOW)
    directory.delete_book(book_id, LATER)
    assert list(directory.folder.glob(f"books/{book_id}*")) == []
    assert directory.link(link) is None
    assert directory.use_code("CODE", NOW) is None
    device = directory.device(token)
    assert device is None or directory.is_deleted(device.book_id)
    assert [row["id"] for row in directory.books()] == [other_id]
    assert directory.new_book(NOW, "mine") != book_id


@pytest.mark.files_only
def test_it_keeps_what_it_knows_when_it_is_opened_again(directory: Directory, book_id: str) -> None:
    token = directory.new_device(book_id, "phone", NOW)
    with Directory(directory.folder) as again:
        device = again.device(token)
        assert device is not None
        assert device.book_id == book_id


def test_a_joining_code_does_not_open_again_when_the_clock_is_set_back(directory: Directory, book_id: str) -> None:
    directory.set_joining(book_id, "SHORT", NOW, moved(NOW, minutes=10))
    directory.saw(moved(NOW, days=1))
    assert directory.use_code("SHORT", moved(NOW, minutes=5)) is None


def test_a_link_that_had_ended_stays_ended_when_the_clock_is_set_back(directory: Directory, book_id: str) -> None:
    token, other = (directory.new_link(book_id, "Coach", NOW, end, {}) for end in (LATER, moved(LATER, days=30)))
    directory.saw(moved(LATER, days=1))
    directory.saw(NOW)
    ended, still = directory.link(token), directory.link(other)
    assert ended
    assert still
    assert (ended.is_open(NOW), still.is_open(NOW)) == (False, True)


def test_a_clock_set_right_by_seconds_ends_nothing(directory: Directory, book_id: str) -> None:
    directory.set_joining(book_id, "SHORT", NOW, moved(NOW, minutes=10))
    assert directory.use_code("SHORT", moved(NOW, seconds=-30)) == book_id


@pytest.mark.files_only
def test_a_directory_lost_from_beside_its_books_is_damage_and_not_begun_anew(
    directory: Directory, book_id: str
) -> None:
    directory.close()
    directory.path.unlink()
    with pytest.raises(DamagedDirectory, match="not there"):
        Directory(directory.folder)
    assert not directory.path.exists()


def test_only_its_owner_can_read_a_data_folder(directory: Directory, book_id: str) -> None:
    found = [directory.folder, *directory.folder.rglob("*")]
    assert [path for path in found if path.stat().st_mode & 0o077] == []
