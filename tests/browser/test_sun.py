"""The sun look, black on white, is reached where a phone is held in glare: without scrolling, and in an open bucket.

Source: one touch under More is a decision of the project's design.
"""

from playwright.sync_api import expect

from .player import Player


def test_sun_is_the_first_thing_under_more(player: Player) -> None:
    player.open("/more")
    sun = player.page.get_by_label("Sun")
    expect(sun).to_be_in_viewport(ratio=1)
    sun.check()
    expect(player.page.locator("html")).to_have_attribute("data-look", "sun")


def test_an_open_bucket_has_the_sun_in_its_own_sheet(hitting: Player) -> None:
    hitting.button("More").tap()
    sun = hitting.page.get_by_label("Sun")
    expect(sun).to_be_in_viewport(ratio=1)
    sun.check()
    expect(hitting.page.locator("html")).to_have_attribute("data-look", "sun")
    hitting.button("back to the patch").tap()
    expect(hitting.patch).to_be_visible()
    hitting.open()
    expect(hitting.page.locator("html")).to_have_attribute("data-look", "sun")
    hitting.button("More").tap()
    expect(hitting.page.get_by_label("Sun")).to_be_checked()
