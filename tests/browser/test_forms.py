"""Forms that are sent twice on a slow line, and pages that come back filled by the browser.

Source: the project's own design; that a second touch on a slow line means the same deed is common practice, no source.
"""

from collections.abc import Callable

from playwright.sync_api import Page, expect

from tests.factories import the_demo_set

from .chromium import facts_of, now
from .player import Player
from .server import Server


def more_about_the_46(page: Page) -> None:
    page.get_by_text("More about the 46").tap()
    page.get_by_label("bounce and sole").first.fill("narrow")


def test_back_to_a_page_chooses_nothing(player: Player) -> None:
    page = player.page
    player.open("/card")
    page.get_by_text("What the marks mean, and more").tap()
    page.get_by_role("radio", name="metres").check()
    expect(page.locator("body")).to_have_attribute("data-unit", "m")
    player.open("/settings")
    page.get_by_role("radio", name="yards").check()
    player.button("Keep these").tap()
    expect(page.get_by_text("Kept.")).to_be_visible()
    page.go_back()
    page.go_back()
    expect(page.locator("body.scripted .dial")).to_be_visible()
    player.open("/more")
    expect(page.locator("body")).to_have_attribute("data-unit", "yd")


def test_a_second_touch_on_a_slow_line_sends_nothing_twice(player: Player, server: Server) -> None:
    player.open("/bag")
    page = player.page
    page.get_by_text("Another wedge").tap()
    page.locator("[name=new-name]").fill("64W")
    page.locator("[name=new-loft_deg]").fill("64")
    sent: list[str] = []
    page.on("request", lambda request: sent.append(request.url) if request.method == "POST" else None)
    with page.expect_navigation():
        player.button("Put it in the bag").evaluate("(button) => { button.click(); button.click(); }")
    expect(page.get_by_text("The 64W is in the bag.")).to_be_visible()
    assert len(sent) == 1
    assert len([fact for fact in facts_of(server, player.book_id) if fact["kind"] == "club"]) == 5


def test_a_form_that_was_not_answered_can_be_sent_again(meet: Callable[..., Player], server: Server) -> None:
    facts = the_demo_set(now())
    player = meet(facts=facts)
    player.open("/bag")
    more_about_the_46(player.page)
    player.context.set_offline(True)
    player.button("Keep changes").tap()
    expect(player.page.get_by_text("No answer from the server, so nothing was sent.")).to_be_visible()
    player.context.set_offline(False)
    player.button("Keep changes").tap()
    expect(player.page.get_by_text("The 46 was changed.")).to_be_visible()
