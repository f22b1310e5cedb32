"""Nothing at the range needs the network: start, log, correct, reload, die and come back, then copy each ball once.

Source: the acceptance walk of the project's design (steps 3 to 5 and 8); F1 are its invented balls.
"""

import json
import os
import select
import signal
from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Playwright, expect

from tests.factories import F1, Raw, the_demo_set
from webapp.units import YARD_M

from .chromium import PHONE, chromium_options, facts_of, new_phone, now, open_book
from .player import Player
from .server import Server
from .waiting import case, until_all_taken, until_worker_stands


def cut_by_the_switch(player: Player, server: Server) -> None:
    """Flight mode."""
    player.context.set_offline(True)


def cut_by_a_stopped_server(player: Player, server: Server) -> None:
    """The phone believes it is online, yet nobody answers."""
    server.stop()


def shots_on(server: Server, book_id: str) -> list[Raw]:
    """The first facts of the balls the server holds."""
    return [fact for fact in facts_of(server, book_id) if fact["kind"] == "shot" and fact["id"] == fact["root"]]


@pytest.mark.parametrize("cut", [cut_by_the_switch, cut_by_a_stopped_server])
def test_the_range_works_without_signal_and_copies_once_it_is_back(
    meet_at_own: Callable[..., Player], own_server: Server, cut: Callable[[Player, Server], None]
) -> None:
    player = meet_at_own()
    player.open()
    player.wait_until_kept()
    player.start_bucket()
    player.call("56", "9:00", 54)
    cut(player, own_server)
    player.page.reload()
    expect(player.patch).to_be_visible()
    expect(player.page.locator(".meant-number")).to_have_text("54")
    for carry, contact in F1:
        player.touch(carry, contact)
        player.wait_out_fresh()
    waiting = player.page.locator("[data-waiting]")
    expect(waiting).to_have_text("saved on this phone 10")
    player.wait_out_questions()
    player.ball(2).tap()
    player.touch(45, "clean")
    player.page.reload()
    assert [round(shot["carry_m"] / YARD_M) for shot in player.shots()] == [52, 55, 49, 54, 57, 53, 41, 55, 45, 54]
    player.page.goto(player.url + "/card")
    expect(player.page.locator("#notices")).to_contain_text("10 waiting")
    player.open()

    if own_server.process is None:
        own_server.start()
    player.context.set_offline(False)
    player.page.reload()
    expect(player.page.locator("[data-waiting]")).to_have_text("copied")
    held = shots_on(own_server, player.book_id)
    assert len(held) == 10
    assert {shot["state"] for shot in player.shots()} == {"taken"}
    assert player.faults == []


def test_an_ended_bucket_goes_on_to_say_that_its_balls_are_copied(meet_ready: Callable[..., Player]) -> None:
    player = meet_ready()
    player.open()
    player.wait_until_kept()
    player.start_bucket()
    expect(player.page.locator("[data-waiting]")).to_have_text("copied")
    player.context.set_offline(True)
    player.touch(54, "clean")
    player.end_bucket()
    said = player.page.locator("[data-waiting]")
    expect(said).to_have_text("saved on this phone 1")
    player.context.set_offline(False)
    player.wait_out_fresh()
    player.page.evaluate("dispatchEvent(new Event('online'))")
    expect(said).to_have_text("copied")
    expect(said).to_be_visible()
    player.start_bucket()
    expect(player.page.locator(".line [data-waiting]")).to_be_visible()
    assert player.faults == []


def test_a_bucket_can_be_started_and_ended_without_signal(meet_ready: Callable[..., Player], server: Server) -> None:
    player = meet_ready()
    player.open()
    player.wait_until_kept()
    player.context.set_offline(True)
    player.page.reload()
    player.start_bucket()
    player.touch(54, "clean")
    player.end_bucket()
    expect(player.page.get_by_role("heading", name="Start a bucket")).to_be_visible()
    expect(player.page.get_by_text("1 ball noted, and it counts for the card.")).to_be_visible()
    expect(player.page.locator("[data-waiting]")).to_have_text("saved on this phone 1")
    expect(player.page.locator("[data-waiting]")).to_be_visible()
    visit = player.page.get_by_role("link", name="What this visit says").get_attribute("href")
    player.page.reload()
    expect(player.page.get_by_role("heading", name="Start a bucket")).to_be_visible()
    assert [shot["bucket_id"] for shot in player.shots()] == [(visit or "").removeprefix("/visits/")]
    player.context.set_offline(False)
    player.page.reload()
    expect(player.button("Same as last time")).to_be_visible()


def test_the_bare_address_shows_the_kept_card_without_signal(meet_ready: Callable[..., Player]) -> None:
    player = meet_ready()
    player.open()
    player.wait_until_kept()
    player.context.set_offline(True)
    player.page.goto(f"{player.url}/")
    expect(player.page.get_by_role("heading", name="Card")).to_be_visible()


def test_a_fresh_ball_is_not_sent_before_its_four_seconds_are_over(
    meet_ready: Callable[..., Player], server: Server
) -> None:
    player = meet_ready()
    player.open()
    player.wait_until_kept()
    player.start_bucket()
    sent: list[list[Raw]] = []
    player.page.on(
        "request", lambda request: sent.append(json.loads(request.post_data)["facts"]) if request.post_data else None
    )
    with player.in_one_breath():
        player.touch(60, "clean")
        player.touch(54, "clean")
        expect(player.page.locator("[data-waiting]")).to_have_text("saved on this phone 1")
        assert not [fact for batch in sent for fact in batch if fact["kind"] == "shot"]
    player.wait_out_fresh()
    expect(player.page.locator("[data-waiting]")).to_have_text("copied")
    (held,) = shots_on(server, player.book_id)
    assert round(held["body"]["carry_m"] / YARD_M) == 54


def test_a_refused_ball_stays_marked_with_its_reason_and_a_correction_mends_it(
    meet_ready: Callable[..., Player], server: Server
) -> None:
    player = meet_ready()
    player.open()
    player.wait_until_kept()
    player.start_bucket()
    player.page.evaluate(
        """async (book) => {
          const base = document.querySelector("script[type=module]").src;
          const { add, rowsOf } = await (await import(base)).take("outbox.js");
          const { newFact } = await (await import(base)).take("outbox.js");
          const bucket = (await rowsOf(book)).find((row) => row.kind === "bucket").root;
          await add(book, [newFact("shot", {
            bucket_id: bucket, club_id: JSON.parse(document.getElementById("page-data").textContent).clubs[0].id,
            swing_deg: 90, mode: "swing", carry_m: 900, landed: "seen", contact: "clean", judged_by: "monitor" })]);
        }""",
        player.book_id,
    )
    expect(player.page.locator("#notices")).to_contain_text("carry must be a number from 0 to")
    expect(player.ball()).to_contain_text("!")
    player.ball().tap()
    player.touch(54, "clean")
    until_all_taken(player.page, player.book_id)  # the page says "copied" of a refused ball, too
    expect(player.page.locator("[data-waiting]")).to_have_text("copied")
    (held,) = shots_on(server, player.book_id)
    assert round(held["body"]["carry_m"] / YARD_M) == 54
    expect(player.page.locator("#notices")).to_be_hidden()


def test_another_books_balls_are_never_sent(meet_ready: Callable[..., Player], server: Server) -> None:
    player = meet_ready()
    player.open()
    player.wait_until_kept()
    player.start_bucket()
    player.context.set_offline(True)
    player.touch(54, "clean")
    player.wait_out_fresh()
    first = player.book_id
    second = open_book(player.context, server, the_demo_set(now()))
    player.context.set_offline(False)
    player.open()
    expect(player.page.locator("body")).to_have_attribute("data-book", second)
    player.start_bucket()
    expect(player.page.locator("[data-waiting]")).to_have_text("copied")
    assert shots_on(server, first) == shots_on(server, second) == []
    assert [shot["state"] == "taken" for shot in player.shots()] == [False]


def test_killed_in_mid_patch_it_opens_again_without_signal_with_every_ball(
    playwright: Playwright, own_server: Server, tmp_path: Path
) -> None:
    profile = tmp_path / "profile"
    options = {**chromium_options(), **PHONE}
    context = playwright.chromium.launch_persistent_context(profile, **options)
    book_id = open_book(context, own_server, the_demo_set(now()))
    player = Player(context, own_server.url, book_id)
    player.open()
    player.wait_until_kept()
    context.close()  # a browser writes its cookies down lazily; a phone that has a book has had it for days
    player = Player(
        context := playwright.chromium.launch_persistent_context(profile, **options), own_server.url, book_id
    )
    player.open()
    player.start_bucket()
    own_server.stop()
    for carry, contact in F1[:3]:
        player.touch(carry, contact)
        player.wait_out_fresh()
    player.press(57, "thin")
    kill_browser_of(profile)

    context = playwright.chromium.launch_persistent_context(profile, **options)
    again = Player(context, own_server.url, book_id)
    again.open()
    expect(again.patch).to_be_visible()
    assert [round(shot["carry_m"] / YARD_M) for shot in again.shots()] == [52, 55, 49]
    own_server.start()
    again.page.reload()
    expect(again.page.locator("[data-waiting]")).to_have_text("copied")
    assert len(shots_on(own_server, book_id)) == 3
    context.close()


def kill_browser_of(profile: Path) -> None:
    """End every process of the browser that this test started on this profile, and wait until none is left."""
    ids = [int(entry.name) for entry in Path("/proc").iterdir() if entry.name.isdigit() and _belongs(entry, profile)]
    assert ids
    waits = [os.pidfd_open(pid) for pid in ids]
    for pid in ids:
        os.kill(pid, signal.SIGKILL)
    for wait in waits:
        select.select([wait], [], [])
        os.close(wait)
    for lock in profile.glob("Singleton*"):
        lock.unlink()


def _belongs(entry: Path, profile: Path) -> bool:
    try:
        return f"--user-data-dir={profile}".encode() in (entry / "cmdline").read_bytes().split(b"\0")
    except OSError:
        return False


def test_a_phone_without_a_book_is_told_what_needs_signal_and_sees_guesses(
    browser: Browser, own_server: Server
) -> None:
    context = new_phone(browser)
    page = context.new_page()
    page.goto(own_server.url)
    until_worker_stands(page)
    ways = {
        "flight mode": (lambda: context.set_offline(True), lambda: context.set_offline(False)),
        "a stopped server": (own_server.stop, own_server.start),
    }
    for way, (cut, mend) in ways.items():
        with case(way):
            cut()
            page.goto(own_server.url)
            expect(page.get_by_text("needs it once")).to_be_visible()
            expect(page.locator(".dial .cell").first).to_be_visible()
            mend()
            page.get_by_role("link", name="Try again").tap()
            expect(page.get_by_role("button", name="Start my book")).to_be_visible()
    context.close()
