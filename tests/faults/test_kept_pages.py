"""What is kept for the day without signal is fetched when it has changed, and no other time, whatever goes wrong.

Source: the project's design (the worker's cache; a page is kept for one book). Requests are counted on the line.
"""

from collections.abc import Callable, Iterator
from contextlib import closing
from urllib.parse import parse_qs

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.chromium import FILL, now, open_book
from tests.browser.player import Player
from tests.browser.ready import ReadyPhones
from tests.browser.server import Server
from tests.browser.waiting import case, until, until_all_taken, until_forgotten, until_idle
from tests.factories import Raw, a_bucket, the_demo_set
from webapp.phone_pages import KEPT

from .proxy import (
    Proxy,
    answer_500,
    answer_503,
    answer_a_page,
    answer_other_json,
    cut_the_answer,
    hold_the_answer,
    send_elsewhere,
)

A_DAY_MS = 24 * 3600 * 1000
FIVE_MINUTES_MS = 300_000
BALLS, BALL_MS = 20, 30_000
ROOM_BYTES = 5_000_000
SYNC = """async () => {
  const { eager } = await (await import(document.querySelector("script[type=module]").src)).take("sync.js");
  await eager();
}"""

HIDE = """() => {
  Object.defineProperty(document, "visibilityState", { value: "hidden", configurable: true });
  document.dispatchEvent(new Event("visibilitychange", { bubbles: true }));
}"""
# Whether every page is kept under one mark, that of the newest entry this phone has heard of.
ALL_AS_NEW = """async () => {
  const { reached } = await (await import(document.querySelector("script[type=module]").src)).take("outbox.js");
  const { fetched } = await reached(document.body.dataset.book);
  const [name] = (await caches.keys()).filter((one) => one.startsWith("pages-"));
  const cache = await caches.open(name);
  const kept = await Promise.all((await cache.keys()).map((request) => cache.match(request, { ignoreVary: true })));
  const marks = new Set(kept.map((page) => page.headers.get("X-Kept-For")));
  return marks.size === 1 && [...marks][0].startsWith(`${fetched.at} `);
}"""


@pytest.fixture(scope="module")
def line(server: Server) -> Iterator[Proxy]:
    """A line of these tests' own to the shared server."""
    opened = Proxy(server.port)
    yield opened
    opened.close()


@pytest.fixture(scope="module")
def ready_phones(browser: Browser, line: Proxy) -> Iterator[ReadyPhones]:
    """Phones that have had the app over this line for days."""
    with closing(ReadyPhones(browser, line.url)) as phones:
        yield phones


@pytest.fixture
def player(meet_ready: Callable[..., Player]) -> Iterator[Player]:
    """A player in a bucket whose phone keeps every page, with nothing under way."""
    player = meet_ready(in_a_bucket())  # cookies know no port
    keep_every_page(player)
    yield player
    assert player.faults == []


def in_a_bucket() -> list[Raw]:
    """The demo set, and a bucket that has begun."""
    return [*the_demo_set(now()), a_bucket(now())]


def keep_every_page(player: Player) -> None:
    """Open the bucket on a phone that keeps every page then and has nothing under way."""
    player.open()
    expect(player.patch).to_be_visible()
    player.wait_until_kept()
    until_all_taken(player.page, player.book_id)
    until_idle(player.page)


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
          const { add, newFact } = await (await import(base)).take("outbox.js");
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
    """The pages among what was asked for, by themselves and together."""
    found = []
    for address in (address for _, address in map(str.split, asked)):
        path, _, query = address.partition("?")
        found += parse_qs(query)["of"] if path == "/api/pages" else [path]
    return [path for path in found if not path.startswith(("/api/", "/static/", "/sw.js"))]


def answers_of(asked: list[str]) -> int:
    """How many answers brought pages to keep."""
    return sum(one.startswith("GET /api/pages?") for one in asked)


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


def test_new_entries_have_every_page_fetched_after_five_minutes(player: Player, line: Proxy) -> None:
    look_at(player, "/practice")
    player.page.evaluate(SYNC)
    before = len(line.asked)
    note(player)
    note(player)
    assert pages_of(line.asked[before:]) == []
    player.page.clock.fast_forward(FIVE_MINUTES_MS)
    until(player.page, ALL_AS_NEW)
    assert answers_of(line.asked[before:]) == 1
    assert sorted(pages_of(line.asked[before:])) == sorted(KEPT)


def test_a_page_that_opens_after_an_entry_is_kept_anew_and_the_card_with_it(player: Player, line: Proxy) -> None:
    player.page.evaluate(SYNC)
    note(player)
    before = len(line.asked)
    look_at(player, "/practice")
    player.page.evaluate(SYNC)
    assert pages_of(line.asked[before:]) == ["/practice", "/card"]  # the worker keeps the page that it brings


def test_what_waits_is_fetched_in_one_answer_when_the_page_is_hidden(player: Player, line: Proxy) -> None:
    player.page.evaluate(SYNC)
    note(player)
    before = len(line.asked)
    player.page.evaluate(HIDE)
    until(player.page, ALL_AS_NEW)
    assert answers_of(line.asked[before:]) == 1
    assert sorted(pages_of(line.asked[before:])) == sorted(KEPT)


def test_a_visit_of_twenty_balls_asks_for_a_quarter_of_what_it_once_did(player: Player, line: Proxy) -> None:
    """Before, each ball asked for a session, its sending, what is new, and every kept page by itself."""
    player.page.evaluate(SYNC)
    before = len(line.asked)
    for _ in range(BALLS):
        note(player)
        player.page.clock.fast_forward(BALL_MS)
        until_idle(player.page)
    player.page.evaluate(HIDE)
    until(player.page, ALL_AS_NEW)
    asked = [one for one in line.asked[before:] if not one.endswith("/sw.js")]
    assert len(asked) <= BALLS * (3 + len(KEPT)) / 4
    assert answers_of(asked) <= BALLS * BALL_MS / FIVE_MINUTES_MS + 1


def test_a_new_day_has_every_page_fetched_once(player: Player, line: Proxy) -> None:
    player.page.evaluate(SYNC)
    before = len(line.asked)
    player.page.clock.fast_forward(A_DAY_MS)
    player.page.evaluate(SYNC)
    until(player.page, ALL_AS_NEW)
    assert sorted(pages_of(line.asked[before:])) == sorted(KEPT)


def test_pages_that_failed_are_fetched_once_more_after_five_minutes(player: Player, line: Proxy) -> None:
    for wrong in (answer_500, answer_503, answer_a_page, answer_other_json, cut_the_answer, send_elsewhere):
        with case(wrong.__name__):
            player.page.evaluate(SYNC)
            note(player)
            line.fail(wrong, b"GET /api/pages")
            player.page.evaluate(HIDE)
            until_idle(player.page)
            assert line.struck.is_set()
            assert player.page.evaluate("async () => (await caches.match('/card')).ok")  # what was kept stays
            before = len(line.asked)
            player.page.clock.fast_forward(FIVE_MINUTES_MS)
            until(player.page, ALL_AS_NEW)
            assert sorted(pages_of(line.asked[before:])) == sorted(KEPT)
            assert pages_of(asked_by_a_sync(player, line)) == []
            until_idle(player.page)


def test_pages_of_before_the_lock_that_come_after_it_was_set_are_not_kept(player: Player, line: Proxy) -> None:
    player.page.evaluate(SYNC)
    note(player)
    line.fail(hold_the_answer, b"GET /api/pages")
    player.page.evaluate(HIDE)
    assert line.stalled.wait(30)
    other = player.context.new_page()
    other.goto(f"{line.url}/round")
    other.get_by_role("button", name="Card only", exact=True).tap()
    until_forgotten(other, "/fits")
    line.go_on.set()
    until_idle(player.page)
    assert not player.page.evaluate("async () => Boolean(await caches.match('/fits', { ignoreVary: true }))")


def test_pages_that_were_under_way_as_the_day_ended_are_asked_for_again_at_once(player: Player, line: Proxy) -> None:
    player.page.evaluate(SYNC)
    note(player)
    midnight = player.page.evaluate("new Date().setHours(24, 0, 0, 0)") / 1000
    player.page.clock.set_system_time(midnight - 60)
    line.fail(hold_the_answer, b"GET /api/pages")
    player.page.evaluate(HIDE)
    assert line.stalled.wait(30)
    player.page.clock.set_system_time(midnight + 1)
    line.go_on.set()
    until(player.page, ALL_AS_NEW)


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
    player.page.evaluate(HIDE)
    until(player.page, ALL_AS_NEW)
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
    player.page.goto(f"{player.url}/card")  # the bare refusal of the line has no script
    expect(player.page.get_by_role("heading", name="Card")).to_have_count(0)
    look_at(player, "/bucket")
    player.context.set_offline(True)
    player.open("/card")
    expect(player.page.locator("body")).to_have_attribute("data-book", second)


def test_pages_of_every_other_book_go_once_a_page_of_this_book_comes(player: Player, server: Server) -> None:
    second = open_book(player.context, server, the_demo_set(now()))
    player.open("/bucket")
    expect(player.page.locator("body")).to_have_attribute("data-book", second)
    until(player.page, "async (former) => !(await caches.has(`pages-${former}`))", player.book_id)


@pytest.mark.parametrize("how", ["cut_off", "book_deleted"])
def test_a_phone_that_was_shut_out_meanwhile_shows_no_page_without_signal(
    player: Player, server: Server, how: str
) -> None:
    player.page.goto("about:blank")  # the app is closed
    with server.directory() as directory:
        if how == "cut_off":
            assert directory.cut_off(player.book_id, directory.devices(player.book_id)[0].id, now())
        else:
            directory.delete_book(player.book_id, now())
    player.page.goto(f"{player.url}/card")
    expect(player.page.locator(f'[data-code="{how}"]')).to_be_visible()
    until(player.page, "async (former) => !(await caches.has(`pages-${former}`))", player.book_id)


def test_a_full_phone_shows_the_page_that_came_although_it_cannot_keep_it(
    meet_ready: Callable[..., Player], line: Proxy
) -> None:
    player = meet_ready(in_a_bucket())
    # Little room from the first write on: a browser that has seen much of it asks again only half a minute later.
    devtools = player.context.new_cdp_session(player.page)
    devtools.send("Storage.overrideQuotaForOrigin", {"origin": line.url, "quotaSize": ROOM_BYTES})
    keep_every_page(player)
    player.page.evaluate(FILL)
    player.page.goto(f"{line.url}/trends")
    expect(player.page.get_by_role("heading", level=1)).not_to_have_text("No signal")
    assert not player.page.evaluate("async () => Boolean(await caches.match('/trends', { ignoreVary: true }))")
    until(player.page, "async () => navigator.serviceWorker.controller !== null")
    devtools.send("Storage.overrideQuotaForOrigin", {"origin": line.url})
    assert player.faults == []
