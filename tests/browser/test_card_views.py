"""The card's three views on a phone: the choice stands on the first screen, and what is chosen opens at its top.

Sources: 360 x 640 as the smallest phone, and figures in one condensed type, are decisions of the project's design.
"""

import pytest
from playwright.sync_api import expect

from .conftest import as_before
from .player import Player
from .waiting import look_at_all

VIEWS = ("Dial", "Yard pole", "Table")


@pytest.fixture
def card(phone_of_the_demo: Player) -> Player:
    """The card of the demo book on the smallest phone."""
    player = as_before(phone_of_the_demo)
    player.open("/card")
    return player


@pytest.mark.parametrize(("width", "height"), [(360, 640), (390, 844)])
def test_every_view_can_be_chosen_on_the_first_screen(card: Player, width: int, height: int) -> None:
    card.page.set_viewport_size({"width": width, "height": height})
    for name in VIEWS:
        expect(card.page.get_by_role("radio", name=name)).to_be_in_viewport(ratio=1)


@pytest.mark.parametrize(("name", "view"), [("Yard pole", "pole"), ("Table", "table")])
def test_a_view_that_is_chosen_opens_at_its_top(card: Player, name: str, view: str) -> None:
    card.page.evaluate("scrollTo(0, 0)")
    card.page.get_by_role("radio", name=name).check()
    box = card.page.locator(f"[data-view={view}]").bounding_box()
    assert box
    assert 0 <= box["y"] < 100


def test_the_strip_hides_no_number_of_the_dial(card: Player) -> None:
    strip = card.page.locator(".answers").bounding_box()
    assert strip
    feet = look_at_all(card.page, ".dial .cell .number", "all => all.map((one) => one.getBoundingClientRect().bottom)")
    assert max(feet) <= strip["y"] + 4  # the box of a figure is higher than its digits


def test_the_strip_has_an_edge_in_the_sun(card: Player) -> None:
    """There sheet and ground are both white."""
    look = "(strip) => [getComputedStyle(strip).borderTopWidth, getComputedStyle(strip).borderTopColor]"
    strip = card.page.locator(".answer:not([hidden])")
    card.page.evaluate("document.documentElement.dataset.look = 'sun'")
    assert strip.evaluate(look) == ["2px", "rgb(0, 0, 0)"]


def test_numbers_of_the_table_and_of_a_cell_are_set_in_the_figures_of_the_dial(card: Player) -> None:
    fonts = "all => all.map((one) => getComputedStyle(one).fontFamily.split(',')[0])"
    dial = look_at_all(card.page, ".dial .cell .number", fonts)
    assert {*look_at_all(card.page, ".swing-table .number", fonts)} == {*dial}
    card.page.goto(card.url + (card.page.locator(".swing-table a").first.get_attribute("href") or ""))
    assert look_at_all(card.page, ".big .number", fonts) == dial[:1]
