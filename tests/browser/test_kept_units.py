"""A page kept in yards, on a phone that has chosen metres since, mixes no units; a page left open says its day."""

import re
from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from webapp.moments import moved

from .chromium import now
from .player import Player
from .test_forms import choose_metres_elsewhere
from .waiting import until_kept, until_kept_with


@pytest.fixture
def player(meet_ready: Callable[..., Player]) -> Player:
    """Heron with the demo set in yards, with a phone that is ready for the day without signal."""
    return meet_ready()


def kept_in_yards(player: Player, path: str) -> Page:
    """A page as the phone kept it, opened without signal once the phone shows metres."""
    player.open(path)
    until_kept(player.page, path)
    player.context.set_offline(True)
    choose_metres_elsewhere(player.page)
    player.open(path)
    return player.page


def test_the_numbers_today_are_in_the_unit_of_those_of_the_card(player: Player) -> None:
    page = kept_in_yards(player, "/conditions")
    cells = page.locator("#numbers tbody tr").first.locator("td")
    expect(cells).to_have_text(["102", "102"])  # 112 yards; nothing is asked, so it flies as it is on the card
    page.get_by_label("carry to the target").fill("60")
    expect(page.locator("#answer")).to_contain_text("play 60 metres")
    assert player.faults == []


@pytest.mark.parametrize(("path", "part"), [("/yardage", "page"), ("/round/notes", "form")])
def test_what_stays_in_yards_says_so_on_a_phone_that_shows_metres(player: Player, path: str, part: str) -> None:
    page = kept_in_yards(player, path)
    told = page.get_by_text(f"This {part} is in yards; your phone shows metres.")
    expect(told).to_be_visible()
    expect(told).to_be_in_viewport(ratio=1)
    player.context.set_offline(False)
    player.open(path)  # a server that is silent for a while leaves the page of before on show
    until_kept_with(player.page, path, 'data-unit="m"')
    player.open(path)
    expect(told).to_have_count(0)
    assert player.faults == []


@pytest.mark.parametrize("path", ["/card", "/fits/leave"])
def test_a_page_left_open_over_night_says_its_day_when_it_is_shown_again(player: Player, path: str) -> None:
    """A browser tells a page that it is shown again by this event (HTML, page visibility)."""
    player.open(path)
    told = player.page.locator("[data-as-of]")
    player.page.clock.set_system_time(moved(now(), days=3))
    before = told.inner_text()
    player.page.evaluate("document.dispatchEvent(new Event('visibilitychange'))")
    time = before.removeprefix("as of ")
    expect(told).to_have_text(re.compile(rf"^as of \d+ \w+, {time}$"))
