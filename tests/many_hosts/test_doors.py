"""What is closed on one host is closed on every other at once, and one book has one truth whoever is asked."""

from pathlib import Path

import pytest

from tests.browser.server import ROOT
from tests.factories import NOW, a_bucket, a_club, a_shot
from webapp.store.faults import Gone
from webapp.store.log.log_directory import LogDirectory
from webapp.store.log.open_copy import open_copy
from webapp.store.log.postgres_log import PostgresLog

from . import doors
from .hosts import Host, Phone, amiss, notes
from .kills import device_of, phones_of
from .load import Load
from .postgres import Cluster

ROUNDS = 6
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


@pytest.mark.parametrize("what", doors.DOORS)
def test_what_is_closed_on_one_host_opens_on_none(hosts: list[Host], what: str) -> None:
    count = doors.DOORS[what](hosts, ROUNDS)
    assert count.wrong == 0, count.told()


def test_a_deleted_book_leaves_no_fact_in_the_log(hosts: list[Host], cluster: Cluster) -> None:
    phone = Phone().start_book(hosts[0])
    assert phone.send(hosts[1], notes(3)) == (200, "")
    assert phone.post(hosts[0], "/delete", yes="y").status == 302
    database = hosts[0].store_url.rpartition("/")[2]
    for query in ("facts WHERE book::text", "codes WHERE book_id", "links WHERE book_id"):
        assert cluster.sql(f"SELECT count(*) FROM {query} = %s", (phone.book_id,), database) == [(0,)], query


@pytest.mark.parametrize("seconds_off", [HOUR_S, -HOUR_S])
def test_a_host_whose_clock_is_an_hour_wrong_loses_nothing_and_opens_nothing(
    hosts: list[Host], tmp_path: Path, seconds_off: int
) -> None:
    (tmp_path / "sitecustomize.py").write_text(OTHER_CLOCK)
    clock = {"PYTHONPATH": f"{tmp_path}:{ROOT}", "SECONDS_OFF": str(seconds_off)}
    wrong = Host(tmp_path / "wrong", hosts[0].store_url, **clock).start()
    try:
        phone = Phone().start_book(hosts[0])
        other = phone.another(*hosts)
        link, link_id = phone.coach_link(wrong)
        with Load([phone, other], [hosts[0], wrong]) as load:
            load.wait_for(10)
        seen = [one.ask(host, "GET", "/card").status for one in (phone, other) for host in (wrong, hosts[1])]
        assert seen == [200] * 4
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


def test_a_book_deleted_while_it_is_opened_is_gone_and_not_damaged(log_url: str, tmp_path: Path) -> None:
    with LogDirectory(tmp_path / "one", log_url) as here, LogDirectory(tmp_path / "two", log_url) as there:
        book_id = here.new_book(NOW)
        with here.open_book(book_id) as book:
            book.add(notes(3), None, NOW)
        known = PostgresLog(here.line, book_id).head()
        there.delete_book(book_id, NOW)
        here.remove_deleted_files()
        with pytest.raises(Gone):
            open_copy(here.book_path(book_id), PostgresLog(here.line, book_id, known))
        assert not here.book_path(book_id).exists()
