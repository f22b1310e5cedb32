"""The sun look, black on white, is reached where a phone is held in glare: without scrolling, and in an open bucket.

Source: one touch under More is a decision of the project's design.
"""

from playwright.sync_api import expect

from .player import Player
from .waiting import look_at_all


def test_sun_is_the_first_thing_under_more(player: Player) -> None:
    player.open("/more")
    sun = player.page.get_by_label("Sun")
    expect(sun).to_be_in_viewport(ratio=1)
    sun.check()
    expect(player.page.locator("html")).to_have_attribute("data-look", "sun")


def test_in_the_sun_a_strike_is_asked_for_in_lanes_that_are_told_apart(hitting: Player) -> None:
    """All bands are white there: a blank field with five words stood where the lanes are."""
    hitting.page.evaluate("document.documentElement.dataset.look = 'sun'")
    with hitting.in_one_breath():
        hitting.button("lost sight").tap()
        hitting.settled()
        edges = look_at_all(hitting.page, "#patch .between-lanes", "all => all.map((line) => line.getBBox().x)")
        signs = look_at_all(hitting.page, "#patch .sign", "all => all.map((sign) => sign.getBBox().x)")
        names = look_at_all(hitting.page, "#patch .lane-name", "all => all.map((name) => name.textContent)")
    assert names == ["fat", "heavy", "clean", "thin", "bladed"]
    assert len(signs) == len(names)
    for at, edge in enumerate(edges, 1):
        assert signs[at - 1] < edge < signs[at]
    assert len(edges) == len(names) - 1


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
