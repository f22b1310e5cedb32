"""Takes the README's pictures: `python -m tests.browser.pictures FOLDER` shows the demo book on a small phone.

Knows which screens are shown; what is on them is the app's own.
"""

import sys
import tempfile
from pathlib import Path

from playwright.sync_api import Page, expect, sync_playwright

from .chromium import PHONE, chromium_options
from .server import Server

SCREENS = {"card": "/card", "fits": "/fits?flag=66&front=58&back=70", "practice": "/practice", "trends": "/trends"}


def take(folder: Path) -> None:
    """Open a demo book and photograph each screen as the phone shows it."""
    folder.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as data, sync_playwright() as driver:
        server = Server(Path(data), "--demo").start()
        browser = driver.chromium.launch(**chromium_options())
        page = browser.new_context(**PHONE).new_page()
        page.goto(server.url)
        page.get_by_role("button", name="See a filled-in book").tap()
        expect(page.get_by_role("heading", name="Card", exact=True)).to_be_visible()
        for name, path in SCREENS.items():
            page.goto(server.url + path)
            expect(page.get_by_role("heading", level=1)).to_be_visible()
            page.screenshot(path=folder / f"{name}.png")
        _shots_behind(page, server.url, folder)
        _bucket(page, server.url, folder)
        _refused(page, server.url, folder)
        browser.close()
        server.stop()


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


def _refused(page: Page, url: str, folder: Path) -> None:
    """A ball that this server cannot take: its carry is beyond any wedge's."""
    page.goto(url + "/card")
    page.evaluate(
        """async () => {
          const base = document.querySelector("script[type=module]").src;
          const { add, rowsOf } = await import(new URL("outbox.js", base));
          const { newFact } = await import(new URL("outbox.js", base));
          const { book } = document.body.dataset;
          const shot = (await rowsOf(book)).filter((row) => row.kind === "shot").at(-1);
          await add(book, [newFact("shot", { ...shot.body, carry_m: 900 })]);
        }"""
    )
    expect(page.locator("#notices")).to_contain_text("This entry was not taken")
    page.goto(url + "/refused")
    expect(page.get_by_role("listitem").filter(has_text="Ball,")).to_be_visible()
    page.screenshot(path=folder / "refused.png")


if __name__ == "__main__":
    take(Path(sys.argv[1]))
