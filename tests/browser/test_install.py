"""The app on the home screen: Chromium finds nothing in the way, and the hint comes once."""

from collections.abc import Callable
from pathlib import Path

from playwright.sync_api import Playwright, expect

from .chromium import PHONE, chromium_options
from .player import Player
from .server import Server
from .waiting import until_worker_stands

TOLD = """async () => {
  const { recall } = await (await import(document.querySelector("script[type=module]").src)).take("db.js");
  return recall("install_hint");
}"""


def test_chromium_finds_nothing_in_the_way_of_installing(
    playwright: Playwright, server: Server, tmp_path: Path
) -> None:
    context = playwright.chromium.launch_persistent_context(tmp_path / "profile", **chromium_options(), **PHONE)
    page = context.pages[0]
    page.goto(server.url)
    until_worker_stands(page)
    found = context.new_cdp_session(page).send("Page.getInstallabilityErrors")
    context.close()
    assert found["installabilityErrors"] == []


def test_the_hints_button_stands_beside_its_words_or_below(meet: Callable[..., Player]) -> None:
    heron = meet(viewport={"width": 390, "height": 844})
    heron.open("/card")
    hint = heron.page.locator("[data-install]")
    expect(hint).to_be_visible()
    apart = """(hint) => {
      const words = document.createRange();
      words.selectNodeContents(document.createTreeWalker(hint, NodeFilter.SHOW_TEXT).nextNode());
      const [text, key] = [words, hint.querySelector("button")].map((one) => one.getBoundingClientRect());
      return text.right <= key.left || text.bottom <= key.top;
    }"""
    assert hint.evaluate(apart)


def test_the_hint_comes_once(meet: Callable[..., Player]) -> None:
    heron = meet()
    heron.open("/card")
    hint = heron.page.locator("[data-install]")
    expect(hint).to_contain_text("add to home screen")
    hint.get_by_role("button", name="not now").tap()
    expect(hint).to_have_count(0)
    heron.open("/card")
    assert heron.page.evaluate(TOLD)  # asked after the page asked, so the page has its answer
    expect(hint).to_have_count(0)
