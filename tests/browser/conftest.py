"""Players for browser tests, each with a phone and a book of their own.

Knows how a player comes by a phone; the browser and the servers are in chromium.py.
"""

import json
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.base import AXE_SCRIPT, AxeResults
from playwright.sync_api import Browser, BrowserContext, Page, expect

from tests.factories import Raw, the_demo_set
from webapp.books.demo import demo_facts

from .card_pages import book_of_every_trust
from .chromium import PHONE, facts_of, new_phone, now, open_book
from .player import Player
from .server import Server, copy_program
from .waiting import until_all_taken, until_at_rest, until_idle


@contextmanager
def phones(browser: Browser, server: Server) -> Iterator[Callable[..., Player]]:
    """Makes players: `meet()` owns the demo set, `meet(facts=[...])` another book; options are the browser's."""
    opened: list[BrowserContext] = []

    def make(facts: list[Raw] | None = None, at: Server | None = None, **options: Any) -> Player:
        context = new_phone(browser, **options)
        opened.append(context)
        there = at or server
        book_id = open_book(context, there, the_demo_set(now()) if facts is None else facts)
        return Player(context, there.url, book_id)

    yield make
    for context in opened:
        context.close()


@pytest.fixture
def meet(browser: Browser, server: Server) -> Iterator[Callable[..., Player]]:
    """Make a player for one test."""
    with phones(browser, server) as make:
        yield make


@pytest.fixture(scope="module")
def meet_for_all(browser: Browser, server: Server) -> Iterator[Callable[..., Player]]:
    """Make a player whom the tests of a file share; they only look, and each gets the phone back by `as_before`."""
    with phones(browser, server) as make:
        yield make


def as_before(player: Player) -> Player:
    """The small phone by day again, online, with its usual type and no fault yet."""
    player.page.set_viewport_size(PHONE["viewport"])
    player.page.emulate_media(media="null", color_scheme="null", forced_colors="null", reduced_motion="null")
    player.page.evaluate("document.documentElement.removeAttribute('style')")
    return player


def expect_axe_finds_nothing(page: Page, rules: Sequence[str] = ()) -> None:
    """Every rule by day, and in the dark those of contrast, since nothing but colour changes with the scheme."""
    # Without motion: colours on their way from one scheme to the other are neither's.
    for scheme, asked in (("light", rules), ("dark", ("color-contrast",))):
        page.emulate_media(color_scheme=scheme, reduced_motion="reduce")
        found = _axe_finds(page, asked)
        assert found.violations_count == 0, f"{scheme}: {found.generate_report()}"


def _axe_finds(page: Page, rules: Sequence[str]) -> AxeResults:
    """The violations of these rules (of all, where none is named); passes would take two thirds of the time."""
    if not page.evaluate("Boolean(globalThis.axe)"):
        page.evaluate(AXE_SCRIPT)
    options = {"resultTypes": ["violations"], **({"runOnly": [*rules]} if rules else {})}
    script = "async (options) => { const { violations } = await axe.run(document, options); return { violations }; }"
    return AxeResults(page.evaluate(script, options))


@pytest.fixture
def player(meet: Callable[..., Player]) -> Player:
    """Heron with the wedges 46, 51, 56 and 60, at a small phone."""
    return meet()


@pytest.fixture(scope="module")
def phone_of_every_trust(meet_for_all: Callable[..., Player]) -> Player:
    """The phone of every test that only looks at the book of every trust."""
    return meet_for_all(facts=book_of_every_trust())


@pytest.fixture(scope="module")
def phone_of_the_demo(meet_for_all: Callable[..., Player]) -> Player:
    """The phone of tests that only ask or look in the demo book, at rest: what it fetches and tells once has come."""
    phone = meet_for_all(facts=demo_facts(now()))
    phone.open("/card")
    expect(phone.page.locator("[data-install]")).to_be_visible()  # it would push the card down under a test's eyes
    until_at_rest(phone.page, phone.book_id)
    return phone


@pytest.fixture
def every_trust(phone_of_every_trust: Player) -> Player:
    """A player with each word of trust on the card."""
    return as_before(phone_of_every_trust)


@pytest.fixture
def page(browser: Browser) -> Iterator[Page]:
    """A page on a phone that has no book."""
    context = new_phone(browser)
    yield context.new_page()
    context.close()


@pytest.fixture(scope="module")
def blank(browser: Browser, server: Server) -> Iterator[Page]:
    """A page of the program's own address with nothing on it."""
    page = browser.new_page()
    page.goto(f"{server.url}/healthz")
    yield page
    page.close()


@pytest.fixture
def program(tmp_path: Path) -> Path:
    """A copy of the program that a test may change."""
    copy_program(tmp_path / "program")
    return tmp_path / "program"


@pytest.fixture
def served(program: Path, tmp_path: Path, log_of_servers: str) -> Iterator[Server]:
    """The copy, served."""
    server = Server(tmp_path / "data", root=program).start()
    yield server
    server.stop()


@dataclass(frozen=True)
class OnTheWay:
    """A phone that has gone the way into a bucket: its book, the book's facts, and what the browser stores."""

    book_id: str
    facts: list[Raw]
    stored: str


@pytest.fixture(scope="session")
def in_a_bucket(browser: Browser, server: Server) -> OnTheWay:
    """The way into a bucket, gone once for all tests that begin there."""
    context = new_phone(browser)
    player = Player(context, server.url, open_book(context, server, the_demo_set(now())))
    player.open()
    player.start_bucket()
    player.call("56", "9:00", 54)
    until_all_taken(player.page, player.book_id)
    until_idle(player.page)
    stored = json.dumps(context.storage_state(indexed_db=True)["origins"])
    context.close()
    facts = [{name: fact[name] for name in fact if name != "seq"} for fact in facts_of(server, player.book_id)]
    return OnTheWay(player.book_id, facts, stored)


def into_the_bucket(meet: Callable[..., Player], gone: OnTheWay) -> Player:
    """A player where that way ends."""
    player = meet(facts=gone.facts)
    origins = json.loads(gone.stored.replace(gone.book_id, player.book_id))
    player.context.set_storage_state({"cookies": player.context.cookies(), "origins": origins})
    player.open()
    expect(player.patch).to_be_visible()
    return player


@pytest.fixture
def hitting(meet: Callable[..., Player], in_a_bucket: OnTheWay) -> Player:
    """A player in a bucket at Pellow Fen, by monitor, with the 56 at 9:00 meant 54."""
    return into_the_bucket(meet, in_a_bucket)


@pytest.fixture(scope="module")
def phone_at_the_patch(meet_for_all: Callable[..., Player], in_a_bucket: OnTheWay) -> Player:
    """The phone of tests that strike no ball in that bucket and say themselves what they look at."""
    return into_the_bucket(meet_for_all, in_a_bucket)


@pytest.fixture
def plain(heron: Player, browser: Browser) -> Iterator[Page]:
    """The book of a file's Heron in a browser without JavaScript."""
    context = browser.new_context(java_script_enabled=False)
    context.add_cookies(heron.context.cookies())  # type: ignore[arg-type]
    yield context.new_page()
    context.close()
