"""A new version is offered, taken when the player says so, with one reload; the way out clears what was kept.

A copy of the program is served, changed and served again, as an upgrade does it.
"""

from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest
from playwright.sync_api import Browser, expect

from tests.factories import the_demo_set
from webapp.units import YARD_M

from .chromium import facts_of, now, open_book
from .player import Player
from .ready import ReadyPhones
from .server import Server, copy_program
from .waiting import until, until_all_taken, until_idle


@pytest.fixture(scope="module")
def program(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A copy of the program for all these tests; each serves a newer one than the test before."""
    folder = tmp_path_factory.mktemp("newer") / "program"
    copy_program(folder)
    return folder


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory, log_of_servers: str) -> Iterator[Server]:
    """The program, served until there is a newer one."""
    server = Server(tmp_path_factory.mktemp("served")).start()
    yield server
    server.stop()


@pytest.fixture(scope="module")
def phones(whole_browser: Browser, served: Server) -> Iterator[ReadyPhones]:
    """Phones that have the newest version served, in the browser that players have: updates are shown by it."""
    with closing(ReadyPhones(whole_browser, served.url)) as phones:
        yield phones


@pytest.fixture
def hitting(phones: ReadyPhones, served: Server) -> Iterator[Player]:
    """A player whose phone keeps the pages, with one ball noted."""
    if served.process is None:
        served.start()
    context = phones.take()
    player = Player(context, served.url, open_book(context, served, the_demo_set(now())))
    player.open()
    player.wait_until_kept()
    player.start_bucket()
    player.touch(79, "clean")
    yield player
    if served.process:
        phones.give_back(context)
    else:  # after the way out there is no worker on it
        context.close()


def upgrade(server: Server, program: Path, name: str, text: str) -> None:
    """Put another text in place of a static file of the program and serve that."""
    server.stop()
    (program / "static" / name).write_text(text)
    server.root = program
    server.start()


def newer(program: Path) -> tuple[Path, str, str]:
    """The next version of the program: what `upgrade` is told of it."""
    name = "rules/shot.js"
    return program, name, (program / "static" / name).read_text() + "\n// a newer one\n"


def look_for_a_new_version(player: Player) -> None:
    """What a browser does by itself once in a while."""
    player.page.evaluate("async () => { await (await navigator.serviceWorker.getRegistration()).update(); }")


def test_a_new_version_waits_for_the_player_and_takes_one_reload(
    hitting: Player, served: Server, program: Path
) -> None:
    loads: list[str] = []
    hitting.page.on("load", lambda page: loads.append(page.url))
    upgrade(served, *newer(program))
    look_for_a_new_version(hitting)
    offer = hitting.button("switch to it")
    expect(offer).to_be_visible()
    assert loads == []
    with hitting.page.expect_event("load"):
        offer.tap()
    expect(offer).to_have_count(0)
    expect(hitting.patch).to_be_visible()
    assert len(loads) == 1
    assert len(hitting.shots()) == 1
    assert hitting.faults == []


def test_a_switch_does_not_wait_for_a_worker_that_is_busy_just_then(
    hitting: Player, served: Server, program: Path
) -> None:
    upgrade(served, *newer(program))
    look_for_a_new_version(hitting)
    offer = hitting.button("switch to it")
    offer.evaluate(
        "offer => offer.addEventListener('click', () => ['/card', '/static/x'].forEach((path) => fetch(path)))"
    )
    with hitting.page.expect_event("load"):
        offer.tap()
    expect(hitting.patch).to_be_visible()
    until(hitting.page, "async () => (await navigator.serviceWorker.getRegistration()).waiting === null")
    assert len(hitting.shots()) == 1


def test_a_new_version_offered_in_mid_bucket_leaves_what_waits_alone(
    hitting: Player, served: Server, program: Path
) -> None:
    hitting.wait_out_fresh()
    until_all_taken(hitting.page, hitting.book_id)
    served.stop()
    for carry in (81, 77):
        hitting.touch(carry, "clean")
        hitting.wait_out_fresh()
    with hitting.in_one_breath():  # so that the next try of sending does not come before the switch
        upgrade(served, *newer(program))
        look_for_a_new_version(hitting)
        offer = hitting.button("switch to it")
        expect(offer).to_be_visible()
        expect(hitting.page.locator("[data-waiting]")).to_have_text("saved on this phone 2")
        assert [shot["state"] == "taken" for shot in hitting.shots()] == [True, False, False]
    with hitting.page.expect_event("load"):
        offer.tap()
    expect(hitting.page.locator("#count")).to_have_text("3 balls")
    until_all_taken(hitting.page, hitting.book_id)
    held = [fact for fact in facts_of(served, hitting.book_id) if fact["kind"] == "shot"]
    assert [round(fact["body"]["carry_m"] / YARD_M) for fact in held] == [79, 81, 77]
    assert hitting.faults == []


def test_the_way_out_clears_what_was_kept_and_no_ball(hitting: Player, served: Server, program: Path) -> None:
    hitting.wait_out_fresh()
    until_all_taken(hitting.page, hitting.book_id)
    until_idle(hitting.page)  # a worker that is asked for something just then goes with the next page
    worker, off = (program / "static" / name for name in ("sw.js", "sw_off.js"))
    own = worker.read_text()
    upgrade(served, program, "sw.js", off.read_text())
    try:
        look_for_a_new_version(hitting)
        until(hitting.page, "async () => (await navigator.serviceWorker.getRegistrations()).length === 0")
        expect(hitting.patch).to_be_visible()
        assert len(hitting.shots()) == 1
    finally:
        served.stop()
        worker.write_text(own)
