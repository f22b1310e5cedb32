"""Where a page is not kept on the phone, what stands in its place is true of the page that was asked for."""

from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from tests.factories import a_bucket, a_setting, a_shot, the_demo_set
from webapp.moments import moved

from .chromium import now
from .player import Player
from .waiting import until_forgotten, until_kept


@pytest.fixture
def player(meet_ready: Callable[..., Player]) -> Player:
    """A player of both kinds of ball whose card shows range balls, with a phone ready for the day without signal."""
    begun = moved(now(), hours=-30)
    facts = [*the_demo_set(begun), a_setting("ball", "range", begun)]
    for ball, carry in (("range", 60), ("own", 70)):
        bucket = a_bucket(begun, ball=ball)
        facts += [bucket, a_shot(bucket, facts[0], carry, begun)]
    return meet_ready(facts=facts)


def offline(player: Player, *kept: str) -> Page:
    """Keep these pages too, then lose the signal."""
    player.open("/card")
    for path in kept:
        until_kept(player.page, path)
    player.context.set_offline(True)
    return player.page


def test_back_to_a_page_that_card_only_shut_says_so(player: Player) -> None:
    page = offline(player, "/fits", "/round")
    player.open("/fits")
    player.open("/round")
    page.get_by_role("button", name="Card only").tap()
    until_forgotten(page, "/fits")
    player.open("/card")
    for path in ("/fits", "/fits/leave", "/yardage", "/conditions"):
        player.open(path)
        expect(page.get_by_role("heading", name="Card only is on")).to_be_visible()
        expect(page.get_by_text("has not kept it yet")).to_have_count(0)
    player.open("/trends")
    expect(page.get_by_role("heading", name="No signal")).to_be_visible()
    assert player.faults == []


def test_a_page_of_the_other_balls_leads_to_the_one_that_is_kept(player: Player) -> None:
    player.open("/card?ball=own")
    until_kept(player.page, "/card?ball=own")
    page = offline(player, "/fits/leave")
    player.open("/card?ball=own")
    page.get_by_role("link", name="What to leave").tap()
    expect(page.get_by_role("heading", name="No signal")).to_be_visible()
    page.get_by_role("link", name="open that one").tap()
    expect(page.get_by_role("heading", name="What to leave")).to_be_visible()
    expect(page.get_by_text("Range balls, as of")).to_be_visible()
    player.open("/trends?ball=own")  # which is kept for no kind of ball
    expect(page.get_by_role("link", name="Try again")).to_be_visible()
    expect(page.get_by_role("link", name="open that one")).to_be_hidden()


def test_what_a_visit_says_is_spoken_of_where_a_visit_was_asked_for(player: Player) -> None:
    page, visit = offline(player), player.page.get_by_text("What a visit says is kept")
    player.open("/trends")
    expect(page.get_by_role("heading", name="No signal")).to_be_visible()
    expect(visit).to_be_hidden()
    player.open("/visits")
    expect(visit).to_be_visible()
