"""A wedge leaves the bag while its bucket goes on: its balls keep their name, and no later ball is called to it.

Source: the touch rules of the project's design; that nobody strikes a wedge that is no longer in the bag is common
practice, no source.
"""

import pytest
from playwright.sync_api import expect

from tests.factories import a_swing, voided

from .chromium import facts_of, now
from .player import Player
from .server import Server
from .waiting import until_all_taken

HEAD_PX = 100  # of an open bucket on the smallest phone: the call stands on one line


@pytest.fixture
def struck(hitting: Player) -> Player:
    """A player who struck two balls with the 56."""
    for carry in (54, 52):
        hitting.touch(carry, "clean")
        hitting.wait_out_fresh()
    return hitting


def in_the_bag(player: Player, deed: str) -> None:
    """Do a deed about the 56 on the page of the bag and go back to the bucket."""
    player.open("/bag")
    player.page.get_by_text("More about the 56").tap()
    club = player.page.locator("li.club").filter(has=player.page.get_by_role("heading", name="56"))
    club.get_by_role("button", name=deed).tap()
    expect(player.page.get_by_text("left the bag; its balls are kept")).to_be_visible()
    player.open()


def expect_the_call(player: Player, club: str) -> None:
    expect(player.page.locator("#call .club-name")).to_have_text(club)
    box = player.page.locator("#call").bounding_box()
    assert box
    assert box["height"] < HEAD_PX


@pytest.mark.parametrize(
    ("deed", "called"), [("It left the bag", "46"), ("A new one takes its place", "56")], ids=["left", "replaced"]
)
def test_the_next_ball_is_called_to_a_wedge_that_is_there(
    struck: Player, server: Server, deed: str, called: str
) -> None:
    in_the_bag(struck, deed)
    expect_the_call(struck, called)
    struck.tap_patch(0.5, 0.5)
    until_all_taken(struck.page, struck.book_id)
    facts = facts_of(server, struck.book_id)
    retired = {fact["root"] for fact in facts if fact["kind"] == "club" and (fact["body"] or {}).get("retired")}
    shots = [fact["body"]["club_id"] in retired for fact in facts if fact["kind"] == "shot"]
    assert shots == [True, True, False]


def test_a_plan_that_is_done_since_a_wedge_left_says_how_many_balls_went_with_it(player: Player) -> None:
    player.open()
    player.button("Start with the first task").tap()
    for _ in range(15):
        player.tap_patch(0.5, 0.5)
        player.wait_out_questions()
    player.open("/bag")
    player.page.get_by_text("More about the 60").tap()
    club = player.page.locator("li.club").filter(has=player.page.get_by_role("heading", name="60"))
    club.get_by_role("button", name="It left the bag").tap()
    expect(player.page.get_by_text("left the bag; its balls are kept")).to_be_visible()
    player.open()
    expect(player.page.locator("#truth")).to_have_text("plan done · counts for the card")
    expect(player.page.locator("#why .mode")).to_have_text("make the swing · 5 not struck: the wedge or swing is gone")


def test_a_ball_of_a_swing_that_was_left_out_is_called_by_its_place_on_the_clock(
    hitting: Player, server: Server
) -> None:
    swing = a_swing(67.5)
    with server.directory() as directory, directory.open_book(hitting.book_id) as book:
        book.add([swing, *(a_swing(degrees) for degrees in (90, 180))], None, now())
    hitting.open()
    hitting.call("56", "8:15")
    hitting.touch(40, "clean")
    hitting.wait_out_fresh()
    until_all_taken(hitting.page, hitting.book_id)
    with server.directory() as directory, directory.open_book(hitting.book_id) as book:
        book.add([voided(swing)], None, now())
    hitting.open()
    hitting.ball(1).tap()
    expect(hitting.page.locator("#call .swing-name")).to_have_text("8:15")
    hitting.context.set_offline(True)
    hitting.end_bucket()
    expect(hitting.page.locator("#end-words")).to_contain_text("56 8:15")


def test_a_ball_of_a_wedge_that_left_keeps_its_name(struck: Player) -> None:
    in_the_bag(struck, "It left the bag")
    struck.ball(1).tap()
    expect_the_call(struck, "56")
    struck.context.set_offline(True)
    struck.end_bucket()
    expect(struck.page.locator("#end-words p").last).to_contain_text("56 9:00")
