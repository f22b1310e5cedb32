"""Closes doors on one host and tries them on the other: links, phones, codes, deleted books; counts what still opened.

Knows the addresses of pages; nothing of where it is kept what is closed.
"""

import sqlite3
import threading
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from pathlib import Path

from .hosts import Host, Phone, amiss, notes
from .kills import device_of
from .load import Count

_READ = ("/card", "/api/facts?after=0", "/export/book.json")
_GONE = {(401, "no_book"), (410, "book_deleted")}


def links_ended(hosts: list[Host], times: int) -> Count:
    """A coach's link is ended on one host and read on both."""
    phone, passed = Phone().start_book(hosts[0]), 0
    for place in range(times):
        here, there = _turned(hosts, place)
        link, link_id = phone.coach_link(here)
        assert [Phone().ask(host, "GET", link).status for host in hosts] == [200, 200]
        assert phone.post(there, f"/links/{link_id}/end").status == 302
        passed += [Phone().ask(host, "GET", link).status for host in (here, there)].count(200)
    return _count("a link ended on one host and read on both", times, [phone], hosts, passed)


def phones_cut_off(hosts: list[Host], times: int) -> Count:
    """A phone is cut off on one host, and reads and writes on both."""
    phone, passed = Phone().start_book(hosts[0]), 0
    for place in range(times):
        here, there = _turned(hosts, place)
        other = phone.another(here, there)
        assert other.send(here, notes(1)) == (200, "")
        phone.promised |= other.promised
        assert phone.post(there, f"/phones/{device_of(other, here)}/cut-off").status == 302
        for host in (here, there):
            passed += other.send(host, notes(1))[0] == 200
            passed += [other.ask(host, "GET", path).status for path in _READ].count(200)
    return _count("a phone cut off on one host, reading and writing on both", times, [phone], hosts, passed)


def codes_raced(hosts: list[Host], times: int) -> Count:
    """Two phones use one joining code at once, each on its host: exactly one is let in."""
    phone, passed = Phone().start_book(hosts[0]), 0
    for place in range(times):
        code, begin = phone.joining_code(hosts[place % 2]), threading.Barrier(2)

        def open_book(host: Host, code: str = code, begin: threading.Barrier = begin) -> int:
            begin.wait(60)
            return Phone().post(host, "/open", code=code).status

        with ThreadPoolExecutor(2) as racing:
            told = sorted(racing.map(open_book, hosts))
        assert 302 in told, told
        passed += told.count(302) - 1
    return _count("one code used by two phones at once", times, [phone], hosts, passed)


def books_deleted(hosts: list[Host], times: int) -> Count:
    """A book is deleted on one host while three phones write to it on both, which then neither read nor write it."""
    passed, kept = 0, 0
    for place in range(times):
        here, there = _turned(hosts, place)
        first = Phone().start_book(here)
        others = [first.another(*hosts) for _ in range(3)]
        begun = threading.Semaphore(0)

        def write(phone: Phone, host: Host, begun: threading.Semaphore = begun) -> tuple[int, str]:
            while (said := phone.send(host, notes(2))) == (200, ""):
                begun.release()
            return said

        with ThreadPoolExecutor(3) as writing:
            ended = [writing.submit(write, phone, hosts[at % 2]) for at, phone in enumerate(others)]
            for _ in range(6):
                assert begun.acquire(timeout=60)
            assert first.post(there, "/delete", yes="y").status == 302
            assert (told := {one.result(60) for one in ended}) <= _GONE, told
        for phone in others:
            for host in hosts:
                passed += [phone.ask(host, "GET", path).status for path in _READ].count(200)
                passed += phone.send(host, notes(1))[0] == 200
        passed += sum(_facts_in(path) for host in hosts for path in host.caches() if path.stem == first.book_id)
        kept += sum(len(phone.promised) for phone in others)
    return Count("a book deleted on one host while both write it", times, kept, 0, 0, passed)


def _facts_in(cache: Path) -> int:
    """How many facts a file holds; one that was being made while its book went may stay, empty, until the sweep."""
    with closing(sqlite3.connect(cache)) as line:
        return int(line.execute("SELECT count(*) FROM facts").fetchone()[0])


def _turned(hosts: list[Host], place: int) -> tuple[Host, Host]:
    return hosts[place % 2], hosts[(place + 1) % 2]


def _count(what: str, times: int, phones: list[Phone], hosts: list[Host], passed: int) -> Count:
    return Count(what, times, sum(len(phone.promised) for phone in phones), *amiss(phones, hosts), passed)


DOORS = {"link": links_ended, "phone": phones_cut_off, "code": codes_raced, "book": books_deleted}
