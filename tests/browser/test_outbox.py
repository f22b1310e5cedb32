"""The phone says what it holds in every state a book and a browser can be in, and hands it out as a file.

Sources: the project's design (wire contract, decisions 6, 7 and 9); quotas and eviction are played by the browser's own
developer protocol.
"""

from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import expect

from webapp.store.directory import Directory
from webapp.units import YARD_M

from .chromium import facts_of, now
from .player import Player
from .server import Server
from .waiting import until_all_taken

FILL = """async () => {
  const { remember } = await import(new URL("db.js", document.querySelector("script[type=module]").src));
  for (let size = 2 ** 20, piece = 0; size > 16; piece += 1) {
    try {
      await remember(`filler ${piece}`, crypto.getRandomValues(new Uint8Array(Math.min(size, 65536))));
      if (size > 65536) await remember(`wide ${piece}`, new Uint8Array(size).fill(piece));
    } catch {
      size /= 2;
    }
  }
}"""


@pytest.fixture
def without_signal(meet: Callable[..., Player]) -> Player:
    """A player with one ball that only the phone knows."""
    player = meet()
    player.open()
    player.wait_until_kept()
    player.start_bucket()
    until_all_taken(player.page, player.book_id)  # the page said "copied" before there was a bucket, too
    player.context.set_offline(True)
    player.touch(80, "clean")
    player.wait_out_fresh()
    return player


def cut_off(directory: Directory, book_id: str) -> None:
    (device,) = directory.devices(book_id)
    assert directory.cut_off(book_id, device.id, now())


def delete(directory: Directory, book_id: str) -> None:
    directory.delete_book(book_id, now())


def forget_phone(directory: Directory, book_id: str) -> None:
    with directory.conn as conn:
        conn.execute("DELETE FROM devices WHERE book_id = ?", (book_id,))


@pytest.mark.parametrize(
    ("shut", "words"),
    [(cut_off, "This phone was cut off"), (delete, "This book was deleted"), (forget_phone, "Open your book again")],
    ids=["cut off", "deleted", "unknown"],
)
def test_a_book_that_is_shut_leaves_what_waits_on_the_phone_as_a_file(
    without_signal: Player, server: Server, tmp_path: Path, shut: Callable[[Directory, str], None], words: str
) -> None:
    player = without_signal
    with Directory(server.data) as directory:
        shut(directory, player.book_id)
    player.context.set_offline(False)
    player.page.evaluate("dispatchEvent(new Event('online'))")
    expect(player.page.locator("#notices")).to_contain_text(words)
    (ball,) = player.saved_copy("save a copy", tmp_path / "copy.json")
    assert round(ball["body"]["carry_m"] / YARD_M) == 80
    player.page.goto(player.url + "/card")  # the server's refusal, a page without a book
    expect(player.page.locator("#notices")).to_contain_text("1 entry waits on this phone")
    assert player.saved_copy("save a copy of these", tmp_path / "again.json") == [ball]
    assert player.faults == []


def test_a_full_phone_says_so_before_the_next_ball_and_notes_nothing(player: Player) -> None:
    devtools = player.context.new_cdp_session(player.page)
    devtools.send("Storage.overrideQuotaForOrigin", {"origin": player.url, "quotaSize": 5_000_000})
    player.open()
    player.start_bucket()
    player.touch(80, "clean")
    player.wait_out_fresh()
    player.page.evaluate(FILL)
    player.touch(75, "clean")
    expect(player.page.locator("#said")).to_contain_text("could not be saved on this phone")
    expect(player.page.locator("#said")).to_be_in_viewport()
    assert [round(shot["carry_m"] / YARD_M) for shot in player.shots()] == [80]
    devtools.send("Storage.overrideQuotaForOrigin", {"origin": player.url})


def test_a_phone_whose_browser_made_room_says_what_is_missing_and_fetches_the_rest(
    without_signal: Player, server: Server
) -> None:
    player = without_signal
    player.page.goto("about:blank")
    devtools = player.context.new_cdp_session(player.page)
    devtools.send("Storage.clearDataForOrigin", {"origin": player.url, "storageTypes": "indexeddb"})
    player.context.set_offline(False)
    player.open()
    expect(player.page.locator("#notices")).to_contain_text("Missing: 1 entry noted since")
    player.page.reload()
    player.button("I have read it").tap()
    expect(player.page.locator("#notices")).to_be_hidden()
    player.page.reload()
    expect(player.page.locator("[data-waiting]")).to_have_text("copied")
    expect(player.page.locator("#notices")).to_be_hidden()
    player.touch(81, "clean")
    player.wait_out_fresh()
    expect(player.page.locator("[data-waiting]")).to_have_text("copied")
    held = [fact for fact in facts_of(server, player.book_id) if fact["kind"] == "shot"]
    assert [round(fact["body"]["carry_m"] / YARD_M) for fact in held] == [81]


@pytest.mark.parametrize(
    "private",
    [
        "Object.defineProperty(globalThis, 'indexedDB', { value: undefined });",
        "IDBFactory.prototype.open = () => { throw new DOMException('not here', 'SecurityError'); };",
        """const { open } = IDBFactory.prototype;
        IDBFactory.prototype.open = function (name) {  // a version below the one that is there fails in its own time
          open.call(this, name, 1000);
          return open.call(this, name, 999);
        };""",
    ],
    ids=["missing", "forbidden", "failing"],
)
def test_a_browser_that_keeps_nothing_says_so_and_works_by_forms(
    meet: Callable[..., Player], server: Server, private: str
) -> None:
    player = meet()
    page = player.page
    page.add_init_script(private)
    page.goto(player.url + "/bucket")
    expect(page.locator("#notices")).to_contain_text("keeps nothing on this phone")
    page.get_by_role("button", name="Start the bucket").tap()
    expect(page.get_by_text("The bucket is open.")).to_be_visible()
    page.get_by_label("carry, where it landed").fill("54")
    page.get_by_role("button", name="Note this ball").tap()
    expect(page.get_by_text("The ball is noted.")).to_be_visible()
    (ball,) = [fact for fact in facts_of(server, player.book_id) if fact["kind"] == "shot"]
    assert round(ball["body"]["carry_m"] / YARD_M) == 54
    assert player.faults == []


def test_a_clock_set_back_years_does_not_hold_a_ball_back(player: Player, server: Server) -> None:
    player.open()
    player.start_bucket()
    player.touch(80, "clean")
    player.page.clock.set_system_time("2001-01-01T09:00:00Z")
    player.page.evaluate("dispatchEvent(new Event('online'))")
    expect(player.page.locator("[data-waiting]")).to_have_text("copied")
    assert len([fact for fact in facts_of(server, player.book_id) if fact["kind"] == "shot"]) == 1


@pytest.fixture
def asked(player: Player) -> Player:
    """A player who is asked about the tenth ball, which is on the server."""
    player.open()
    player.start_bucket()
    for _ in range(10):
        player.tap_patch(0.5, 0.5)
        player.wait_out_fresh()
    expect(player.page.locator("[data-waiting]")).to_have_text("copied")
    expect(player.page.locator("#strip")).to_contain_text("that swing:")
    return player


def test_a_clock_set_back_years_keeps_no_question_and_moves_no_ball(asked: Player, server: Server) -> None:
    asked.page.clock.set_system_time("2001-01-01T09:00:00Z")
    asked.wait_out_questions()
    asked.tap_patch(0.5, 0.4)
    expect(asked.page.locator("#count")).to_have_text("11 balls")
    asked.wait_out_fresh()
    asked.tap_patch(0.5, 0.6)
    expect(asked.page.locator("#count")).to_have_text("12 balls")
    asked.wait_out_questions()
    expect(asked.page.locator("[data-waiting]")).to_have_text("copied")
    held = [fact for fact in facts_of(server, asked.book_id) if fact["kind"] == "shot"]
    assert len(held) == len({fact["root"] for fact in held}) == 12
    assert asked.faults == []


def test_a_clock_set_back_under_a_fresh_ball_makes_the_next_touch_a_ball_of_its_own(player: Player) -> None:
    player.open()
    player.start_bucket()
    player.tap_patch(0.5, 0.5)
    player.page.clock.set_system_time("2001-01-01T09:00:00Z")
    player.tap_patch(0.5, 0.4)
    expect(player.page.locator("#count")).to_have_text("2 balls")
    first, second = player.shots()
    assert first["carry_m"] < second["carry_m"]


def test_a_clock_put_right_by_years_ends_the_question_and_keeps_every_ball(asked: Player, server: Server) -> None:
    asked.page.clock.set_system_time("2041-01-01T09:00:00Z")
    asked.page.clock.fast_forward(10_100)
    expect(asked.page.locator("#strip")).to_be_hidden()
    assert len(asked.shots()) == 10
    asked.page.reload()
    expect(asked.page.get_by_role("heading", name="Start a bucket")).to_be_visible()
    held = [fact for fact in facts_of(server, asked.book_id) if fact["kind"] == "shot"]
    assert len({fact["root"] for fact in held}) == 10


def test_two_tabs_show_and_send_the_same_balls_once(without_signal: Player, server: Server) -> None:
    first = without_signal
    second = first.context.new_page()
    second.goto(first.url + "/bucket")
    expect(second.locator("[data-waiting]")).to_have_text("saved on this phone 1")
    sent: list[str] = []
    first.context.on("request", lambda request: sent.append(request.url) if request.method == "POST" else None)
    first.context.set_offline(False)
    for page in (first.page, second):
        page.evaluate("dispatchEvent(new Event('online'))")
    for page in (first.page, second):
        expect(page.locator("[data-waiting]")).to_have_text("copied")
    assert sent == [first.url + "/api/facts"]
