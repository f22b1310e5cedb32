"""A plan that runs in the open bucket: its reasons as long as they hold, the way back into it, another in its place.

Source: rules of the project's own design; invented data.
"""

from collections.abc import Callable

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.factories import Raw, a_bucket, a_homework, corrected, the_demo_set
from webapp.moments import moved

from .chromium import PHONE, facts_of, now, open_book
from .conftest import expect_axe_finds_nothing
from .player import Player
from .server import Server
from .waiting import until_all_taken, until_idle, until_kept

DROPPED = "Whatever else you start takes its place, and the rest of it is dropped."


def running(calls: int = 20, why: str = "guess") -> list[Raw]:
    """The demo set with an open bucket whose plan asks for the 46 at 7:30 all along."""
    facts = the_demo_set(moved(now(), days=-1))
    plan = [f"{facts[0]['root']}:45:swing{f'::{why}' if why else ''}"] * calls
    return [*facts, a_bucket(moved(now(), minutes=-2), plan=plan)]


def strike(player: Player, balls: int = 1) -> None:
    for _ in range(balls):
        player.tap_patch(0.5, 0.5)
        player.wait_out_fresh()


def open_plan(player: Player, balls: int) -> None:
    """Start a bucket with the plan for so many balls."""
    player.open("/practice")
    player.page.get_by_role("radio", name=str(balls), exact=True).check()
    player.button("Start a bucket with this plan").tap()
    expect(player.page.locator("#hitting")).to_be_visible()


def start_plan(player: Player, balls: int) -> None:
    """Start a bucket with the plan for so many balls, and end its warm-up."""
    open_plan(player, balls)
    player.page.locator("#warm-done").tap()
    expect(player.patch).to_be_visible()


def end_bucket(player: Player) -> None:
    player.end_bucket()
    expect(player.page.locator("#end-words")).to_be_visible()


def ready_with(meet_at_own: Callable[..., Player], facts: list[Raw]) -> Player:
    """A phone that keeps the bucket and practice, at a server that the test may stop."""
    player = meet_at_own(facts=facts)
    player.open()
    player.wait_until_kept()
    until_kept(player.page, "/practice")
    return player


def expect_the_way_back(page: Page, struck: str, left: str) -> None:
    told = page.get_by_role("region", name="A plan is running")
    expect(told).to_contain_text(f"{struck} balls struck. {DROPPED}")
    expect(told.get_by_role("link", name=f"Go on with the {left}", exact=True)).to_have_attribute("href", "/bucket")
    expect(page.locator(".bar").filter(visible=True)).to_have_count(1)
    expect(page.get_by_role("button", name="Drop the rest and start this plan")).to_be_visible()


def test_a_reason_that_a_ball_has_overtaken_is_not_said(meet_at_own: Callable[..., Player], own_server: Server) -> None:
    player = ready_with(meet_at_own, running())
    line = player.page.locator("#why .mode")
    expect(line).to_have_text("make the swing · a guess, no ball yet")
    strike(player)
    expect(line).to_have_text("make the swing")
    until_all_taken(player.page, player.book_id)
    player.open()
    expect(line).to_have_text("make the swing")
    own_server.stop()
    player.open()
    expect(line).to_have_text("make the swing")


def test_a_reason_that_balls_do_not_touch_stays(meet: Callable[..., Player]) -> None:
    player = meet(facts=running(why="lesson"))
    player.open()
    strike(player)
    expect(player.page.locator("#why .mode")).to_have_text("make the swing · set by your coach")


def test_practice_leads_back_into_the_plan_that_runs(meet: Callable[..., Player]) -> None:
    player = meet()
    page = player.page
    start_plan(player, 20)  # of which three are to warm up, and two are the player's own
    strike(player)
    expect(page.locator("#count")).to_have_text("1 of 15")
    player.open("/practice")
    expect_the_way_back(page, "1 of 15", "14 balls")
    expect_axe_finds_nothing(page)
    page.get_by_role("radio", name="20", exact=True).press("Enter")  # no key that drops it
    page.get_by_role("link", name="Go on with the 14 balls").tap()
    expect(player.patch).to_be_visible()
    expect(page.locator("#count")).to_have_text("1 of 15")


def test_a_warm_up_is_to_come_as_long_as_it_lasts(meet: Callable[..., Player]) -> None:
    player = meet()
    page = player.page
    open_plan(player, 20)
    page.locator("#warm-ball").tap()
    expect(page.locator("#count")).to_have_text("1 of 18")
    player.open("/practice")
    expect_the_way_back(page, "1 of 18", "17 balls")
    page.get_by_role("link", name="Go on with the 17 balls").tap()
    page.locator("#warm-done").tap()
    expect(page.locator("#count")).to_have_text("1 of 16")
    player.open("/practice")
    expect_the_way_back(page, "1 of 16", "15 balls")


@pytest.mark.parametrize("by", ["another plan", "a wedge that left the bag"])
def test_a_plan_that_another_phone_made_shorter_is_counted_as_it_stands(
    meet: Callable[..., Player], server: Server, by: str
) -> None:
    player = meet()
    page = player.page
    start_plan(player, 40)
    strike(player)
    until_all_taken(page, player.book_id)
    facts = facts_of(server, player.book_id)
    bucket = next(fact for fact in facts if fact["kind"] == "bucket")
    plan = bucket["body"]["plan"]
    club = next(fact for fact in facts if plan[-1].startswith(fact["id"]))
    left = 12 if by == "another plan" else sum(not word.startswith(club["id"]) for word in plan[1:])
    later = page.evaluate("new Date(Date.now() + 1000).toISOString()")
    fields = {"plan": plan[:13]} if by == "another plan" else {"retired": True}
    said = corrected(bucket if by == "another plan" else club, later, **fields)
    with server.directory() as directory, directory.open_book(player.book_id) as book:
        assert not book.add([said], None, now()).refused
    player.open()
    expect(page.locator("#count")).to_have_text(f"1 of {left + 1}")
    player.open("/practice")
    until_idle(page)
    expect_the_way_back(page, f"1 of {left + 1}", f"{left} balls")


def test_a_bucket_begun_elsewhere_counts_by_its_own_plan(meet: Callable[..., Player], server: Server) -> None:
    *facts, elsewhere = running(5)
    player = meet(facts=facts)
    start_plan(player, 40)
    strike(player)
    end_bucket(player)
    until_all_taken(player.page, player.book_id)
    begun = {**elsewhere, "made_at": player.page.evaluate("new Date(Date.now() + 1000).toISOString()")}
    with server.directory() as directory, directory.open_book(player.book_id) as book:
        assert not book.add([begun], None, now()).refused
    player.open()
    expect(player.page.locator("#count")).to_have_text("0 of 5")


def test_another_plan_takes_the_place_of_the_one_that_runs_by_a_key_that_says_so(
    meet: Callable[..., Player],
) -> None:
    player = meet()
    start_plan(player, 40)
    strike(player)
    player.open("/practice")
    player.page.get_by_role("radio", name="20", exact=True).check()
    player.button("Drop the rest and start this plan").tap()
    expect(player.patch).to_be_visible()
    # One ball, and the fifteen that the plan of 20 calls.
    expect(player.page.locator("#count")).to_have_text("1 of 16")


@pytest.mark.parametrize("with_homework", [False, True], ids=["alone", "with homework"])
def test_without_a_script_too_no_key_but_its_own_drops_the_plan_that_runs(
    browser: Browser, server: Server, with_homework: bool
) -> None:
    facts = running()
    homework = [a_homework(facts[2], made_at=moved(now(), hours=-1))] if with_homework else []
    with browser.new_context(**{**PHONE, "java_script_enabled": False}) as context:
        book_id = open_book(context, server, [*facts, *homework])
        before = len(facts_of(server, book_id))
        page = context.new_page()
        page.goto(f"{server.url}/practice")
        page.get_by_role("radio", name="20", exact=True).press("Enter")
        page.get_by_role("link", name="Go on with the 20 balls").tap()
        expect(page).to_have_url(f"{server.url}/bucket")
        assert len(facts_of(server, book_id)) == before
        page.goto(f"{server.url}/practice")
        page.get_by_role("button", name="Drop the rest and start this plan").tap()
        expect(page).to_have_url(f"{server.url}/bucket")
        assert len(facts_of(server, book_id)) == before + 1


@pytest.mark.parametrize("by", ["the browser's switch", "a stopped server"])
def test_without_signal_practice_goes_by_the_bucket_of_this_phone(
    meet_at_own: Callable[..., Player], own_server: Server, by: str
) -> None:
    player = ready_with(meet_at_own, the_demo_set(moved(now(), days=-1)))
    page = player.page
    if by == "a stopped server":
        own_server.stop()
    else:
        player.context.set_offline(True)
    start_plan(player, 20)
    strike(player)
    player.open("/practice")
    expect_the_way_back(page, "1 of 15", "14 balls")
    expect(page.get_by_text("A bucket is open: the plan goes into it")).to_be_visible()
    expect(page.get_by_label("before you swing")).to_be_hidden()
    player.open()
    end_bucket(player)
    player.open("/practice")
    expect(page.get_by_text("A plan is running")).to_be_hidden()
    expect(player.button("Start a bucket with this plan")).to_be_visible()
    player.open()
    player.start_bucket()
    player.open("/practice")
    expect(page.get_by_text("A plan is running")).to_be_hidden()
    expect(player.button("Put this plan into the bucket")).to_be_visible()


def test_a_page_kept_while_a_plan_ran_starts_a_bucket_once_that_one_is_ended_without_signal(
    meet_at_own: Callable[..., Player], own_server: Server
) -> None:
    player = ready_with(meet_at_own, running())
    player.open("/practice")
    expect_the_way_back(player.page, "0 of 20", "20 balls")
    until_idle(player.page)
    own_server.stop()
    player.open()
    end_bucket(player)
    player.open("/practice")
    expect(player.page.get_by_text("A plan is running")).to_be_hidden()
    expect(player.page.get_by_label("before you swing")).to_be_visible()
    player.button("Start a bucket with this plan").tap()
    expect(player.page.locator("#hitting")).to_be_visible()
    assert player.faults == []


def test_homework_that_runs_is_gone_on_with_by_one_way(meet: Callable[..., Player]) -> None:
    facts = the_demo_set(moved(now(), days=-1))
    player = meet(facts=[*facts, a_homework(facts[2], made_at=moved(now(), hours=-1))])
    player.open("/practice")
    player.button("Start with the 5 balls").tap()
    strike(player, 2)
    player.open("/practice")
    expect_the_way_back(player.page, "2 of 5", "3 balls")
    expect(player.page.locator("#homework")).to_contain_text("2 of 5 balls struck.")
    expect(player.page.locator("#homework").get_by_role("button")).to_have_count(0)
