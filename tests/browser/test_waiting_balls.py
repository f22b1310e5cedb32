"""A book begun anew, into which the old one comes while balls wait on the phone: they are counted, the call stays.

Source: the project's design, a ball noted is never lost to the card and no call changes unseen; the balls are invented.
"""

import json
from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Browser, expect

from tests.factories import Raw, the_demo_set
from webapp.store import reading

from .chromium import now
from .player import Player
from .server import Server
from .waiting import until, until_all_taken

NAMES_ONLY = """async ([book, club]) => {
  const base = document.querySelector("script[type=module]").src;
  const { rowsOf } = await (await import(base)).take("outbox.js");
  const { fold } = await (await import(base)).take("rules/shot.js");
  const shots = [...fold(await rowsOf(book)).values()].filter(({ kind }) => kind === "shot");
  return shots.every(({ body }) => body.club_id === club);
}"""


@pytest.fixture
def old_book() -> list[Raw]:
    """The wedges of before, of the same names and lofts."""
    return the_demo_set(now())


def brought_in(player: Player, browser: Browser, facts: list[Raw], folder: Path) -> None:
    """Bring a book in from another browser that has the same one open."""
    (folder / "book.json").write_text(json.dumps({"facts": facts}))
    other = browser.new_context(java_script_enabled=False)
    other.add_cookies(player.context.cookies())  # type: ignore[arg-type]
    page = other.new_page()
    page.goto(f"{player.url}/leaving")
    page.set_input_files("#file", folder / "book.json")
    page.get_by_role("button", name="Bring it in").click()
    expect(page.get_by_text("entries came into the book")).to_be_visible()
    other.close()


def expect_the_call(player: Player) -> None:
    expect(player.page.locator("#call .club-name")).to_have_text("56")
    expect(player.page.locator("#call .swing-name")).to_have_text("9:00")


def from_the_pocket(player: Player) -> None:
    """Show the page again: it reads anew what the phone has."""
    player.page.evaluate("document.dispatchEvent(new Event('visibilitychange'))")
    player.settled()


def test_balls_that_waited_while_the_old_book_came_are_the_old_wedges_and_the_call_stays(
    hitting: Player, server: Server, browser: Browser, old_book: list[Raw], tmp_path: Path
) -> None:
    old = next(fact["id"] for fact in old_book if fact["body"].get("name") == "56")
    hitting.touch(54, "clean")
    hitting.wait_out_fresh()
    until_all_taken(hitting.page, hitting.book_id)
    hitting.context.set_offline(True)
    for carry in (55, 53):
        hitting.touch(carry, "clean")
        hitting.wait_out_fresh()
    brought_in(hitting, browser, old_book, tmp_path)
    hitting.context.set_offline(False)
    until_all_taken(hitting.page, hitting.book_id)
    until(hitting.page, NAMES_ONLY, [hitting.book_id, old])
    from_the_pocket(hitting)
    expect_the_call(hitting)
    hitting.touch(52, "clean")  # on a page made before the old book came
    hitting.wait_out_fresh()
    expect_the_call(hitting)
    until_all_taken(hitting.page, hitting.book_id)
    hitting.open()
    expect_the_call(hitting)
    hitting.touch(51, "clean")
    hitting.wait_out_fresh()
    until_all_taken(hitting.page, hitting.book_id)
    with server.directory() as directory, directory.open_book(hitting.book_id) as book:
        struck = [shot["club_id"] for shot in reading.shots(book) if shot["counted"]]
        wedges = [club.id for club in reading.clubs(book, retired=True)]
    assert struck == [old] * 5
    assert sorted(wedges) == sorted(fact["id"] for fact in old_book if fact["kind"] == "club")
    assert hitting.faults == []


def test_a_page_made_between_the_import_and_the_sending_calls_the_wedge_that_came(
    hitting: Player, browser: Browser, old_book: list[Raw], tmp_path: Path
) -> None:
    hitting.page.route("**/api/facts", lambda route: route.abort())  # signal for pages, none for balls
    hitting.touch(54, "clean")
    hitting.wait_out_fresh()
    brought_in(hitting, browser, old_book, tmp_path)
    hitting.open()
    expect(hitting.page.locator("#count")).to_have_text("1 ball")
    expect_the_call(hitting)


def with_a_new_56(player: Player) -> None:
    """Open a bucket at 9:00 with a new 56, which took the old one's place."""
    player.open("/bag")
    player.page.get_by_text("More about the 56").tap()
    club = player.page.locator("li.club").filter(has=player.page.get_by_role("heading", name="56"))
    club.get_by_role("button", name="A new one takes its place").tap()
    expect(player.page.get_by_text("left the bag; its balls are kept")).to_be_visible()
    player.open()
    player.start_bucket()
    player.call("56", "9:00")
    until_all_taken(player.page, player.book_id)


def undone_elsewhere(player: Player, browser: Browser) -> None:
    """Put the old 56 back in another browser that has the same book open."""
    other = browser.new_context(java_script_enabled=False)
    other.add_cookies(player.context.cookies())  # type: ignore[arg-type]
    page = other.new_page()
    page.goto(f"{player.url}/bag")
    page.get_by_text("More about the 56").click()
    page.get_by_role("button", name="Put the old 56 back").click()
    expect(page.get_by_text("The old 56 is in the bag again")).to_be_visible()
    other.close()


def test_balls_that_waited_while_their_wedge_was_undone_elsewhere_are_the_old_ones(
    meet: Callable[..., Player], server: Server, browser: Browser
) -> None:
    player = meet()
    with_a_new_56(player)
    player.context.set_offline(True)
    for carry in (55, 53):
        player.touch(carry, "clean")
        player.wait_out_fresh()
    undone_elsewhere(player, browser)
    player.context.set_offline(False)
    player.open()
    expect_the_call(player)
    until_all_taken(player.page, player.book_id)
    player.open()
    expect_the_call(player)
    with server.directory() as directory, directory.open_book(player.book_id) as book:
        assert [club.name for club in reading.clubs(book, retired=True)] == ["46", "51", "56", "60"]
        (bag,) = {club.id for club in reading.clubs(book) if club.name == "56"}
        assert [shot["club_id"] for shot in reading.shots(book)] == [bag, bag]


def test_a_run_goes_on_over_a_wedge_that_was_undone_while_its_page_is_open(
    meet: Callable[..., Player], server: Server, browser: Browser
) -> None:
    player = meet()
    with_a_new_56(player)
    undone_elsewhere(player, browser)
    with server.directory() as directory, directory.open_book(player.book_id) as book:
        (bag,) = {club.id for club in reading.clubs(book) if club.name == "56"}
    for carry in (55, 53, 54, 52):
        player.touch(carry, "clean")
        player.wait_out_fresh()
        until_all_taken(player.page, player.book_id)
        until(player.page, NAMES_ONLY, [player.book_id, bag])
        from_the_pocket(player)
    expect_the_call(player)
    with server.directory() as directory, directory.open_book(player.book_id) as book:
        struck = [(shot["club_id"], shot["run_index"]) for shot in reading.shots(book)]
    assert struck == [(bag, place) for place in (4, 3, 2, 1)]
