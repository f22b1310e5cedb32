"""Takes the README's pictures: `python -m tests.browser.pictures FOLDER` shows the demo book on a small phone.

Knows which screens are shown; what is on them is the app's own.
"""

import sys
import tempfile
from pathlib import Path

from playwright.sync_api import Page, expect, sync_playwright

from .chromium import PHONE, chromium_options
from .server import Server

WIDE = {"viewport": {"width": 1280, "height": 800}}


def take(folder: Path) -> None:
    """Open a demo book and photograph what a player sees, by day and in the dark, and what a coach sees at a desk."""
    folder.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as data, sync_playwright() as driver:
        server = Server(Path(data), "--demo").start()
        browser = driver.chromium.launch(**chromium_options())
        page = browser.new_context(**{**PHONE, "device_scale_factor": 2}).new_page()
        page.goto(server.url)
        page.get_by_role("button", name="See a filled-in book").tap()
        page.emulate_media(reduced_motion="reduce")
        expect(page.locator(".dial .chosen").first).to_be_visible()  # the number that is looked at, once the script ran
        expect(page.locator("[data-as-of]").first).to_contain_text(":")
        page.screenshot(path=folder / "card.png")
        page.emulate_media(color_scheme="dark", reduced_motion="reduce")
        page.screenshot(path=folder / "card-dark.png")
        page.emulate_media(color_scheme="light", reduced_motion="reduce")
        _shots_behind(page, server.url, folder)
        page.goto(server.url + "/fits?flag=66&front=58&back=70")
        expect(page.locator("#said .fit").first).to_be_visible()
        page.screenshot(path=folder / "fits.png")
        _coach(page, browser.new_context(**WIDE).new_page(), server.url, folder)
        _bucket(page, server.url, folder)
        browser.close()
        server.stop()


def _coach(page: Page, desk: Page, url: str, folder: Path) -> None:
    page.goto(url + "/links")
    page.get_by_role("button", name="Make a coach link").tap()
    desk.goto(page.locator("a.secret").inner_text())
    expect(desk.get_by_role("heading", name="A player’s card")).to_be_visible()
    desk.screenshot(path=folder / "coach.png")


def _shots_behind(page: Page, url: str, folder: Path) -> None:
    page.goto(url + "/card")
    page.get_by_role("radio", name="Table").check()
    page.locator("td.cell a").nth(10).tap()
    expect(page.get_by_role("heading", name="Plain figures of these shots")).to_be_attached()
    page.screenshot(path=folder / "cell.png")


def _bucket(page: Page, url: str, folder: Path) -> None:
    page.goto(url + "/bucket")
    page.get_by_role("button", name="Same as last time").tap()
    patch = page.locator("#patch")
    expect(patch).to_be_visible()
    box = patch.bounding_box()
    assert box
    page.touchscreen.tap(box["x"] + box["width"] / 2, box["y"] + box["height"] * 0.45)
    expect(page.locator("#said")).to_contain_text("saved on this phone")
    page.screenshot(path=folder / "bucket.png")


if __name__ == "__main__":
    take(Path(sys.argv[1]))
