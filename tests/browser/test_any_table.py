"""Any table in, on a phone: a workbook goes the whole way by touches, and its balls stand in the card on both phones.

Sources: axe-core's rules (WCAG 2.1 A and AA and best practice), by the installed package axe-playwright-python; reflow
at 320 px, WCAG 2.1, 1.4.10 (from memory).
"""

import io
from collections.abc import Callable

from openpyxl import Workbook
from playwright.sync_api import Browser, Page, expect

from .chromium import now
from .conftest import expect_axe_finds_nothing
from .player import Player
from .server import Server
from .test_two_phones import another_phone, wait_for_balls
from .waiting import look_at_all

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
