"""A tablet beside the mat follows a player along: new balls come by themselves, and what goes wrong is said.

Sources: axe-core's rules (WCAG 2.1 A and AA and best practice), by the installed package axe-playwright-python; reflow
at 320 px, WCAG 2.1, 1.4.10 (from memory).
"""

from collections.abc import Callable, Iterator

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.factories import Raw, a_bucket, a_shot, the_demo_set
from webapp.moments import moved

from .chromium import new_phone, now
from .conftest import expect_axe_finds_nothing
from .player import Player
from .server import Server
from .waiting import while_time_stands

EVERY_MS = 5000
# What a screen reader would speak from now on: whatever is written into a part that tells its changes.
WRITE_DOWN = """() => {
  globalThis.written = [];
  const note = ([{ target }]) => written.push(target.closest("[role=status]").textContent);
  for (const one of document.querySelectorAll("[role=status], [aria-live]")) {
    new MutationObserver(note).observe(one, { childList: true, characterData: true, subtree: true });
  }
}"""
TABLET = {"viewport": {"width": 820, "height": 1180}}


@pytest.fixture
def page(browser: Browser) -> Iterator[Page]:
    """A tablet that never saw the app, whose clock a test can put forward."""
    context = new_phone(browser, **TABLET)
    opened = context.new_page()
    opened.clock.install()
    yield opened
    context.close()


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory, log_of_servers: str) -> Iterator[Server]:
    """A server for these tests alone: an address may look at coach links only so often a minute."""
    started = Server(tmp_path_factory.mktemp("tablets")).start()
    yield started
    started.stop()


def in_a_bucket() -> list[Raw]:
    """The demo set and a bucket in which nothing was struck yet."""
    return [*the_demo_set(moved(now(), hours=-1)), a_bucket(moved(now(), minutes=-5))]


@pytest.fixture
def player(meet: Callable[..., Player], server: Server) -> Player:
    """A player with a bucket in which nothing was struck yet."""
    return meet(facts=in_a_bucket(), at=server)


@pytest.fixture
def at_own(meet: Callable[..., Player], own_server: Server) -> Player:
    """The same player, on a server that may be stopped."""
    return meet(facts=in_a_bucket(), at=own_server)


def follow(page: Page, player: Player) -> None:
    """Make a code on the phone and open it on the tablet."""
    player.open("/links")
    player.page.get_by_role("button", name="Make a code for a tablet").tap()
    page.goto(player.page.locator("a[href*='/tablet/']").get_attribute("href") or "")
    page.get_by_role("button", name="Follow along").tap()
    expect(page.locator("#stamp")).to_contain_text("As of")


def strike(player: Player, server: Server, swing_deg: float, carry_yd: float) -> None:
    """A ball comes into the book, as from the player's phone."""
    with server.directory() as directory, directory.open_book(player.book_id) as book:
        facts = book.after(0)
        club = next(one for one in facts if one["kind"] == "club" and one["body"]["name"] == "56")
        bucket = next(one for one in facts if one["kind"] == "bucket")
        ball = a_shot(bucket["id"], club["id"], carry_yd, now(), swing_deg=swing_deg)
        assert not book.add([ball], None, now()).refused


def test_new_balls_come_by_themselves_and_lead_to_their_number(page: Page, player: Player, server: Server) -> None:
    follow(page, player)
    evidence = page.locator("#evidence")
    for swing_deg, name in ((90, "56 9:00"), (45, "56 7:30")):
        strike(player, server, swing_deg, 50)
        page.clock.run_for(EVERY_MS)
        expect(evidence).to_have_attribute("aria-label", name)
        expect(evidence).to_contain_text("1 ball")


def test_its_own_keys_change_what_it_shows_and_it_goes_on_following(page: Page, player: Player, server: Server) -> None:
    follow(page, player)
    unit, evidence = page.locator(".unit-keys .chosen"), page.locator("#evidence")
    page.get_by_role("link", name="metres", exact=True).first.tap()
    expect(unit).to_have_text("metres")
    before = evidence.get_attribute("aria-label") or ""
    page.locator(".coach-dial a:not(:has(.chosen))").last.tap()
    expect(evidence).not_to_have_attribute("aria-label", before)
    chosen = evidence.get_attribute("aria-label") or ""
    looked = page.locator("#stamp").inner_text()
    page.clock.run_for(EVERY_MS)
    expect(page.locator("#stamp")).not_to_have_text(looked)
    expect(evidence).to_have_attribute("aria-label", chosen)
    strike(player, server, 90, 50)
    page.clock.run_for(EVERY_MS)
    expect(evidence).to_have_attribute("aria-label", "56 9:00")
    expect(unit).to_have_text("metres")


def test_keys_stay_where_they_were_when_the_card_is_drawn_anew(page: Page, player: Player, server: Server) -> None:
    follow(page, player)
    evidence, focused = page.locator("#evidence"), page.locator("#followed a:focus")
    before = evidence.get_attribute("aria-label") or ""
    page.locator(".coach-dial a:not(:has(.chosen))").last.focus()
    page.keyboard.press("Enter")
    expect(evidence).not_to_have_attribute("aria-label", before)
    expect(focused.locator(".chosen")).to_have_count(1)
    strike(player, server, 90, 50)
    page.clock.run_for(EVERY_MS)
    expect(evidence).to_have_attribute("aria-label", "56 9:00")
    expect(focused).to_have_count(1)


def test_the_way_back_from_another_page_leads_to_following_in_the_same_unit(
    page: Page, player: Player, server: Server
) -> None:
    strike(player, server, 90, 50)
    follow(page, player)
    expect(page.get_by_role("link", name="Two periods side by side")).to_be_visible()
    for name in ("Write homework", "Keep it in a list of players"):  # for a link that lasts longer than six hours
        expect(page.get_by_role("link", name=name)).to_have_count(0)
    page.get_by_role("link", name="metres", exact=True).first.tap()
    expect(page.locator(".unit-keys .chosen")).to_have_text("metres")  # until then the card's ways lead on in yards
    for name in ("All shots of it", "Two periods side by side", "The year"):
        page.get_by_role("link", name=name).tap()
        page.wait_for_url("**/w/**")
        page.locator("a.back").tap()
        expect(page.locator("#stamp")).to_contain_text("As of")
        expect(page.locator(".unit-keys .chosen")).to_have_text("metres")


def test_it_looks_for_nothing_while_nobody_sees_it(page: Page, player: Player, server: Server) -> None:
    follow(page, player)
    looks: list[str] = []
    with while_time_stands(page):
        page.on("request", lambda request: looks.append(request.url) if request.url.endswith("/newest") else None)
        page.clock.run_for(EVERY_MS)
        assert len(looks) == 1
        page.evaluate("Object.defineProperty(document, 'hidden', { value: true, configurable: true })")
        page.evaluate("document.dispatchEvent(new Event('visibilitychange'))")
        page.clock.run_for(10 * EVERY_MS)
        assert len(looks) == 1
    page.evaluate("delete document.hidden")
    with page.expect_request("**/newest"):
        page.evaluate("document.dispatchEvent(new Event('visibilitychange'))")


def test_a_tablet_without_a_code_says_under_its_heading_what_is_missing(page: Page, server: Server) -> None:
    page.goto(f"{server.url}/tablet")
    heading, trouble = page.get_by_role("heading", level=1), page.locator("#trouble")
    expect(heading).to_have_text("A tablet beside the mat")
    expect(trouble).to_contain_text("The code is missing.")
    upper, lower = heading.bounding_box(), trouble.bounding_box()
    assert upper
    assert lower
    assert upper["y"] + upper["height"] <= lower["y"]


def test_a_tablet_without_a_code_leads_to_the_first_page(page: Page, server: Server) -> None:
    page.goto(f"{server.url}/tablet")
    page.get_by_role("link", name="To Clockyard’s first page").tap()
    expect(page.get_by_role("button", name="Start my book")).to_be_visible()


def test_a_tablet_that_follows_has_the_cards_heading_alone(page: Page, player: Player) -> None:
    follow(page, player)
    expect(page.get_by_role("heading", level=1)).to_have_count(1)
    expect(page.get_by_role("link", name="To Clockyard’s first page")).to_have_count(0)


def test_a_server_that_is_away_is_said_and_looked_for_again(page: Page, at_own: Player, own_server: Server) -> None:
    follow(page, at_own)
    own_server.stop()
    page.clock.run_for(EVERY_MS)
    expect(page.locator("#trouble")).to_have_text("No answer from the server just now: it looks again.")
    expect(page.locator("#followed .dial").first).to_be_visible()
    own_server.start()
    page.clock.run_for(EVERY_MS)
    expect(page.locator("#trouble")).to_be_empty()


def test_a_screen_reader_hears_of_trouble_once_and_of_no_look(page: Page, at_own: Player, own_server: Server) -> None:
    follow(page, at_own)
    page.evaluate(WRITE_DOWN)
    for _ in range(3):
        looked = page.locator("#stamp").inner_text()
        page.clock.run_for(EVERY_MS)
        expect(page.locator("#stamp")).not_to_have_text(looked)
    assert page.evaluate("written") == []
    own_server.stop()
    for _ in range(3):
        with page.expect_event("requestfailed"):
            page.clock.run_for(EVERY_MS)
    expect(page.locator("#trouble")).to_contain_text("No answer")
    assert page.evaluate("written") == ["No answer from the server just now: it looks again."]


def test_a_code_stands_where_it_is_seen_as_soon_as_it_is_made(player: Player) -> None:
    player.open("/links")
    player.page.get_by_role("button", name="Make a code for a tablet").tap()
    expect(player.page.locator(".qr")).to_be_in_viewport(ratio=1)
    expect(player.page.get_by_role("heading", name="A tablet beside the mat")).to_be_in_viewport(ratio=0.9)


def test_the_player_ends_it_and_the_tablet_says_so_and_shows_nothing_more(page: Page, player: Player) -> None:
    follow(page, player)
    expect(page.locator("#followed .dial").first).to_be_visible()
    player.open("/links")
    player.page.get_by_role("form", name="end the link for a tablet", exact=True).get_by_role("button").tap()
    expect(player.page.get_by_text("The link is closed.")).to_be_visible()
    page.clock.run_for(EVERY_MS)
    expect(page.locator("#trouble")).to_contain_text("This is closed now")
    expect(page.get_by_role("heading", level=1)).to_have_text("A tablet beside the mat")
    expect(page.locator("#followed")).to_have_text("To Clockyard’s first page")
    expect(page.locator("#followed svg")).to_have_count(0)
    expect(page.locator("#stamp")).to_be_empty()
    expect_axe_finds_nothing(page)


def test_without_a_code_it_says_once_where_one_is_made(page: Page, server: Server) -> None:
    page.goto(f"{server.url}/tablet")
    expect(page.locator("#trouble")).to_contain_text("Make one under Coach links on the phone.")
    page.evaluate(WRITE_DOWN)
    page.clock.run_for(3 * EVERY_MS)
    assert page.evaluate("written") == []


def test_axe_finds_nothing_and_nothing_is_cut_off(page: Page, player: Player) -> None:
    player.open("/links")
    player.page.get_by_role("button", name="Make a code for a tablet").tap()
    expect(player.page.locator("a[href*='/tablet/']")).to_be_visible()
    expect_axe_finds_nothing(player.page)
    page.goto(player.page.locator("a[href*='/tablet/']").get_attribute("href") or "")
    expect_axe_finds_nothing(page)
    page.get_by_role("button", name="Follow along").tap()
    expect(page.locator("#followed .dial").first).to_be_visible()
    expect_axe_finds_nothing(page)
    page.set_viewport_size({"width": 320, "height": 640})
    page.evaluate("document.documentElement.style.fontSize = '200%'")
    assert page.evaluate("document.documentElement.scrollWidth") <= 320
