"""The phone says what it holds in every state a book and a browser can be in, and hands it out as a file.

Sources: the project's design (wire contract, decisions 6, 7 and 9); quotas and eviction are played by the browser's own
developer protocol.
"""

from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from tests.factories import a_bucket, a_shot
from webapp.moments import moved
from webapp.store.directory import Directory
from webapp.units import YARD_M

from .chromium import FILL, HOLD_STORE, facts_of, now
from .player import Player
from .server import Server
from .waiting import let_pass_until, until, until_all_taken, until_idle

SENT_WHEN = "Open the book here again and it is sent."


@pytest.fixture
def without_signal(meet_ready: Callable[..., Player]) -> Player:
    """A player with one ball that only the phone knows."""
    player = meet_ready()
    player.open()
    player.wait_until_kept()
    player.start_bucket()
    until_all_taken(player.page, player.book_id)  # the page said "copied" before there was a bucket, too
    player.context.set_offline(True)
    player.touch(80, "clean")
    player.wait_out_fresh()
    # The phone's trace of it is written behind the ball.
    player.page.wait_for_function("() => decodeURIComponent(document.cookie).includes('\"n\":1')")
    return player


def cut_off(directory: Directory, book_id: str) -> None:
    (device,) = directory.devices(book_id)
    assert directory.cut_off(book_id, device.id, now())


def delete(directory: Directory, book_id: str) -> None:
    directory.delete_book(book_id, now())


def forget_phone(directory: Directory, book_id: str) -> None:
    with directory.writing():
        directory.conn.execute("DELETE FROM devices WHERE book_id = ?", (book_id,))


@pytest.mark.parametrize(
    ("shut", "words"),
    [
        (cut_off, "This phone was cut off"),
        (delete, "This book was deleted"),
        (forget_phone, "Open your book again to send 1 entry, unless it was deleted."),
    ],
    ids=["cut off", "deleted", "unknown"],
)
def test_a_book_that_is_shut_leaves_what_waits_on_the_phone_as_a_file(
    without_signal: Player, server: Server, tmp_path: Path, shut: Callable[[Directory, str], None], words: str
) -> None:
    player = without_signal
    with server.directory() as directory:
        shut(directory, player.book_id)
    player.context.set_offline(False)
    player.page.evaluate("dispatchEvent(new Event('online'))")
    expect(player.page.locator("#notices")).to_contain_text(words)
    sentence = player.page.locator("#notices p")
    expect(sentence).to_be_in_viewport(ratio=1)
    sentence.tap()  # over the call, until something else is touched
    expect(player.button("save a copy")).to_be_in_viewport(ratio=1)
    *named, ball = saved = player.saved_copy("save a copy", tmp_path / "copy.json")
    assert [one["kind"] for one in named] == ["club", "bucket"]
    assert round(ball["body"]["carry_m"] / YARD_M) == 80
    player.page.goto(player.url + "/card")  # the server's refusal, a page without a book
    expect(player.page.locator("#strays")).to_contain_text("1 entry is only on this phone")
    gone = "what is of the deleted book will not be sent"
    expect(player.page.locator("#strays")).to_contain_text(gone if shut is delete else SENT_WHEN)
    assert player.saved_copy("save a copy of these", tmp_path / "again.json") == saved
    player.page.goto(player.url + "/card")  # a deleted book's phone is a phone without a book by now
    expect(player.page.locator("#strays")).to_contain_text(SENT_WHEN)
    if shut is not cut_off:
        expect(player.page.locator("[data-code]")).to_contain_text("open your book again, unless it was deleted.")
    assert player.faults == []


def test_a_page_that_is_not_kept_says_of_the_open_books_balls_when_they_are_sent(without_signal: Player) -> None:
    without_signal.page.goto(without_signal.url + "/leaving")
    expect(without_signal.page.get_by_role("heading", name="No signal")).to_be_visible()
    expect(without_signal.page.locator("#strays")).to_contain_text(
        "1 entry is only on this phone. With signal it is sent, if its book is open on this phone and was not deleted."
    )
    assert without_signal.faults == []


def test_a_full_phone_says_so_before_the_next_ball_and_notes_nothing(player: Player) -> None:
    devtools = player.context.new_cdp_session(player.page)
    devtools.send("Storage.overrideQuotaForOrigin", {"origin": player.url, "quotaSize": 5_000_000})
    player.open()
    player.start_bucket()
    player.touch(80, "clean")
    player.wait_out_fresh()
    player.page.evaluate(FILL)
    player.touch(75, "clean")
    expect(player.page.locator("#said")).to_contain_text("not noted. This phone is full")
    expect(player.page.locator("#truth")).to_have_text("not saved: no room on this phone")
    expect(player.page.locator("#truth")).to_be_in_viewport()
    expect(player.patch.locator(".mark")).to_have_count(0)  # the ball that landed there is gone again
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
    player.page.locator("#notices p").tap()
    player.button("I have read it").tap()
    expect(player.page.locator("#notices")).to_be_hidden()
    player.page.reload()
    expect(player.page.locator("[data-waiting]")).to_have_text("copied")
    expect(player.page.locator("#notices")).to_be_hidden()
    player.touch(81, "clean")
    player.wait_out_fresh()
    until_all_taken(player.page, player.book_id)
    held = [fact for fact in facts_of(server, player.book_id) if fact["kind"] == "shot"]
    assert [round(fact["body"]["carry_m"] / YARD_M) for fact in held] == [81]


KEEPS_NOTHING = pytest.mark.parametrize(
    "private",
    [
        "Object.defineProperty(globalThis, 'indexedDB', { value: undefined });",
        "IDBFactory.prototype.open = () => { throw new DOMException('not here', 'SecurityError'); };",
        """const { open } = IDBFactory.prototype;
        IDBFactory.prototype.open = function (name) {  // an upgrade that is given up fails in its own time
          const request = open.call(this, `${name} in vain`, 1);
          request.addEventListener("upgradeneeded", () => request.transaction.abort());
          return request;
        };""",
    ],
    ids=["missing", "forbidden", "failing"],
)


@KEEPS_NOTHING
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


@KEEPS_NOTHING
def test_where_nothing_is_kept_notes_and_eye_checks_go_to_the_server_and_units_and_lock_hold(
    meet: Callable[..., Player], server: Server, private: str
) -> None:
    player = meet()
    page = player.page
    page.add_init_script(private)
    page.goto(player.url + "/round/notes")
    expect(page.locator("#notices")).to_contain_text("keeps nothing on this phone")
    page.get_by_label("Meant to carry").fill("50")
    page.get_by_role("button", name="short").tap()
    expect(page.get_by_text("Kept: meant 50, landed short.")).to_be_visible()
    page.goto(player.url + "/eye-check")
    expect(page.locator("#notices")).to_contain_text("keeps nothing on this phone")
    page.locator("[name=said_1]").fill("50")
    page.get_by_role("button", name="Now measure them").tap()
    page.locator("#far_1").fill("47")
    page.get_by_role("button", name="Keep these pairs").tap()
    expect(page.get_by_text("1 of 1 kept.")).to_be_visible()
    page.goto(player.url + "/conditions")
    page.get_by_label("unit of temperature").select_option("°F")
    page.goto(player.url + "/round")
    page.get_by_role("button", name="Card only").tap()
    expect(page.get_by_role("heading", name="Card only is on")).to_be_visible()
    kinds = [fact["kind"] for fact in facts_of(server, player.book_id)]
    assert (kinds.count("note"), kinds.count("eye_check")) == (1, 1)
    assert player.faults == []


def test_two_tabs_show_and_send_the_same_balls_once(without_signal: Player, server: Server) -> None:
    first = without_signal
    second = first.context.new_page()
    second.goto(first.url + "/bucket")
    expect(second.locator("[data-waiting]")).to_have_text("saved on this phone 1")
    sent: list[str] = []
    for page in (first.page, second):
        page.on("request", lambda request: sent.append(request.url) if request.method == "POST" else None)
    first.context.set_offline(False)
    for page in (first.page, second):
        page.evaluate("dispatchEvent(new Event('online'))")
    for page in (first.page, second):
        expect(page.locator("[data-waiting]")).to_have_text("copied")
    assert sent == [first.url + "/api/facts"]


def test_a_page_that_is_left_in_the_middle_of_a_write_holds_no_other_back_and_goes_on_when_it_is_shown_again(
    player: Player,
) -> None:
    player.open("/settings")
    until_all_taken(player.page, player.book_id)
    other = player.context.new_page()
    other.goto(player.url + "/settings")
    keeps = """async (name) => {
      const { recall } = await (await import(document.querySelector("script[type=module]").src)).take("db.js");
      return await recall(name);
    }"""
    player.page.evaluate(
        """async () => {
          const { take } = await import(document.querySelector("script[type=module]").src);
          const { done, transact } = await take("db.js");
          globalThis.held = true;
          await new Promise((begun) => {
            transact("readwrite", async ({ meta }) => {
              await done(meta.put("half", "slow"));
              begun();
              while (globalThis.held) await done(meta.get("slow"));
              await done(meta.put("whole", "slow"));
            });
          });
          dispatchEvent(new PageTransitionEvent("pagehide", { persisted: true }));
        }"""
    )
    assert other.evaluate(keeps, "slow") is None
    player.page.evaluate(
        """() => {
          globalThis.held = false;
          dispatchEvent(new PageTransitionEvent("pageshow", { persisted: true }));
        }"""
    )
    until(other, f"async () => (await ({keeps})('slow')) === 'whole'")


def test_a_lock_that_nobody_gives_back_stops_no_ball_for_longer_than_a_minute(player: Player, server: Server) -> None:
    player.open()
    player.start_bucket()
    until_all_taken(player.page, player.book_id)
    until_idle(player.page)
    player.page.evaluate("() => { navigator.locks.request('clockyard-send', () => new Promise(() => {})); }")
    # The minute begins when the phone first finds the lock held.
    player.page.evaluate("async () => { dispatchEvent(new Event('online')); await navigator.locks.query(); }")
    player.touch(80, "clean")
    player.wait_out_fresh()
    expect(player.page.locator("[data-waiting]")).to_have_text("saved on this phone 1")
    player.page.clock.run_for(61_000)
    player.page.evaluate("() => { dispatchEvent(new Event('online')); }")
    expect(player.page.locator("[data-waiting]")).to_have_text("copied")
    assert len([fact for fact in facts_of(server, player.book_id) if fact["kind"] == "shot"]) == 1


NEWER = """() => new Promise((resolve) => {
  const request = indexedDB.open("clockyard", 1000);
  request.onsuccess = () => { request.result.close(); resolve(); };
})"""


def test_a_page_older_than_what_is_kept_says_so_and_loses_nothing(player: Player) -> None:
    player.open()
    player.start_bucket()
    player.touch(80, "clean")
    player.page.evaluate(NEWER)
    player.wait_out_fresh()
    player.touch(75, "clean")
    said = player.page.locator("#said")
    expect(said).to_contain_text("not noted. A newer version of Clockyard has been opened on this phone")
    expect(player.page.locator("#truth")).to_have_text("not saved: load this page again")
    player.page.reload()
    expect(player.page.locator("#notices")).to_contain_text("A newer version of Clockyard has been opened")


# As the first version of static/db.js laid the store out.
FIRST_STORE = """(rows) => new Promise((resolve) => {
  const request = indexedDB.open("clockyard", 1);
  request.onupgradeneeded = () => {
    request.result.createObjectStore("facts", { keyPath: "id" }).createIndex("book", "book");
    request.result.createObjectStore("meta");
  };
  request.onsuccess = () => {
    const transaction = request.result.transaction("facts", "readwrite");
    for (const row of rows) transaction.objectStore("facts").put(row);
    transaction.oncomplete = () => { request.result.close(); resolve(); };
  };
})"""


def test_balls_that_wait_in_the_store_of_the_first_version_arrive(meet: Callable[..., Player], server: Server) -> None:
    player = meet()
    bucket, at = a_bucket(moved(now(), minutes=-1)), now()
    club = next(fact for fact in facts_of(server, player.book_id) if fact["kind"] == "club")
    balls = [a_shot(bucket, club, 50 + place, at) for place in range(5)]
    waiting = {"book": player.book_id, "state": "waiting", "fresh_until": 0, "refusal": None}
    rows = [{**fact, **waiting} for fact in (bucket, *balls)]
    older = player.context.new_page()
    older.goto(player.url + "/healthz")
    older.evaluate(FIRST_STORE, rows)
    player.open()
    until_all_taken(player.page, player.book_id)
    held = {fact["id"] for fact in facts_of(server, player.book_id)}
    assert {ball["id"] for ball in balls} <= held


def test_a_page_that_waits_for_another_to_let_go_says_so_instead_of_nothing(
    meet: Callable[..., Player],
) -> None:
    player = meet()
    holder = player.context.new_page()
    holder.goto(player.url + "/healthz")
    holder.evaluate(
        """() => new Promise((resolve) => {
          const request = indexedDB.open("clockyard", 1);
          request.onupgradeneeded = () => {
            globalThis.held = request.result;
            const store = request.result.createObjectStore("meta");
            const hold = () => { store.get(1).onsuccess = hold; };
            hold();
            resolve();
          };
        })"""
    )
    player.page.goto(player.url + "/bucket")
    notices = player.page.locator("#notices")
    let_pass_until(player.page, lambda: "does not let go of what is kept here" in (notices.text_content() or ""))


def test_a_write_that_another_page_holds_back_is_given_up_with_a_sentence(player: Player) -> None:
    player.open()
    player.start_bucket()
    until_all_taken(player.page, player.book_id)
    until_idle(player.page)
    holder = player.context.new_page()
    holder.goto(player.url + "/healthz")
    holder.evaluate(HOLD_STORE)
    box = player.patch.bounding_box()
    assert box
    player.page.touchscreen.tap(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    expect(player.page.locator("body")).to_have_attribute("data-busy", "true")
    said = player.page.locator("#said")
    let_pass_until(player.page, lambda: "not noted. Another page of Clockyard" in (said.text_content() or ""))
    holder.evaluate("() => { globalThis.free = true; }")
    player.touch(80, "clean")
    assert [round(shot["carry_m"] / YARD_M) for shot in player.shots()] == [80]


def test_a_full_phone_still_sends_what_waits_on_it(meet: Callable[..., Player], server: Server) -> None:
    player = meet()
    devtools = player.context.new_cdp_session(player.page)
    devtools.send("Storage.overrideQuotaForOrigin", {"origin": player.url, "quotaSize": 5_000_000})
    player.open()
    player.start_bucket()
    until_all_taken(player.page, player.book_id)
    player.context.set_offline(True)
    player.touch(80, "clean")
    player.wait_out_fresh()
    player.page.evaluate(FILL)
    with player.page.expect_response(lambda response: response.request.method == "POST"):
        player.context.set_offline(False)
    assert len([fact for fact in facts_of(server, player.book_id) if fact["kind"] == "shot"]) == 1
    devtools.send("Storage.overrideQuotaForOrigin", {"origin": player.url})
    expect(player.page.locator("[data-waiting]")).to_have_text("copied")


SAVE = """async ([book, after]) => {
  const { save } = await import("/static/any/outbox.js");
  const shot = { kind: "shot", body: {}, after, fresh_until: 0 };
  const rows = await save(book, { added: [shot, shot], changed: [], choices: {} });
  return rows.map(({ made_at }) => made_at);
}"""


def test_the_second_ball_of_one_deed_follows_its_first_also_behind_a_phone_whose_clock_runs_ahead(blank: Page) -> None:
    ahead = moved(now(), hours=1)
    first, second = blank.evaluate(SAVE, ["split", ahead])
    assert ahead < first < second
