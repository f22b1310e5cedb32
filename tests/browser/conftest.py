"""Players for browser tests, each with a phone and a book of their own.

Knows how a player comes by a phone; the browser and the servers are in chromium.py.
"""

import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext

from tests.factories import Raw, the_demo_set

from .chromium import PHONE, now, open_book
from .player import Player
from .server import ROOT, Server


@pytest.fixture
def meet(browser: Browser, server: Server) -> Iterator[Callable[..., Player]]:
    """Make a player: `meet()` owns the demo set, `meet(facts=[...])` another book; options are the browser's."""
    opened: list[BrowserContext] = []

    def make(facts: list[Raw] | None = None, at: Server | None = None, **options: Any) -> Player:
        context = browser.new_context(**{**PHONE, **options})
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


@pytest.fixture
def hitting(player: Player) -> Player:
    """A player in a bucket at Pellow Fen, by monitor, with the 56 at 9:00 meant 54."""
    player.open()
    player.start_bucket()
    player.call("56", "9:00", 54)
    return player
