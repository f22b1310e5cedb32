"""An exchange with the server that breaks off half-way lets no page call a ball news that is in its numbers.

Source: the project's design (wire contract: each fact has a growing number in its book, and a page tells up to which
number it knows them).
"""

from playwright.sync_api import Route, expect

from tests.factories import a_remark

from .chromium import now
from .player import Player
from .server import Server
from .waiting import until_all_taken, until_idle


def strike(player: Player) -> None:
    """One ball that counts."""
    player.touch(54, "clean")
    player.wait_out_fresh()


def lose_answer(route: Route) -> None:
    """What is sent reaches the server, and its answer is lost; what would be fetched is not."""
    if route.request.method == "POST":
        route.fetch()
    route.abort()


def test_a_ball_that_was_sent_is_no_news_before_its_number_is_heard(hitting: Player) -> None:
    page = hitting.page
    page.route("**/api/facts?*", lambda route: route.abort())
    strike(hitting)
    until_all_taken(page, hitting.book_id)
    hitting.open("/yardage")
    until_idle(page)
    expect(page.locator("[data-since]")).to_be_hidden()
    assert hitting.faults == []


def test_a_ball_whose_answer_was_lost_is_no_news_once_its_number_is_heard(hitting: Player, server: Server) -> None:
    page = hitting.page
    page.route("**/api/facts*", lose_answer)
    with page.expect_event("requestfailed", lambda request: request.method == "POST"):
        strike(hitting)
    hitting.open("/yardage")
    expect(page.locator("[data-since]")).to_contain_text("1 newer ball is not in these numbers")
    with server.directory() as directory, directory.open_book(hitting.book_id) as book:
        book.add([a_remark(made_at=now())], None, now())  # so the newest number of the book is not the ball's
    page.unroute_all(behavior="wait")
    page.evaluate("dispatchEvent(new Event('online'))")
    expect(page.locator("[data-since]")).to_be_hidden()
    assert hitting.faults == []
