"""A phone keeps what only the server's one file holds too, and gives back what a restored older copy lacks.

Source: the project's design (copied is not safe). The backup and the restore are real copies of real files.
"""

from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Browser, expect

from tests.factories import Raw
from webapp.store.copying import back_up

from .chromium import facts_of, new_phone, now
from .player import Player
from .server import Server
from .test_server_trouble import expect_each_once, hit, in_a_bucket, put_back, signal_is_back
from .waiting import case, until, until_all_taken, until_idle

A_DAY_S = 24 * 3600


def back_up_to(server: Server, folder: Path) -> None:
    """What `clockyard backup` does, while the server serves."""
    with server.directory() as directory:
        assert sum(back_up(directory, folder, now())) > 0


def rows(player: Player) -> list[Raw]:
    """Everything the phone holds of its book."""
    held: list[Raw] = player.page.evaluate(
        """async (book) => {
          const { rowsOf } = await (await import(document.querySelector("script[type=module]").src)).take("outbox.js");
          return await rowsOf(book);
        }""",
        player.book_id,
    )
    return held


def open_after(player: Player, days: int) -> None:
    """Lay the phone aside for so many days and look at a page again."""
    player.page.goto("about:blank")
    player.page.clock.set_system_time(player.page.evaluate("Date.now()") / 1000 + days * A_DAY_S)
    with player.page.expect_request("**/api/session*"):  # sending has begun; before that there is nothing to wait for
        player.page.goto(player.url + "/card")


def exchanged(player: Player) -> None:
    """One more exchange with the server has ended."""
    until_idle(player.page)
    player.page.evaluate(
        """async () => {
          const { eager } = await (await import(document.querySelector("script[type=module]").src)).take("sync.js");
          await eager();
          await navigator.locks.request("clockyard-send", () => {});  // one that had begun before has ended, too
        }"""
    )
    until_all_taken(player.page, player.book_id)


@pytest.mark.files_only  # the log put back: tests/many_hosts/test_restored_log.py
def test_every_ball_struck_after_the_backup_comes_back_whenever_the_phone_is_opened(
    meet: Callable[..., Player], browser: Browser, own_server: Server, tmp_path: Path
) -> None:
    player = in_a_bucket(meet(at=own_server))
    hit(player, 1)
    expect_each_once(player, own_server, 1)
    back_up_to(own_server, tmp_path / "backup")
    hit(player, 10)
    expect_each_once(player, own_server, 11)
    exchanged(player)
    before = facts_of(own_server, player.book_id)
    stored = player.context.storage_state(indexed_db=True)
    for when, days in (("at once", 0), ("two days later", 2), ("a month later", 30)):
        with case(when):
            put_back(own_server, tmp_path / "backup")
            assert len(facts_of(own_server, player.book_id)) <= len(before) - 10
            phone = Player(new_phone(browser, storage_state=stored), own_server.url, player.book_id)
            open_after(phone, days)
            exchanged(phone)
            again = facts_of(own_server, player.book_id)
            assert {fact["id"]: fact["body"] for fact in again} == {fact["id"]: fact["body"] for fact in before}
            assert len(again) == len(before)
            phone.context.close()


def test_only_what_lies_in_a_backup_is_forgotten_and_not_before_a_day(
    meet: Callable[..., Player], own_server: Server, tmp_path: Path
) -> None:
    player = in_a_bucket(meet(at=own_server))
    hit(player, 2)
    expect_each_once(player, own_server, 2)
    exchanged(player)
    back_up_to(own_server, tmp_path / "backup")
    exchanged(player)
    assert len(rows(player)) == 3  # the bucket and its two balls: safe, and not a day old
    player.end_bucket()
    player.start_bucket()
    hit(player, 1)
    exchanged(player)
    open_after(player, 2)
    exchanged(player)
    left = rows(player)
    assert len([row for row in left if row["kind"] == "shot"]) == 1
    back_up_to(own_server, tmp_path / "next")
    exchanged(player)
    assert rows(player) == []
    assert len({fact["root"] for fact in facts_of(own_server, player.book_id) if fact["kind"] == "shot"}) == 3


def test_nothing_is_forgotten_while_the_server_cannot_be_asked(
    meet_at_own: Callable[..., Player], own_server: Server, tmp_path: Path
) -> None:
    player = in_a_bucket(meet_at_own(), keeps_pages=True)
    hit(player, 1)
    exchanged(player)
    back_up_to(own_server, tmp_path / "backup")
    exchanged(player)
    player.page.context.set_offline(True)
    open_after(player, 2)
    player.open()
    exchanged_in_vain = "async () => { dispatchEvent(new Event('online')); return true; }"
    until(player.page, exchanged_in_vain)
    until_idle(player.page)
    assert [row["kind"] for row in rows(player)].count("shot") == 1


def test_without_any_backup_the_last_facts_stay_however_old(player: Player) -> None:
    player.open()
    player.start_bucket()
    hit(player, 4)
    exchanged(player)
    kept = player.page.evaluate(
        """async (book) => {
          const base = document.querySelector("script[type=module]").src;
          const { rowsOf } = await (await import(base)).take("outbox.js");
          const { prune } = await (await import(base)).take("pruning.js");
          const much_later = "2999-01-01T00:00:00.000Z";
          const left = [];
          for (const most of [5, 2]) {
            await prune(book, 0, much_later, most);
            left.push((await rowsOf(book)).map((row) => row.seq));
          }
          return left;
        }""",
        player.book_id,
    )
    assert len(kept[0]) == 5
    assert kept[1] == kept[0][-2:]


@pytest.mark.files_only  # the log put back: tests/many_hosts/test_restored_log.py
def test_a_phone_that_lost_the_answer_notices_a_copy_that_holds_what_it_fetched_last(
    meet: Callable[..., Player], own_server: Server, tmp_path: Path
) -> None:
    player = in_a_bucket(meet(at=own_server))
    exchanged(player)
    back_up_to(own_server, tmp_path / "backup")
    player.page.route(
        "**/api/facts?*", lambda route: route.abort() if route.request.method == "GET" else route.continue_()
    )
    hit(player, 3)
    expect_each_once(player, own_server, 3)
    until_idle(player.page)
    before = facts_of(own_server, player.book_id)
    put_back(own_server, tmp_path / "backup")
    with player.page.expect_response(lambda response: response.request.method == "POST"):
        player.page.unroute_all(behavior="wait")
        signal_is_back(player)
    expect(player.page.locator("[data-waiting]")).to_have_text("copied")
    exchanged(player)
    assert {fact["id"] for fact in facts_of(own_server, player.book_id)} == {fact["id"] for fact in before}


def test_more_says_how_much_this_phone_holds_and_how_much_of_it_is_safe(
    meet_at_own: Callable[..., Player], own_server: Server, tmp_path: Path
) -> None:
    player = in_a_bucket(meet_at_own(), keeps_pages=True)
    hit(player, 1)
    exchanged(player)
    back_up_to(own_server, tmp_path / "backup")
    hit(player, 1)
    exchanged(player)
    player.context.set_offline(True)
    hit(player, 1)
    player.page.goto(player.url + "/more")
    told = player.page.locator("[data-held]")
    expect(told).to_have_text("Entries that it holds: 1 only here, 3 on the server too, 2 of them safe in a backup")
    expect(player.page.locator("[data-ready]")).to_have_text("Ready without signal: yes")
