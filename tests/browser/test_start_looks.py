"""The first page says what its boxes are for: which hand and unit, that figures are lofts, where a wedge is added.

Source: the first page of the project's design, from 320 px on.
"""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, expect

from .chromium import new_phone
from .server import Server
from .waiting import look_at_all

# The first letters of those that do not lie inside what holds them.
OUTSIDE = """all => all.filter((one) => one.checkVisibility()).filter((one) => {
  const [inner, outer] = [one, one.parentElement].map((some) => some.getBoundingClientRect());
  return inner.left < outer.left || inner.right > outer.right || inner.top < outer.top || inner.bottom > outer.bottom;
}).map((one) => one.textContent)"""


@pytest.fixture(scope="module")
def first_page(browser: Browser, server: Server) -> Iterator[Page]:
    """The first page on a phone of all tests that only look at it."""
    context = new_phone(browser)
    page = context.new_page()
    page.goto(server.url)
    expect(page.locator("body.scripted")).to_be_attached()
    page.evaluate("document.fonts.ready.then(() => null)")
    yield page
    context.close()


def each_width(page: Page) -> Iterator[int]:
    """The page on phones of several widths, one after the other, once it stands in each."""
    for width in (320, 360, 390):
        page.set_viewport_size({"width": width, "height": 640 if width < 390 else 844})
        page.wait_for_function("(width) => document.documentElement.clientWidth === width", arg=width)
        yield width


def test_hand_and_unit_are_named_beside_their_choice(first_page: Page) -> None:
    for width in each_width(first_page):
        for words, choice in (("I play", "right-handed"), ("in", "yards")):
            legend = first_page.locator("legend").get_by_text(words, exact=True)
            expect(legend, f"{width}").to_be_in_viewport(ratio=1)
            name = legend.bounding_box()
            key = first_page.locator(".choice").get_by_text(choice, exact=True).bounding_box()
            assert name
            assert key
            assert name["width"] > 12, width
            assert name["x"] + name["width"] <= key["x"], width
            assert name["y"] < key["y"] + key["height"] / 2 < name["y"] + name["height"], width


def test_a_loft_bears_its_degree_and_an_empty_place_says_wedge(first_page: Page) -> None:
    lofts = first_page.locator(".first-lofts .loft")
    for width in each_width(first_page):
        lofts.last.get_by_role("textbox").fill("")
        expect(lofts.get_by_text("°").filter(visible=True), f"{width}").to_have_count(4)
        expect(lofts.get_by_text("wedge").filter(visible=True), f"{width}").to_have_count(2)
        lofts.last.get_by_role("textbox").fill("64")
        expect(lofts.last.get_by_text("°"), f"{width}").to_be_visible()
        expect(lofts.last.get_by_text("wedge"), f"{width}").to_be_hidden()
        assert look_at_all(first_page, ".loft > :not(input)", OUTSIDE) == [], width


def test_the_degree_of_the_known_loft_stands_in_its_box(first_page: Page) -> None:
    for width in each_width(first_page):
        box = first_page.get_by_label("loft of the wedge whose carry I know").bounding_box()
        degree = first_page.locator(".sentence i").bounding_box()
        assert box
        assert degree
        assert box["x"] < degree["x"] < degree["x"] + degree["width"] < box["x"] + box["width"], width


def test_the_bar_stays_on_the_first_screen(first_page: Page) -> None:
    for width in each_width(first_page):
        expect(first_page.get_by_role("button", name="Start my book"), f"{width}").to_be_in_viewport(ratio=1)


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
