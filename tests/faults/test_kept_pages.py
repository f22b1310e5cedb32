"""What is kept for the day without signal is fetched when it has changed, and no other time, whatever goes wrong.

Source: the project's design (the worker's cache; a page is kept for one book). Requests are counted on the line.
"""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.chromium import PHONE, now, open_book
from tests.browser.player import Player
from tests.browser.server import Server
from tests.browser.test_outbox import FILL
from tests.browser.waiting import until, until_all_taken, until_forgotten, until_idle
from tests.factories import the_demo_set
from webapp.pages.shell import KEPT

from .proxy import Proxy, answer_500, answer_503

A_DAY_MS = 24 * 3600 * 1000
SYNC = """async () => {
  const { eager } = await import(new URL("sync.js", document.querySelector("script[type=module]").src));
  await eager();
}"""


@pytest.fixture
def line(server: Server) -> Iterator[Proxy]:
    """A line of its own to the shared server."""
    opened = Proxy(server.port)
    yield opened
    opened.close()


@pytest.fixture
def player(browser: Browser, server: Server, line: Proxy) -> Iterator[Player]:
    """A player in a bucket whose phone keeps every page, with nothing under way."""
    context = browser.new_context(**PHONE)
    player = Player(context, line.url, open_book(context, server, the_demo_set(now())))  # cookies know no port
    player.open()
    player.wait_until_kept()
    player.start_bucket()
    until_all_taken(player.page, player.book_id)
    until_idle(player.page)
    yield player
    assert player.faults == []
    context.close()


def look_at(player: Player, path: str) -> None:
    """Open a page and let its own exchange with the server end."""
    with player.page.expect_response("**/api/session*"):
        player.open(path)
    until_idle(player.page)


def note(player: Player) -> None:
    """Something new in the book that the page in view does not send by itself."""
    player.page.evaluate(
        """async (book) => {
          const base = document.querySelector("script[type=module]").src;
          const { add, newFact } = await import(new URL("outbox.js", base));
          await add(book, [newFact("note", { words: "a word" })]);
        }""",
        player.book_id,
    )
    until_all_taken(player.page, player.book_id)
    until_idle(player.page)


def asked_by_a_sync(player: Player, line: Proxy) -> list[str]:
    """What one more exchange with the server asks for; the browser looks for a newer worker when it likes."""
    before = len(line.asked)
    player.page.evaluate(SYNC)
    return [one for one in line.asked[before:] if not one.endswith("/sw.js")]


def pages_of(asked: list[str]) -> list[str]:
    """The pages among what was asked for."""
    return [address for _, address in map(str.split, asked) if not address.startswith(("/api/", "/static/", "/sw.js"))]


def test_a_sync_that_brings_nothing_fetches_no_page_again(player: Player, line: Proxy) -> None:
    look_at(player, "/card")
    player.page.evaluate(SYNC)
    assert pages_of(asked_by_a_sync(player, line)) == []
    before = len(line.asked)
    look_at(player, "/bag")
    assert pages_of(line.asked[before:]) == ["/bag"]


def test_a_sync_that_brings_nothing_asks_twice(player: Player, line: Proxy) -> None:
    player.page.evaluate(SYNC)
    asked = asked_by_a_sync(player, line)
    assert [address.partition("?")[0] for address in asked] == ["GET /api/session", "GET /api/facts"]


def test_a_new_entry_has_every_page_fetched_once_and_the_one_in_view_first(player: Player, line: Proxy) -> None:
    look_at(player, "/practice")
    player.page.evaluate(SYNC)
    before = len(line.asked)
    note(player)
    fetched = pages_of(line.asked[before:])
    assert fetched[0] == "/practice"
    assert sorted(fetched) == sorted(KEPT)


def test_a_new_day_has_every_page_fetched_once(player: Player, line: Proxy) -> None:
    player.page.evaluate(SYNC)
    player.page.clock.fast_forward(A_DAY_MS)
    assert sorted(pages_of(asked_by_a_sync(player, line))) == sorted(KEPT)


def test_a_page_that_failed_is_fetched_with_the_next_sync_and_no_other(player: Player, line: Proxy) -> None:
    player.page.evaluate(SYNC)
    line.fail(answer_500, b"GET /fits")
    note(player)
    assert line.struck.is_set()
    assert pages_of(asked_by_a_sync(player, line)) == ["/fits"]
    assert pages_of(asked_by_a_sync(player, line)) == []


def test_three_tabs_fetch_what_is_new_once(player: Player, line: Proxy) -> None:
    others = [player.context.new_page() for _ in range(2)]
    for page in others:
        with page.expect_response("**/api/session*"):
            page.goto(f"{line.url}/card")
        until_idle(page)
    tabs: list[Page] = [player.page, *others]
    player.page.evaluate(SYNC)
    before = len(line.asked)
    note(player)
    for page in tabs:
        page.evaluate("() => { dispatchEvent(new Event('online')); }")
    for page in tabs:
        until_idle(page)
        page.evaluate(SYNC)
    assert line.asked[before:].count("POST /api/facts") == 1
    assert sorted(pages_of(line.asked[before:])) == sorted(KEPT)


def test_what_the_browser_threw_away_is_kept_again(player: Player, line: Proxy) -> None:
    player.page.evaluate(SYNC)
    devtools = player.context.new_cdp_session(player.page)
    devtools.send("Storage.clearDataForOrigin", {"origin": line.url, "storageTypes": "cache_storage"})
    assert sorted(pages_of(asked_by_a_sync(player, line))) == sorted(KEPT)
    player.context.set_offline(True)
    player.open()
    expect(player.patch).to_be_visible()


def test_a_program_that_the_browser_threw_away_is_fetched_again(player: Player, line: Proxy) -> None:
    devtools = player.context.new_cdp_session(player.page)
    devtools.send("Storage.clearDataForOrigin", {"origin": line.url, "storageTypes": "cache_storage"})
    player.open("/more")
    until(player.page, "async () => (await caches.keys()).some((name) => name.startsWith('shell-'))")
    expect(player.page.locator("[data-ready]")).to_have_text("Ready without signal: yes")
    player.context.set_offline(True)
    player.open()
    expect(player.patch).to_be_visible()


def test_a_book_that_is_opened_again_unchanged_is_kept_again(player: Player, line: Proxy) -> None:
    player.page.evaluate(SYNC)
    cookies = player.context.cookies()
    player.context.clear_cookies()
    player.page.evaluate(SYNC)
    until_forgotten(player.page, "/card")
    player.context.add_cookies(cookies)
    assert sorted(pages_of(asked_by_a_sync(player, line))) == sorted(KEPT)


def test_pages_of_a_book_that_is_open_here_no_longer_are_forgotten(player: Player, server: Server, line: Proxy) -> None:
    second = open_book(player.context, server, the_demo_set(now()))
    line.fail(answer_503, b"GET /card")
    player.open("/card")
    assert player.page.locator("body").get_attribute("data-book") == player.book_id  # the kept page stood in
    expect(player.page.locator("#notices")).to_contain_text("Another book is open here now")
    until_forgotten(player.page, "/card")
    line.fail(answer_503, b"GET /card")
    player.open("/card")
    expect(player.page.get_by_role("heading", name="Card")).to_have_count(0)
    look_at(player, "/bucket")
    player.context.set_offline(True)
    player.open("/card")
    expect(player.page.locator("body")).to_have_attribute("data-book", second)


def test_a_full_phone_shows_the_page_that_came_although_it_cannot_keep_it(player: Player, line: Proxy) -> None:
    devtools = player.context.new_cdp_session(player.page)
    devtools.send("Storage.overrideQuotaForOrigin", {"origin": line.url, "quotaSize": 5_000_000})
    player.page.evaluate(FILL)
    player.page.goto(f"{line.url}/trends")
    expect(player.page.get_by_role("heading", level=1)).not_to_have_text("No signal")
    assert not player.page.evaluate("async () => Boolean(await caches.match('/trends', { ignoreVary: true }))")
    until(player.page, "async () => navigator.serviceWorker.controller !== null")
    devtools.send("Storage.overrideQuotaForOrigin", {"origin": line.url})
