"""Players for browser tests, each with a phone and a book of their own.

Knows how a player comes by a phone; the browser and the servers are in chromium.py.
"""

import json
import shutil
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, expect

from tests.factories import Raw, the_demo_set

from .chromium import facts_of, new_phone, now, open_book
from .player import Player
from .server import ROOT, Server
from .waiting import until_all_taken, until_idle


@pytest.fixture
def meet(browser: Browser, server: Server) -> Iterator[Callable[..., Player]]:
    """Make a player: `meet()` owns the demo set, `meet(facts=[...])` another book; options are the browser's."""
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
def player(meet: Callable[..., Player]) -> Player:
    """Heron with the wedges 46, 51, 56 and 60, at a small phone."""
    return meet()


@pytest.fixture
def program(tmp_path: Path) -> Path:
    """A copy of the program that a test may change."""
    for name in ("webapp", "static", "seed_data"):
        shutil.copytree(ROOT / name, tmp_path / "program" / name, ignore=shutil.ignore_patterns("__pycache__"))
    return tmp_path / "program"


@pytest.fixture
def served(program: Path, tmp_path: Path) -> Iterator[Server]:
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


@pytest.fixture
def hitting(meet: Callable[..., Player], in_a_bucket: OnTheWay) -> Player:
    """A player in a bucket at Pellow Fen, by monitor, with the 56 at 9:00 meant 54."""
    player = meet(facts=in_a_bucket.facts)
    origins = json.loads(in_a_bucket.stored.replace(in_a_bucket.book_id, player.book_id))
    player.context.set_storage_state({"cookies": player.context.cookies(), "origins": origins})
    player.open()
    expect(player.patch).to_be_visible()
    return player
