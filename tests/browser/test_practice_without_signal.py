"""Practice on a page kept since before the balls: how many were struck, which are not in its plans, the nine left out.

Source: rules of the project's own design; invented data.
"""

from collections.abc import Callable

from playwright.sync_api import Page, expect

from tests.factories import Raw, a_bucket, a_setting, a_shot, corrected, the_demo_set
from webapp.moments import moved

from .chromium import now
from .player import Player
from .server import Server
from .waiting import case, until_all_taken, until_idle, until_kept

NINE = "next-visit nine"


def practised(days: float, balls: int = 30) -> list[Raw]:
    """The demo set and one ended bucket of so many balls, so many days ago."""
    facts = the_demo_set(moved(now(), days=-9))
    bucket = a_bucket(moved(now(), days=-days))
    struck = [a_shot(bucket, facts[2], 60, moved(bucket["made_at"], seconds=20 * ball)) for ball in range(balls)]
    ended_at = moved(bucket["made_at"], minutes=30)
    return [*facts, bucket, *struck, corrected(bucket, ended_at, ended_at=ended_at)]


def kept(player: Player) -> Page:
    """The player's page, once the phone keeps what the day without signal needs."""
    player.open()
    player.wait_until_kept()
    until_kept(player.page, "/practice")
    return player.page


def strike(player: Player, balls: int) -> None:
    """A bucket of so many balls, begun and ended."""
    player.open()
    player.start_bucket()
    for _ in range(balls):
        player.tap_patch(0.5, 0.5)
        player.wait_out_fresh()
    player.end_bucket()
    expect(player.page.locator("#end-words")).to_be_visible()


def test_the_balls_of_today_are_told_without_signal_as_the_bucket_tells_them(
    meet_at_own: Callable[..., Player], own_server: Server
) -> None:
    player = meet_at_own(facts=[*practised(2), a_setting("ball_limit", 20, now())])
    page = kept(player)
    context = player.context
    ways = (
        ("the browser's switch", lambda: context.set_offline(True), lambda: context.set_offline(False)),
        ("a stopped server", own_server.stop, own_server.start),
    )
    today = 0
    for by, cut, mend in ways:
        with case(by):
            cut()
            strike(player, 11)
            today += 11
            expect(page.locator("[data-week]")).to_have_text(f"Balls in the last seven days: {30 + today}.")
            player.open("/practice")
            expect(page.locator("[data-week]")).to_have_text(f"Balls in the last seven days: {30 + today}.")
            struck = page.get_by_text(f"Struck today: {today}. In seven days: {30 + today}.")
            expect(struck).to_contain_text("Pain, thunder or heat: stop.")
            limit = page.get_by_text("more than your limit of 20 a day")
            for balls in (40, 60):
                page.get_by_role("radio", name=str(balls), exact=True).check()
                said = f"{balls} balls with the {today} struck today are more than your limit of 20 a day."
                expect(limit).to_have_text(said)
            told = page.locator("[data-since]")
            expect(told).to_have_text("11 newer balls are not in these numbers; they come in with signal.")
            mend()
            page.evaluate("dispatchEvent(new Event('online'))")
            until_all_taken(page, player.book_id)
            until_idle(page)
            player.open("/practice")
            expect(struck).to_be_visible()
            expect(told).to_be_hidden()


def test_a_limit_that_a_smaller_plan_keeps_is_not_held_against_it(meet: Callable[..., Player]) -> None:
    player = meet(facts=[*the_demo_set(now()), a_setting("ball_limit", 30, now())])
    player.open("/practice")
    told = player.page.get_by_text("more than your limit")
    expect(told).to_have_text("40 balls are more than your limit of 30 a day.")
    player.page.get_by_role("radio", name="30", exact=True).check()
    expect(told).to_have_count(0)


def test_a_plan_kept_since_before_the_balls_lists_no_nine_that_they_have_spoiled(
    meet_at_own: Callable[..., Player], own_server: Server
) -> None:
    player = meet_at_own(facts=practised(2))
    player.open("/practice")
    page = player.page
    plan = page.get_by_role("region", name="the plan for 40 balls")
    nine = plan.get_by_role("listitem").filter(has_text=NINE)
    expect(nine).to_contain_text("One cold ball each, before any practice")
    calls = page.locator("[data-size='40'] .calls li").filter(visible=True)
    page.get_by_text("Ball by ball").locator("visible=true").first.tap()
    expect(calls).to_have_count(30)
    kept(player)
    own_server.stop()
    strike(player, 1)
    player.open("/practice")
    expect(nine).to_have_text(f"– {NINE} Left out: you practised less than twelve hours ago.", use_inner_text=True)
    page.get_by_text("Ball by ball").locator("visible=true").first.tap()
    expect(calls).to_have_count(21)
    player.button("Start a bucket with this plan").tap()
    expect(page.locator("#hitting")).to_be_visible()
    expect(page.locator("#count")).to_have_text("0 of 27")
