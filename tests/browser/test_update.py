"""A new version is offered, taken when the player says so, with one reload; the way out clears what was kept.

A copy of the program is served, changed and served again, as an upgrade does it.
"""

import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import expect

from .player import Player
from .server import ROOT, Server
from .waiting import until


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
def hitting(meet: Callable[..., Player], served: Server) -> Player:
    """A player whose phone keeps the pages, with one ball noted."""
    player = meet(at=served)
    player.open()
    player.wait_until_kept()
    player.start_bucket()
    player.touch(79, "clean")
    return player


def upgrade(server: Server, path: Path, text: str) -> None:
    """Put another text in place of a file of the program and serve that."""
    server.stop()
    path.write_text(text)
    server.start()


def look_for_a_new_version(player: Player) -> None:
    """What a browser does by itself once in a while."""
    player.page.evaluate("async () => { await (await navigator.serviceWorker.getRegistration()).update(); }")


def test_a_new_version_waits_for_the_player_and_takes_one_reload(
    hitting: Player, served: Server, program: Path
) -> None:
    loads: list[str] = []
    hitting.page.on("load", lambda page: loads.append(page.url))
    script = program / "static" / "shot.js"
    upgrade(served, script, script.read_text() + "\n// a newer one\n")
    look_for_a_new_version(hitting)
    offer = hitting.button("switch to it")
    expect(offer).to_be_visible()
    assert loads == []
    with hitting.page.expect_event("load", timeout=90_000):  # the old worker first finishes what it is fetching
        offer.tap()
    expect(offer).to_have_count(0)
    expect(hitting.patch).to_be_visible()
    assert len(loads) == 1
    assert len(hitting.shots()) == 1
    assert hitting.faults == []


def test_the_way_out_clears_what_was_kept_and_no_ball(hitting: Player, served: Server, program: Path) -> None:
    upgrade(served, program / "static" / "sw.js", (program / "static" / "sw_off.js").read_text())
    look_for_a_new_version(hitting)
    until(hitting.page, "async () => (await navigator.serviceWorker.getRegistrations()).length === 0")
    expect(hitting.patch).to_be_visible()
    assert len(hitting.shots()) == 1
