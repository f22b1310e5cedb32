"""Two hosts on one log: what one takes the other shows, whatever becomes of their own files."""

from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from functools import partial
from pathlib import Path
from threading import Barrier

import psycopg
import pytest

from tests import factories as make
from tests.factories import NOW, Raw
from tests.store.test_derived import rows_of
from webapp.books import same_wedge
from webapp.books.both_said import both_said
from webapp.moments import moved
from webapp.store import guardians
from webapp.store.book import Book
from webapp.store.directory import Directory
from webapp.store.faults import DamagedFile, Gone
from webapp.store.log import following
from webapp.store.log.head import Head
from webapp.store.log.numbers import numbers
from webapp.store.open_directory import open_directory
from webapp.store.reading import clubs, count_of_balls, shots_of_club

ENDS = moved(NOW, minutes=10)
Hosts = tuple[Directory, Directory]


@pytest.fixture
def hosts(tmp_path: Path, log_url: str) -> Iterator[Hosts]:
    """Two hosts with a data folder each."""
    folders = tmp_path / "one", tmp_path / "other"
    with open_directory(folders[0], store_url=log_url) as one, open_directory(folders[1], store_url=log_url) as other:
        yield one, other


def a_visit() -> list[Raw]:
    """A wedge, a bucket and ten balls."""
    bucket, club = make.a_bucket(), make.a_club()
    return [bucket, club, *make.f1_balls(bucket, club)]


def test_balls_of_a_withdrawn_wedge_that_come_to_two_hosts_are_corrected_once(hosts: Hosts) -> None:
    book_id = hosts[0].new_book(NOW)
    visit = a_visit()
    like = make.a_club()
    with hosts[0].open_book(book_id) as book, hosts[1].open_book(book_id) as copy:
        book.add([visit[1], like, make.voided(visit[1])], None, NOW)
        for own in (book, copy, book):  # what a phone sent to one host and never heard of goes to the other
            answer = own.add(visit, b"a phone", NOW, then=lambda own=own: same_wedge.named_anew(own))  # type: ignore[misc]
            assert (answer.taken, answer.cursor) == ([fact["id"] for fact in visit], 24)
        assert book.after(0) == copy.after(0)
        for own in (book, copy):
            assert len(shots_of_club(own, like["id"])) == 10
            assert [club.id for club in clubs(own, retired=True)] == [like["id"]]


def test_a_bucket_that_two_phones_changed_on_two_hosts_says_what_both_said_once(hosts: Hosts) -> None:
    book_id = hosts[0].new_book(NOW)
    bucket, ended = make.a_bucket(), {"ended_at": moved(NOW, minutes=2)}
    later = [make.corrected(bucket, moved(NOW, minutes=at), **said) for at, said in ((1, {"ball": "own"}), (2, ended))]
    with hosts[0].open_book(book_id) as book, hosts[1].open_book(book_id) as copy:
        book.add([bucket], None, NOW)
        phones, made_of = (b"a phone", b"another"), {fact["id"]: bucket["made_at"] for fact in later}
        for own, phone, fact in ((book, 0, 0), (copy, 1, 1), (book, 1, 1), (copy, 0, 0)):
            batch, moment = [later[fact]], moved(NOW, minutes=3 + phone)
            follow = partial(both_said, own, batch, made_of, phones[phone], moment)
            assert own.add(batch, phones[phone], moment, then=follow).refused == []
        for own in (book, copy):
            history = own.history(bucket["id"])
            assert (len(history), history[-1]["body"]) == (4, {**bucket["body"], "ball": "own", **ended})


def test_what_one_host_takes_the_other_shows(hosts: Hosts) -> None:
    one, other = hosts
    book_id = one.new_book(NOW)
    visit = a_visit()
    with one.open_book(book_id) as book:
        assert len(book.add(visit, b"a phone", NOW).taken) == 12
        shown = rows_of(book)
    with other.open_book(book_id) as copy:
        assert rows_of(copy) == shown
        answer = copy.add([make.corrected(visit[4], aside=True)], None, NOW)
        assert answer.cursor == 13
    with one.open_book(book_id, read_only=True) as book, other.open_book(book_id) as copy:
        assert book.after(0) == copy.after(0)
        assert book.history(visit[4]["root"]) == copy.history(visit[4]["root"])
        assert rows_of(book) == rows_of(copy)
        copy.rebuild()
        assert rows_of(book) == rows_of(copy)


def test_a_host_that_was_behind_takes_a_batch_behind_the_others(hosts: Hosts) -> None:
    one, other = hosts
    book_id = one.new_book(NOW)
    with one.open_book(book_id) as book, other.open_book(book_id) as behind:
        first = a_visit()
        book.add(first, None, NOW)
        answer = behind.add([make.a_shot(first[0], first[1])], None, NOW)
        assert (len(answer.taken), answer.refused, answer.cursor) == (1, [], 13)
        assert count_of_balls(behind) == 11


def test_many_writers_on_two_hosts_lose_and_double_nothing(hosts: Hosts) -> None:
    book_id = hosts[0].new_book(NOW)
    visits = [[a_visit() for _ in range(6)] for _ in range(8)]

    def write(number: int) -> None:
        with open_directory(hosts[number % 2].folder, store_url=_url(hosts[0])) as directory:
            for visit in visits[number]:
                with directory.open_book(book_id) as book:
                    for piece in (visit[:2], visit[2:], visit[2:]):
                        assert len(book.add(piece, None, NOW).taken) == len(piece)

    with ThreadPoolExecutor(8) as writers:
        list(writers.map(write, range(8)))
    sent = {fact["id"] for writer in visits for visit in writer for fact in visit}
    with hosts[0].open_book(book_id) as book, hosts[1].open_book(book_id) as copy:
        facts = book.after(0, 10_000)
        assert {fact["id"] for fact in facts} == sent
        assert [fact["seq"] for fact in facts] == list(range(1, len(sent) + 1))
        assert copy.after(0, 10_000) == facts
        before = rows_of(book)
        book.rebuild()
        assert rows_of(book) == before == rows_of(copy)


def test_a_log_that_was_put_back_is_followed(hosts: Hosts) -> None:
    """The same number then stands for another fact, so the number alone would not tell."""
    one, other = hosts
    book_id = one.new_book(NOW)
    visit = a_visit()
    with one.open_book(book_id) as book:
        book.add(visit[:8], None, NOW)
        early = following.head_of(book.conn)
        book.add(visit[8:], None, NOW)
    with psycopg.connect(_url(one), autocommit=True) as owner:
        owner.execute("DELETE FROM facts WHERE seq > 8")
        owner.execute("UPDATE books SET cursor = %s, chain = %s", (early.cursor, early.chain))
    with other.open_book(book_id) as copy:
        copy.add(list(reversed(visit[8:])), None, NOW)
    with one.open_book(book_id) as book, other.open_book(book_id) as copy:
        assert book.after(0) == copy.after(0)
        assert [fact["id"] for fact in book.after(8)] == [fact["id"] for fact in reversed(visit[8:])]
        assert rows_of(book) == rows_of(copy)


def _scribbled(path: Path) -> None:
    whole = path.read_bytes()
    path.write_bytes(whole[:4096] + b"\x5a" * (len(whole) - 4096))


def _cut_short(path: Path) -> None:
    path.write_bytes(path.read_bytes()[:5000])


def _emptied(path: Path) -> None:
    path.write_bytes(b"")


def _no_database(path: Path) -> None:
    path.write_bytes(b"no database at all" * 1000)


@pytest.mark.parametrize("harm", [_scribbled, _cut_short, _emptied, _no_database, Path.unlink])
def test_a_damaged_copy_is_made_again(hosts: Hosts, harm: Callable[[Path], None]) -> None:
    one, _ = hosts
    book_id = one.new_book(NOW)
    with one.open_book(book_id) as book:
        book.add(a_visit(), None, NOW)
        shown = rows_of(book)
    harm(one.book_path(book_id).resolve())
    with one.open_book(book_id) as book:
        assert rows_of(book) == shown
        assert len(book.add(a_visit(), None, NOW).taken) == 12


def test_a_host_fills_its_file_once_for_all_who_ask_at_once(hosts: Hosts, log_url: str) -> None:
    one, other = hosts
    book_id, begin, before = one.new_book(NOW), Barrier(8), numbers.followed
    with one.open_book(book_id) as book:
        book.add(a_visit(), None, NOW)

    def facts_seen(_: int) -> int:
        with open_directory(other.folder, store_url=log_url) as directory:
            begin.wait(60)
            with directory.open_book(book_id) as copy:
                return copy.cursor

    with ThreadPoolExecutor(8) as phones:
        assert set(phones.map(facts_seen, range(8))) == {12}
    assert numbers.followed - before == 12


def test_a_file_that_cannot_be_filled_is_not_left_behind(hosts: Hosts, log_url: str) -> None:
    one, other = hosts
    book_id = one.new_book(NOW)
    with one.open_book(book_id) as book:
        book.add(a_visit(), None, NOW)
    with psycopg.connect(log_url) as log:
        log.execute("DELETE FROM facts WHERE seq = 3")
    with pytest.raises(DamagedFile, match="do not lead to its head"):
        other.open_book(book_id)
    assert [path for path in (other.folder / "cache").iterdir() if book_id in path.name] == []


def test_damage_that_a_write_meets_costs_nothing(hosts: Hosts) -> None:
    one, _ = hosts
    book_id = one.new_book(NOW)
    visit = a_visit()
    with one.open_book(book_id) as book:
        book.add(visit, None, NOW)
    with one.open_book(book_id) as book:
        _scribbled(one.book_path(book_id).resolve())
        answer = book.add([make.a_shot(visit[0], visit[1])], None, NOW)
        assert (len(answer.taken), answer.refused, answer.cursor) == (1, [], 13)
        assert count_of_balls(book) == 11


def test_a_deleted_book_leaves_every_host(hosts: Hosts) -> None:
    one, other = hosts
    books = [one.new_book(NOW) for _ in range(3)]
    for host in hosts:
        for book_id in books:
            with host.open_book(book_id) as book:
                book.add(a_visit(), None, NOW)
    token = one.new_device(books[0], "Phone", NOW)
    with other.open_book(books[0]) as late:
        for book_id in books[:2]:
            one.delete_book(book_id, NOW)
        with pytest.raises(Gone):
            late.add(a_visit(), None, NOW)
    assert other.is_deleted(books[0])
    assert not other.book_path(books[0]).is_symlink()
    with pytest.raises(Gone):
        other.open_book(books[1])
    assert not other.book_path(books[1]).is_symlink()
    assert one.device(token) is not None  # so that the phone is told that its book was deleted
    assert [one["id"] for one in other.books()] == books[2:]
    with psycopg.connect(_url(one)) as owner:
        assert owner.execute("SELECT DISTINCT book::text FROM facts").fetchall() == [(books[2],)]


def test_a_host_sweeps_what_another_deleted(hosts: Hosts) -> None:
    one, other = hosts
    kept, deleted = one.new_book(NOW), one.new_book(NOW)
    for book_id in (kept, deleted):
        other.open_book(book_id).close()
    one.delete_book(deleted, NOW)
    other.remove_deleted_files()
    assert sorted(path.name.partition(".")[0] for path in other.book_path(kept).parent.iterdir()) == [kept, kept]


def test_two_phones_never_get_in_with_one_code(hosts: Hosts) -> None:
    book_id = hosts[0].new_book(NOW)
    for number in range(15):
        hosts[0].set_joining(book_id, f"code {number}", NOW, ENDS)

        def use(host: Directory, code: str = f"code {number}") -> str | None:
            with open_directory(host.folder, store_url=_url(host)) as directory:
                return directory.use_code(code, NOW)

        with ThreadPoolExecutor(2) as phones:
            assert sorted(map(bool, phones.map(use, hosts))) == [False, True]


def test_of_sheets_and_codes_made_at_once_one_is_left(hosts: Hosts) -> None:
    book_id = hosts[0].new_book(NOW)

    def replace(number: int) -> None:
        with open_directory(hosts[0].folder, store_url=_url(hosts[0])) as directory:
            directory.set_recovery(book_id, f"sheet {number}", NOW)
            directory.set_joining(book_id, f"code {number}", NOW, ENDS)

    with ThreadPoolExecutor(8) as phones:
        list(phones.map(replace, range(16)))
    with psycopg.connect(_url(hosts[0])) as owner:
        assert owner.execute("SELECT kind FROM codes ORDER BY kind").fetchall() == [("join",), ("recovery",)]
    good = [number for number in range(16) if hosts[1].use_code(f"sheet {number}", NOW)]
    assert len(good) == 1


def test_wrong_pins_on_all_hosts_count_together(hosts: Hosts) -> None:
    book_id = hosts[0].new_book(NOW)
    assert guardians.set_pin(hosts[0], book_id, "2468", NOW)
    assert not guardians.set_pin(hosts[1], book_id, "1111", NOW)
    for number in range(guardians.TRIES):
        assert not guardians.is_right(hosts[number % 2], book_id, "0000", NOW)
    with pytest.raises(guardians.Barred):
        guardians.is_right(hosts[0], book_id, "2468", NOW)


def test_a_link_that_is_ended_is_ended_everywhere(hosts: Hosts) -> None:
    one, other = hosts
    book_id = one.new_book(NOW)
    token = one.new_link(book_id, "Coach", NOW, moved(NOW, days=30), {"days": True})
    link = other.link(token)
    assert link is not None
    assert link.is_open(NOW)
    assert one.end_link(book_id, link.id, NOW)
    assert not other.end_link(book_id, link.id, NOW)
    ended = other.link(token)
    assert ended is not None
    assert not ended.is_open(NOW)


def test_an_alias_is_given_once(hosts: Hosts) -> None:
    hosts[0].new_book(NOW, alias="mine")
    with pytest.raises(ValueError, match="mine"):
        hosts[1].new_book(NOW, alias="mine")
    assert len(hosts[0].books()) == 1


def test_a_copy_that_is_taken_away_is_a_book_of_its_own(hosts: Hosts, tmp_path: Path) -> None:
    one, _ = hosts
    with one.open_book(one.new_book(NOW)) as book:
        book.add(a_visit(), None, NOW)
        book.copy_to(tmp_path / "taken.sqlite")
        shown = rows_of(book)
    with Book(tmp_path / "taken.sqlite") as taken:
        assert rows_of(taken) == shown
        assert taken.conn.execute("SELECT COUNT(*) FROM sqlite_master WHERE name = 'head'").fetchone()[0] == 0


def test_a_head_does_not_depend_on_how_facts_are_parted() -> None:
    rows = [(bytes([n] * 16), bytes([n] * 16), "note", NOW, "{}", NOW, None if n % 2 else b"phone") for n in range(9)]
    parted = Head().then(rows[:2]).then(rows[2:7]).then(rows[7:])
    assert parted == Head().then(rows)
    assert Head().then([*rows[:3], rows[4], rows[3], *rows[5:]]) != Head().then(rows)


def _url(directory: Directory) -> str:
    return str(directory.line.url)  # type: ignore[attr-defined]
