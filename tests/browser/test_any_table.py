"""Any table in, on a phone: a workbook goes the whole way by touches, and its balls stand in the card on both phones.

Sources: axe-core's rules (WCAG 2.1 A and AA and best practice), by the installed package axe-playwright-python; reflow
at 320 px, WCAG 2.1, 1.4.10 (from memory).
"""

import io
from collections.abc import Callable
from itertools import product

from openpyxl import Workbook
from playwright.sync_api import Browser, Page, expect

from tests.factories import Raw, a_swing, the_demo_set

from .chromium import now
from .conftest import expect_axe_finds_nothing
from .player import Player
from .server import Server
from .test_two_phones import another_phone, wait_for_balls
from .waiting import look_at_all

WORDS = {"46": "Pitching wedge", "51": "Gap wedge", "56": "Sand wedge", "60": "Lob wedge"}
CARRIES_M = (61, 62.5, 60, 63, 61.5, 62)


def week() -> bytes:
    """A workbook with two sheets, the second about another wedge, called as the bag calls none."""
    book = Workbook()
    for name, stick in (("Monday", "Lob"), ("Tuesday", "51")):
        sheet = book.create_sheet(name)
        for row in [("No", "Stick", "Flight (m)", "Arm"), *((at, stick, m, "9:00") for at, m in enumerate(CARRIES_M))]:
            sheet.append(row)
    content = io.BytesIO()
    book.save(content)
    return content.getvalue()


def in_words() -> list[Raw]:
    """The demo set's wedges and swings, called by ordinary words."""
    facts, begun = the_demo_set(now()), now()
    for club in (fact for fact in facts if fact["kind"] == "club"):
        club["body"]["name"] = WORDS[club["body"]["name"]]
    return [*facts, a_swing(90.0, "chest high", begun), a_swing(135.0, "three-quarter", begun)]


def look_over(page: Page) -> None:
    """Nothing for axe on the page, and nothing cut off at twice the letter size."""
    expect_axe_finds_nothing(page)
    page.evaluate("document.documentElement.style.fontSize = '200%'")
    assert page.evaluate("document.documentElement.scrollWidth") <= 320
    page.evaluate("document.documentElement.removeAttribute('style')")


def test_a_workbook_goes_the_whole_way_and_comes_to_the_other_phone(
    meet: Callable[..., Player], server: Server, browser: Browser
) -> None:
    player = meet(viewport={"width": 320, "height": 640})
    page = player.page
    player.open("/table")
    look_over(page)
    page.get_by_label("file").set_input_files(
        {"name": "week.xlsx", "mimeType": "application/octet-stream", "buffer": week()}
    )
    page.get_by_role("button", name="Look at it").tap()
    expect(page.get_by_text("Only its sheet “Monday” is read")).to_be_visible()
    page.get_by_label("the sheet").select_option("Tuesday")
    page.get_by_role("button", name="Read this sheet").tap()
    expect(page.get_by_text("Only its sheet “Tuesday” is read")).to_be_visible()
    page.get_by_role("link", name="Fill in what the values suggest").tap()
    expect(page.get_by_text("Check each before you go on.")).to_be_visible()
    look_over(page)
    page.get_by_label("swing").first.select_option(label="Arm")
    page.get_by_label("the day").fill(now()[:10])
    page.get_by_role("button", name="Go on").tap()
    expect(page.get_by_text("Step 2 of 3")).to_be_visible()
    look_over(page)
    for label in ("surface", "kind of ball"):
        page.get_by_label(label).select_option(index=1)
    page.get_by_role("button", name="See what would come in").tap()
    expect(page.get_by_text("Step 3 of 3")).to_be_visible()
    look_over(page)
    other = another_phone(player, browser, server)
    other.open("/bucket")
    player.open("/table/preview")
    page.set_viewport_size({"width": 360, "height": 640})
    assert look_at_all(page, ".scroll", "all => all.map((one) => one.scrollWidth - one.clientWidth)") == [0]
    page.set_viewport_size({"width": 320, "height": 640})
    page.get_by_role("button", name="Take 6 balls in").tap()
    expect(page.get_by_text("6 balls came into the book; 0 were there already.")).to_be_visible()
    look_over(page)
    for phone in (player, other):
        phone.open("/bucket")
        wait_for_balls(phone, 6)
    page.goto(f"{server.url}/table")
    page.get_by_role("button", name="take week.xlsx").tap()
    expect(page.get_by_text("6 balls were taken back. The table can be brought in again.")).to_be_visible()


LEAST_BETWEEN = """(rows) => Math.min(...rows.flatMap((row) => {
  const words = [...row.cells].filter((cell) => cell.textContent).map((cell) => {
    const text = document.createRange();
    text.selectNodeContents(cell);
    return text.getBoundingClientRect();
  });
  return words.slice(1).map((one, at) => one.left - words[at].right);
}))"""


def test_no_column_of_the_first_balls_stands_aside_or_runs_into_the_next(meet: Callable[..., Player]) -> None:
    player = meet(facts=in_words())
    page = player.page
    rows = [
        (name, 50.5 + at, ("9:00", "10:30")[at % 2], ("bladed", "")[at % 2]) for at, name in enumerate(WORDS.values())
    ]
    table = "\n".join(",".join(map(str, row)) for row in [("Stick", "Flight (yd)", "Arm", "Strike"), *rows])
    player.open("/table")
    page.get_by_label("file").set_input_files({"name": "words.csv", "mimeType": "text/csv", "buffer": table.encode()})
    page.get_by_role("button", name="Look at it").tap()
    page.get_by_role("link", name="Fill in what the values suggest").tap()
    expect(page.get_by_text("Check each before you go on.")).to_be_visible()
    for label, column in (("swing", "Arm"), ("contact", "Strike")):
        page.get_by_label(label).first.select_option(label=column)
    page.get_by_label("the day").fill("2026-11-23")
    page.get_by_role("button", name="Go on").tap()
    expect(page.get_by_text("Step 2 of 3")).to_be_visible()
    for label in ("surface", "kind of ball"):
        page.get_by_label(label).select_option(index=1)
    page.get_by_role("button", name="See what would come in").tap()
    expect(page.locator("main")).to_contain_text("Step 3 of 3")
    for width, text in product((320, 360, 390), ("100%", "200%")):
        page.set_viewport_size({"width": width, "height": 640})
        page.evaluate("(text) => { document.documentElement.style.fontSize = text; }", text)
        page.wait_for_function("(width) => document.documentElement.clientWidth === width", arg=width)
        assert look_at_all(page, ".scroll", "all => all.map((one) => one.scrollWidth - one.clientWidth)") == [0]
        if text == "100%" and width > 320:  # elsewhere a row is read on, without columns
            assert look_at_all(page, ".figures tr", LEAST_BETWEEN) >= 4, width
