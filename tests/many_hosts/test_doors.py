"""What is closed on one host is closed on every other at once, and one book has one truth whoever is asked."""

import threading
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from tests.browser.server import ROOT
from tests.factories import a_bucket, a_club, a_shot

from .hosts import STORE, Host, Phone, amiss, notes
from .kills import device_of, phones_of
from .load import Load
from .postgres import Cluster

ROUNDS = 5
HOUR_S = 3600
# Gives a host another clock than the machine's.
OTHER_CLOCK = """import os
from datetime import UTC, datetime, timedelta
import webapp
make = webapp.create_app
def create_app(config=None):
    app = make(config)
    app.config["NOW"] = lambda: datetime.now(UTC) + timedelta(seconds=float(os.environ["SECONDS_OFF"]))
    return app
webapp.create_app = create_app
"""


def test_eight_phones_write_one_book_on_two_hosts(hosts: list[Host]) -> None:
    phones = phones_of(hosts, 1, 8)
    with Load(phones, hosts) as load:
        load.wait_for(60)
    count = load.count("eight phones on one book", 1)
    assert count.promised >= 60
    assert count.wrong == 0, count.told()


def test_a_ball_taken_by_one_host_stands_on_the_card_of_the_other(hosts: list[Host]) -> None:
    phone = Phone().start_book(hosts[0])
    club, bucket = a_club("52"), a_bucket()
    assert phone.send(hosts[1], [club, bucket]) == (200, "")
    for place in range(ROUNDS):
        ball = a_shot(bucket, club, 60 + place)
        assert phone.send(hosts[place % 2], [ball]) == (200, "")
        shown = [phone.ask(host, "GET", f"/card/{club['id']}/90?ball=range").text for host in hosts]
        assert [page.count(ball["id"]) > 0 for page in shown] == [True, True]


def test_a_link_ended_on_one_host_opens_nothing_on_the_other(hosts: list[Host]) -> None:
    phone, coach = Phone().start_book(hosts[0]), Phone()
    for place in range(ROUNDS):
        here, there = hosts[place % 2], hosts[(place + 1) % 2]
        link, link_id = phone.coach_link(here)
        assert [coach.ask(host, "GET", link).status for host in hosts] == [200, 200]
        assert phone.post(there, f"/links/{link_id}/end").status == 302
        assert [coach.ask(host, "GET", link).status for host in (here, there)] == [410, 410]


def test_a_phone_cut_off_on_one_host_neither_reads_nor_writes_on_the_other(hosts: list[Host]) -> None:
    phone = Phone().start_book(hosts[0])
    for place in range(ROUNDS):
        here, there = hosts[place % 2], hosts[(place + 1) % 2]
        other = phone.another(here, there)
        assert other.send(here, notes(1)) == (200, "")
        assert phone.post(there, f"/phones/{device_of(other, here)}/cut-off").status == 302
        assert [other.send(host, notes(1)) for host in (here, there)] == [(403, "cut_off")] * 2
        assert [other.ask(host, "GET", "/card").status for host in (here, there)] == [403, 403]


def test_one_code_lets_one_of_two_phones_in(hosts: list[Host]) -> None:
    phone = Phone().start_book(hosts[0])
    for place in range(ROUNDS):
        code, begin = phone.joining_code(hosts[place % 2]), threading.Barrier(2)

        def open_book(host: Host, code: str = code, begin: threading.Barrier = begin) -> int:
            other = Phone()
            other.ask(host, "GET", "/open")
            begin.wait(60)
            return other.post(host, "/open", code=code).status

        with ThreadPoolExecutor(2) as racing:
            assert sorted(racing.map(open_book, hosts)) == [302, 404]


def test_a_book_deleted_on_one_host_under_writing_is_gone_on_the_other(hosts: list[Host], cluster: Cluster) -> None:
    first = Phone().start_book(hosts[0])
    others = [first.another(*hosts) for _ in range(3)]
    begun = threading.Semaphore(0)

    def write(phone: Phone, host: Host) -> tuple[int, str]:
        while (said := phone.send(host, notes(2))) == (200, ""):
            begun.release()
        return said

    with ThreadPoolExecutor(3) as writing:
        ended = [writing.submit(write, phone, hosts[place % 2]) for place, phone in enumerate(others)]
        for _ in range(6):
            assert begun.acquire(timeout=60)
        assert first.post(hosts[0], "/delete", yes="y").status == 302
        assert {one.result(60)[0] for one in ended} <= {401, 410}
    for phone in others:
        for host in hosts:
            assert phone.ask(host, "GET", "/api/facts?after=0").status in (401, 410)
            assert phone.send(host, notes(1))[0] in (401, 410)
    database = str(hosts[0].environment[STORE]).rpartition("/")[2]
    left = cluster.sql("SELECT count(*) FROM facts WHERE book::text = %s", (first.book_id,), database)
    assert left == [(0,)], "facts of a deleted book are still in the log"
    assert [path for host in hosts for path in host.caches() if path.stem == first.book_id] == []


@pytest.mark.parametrize("seconds_off", [HOUR_S, -HOUR_S])
def test_a_host_whose_clock_is_an_hour_wrong_loses_nothing_and_opens_nothing(
    hosts: list[Host], tmp_path: Path, seconds_off: int
) -> None:
    (tmp_path / "sitecustomize.py").write_text(OTHER_CLOCK)
    environment = {**hosts[0].environment, "PYTHONPATH": f"{tmp_path}:{ROOT}", "SECONDS_OFF": str(seconds_off)}
    store_url = environment.pop(STORE)
    wrong = Host(tmp_path / "wrong", store_url, **environment).start()
    try:
        phone = Phone().start_book(hosts[0])
        other = phone.another(*hosts)
        link, link_id = phone.coach_link(wrong)
        with Load([phone, other], [hosts[0], wrong]) as load:
            load.wait_for(10)
        assert [one.ask(host, "GET", "/card").status for one in (phone, other) for host in (wrong, hosts[1])] == [
            200
        ] * 4
        lost, doubled = amiss([phone, other], [*hosts, wrong])
        assert (lost, doubled) == (0, 0)
        late = phone.joining_code(hosts[0])
        assert phone.post(wrong, f"/links/{link_id}/end").status == 302
        assert [Phone().ask(host, "GET", link).status for host in (*hosts, wrong)] == [410] * 3
        assert phone.post(wrong, f"/phones/{device_of(other, wrong)}/cut-off").status == 302
        assert [other.ask(host, "GET", "/card").status for host in (*hosts, wrong)] == [403] * 3
        if seconds_off > 0:  # its ten minutes are over by the later clock
            assert Phone().post(wrong, "/open", code=late).status == 404
    finally:
        wrong.stop()
