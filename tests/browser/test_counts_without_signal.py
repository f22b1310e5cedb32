"""Without signal only balls that the server would count move a number of the card; the bucket's end says which moved.

Source: rules of the project's own design; which balls count is asked with shared cases in tests/vectors/counts.
"""

import re
from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from webapp.moments import moved
from webapp.phone_pages import KEPT

from .card_pages import in_table, open_card
from .chromium import facts_of, now
from .player import Player
from .server import Server
from .waiting import until_all_taken, until_idle, until_kept, until_kept_with

WORKED_OUT = ("/fits", "/fits/leave", "/conditions", "/yardage", "/round/notes")
AS_OF = re.compile(r"^as of (\d+ \w+, )?\d\d:\d\d")


def days_on(path: str) -> int:
    """How often a page tells the day of its numbers; course notes lie beside the card's and tell none."""
    return 0 if path == "/round/notes" else 1


@pytest.fixture
def player(meet_ready: Callable[..., Player]) -> Player:
    """Heron with the wedges 46, 51, 56 and 60, with a phone that is ready for the day without signal."""
    return meet_ready()


def kept_and_offline(player: Player) -> None:
    """Let the phone keep its pages and go out of signal."""
    player.open()
    player.wait_until_kept()
    until_kept(player.page, KEPT[-1])  # they are kept one after the other
    player.context.set_offline(True)


def the_56(page: Page) -> dict[str, str]:
    return {swing: in_table(page, "56", swing).inner_text() for swing in ("7:30", "9:00", "10:30", "full")}


def test_what_is_said_of_the_printed_card_goes_once_the_phones_own_balls_moved_the_card(player: Player) -> None:
    player.open("/print")
    player.button("I printed it").tap()
    printed = player.page.get_by_text("Your printed card of")
    expect(player.page.locator("main .notice").first).to_be_visible()
    open_card(player)
    until_kept_with(player.page, "/card", "Your printed card of")
    kept_and_offline(player)
    open_card(player)
    player.page.get_by_text("What the marks mean, and more").tap()
    expect(printed).to_be_visible()
    player.open()
    player.start_bucket()
    player.call("56", "9:00", 54)
    player.touch(70, "clean")
    player.wait_out_fresh()
    open_card(player)
    expect(player.page.locator("[data-moved]")).to_contain_text("1 ball since then")
    player.page.get_by_text("What the marks mean, and more").tap()
    expect(printed).to_be_hidden()


def test_balls_that_the_server_takes_while_the_card_is_open_stay_on_it(player: Player) -> None:
    """The page that the server makes then is younger than the balls, and does not know them."""
    kept_and_offline(player)
    player.page.clock.set_system_time(moved(now(), minutes=-20))  # the tests' clock runs ahead by what they skip
    player.start_bucket()
    player.call("56", "9:00", 54)
    for carry in (70, 72):
        player.touch(carry, "clean")
        player.wait_out_fresh()
    after = the_56(open_card(player))
    expect(player.page.locator("[data-moved]")).to_contain_text("2 balls since then")
    expect(player.page.get_by_text("No ball yet: dashed numbers")).to_be_hidden()
    player.page.goto("about:blank")
    player.context.set_offline(False)
    page = open_card(player)
    until_all_taken(page, player.book_id)
    until_idle(page)
    expect(page.locator("[data-moved]")).to_contain_text("2 balls since then")
    assert the_56(page) == after


def test_numbers_that_the_server_alone_works_out_say_which_balls_are_not_in_them(
    player: Player, server: Server
) -> None:
    kept_and_offline(player)
    for path in WORKED_OUT:
        until_kept(player.page, path)
        player.open(path)
        expect(player.page.locator("[data-as-of]"), path).to_have_text([AS_OF] * days_on(path))
        expect(player.page.locator("[data-since]"), path).to_be_hidden()
    player.open()
    player.start_bucket()
    for _ in range(2):
        player.tap_patch(0.5, 0.5)
        player.wait_out_fresh()
    player.page.locator("#truth").tap()
    player.tap_patch(0.5, 0.5)  # skill only
    player.settled()
    pages = {path: player.context.new_page() for path in WORKED_OUT}  # all open when the signal comes back
    for path, page in pages.items():
        page.goto(player.url + path)
        told = page.locator("[data-since]")
        expect(told, path).to_have_text("2 newer balls are not in these numbers; they come in with signal.")
        expect(told, path).to_be_in_viewport(ratio=1)
    player.context.set_offline(False)
    for path, page in pages.items():
        told = page.locator("[data-since]")
        expect(told, path).to_have_text("2 newer balls are not in these numbers; open this page again.")
        player.open(path)  # a server that is silent for a while leaves the page of before on show
        until_kept_with(page, path, f'"cursor": {facts_of(server, player.book_id)[-1]["seq"]}')
        told.get_by_role("link").tap()
        expect(page.locator("[data-as-of]"), path).to_have_count(days_on(path))
        expect(told, path).to_be_hidden()


def test_what_the_card_says_of_guesses_goes_once_balls_moved_its_numbers(player: Player) -> None:
    guesses = player.page.get_by_text("numbers are guesses until balls are hit.")
    kept_and_offline(player)
    open_card(player)
    expect(guesses).to_be_visible()
    player.open()
    player.start_bucket()
    player.tap_patch(0.5, 0.5)
    player.settled()
    open_card(player)
    expect(player.page.locator("[data-moved]")).to_contain_text("1 ball since then")
    expect(guesses).to_be_hidden()


def test_balls_hit_to_a_number_move_nothing_and_say_nothing(player: Player) -> None:
    kept_and_offline(player)
    before = the_56(open_card(player))
    player.open()
    player.start_bucket()
    player.call("56", "9:00", 54)
    player.page.locator("#truth").tap()
    expect(player.page.locator("#truth")).to_have_text("skill only, not the card")
    for _ in range(2):
        player.tap_patch(0.5, 0.3)
        player.wait_out_fresh()
    page = open_card(player)
    expect(page.locator("[data-moved]")).to_be_hidden()
    assert the_56(page) == before


def test_under_card_only_nothing_moves_at_all(player: Player) -> None:
    kept_and_offline(player)
    before = the_56(open_card(player))
    player.open("/round")
    player.page.get_by_role("button", name="Card only", exact=True).tap()
    player.open()
    player.start_bucket()
    player.call("56", "9:00", 54)
    expect(player.page.locator("#truth")).to_have_text("course note – not counted")
    for _ in range(3):
        player.tap_patch(0.5, 0.3)
        player.wait_out_fresh()
    page = open_card(player)
    expect(page.locator("[data-moved]")).to_be_hidden()
    assert the_56(page) == before
    player.open()
    player.end_bucket()
    expect(player.page.locator("#end-words")).to_contain_text("none counts for the card")
    expect(player.page.locator("#end-words")).not_to_contain_text("is now")


def test_the_end_names_a_number_that_moved_as_the_card_shows_it(player: Player) -> None:
    kept_and_offline(player)
    player.start_bucket()
    player.call("56", "9:00", 54)
    for carry in (52, 55, 49, 54):
        player.touch(carry, "clean")
        player.wait_out_fresh()
    now = in_table(open_card(player), "56", "9:00").locator("[data-part=carry]").inner_text()
    player.open()
    player.end_bucket()
    said = f"56 9:00 is now {now}, early (without this visit "
    expect(player.page.locator("#end-words p").last).to_contain_text(said)
