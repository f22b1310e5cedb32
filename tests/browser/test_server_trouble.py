"""A server that is small, full, damaged or set back to an older copy costs the player no ball, and the page says why.

Sources: the project's design (wire contract; limits); `max_page_count` is SQLite's own way to refuse new pages, as a
full disk does.
"""

import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Response, expect

from tests.factories import Raw, corrected, raw

from .chromium import facts_of, now
from .player import Player
from .server import ROOT, Server
from .waiting import until, until_all_taken, until_idle

BALLS = 12
SMALL_BODY = 2500  # bytes; a few balls and the words around them
ROOMY = 'conn.execute("PRAGMA synchronous=FULL")'
FULL = ROOMY + "; conn.execute(f\"PRAGMA max_page_count={conn.execute('PRAGMA page_count').fetchone()[0]}\")"

# Whether this phone heard that its bucket was put right to a surface, or (null) that it has ended.
HAS_HEARD = """async ([book, surface]) => {
  const { rowsOf } = await (await import(document.querySelector("script[type=module]").src)).take("outbox.js");
  const said = (await rowsOf(book)).filter((row) => row.kind === "bucket").map(({ body }) => body);
  return said.some((body) => (surface ? body.surface === surface : body.ended_at));
}"""


@pytest.fixture
def small_server(tmp_path: Path, log_of_servers: str) -> Iterator[Server]:
    """A server that takes only small requests."""
    started = Server(tmp_path / "data", CLOCKYARD_MOST_BODY=str(SMALL_BODY)).start()
    yield started
    started.stop()


def hit(player: Player, n: int) -> None:
    """Note so many balls, as many swings apart."""
    for _ in range(n):
        player.tap_patch(0.5, 0.5)
        player.wait_out_fresh()


def in_a_bucket(player: Player, keeps_pages: bool = False) -> Player:
    """The player with an open bucket that the server has; on a phone that is ready for it, with the pages kept."""
    player.open()
    if keeps_pages:
        player.wait_until_kept()
    player.start_bucket()
    until_all_taken(player.page, player.book_id)
    return player


def signal_is_back(player: Player) -> None:
    """What a browser does when a network has come back."""
    player.context.set_offline(False)
    player.page.evaluate("() => { dispatchEvent(new Event('online')); }")


def expect_each_once(player: Player, server: Server, balls: int) -> None:
    """The server comes to hold so many balls of this phone, each by one fact."""
    expect(player.page.locator("[data-waiting]")).to_have_text("copied")
    until_all_taken(player.page, player.book_id)
    held = [fact for fact in facts_of(server, player.book_id) if fact["kind"] == "shot"]
    assert len(held) == len({fact["root"] for fact in held}) == balls
    assert {fact["root"] for fact in held} == {shot["root"] for shot in player.shots()}


def test_what_is_too_much_at_once_goes_in_halves_until_it_passes(
    meet: Callable[..., Player], small_server: Server
) -> None:
    player = in_a_bucket(meet(at=small_server))
    player.context.set_offline(True)
    hit(player, BALLS)
    answers: list[tuple[int, int]] = []

    def note(response: Response) -> None:
        if response.request.method == "POST":
            answers.append((response.status, len(response.request.post_data_json["facts"])))

    player.page.on("response", note)
    signal_is_back(player)
    expect_each_once(player, small_server, BALLS)
    sizes = [n for status, n in answers if status == 413]
    assert sizes[:2] == [BALLS, BALLS // 2]
    assert sum(n for status, n in answers if status == 200) == BALLS
    expect(player.page.locator("#notices")).to_be_hidden()


def test_a_full_disk_is_said_and_every_ball_goes_once_there_is_room(
    meet: Callable[..., Player], own_server: Server, program: Path
) -> None:
    player = in_a_bucket(meet(at=own_server))
    player.context.set_offline(True)
    hit(player, BALLS)
    own_server.stop()
    connect = program / "webapp" / "store" / "connect.py"
    roomy = connect.read_text()
    assert ROOMY in roomy
    connect.write_text(roomy.replace(ROOMY, FULL))
    own_server.root = program
    own_server.start()
    signal_is_back(player)
    expect(player.page.locator("#notices")).to_contain_text("The server’s disk is full")
    expect(player.page.locator("[data-waiting]")).to_have_text(f"saved on this phone {BALLS}")
    assert [fact for fact in facts_of(own_server, player.book_id) if fact["kind"] == "shot"] == []
    own_server.stop()
    own_server.root = ROOT
    own_server.start()
    signal_is_back(player)
    expect_each_once(player, own_server, BALLS)
    expect(player.page.locator("#notices")).to_be_hidden()


@pytest.mark.files_only  # a log mends it: tests/many_hosts/test_damage_in_a_request.py
def test_a_damaged_book_is_said_on_the_patch_and_on_a_page_and_costs_no_ball(
    meet_at_own: Callable[..., Player], own_server: Server
) -> None:
    player = in_a_bucket(meet_at_own(), keeps_pages=True)
    own_server.stop()
    path = own_server.data / "books" / f"{player.book_id}.sqlite"
    whole = path.read_bytes()
    path.write_bytes(b"not a book" * 1000)
    own_server.start()
    hit(player, 2)
    signal_is_back(player)
    expect(player.page.locator("#notices")).to_contain_text("This book’s file on the server is damaged")
    expect(player.page.locator("[data-waiting]")).to_have_text("saved on this phone 2")
    answer = player.page.goto(f"{own_server.url}/trends")
    assert answer is not None
    assert answer.status == 503
    expect(player.page.locator("main")).to_contain_text("This book’s file is damaged.")
    expect(player.page.locator("main")).to_contain_text("What the phone holds stays on it")
    player.open()  # the kept patch goes on
    hit(player, 1)
    expect(player.page.locator("[data-waiting]")).to_have_text("saved on this phone 3")
    own_server.stop()
    path.write_bytes(whole)
    own_server.start()
    signal_is_back(player)
    expect_each_once(player, own_server, 3)
    expect(player.page.locator("#notices")).to_be_hidden()


@pytest.fixture
def set_back(meet: Callable[..., Player], own_server: Server, tmp_path: Path) -> tuple[Player, list[Raw], int]:
    """A player with five balls, all that the server once held, and how much of it the older copy there lacks."""
    player = in_a_bucket(meet(at=own_server))
    hit(player, 2)
    expect_each_once(player, own_server, 2)
    put_aside(own_server, tmp_path / "older")
    hit(player, 3)
    signal_is_back(player)
    expect_each_once(player, own_server, 5)
    until_idle(player.page)
    before = facts_of(own_server, player.book_id)
    put_back(own_server, tmp_path / "older")
    lacks = len(before) - len(facts_of(own_server, player.book_id))
    assert lacks >= 3
    return player, before, lacks


def put_aside(server: Server, older: Path) -> None:
    """Stop the server, copy its folder, and go on."""
    server.stop()
    shutil.copytree(server.data, older)
    server.start()


def put_back(server: Server, older: Path) -> None:
    """Stop the server, put the older copy in the place of its folder, and go on."""
    server.stop()
    shutil.rmtree(server.data)
    shutil.copytree(older, server.data)
    server.start()


def note_elsewhere(player: Player, server: Server, n: int) -> list[Raw]:
    """So many entries of another phone, in the book."""
    notes = [raw("note", {"words": f"from another phone, {place}"}) for place in range(n)]
    with server.directory() as directory, directory.open_book(player.book_id) as book:
        assert book.add(notes, None, now()).refused == []
    return notes


def expect_all_given_back(player: Player, server: Server, facts: list[Raw]) -> None:
    """The server comes to hold these facts and no other, each once."""
    expect_each_once(player, server, 5)
    again = facts_of(server, player.book_id)
    assert {fact["id"]: fact["body"] for fact in again} == {fact["id"]: fact["body"] for fact in facts}
    assert len(again) == len(facts)


@pytest.mark.files_only  # the log put back: tests/many_hosts/test_restored_log.py
@pytest.mark.parametrize("more", [None, 0, 5], ids=["nothing since", "as much from another phone", "more from it"])
def test_a_phone_gives_back_what_a_restored_older_copy_lacks(
    set_back: tuple[Player, list[Raw], int], own_server: Server, more: int | None
) -> None:
    player, before, lacks = set_back
    notes = note_elsewhere(player, own_server, 0 if more is None else lacks + more)
    with player.page.expect_response(lambda response: response.request.method == "POST"):
        signal_is_back(player)
    expect_all_given_back(player, own_server, [*before, *notes])


@pytest.mark.files_only  # the log put back: tests/many_hosts/test_restored_log.py
def test_a_phone_that_has_only_counted_so_far_gives_back_all_it_has(
    set_back: tuple[Player, list[Raw], int], own_server: Server
) -> None:
    player, before, lacks = set_back
    notes = note_elsewhere(player, own_server, lacks + 5)
    player.page.evaluate(
        """async (book) => {
          const { remember } = await (await import(document.querySelector("script[type=module]").src)).take("db.js");
          await remember(`reached ${book}`, undefined);  // an earlier version remembered another thing
        }""",
        player.book_id,
    )
    with player.page.expect_response(lambda response: response.request.method == "POST"):
        signal_is_back(player)
    expect_all_given_back(player, own_server, [*before, *notes])


@pytest.mark.files_only  # the log put back: tests/many_hosts/test_restored_log.py
def test_giving_back_goes_on_where_the_line_broke_it_off(
    set_back: tuple[Player, list[Raw], int], own_server: Server
) -> None:
    player, before, lacks = set_back
    notes = note_elsewhere(player, own_server, lacks + 5)
    player.page.route(
        "**/api/facts", lambda route: route.abort() if route.request.method == "POST" else route.continue_()
    )
    signal_is_back(player)
    expect(player.page.locator("[data-waiting]")).to_have_text("saved on this phone 5")
    player.page.unroute_all(behavior="wait")
    player.page.reload()
    expect_all_given_back(player, own_server, [*before, *notes])


@pytest.mark.files_only  # the log put back: tests/many_hosts/test_restored_log.py
def test_a_new_ball_of_a_bucket_that_an_older_copy_lacks_is_not_left_refused(
    meet: Callable[..., Player], own_server: Server, tmp_path: Path
) -> None:
    player = meet(at=own_server)
    player.open()
    put_aside(own_server, tmp_path / "older")
    player.start_bucket()
    hit(player, 2)
    expect_each_once(player, own_server, 2)
    until_idle(player.page)
    put_back(own_server, tmp_path / "older")
    note_elsewhere(player, own_server, 20)
    hit(player, 1)
    expect_each_once(player, own_server, 3)
    expect(player.page.locator("#notices")).to_be_hidden()


@pytest.mark.files_only  # the log put back: tests/many_hosts/test_restored_log.py
def test_what_was_put_right_since_holds_beside_what_another_phone_said_first(
    meet: Callable[..., Player], own_server: Server, tmp_path: Path
) -> None:
    player = in_a_bucket(meet(at=own_server))
    hit(player, 1)
    expect_each_once(player, own_server, 1)
    put_aside(own_server, tmp_path / "older")
    bucket = next(fact for fact in facts_of(own_server, player.book_id) if fact["kind"] == "bucket")
    say(own_server, player, corrected(bucket, now(), surface="grass"))
    signal_is_back(player)
    until(player.page, HAS_HEARD, [player.book_id, "grass"])
    until_idle(player.page)
    put_back(own_server, tmp_path / "older")
    say(own_server, player, corrected(bucket, now(), ended_at=now()))
    signal_is_back(player)
    until(player.page, HAS_HEARD, [player.book_id, None])
    until_idle(player.page)
    until_all_taken(player.page, player.book_id)
    last = [fact for fact in facts_of(own_server, player.book_id) if fact["kind"] == "bucket"][-1]["body"]
    assert (last["surface"], bool(last.get("ended_at"))) == ("grass", True)


def say(server: Server, player: Player, fact: Raw) -> None:
    """Put another phone's or a form's word into the book."""
    with server.directory() as directory, directory.open_book(player.book_id) as book:
        assert book.add([fact], None, now()).refused == []


def test_the_browser_is_asked_to_keep_the_book_at_the_first_bucket_and_not_before(player: Player) -> None:
    player.page.add_init_script(
        """globalThis.asked = 0;
        const { persist } = StorageManager.prototype;
        StorageManager.prototype.persist = function () { globalThis.asked += 1; return persist.call(this); };"""
    )
    player.open("/card")
    player.open()
    assert player.page.evaluate("globalThis.asked") == 0
    player.start_bucket()
    player.settled()
    assert player.page.evaluate("globalThis.asked") == 1
