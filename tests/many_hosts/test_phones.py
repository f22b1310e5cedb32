"""Two phones of one book on two hosts: what one notes while its host has lost PostgreSQL reaches the other later."""

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, expect

from tests.browser.chromium import new_phone
from tests.browser.player import Player
from tests.browser.waiting import until_all_taken

from .hosts import AWAY, Host, Phone
from .line import Line
from .postgres import Cluster

BALLS = (52, 55, 49, 54)
Apart = tuple[Host, Host, Line]
Hold = Callable[[Host, Phone], Player]


@pytest.fixture
def apart(cluster: Cluster, tmp_path: Path) -> Iterator[Apart]:
    """Two hosts on one log, and the line by which the first one reaches it."""
    store_url, line = cluster.new_database("of_two_phones"), Line(cluster.port)
    by_line = store_url.replace(f":{cluster.port}/", f":{line.port}/")
    hosts = Host(tmp_path / "one", by_line), Host(tmp_path / "two", store_url)
    try:
        for host in hosts:
            host.start()
        yield (*hosts, line)
    finally:
        for host in hosts:
            host.stop()
        line.close()


@pytest.fixture
def hold(browser: Browser) -> Iterator[Hold]:
    """Puts a browser into the player's hand that speaks with a host as this phone."""
    opened = []

    def make(host: Host, phone: Phone) -> Player:
        context = new_phone(browser)
        opened.append(context)
        context.add_cookies([{"name": "book", "value": phone.cookies["book"], "url": host.url, "httpOnly": True}])
        return Player(context, host.url, phone.book_id)

    yield make
    for context in opened:
        context.close()


def test_balls_noted_while_a_host_has_no_log_reach_the_other_host(apart: Apart, hold: Hold) -> None:
    one, two, line = apart
    phone = Phone().start_book(one)
    here, there = hold(one, phone), hold(two, phone.another(one, two))
    here.open()
    here.wait_until_kept()
    here.start_bucket()
    until_all_taken(here.page, here.book_id)
    here.call("56", "9:00", 54)

    line.cut()
    assert phone.ask(one, "GET", "/api/session").said == AWAY
    for carry in BALLS:
        here.touch(carry, "clean")
        here.wait_out_fresh()
    expect(here.page.locator("[data-waiting]")).to_have_text(f"saved on this phone {len(BALLS)}")
    here.page.goto(f"{here.url}/card")
    expect(here.page.get_by_role("heading", name="Card", exact=True)).to_be_visible()  # as it was kept
    there.open("/card")
    assert [fact for fact in phone.facts(two) if fact["kind"] == "shot"] == []

    line.mend()
    here.open()
    here.page.evaluate("() => { dispatchEvent(new Event('online')); }")
    expect(here.page.locator("[data-waiting]")).to_have_text("copied")
    until_all_taken(here.page, here.book_id)
    shots = [fact for fact in phone.facts(two) if fact["kind"] == "shot"]
    assert len(shots) == len({fact["root"] for fact in shots}) == len(BALLS)
    there.open("/bucket")
    there.page.wait_for_function("(many) => document.querySelectorAll('#balls button').length === many", arg=len(BALLS))
    assert here.faults == there.faults == []
