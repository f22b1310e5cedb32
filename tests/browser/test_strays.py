"""What a phone holds of a book that is not open on it comes off as a file that a book takes, and can be forgotten then.

Source: the project's design (safe means safe; one line of truth). The backup, the restore and the books are real files.
"""

from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from tests.factories import the_demo_set
from webapp.books.bring_back import bring_back
from webapp.store.book import Book

from .chromium import now, open_book
from .player import Player
from .server import Server
from .test_safe import back_up_to, exchanged
from .test_server_trouble import hit, in_a_bucket, put_back, signal_is_back

SAVE = "save a copy of these"


def balls_of(file: Path, folder: Path) -> int:
    """How many balls a new book holds once it has taken a file whole."""
    with Book(folder / "new.sqlite") as book:
        bring_back(book, file.read_text(), now())
        return len({fact["root"] for fact in book.after(0) if fact["kind"] == "shot"})


@pytest.mark.files_only  # the log put back: tests/many_hosts/test_restored_log.py
def test_a_book_begun_after_the_last_backup_comes_off_its_phone(
    meet_at_own: Callable[..., Player], own_server: Server, tmp_path: Path
) -> None:
    back_up_to(own_server, tmp_path / "backup")
    player = in_a_bucket(meet_at_own(), keeps_pages=True)
    hit(player, 2)
    exchanged(player)
    put_back(own_server, tmp_path / "backup")
    player.page.goto(player.url + "/bucket")
    expect(player.page.locator("[data-code=no_book]")).to_be_visible()
    expect(player.page.locator("#strays")).to_contain_text("copied are on this phone too, and they lie in no backup")
    player.saved_copy(SAVE, tmp_path / "copy.json")
    assert balls_of(tmp_path / "copy.json", tmp_path) == 2
    assert player.faults == []


def test_what_waits_for_a_deleted_book_hides_no_call_and_is_forgotten_once_a_copy_was_saved(
    meet_ready: Callable[..., Player], server: Server, tmp_path: Path
) -> None:
    player = in_a_bucket(meet_ready(), keeps_pages=True)
    player.context.set_offline(True)
    hit(player, 3)
    player.page.goto("about:blank")
    with server.directory() as directory:
        directory.delete_book(player.book_id, now())
    player.book_id = open_book(player.context, server, the_demo_set(now()))
    player.context.set_offline(False)
    player.open()
    strays = player.page.locator("#strays")
    expect(strays).to_contain_text("3 entries of another book are only on this phone. Open that book here again and")
    player.start_bucket()
    expect(strays).to_be_hidden()
    expect(player.page.locator("#notices")).to_be_hidden()
    player.page.goto(player.url + "/card")
    expect(player.button("forget these")).to_be_hidden()
    player.saved_copy(SAVE, tmp_path / "copy.json")
    assert balls_of(tmp_path / "copy.json", tmp_path) == 3
    player.button("forget these").tap()
    expect(strays).to_contain_text("Forget these 3 entries? Then only the saved copy holds them")
    player.button("keep").tap()
    player.button("forget these").tap()
    player.button("yes, forget").tap()
    expect(strays).to_have_count(0)
    signal_is_back(player)
    player.page.reload()
    expect(player.page.locator("body.scripted")).to_be_attached()
    exchanged(player)
    expect(strays).to_have_count(0)
    assert player.faults == []


def test_a_book_that_was_forgotten_is_fetched_anew_when_it_is_open_here_again(
    meet_ready: Callable[..., Player], server: Server, tmp_path: Path
) -> None:
    player = in_a_bucket(meet_ready(), keeps_pages=True)
    hit(player, 2)
    exchanged(player)
    cookies, own = player.context.cookies(), player.book_id
    player.context.set_offline(True)
    hit(player, 1)
    player.page.goto("about:blank")
    player.book_id = open_book(player.context, server, the_demo_set(now()))
    player.context.set_offline(False)
    player.page.goto(player.url + "/card")
    player.saved_copy(SAVE, tmp_path / "copy.json")
    player.button("forget these").tap()
    player.button("yes, forget").tap()
    expect(player.page.locator("#strays")).to_have_count(0)
    player.context.add_cookies(cookies)  # type: ignore[arg-type]
    player.book_id = own
    player.open()
    exchanged(player)
    assert len(player.shots()) == 2


BRING = """async (facts) => {
  const { bring, wedge } = await import("/static/any/bringing.js");
  const { done, transact } = await import("/static/any/db.js");
  for (const fact of facts) await bring("book", [fact], () => false, { at: fact.seq, id: fact.id });
  return transact("readonly", ({ meta }) => done(meta.get(wedge(facts[0].root))));
}"""


def test_a_wedge_that_was_withdrawn_keeps_its_name_for_the_balls_that_name_it(blank: Page) -> None:
    fact = {"kind": "club", "root": "w", "made_at": now()}
    named = {**fact, "seq": 1, "id": "w", "body": {"name": "56", "loft_deg": 56}}
    withdrawn = {**fact, "seq": 2, "id": "w2", "body": None}
    assert blank.evaluate(BRING, [named, withdrawn])["body"] == {"name": "56", "loft_deg": 56}
