"""The first page says what its boxes are for: which hand and unit, that figures are lofts, where a wedge is added.

Source: the first page of the project's design, from 320 px on.
"""

import pytest
from playwright.sync_api import Page, expect

from .server import Server
from .waiting import look_at_all

# The first letters of those that do not lie inside what holds them.
OUTSIDE = """all => all.filter((one) => one.checkVisibility()).filter((one) => {
  const [inner, outer] = [one, one.parentElement].map((some) => some.getBoundingClientRect());
  return inner.left < outer.left || inner.right > outer.right || inner.top < outer.top || inner.bottom > outer.bottom;
}).map((one) => one.textContent)"""


@pytest.fixture(params=[320, 360, 390])
def first(request: pytest.FixtureRequest, page: Page, server: Server) -> Page:
    """The first page on phones of several widths."""
    page.set_viewport_size({"width": request.param, "height": 640 if request.param < 390 else 844})
    page.goto(server.url)
    expect(page.locator("body.scripted")).to_be_attached()
    return page


def test_hand_and_unit_are_named_beside_their_choice(first: Page) -> None:
    for words, choice in (("I play", "right-handed"), ("in", "yards")):
        legend = first.locator("legend").get_by_text(words, exact=True)
        expect(legend).to_be_in_viewport(ratio=1)
        name, key = legend.bounding_box(), first.locator(".choice").get_by_text(choice, exact=True).bounding_box()
        assert name
        assert key
        assert name["width"] > 12
        assert name["x"] + name["width"] <= key["x"]
        assert name["y"] < key["y"] + key["height"] / 2 < name["y"] + name["height"]


def test_a_loft_bears_its_degree_and_an_empty_place_says_wedge(first: Page) -> None:
    lofts = first.locator(".first-lofts .loft")
    expect(lofts.get_by_text("°").filter(visible=True)).to_have_count(4)
    expect(lofts.get_by_text("wedge").filter(visible=True)).to_have_count(2)
    lofts.last.get_by_role("textbox").fill("64")
    expect(lofts.last.get_by_text("°")).to_be_visible()
    expect(lofts.last.get_by_text("wedge")).to_be_hidden()
    assert look_at_all(first, ".loft > :not(input)", OUTSIDE) == []


def test_the_degree_of_the_known_loft_stands_in_its_box(first: Page) -> None:
    box, degree = (
        first.get_by_label("loft of the wedge whose carry I know").bounding_box(),
        first.locator(".sentence i").bounding_box(),
    )
    assert box
    assert degree
    assert box["x"] < degree["x"] < degree["x"] + degree["width"] < box["x"] + box["width"]


def test_the_bar_stays_on_the_first_screen(first: Page) -> None:
    expect(first.get_by_role("button", name="Start my book")).to_be_in_viewport(ratio=1)


@pytest.mark.parametrize(("width", "height"), [(740, 360), (844, 390)])
def test_a_phone_held_across_shows_dial_and_bar_side_by_side(
    page: Page, server: Server, width: int, height: int
) -> None:
    page.set_viewport_size({"width": width, "height": height})
    page.goto(server.url)
    expect(page.locator("body.scripted")).to_be_attached()
    expect(page.get_by_role("button", name="Start my book")).to_be_in_viewport(ratio=1)
    dial, sheet = page.locator("#dial .dial").bounding_box(), page.locator(".first-sheet").bounding_box()
    assert dial
    assert sheet
    assert dial["height"] >= 0.8 * height
    assert dial["x"] + dial["width"] <= sheet["x"]


@pytest.mark.parametrize(("width", "height"), [(360, 640), (390, 844), (600, 900)])
def test_the_sheet_without_signal_reaches_the_foot(page: Page, server: Server, width: int, height: int) -> None:
    page.set_viewport_size({"width": width, "height": height})
    page.goto(f"{server.url}/start/without-signal")
    sheet = page.locator(".first-sheet").bounding_box()
    assert sheet
    assert sheet["y"] + sheet["height"] >= height - 1
    assert page.evaluate("document.documentElement.scrollHeight") <= height
