"""A plan that runs in the open bucket: its reasons as long as they hold.

Source: rules of the project's own design; invented data.
"""

from collections.abc import Callable

from playwright.sync_api import expect

from tests.factories import Raw, a_bucket, the_demo_set
from webapp.moments import moved

from .chromium import now
from .player import Player
from .server import Server
from .waiting import until_all_taken


def running(calls: int = 20, why: str = "guess") -> list[Raw]:
    """The demo set with an open bucket whose plan asks for the 46 at 7:30 all along."""
    facts = the_demo_set(moved(now(), days=-1))
    plan = [f"{facts[0]['root']}:45:swing{f'::{why}' if why else ''}"] * calls
    return [*facts, a_bucket(moved(now(), minutes=-2), plan=plan)]


def strike(player: Player) -> None:
    player.tap_patch(0.5, 0.5)
    player.wait_out_fresh()


def test_a_reason_that_a_ball_has_overtaken_is_not_said(meet: Callable[..., Player], own_server: Server) -> None:
    player = meet(facts=running(), at=own_server)
    player.open()
    player.wait_until_kept()
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
