"""A phone and a server of different versions: a fact of a kind that one of them does not know is kept by the other.

Homework and remarks are such kinds to a server, or a phone, from before there were any.
"""

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import expect

from tests.factories import a_bucket, a_homework, a_remark, a_shot, raw, the_demo_set
from webapp.moments import moved

from .chromium import facts_of, now
from .player import Player
from .server import ROOT, Server
from .waiting import until_all_taken

BEHIND_THE_KINDS = "ENVELOPE = ("


def with_kinds(program: Path, change: str) -> None:
    """Change which kinds of fact a copy of the program knows."""
    facts = program / "webapp" / "facts.py"
    text = facts.read_text()
    assert BEHIND_THE_KINDS in text
    facts.write_text(text.replace(BEHIND_THE_KINDS, f"{change}\n{BEHIND_THE_KINDS}", 1))


@pytest.fixture
def other_server(program: Path, tmp_path: Path, log_of_servers: str) -> Iterator[Callable[[str], Server]]:
    """Makes the server of another version, in which `change` was said of the kinds of fact."""
    servers: list[Server] = []

    def make(change: str) -> Server:
        with_kinds(program, change)
        servers.append(Server(tmp_path / "data", root=program).start())
        return servers[-1]

    yield make
    for one in servers:
        one.stop()


def hold(player: Player, *facts: object) -> None:
    """Put facts among those of this phone that wait."""
    player.page.evaluate(
        """async ([book, facts]) => {
          const { add } = await (await import(document.querySelector("script[type=module]").src)).take("outbox.js");
          await add(book, facts);
        }""",
        [player.book_id, facts],
    )


def test_a_server_that_knows_neither_homework_nor_remarks_takes_the_rest_and_the_phone_keeps_them(
    meet: Callable[..., Player], other_server: Callable[[str], Server], tmp_path: Path
) -> None:
    older = other_server('del KINDS["homework"], KINDS["remark"]')
    begun_at = moved(now(), days=-2)
    demo, bucket = the_demo_set(begun_at), a_bucket(begun_at)
    club = demo[2]
    player = meet(facts=[*demo, bucket], at=older)
    later = [a_homework(club), a_remark(club), a_shot(bucket, club, 50)]
    player.open("/card")
    hold(player, *later)
    notices = player.page.locator("#notices")
    expect(notices).to_contain_text("is of a kind not known here ('homework')")
    expect(notices).to_contain_text("('remark')")
    assert later[2]["id"] in {fact["id"] for fact in facts_of(older, player.book_id)}  # it came with the refusals
    player.open("/refused")
    expect(player.page.get_by_role("heading", name="A remark")).to_be_visible()
    saved = player.saved_copy("save a copy of these", tmp_path / "copy.json")
    assert [(one["id"], one["body"]) for one in saved if one["kind"] != "club"] == [
        (one["id"], one["body"]) for one in later[:2]
    ]
    older.stop()
    older.root = ROOT  # the server is brought up to date
    newer = older.start()
    player.open("/refused")
    player.page.locator("#send").tap()
    until_all_taken(player.page, player.book_id)
    there = {fact["id"]: fact["body"] for fact in facts_of(newer, player.book_id)}
    assert [there[one["id"]] for one in later[:2]] == [one["body"] for one in later[:2]]
    assert player.faults == []


def test_a_phone_goes_on_with_a_book_that_holds_a_kind_it_does_not_know_and_loses_nothing_of_it(
    meet: Callable[..., Player], other_server: Callable[[str], Server]
) -> None:
    newer = other_server('KINDS["chip"] = {"words": fields.text("words", 40)}')
    begun_at = moved(now(), days=-2)
    player = meet(facts=the_demo_set(begun_at), at=newer)
    chip = raw("chip", {"words": "from a later version"}, moved(now(), minutes=-1))
    player.open("/card")
    hold(player, chip)  # as another phone of that version would send it
    until_all_taken(player.page, player.book_id)
    before = facts_of(newer, player.book_id)
    other = meet(facts=[], at=newer)
    other.context.clear_cookies()
    other.context.add_cookies(player.context.cookies())  # type: ignore[arg-type]
    other.book_id = player.book_id
    other.open()
    other.start_bucket()
    other.call("56", "9:00", 54)
    other.touch(54, "clean")
    other.wait_out_fresh()
    until_all_taken(other.page, other.book_id)
    after = facts_of(newer, player.book_id)
    assert after[: len(before)] == before
    assert chip["body"] in [fact["body"] for fact in before]
    assert [fact["kind"] for fact in after[len(before) :]].count("shot") == 1
    assert other.faults == []


def test_a_bucket_page_kept_since_an_older_version_still_begins_and_ends_a_bucket(
    meet_ready: Callable[..., Player],
) -> None:
    """Without signal it goes by the scripts of today; it names no buckets and has no line for the balls of a week."""
    player = meet_ready()
    player.open()
    player.wait_until_kept()
    aged = player.page.evaluate(
        """async (book) => {
          const cache = await caches.open(`pages-${book}`);
          const kept = await cache.match("/bucket");
          const text = await kept.text();
          const older = text.replace(/<p data-week.*?<[/]p>/, "").replace(/"buckets": \\[.*?\\], /, "");
          await cache.put("/bucket", new Response(older, { headers: kept.headers }));
          return [text, older].map((one) => ["data-week", '"buckets":'].map((word) => one.includes(word)));
        }""",
        player.book_id,
    )
    assert aged == [[True, True], [False, False]]
    player.context.set_offline(True)
    player.open()
    player.start_bucket()
    player.tap_patch(0.5, 0.5)
    player.end_bucket()
    expect(player.page.locator("#said")).to_have_text("The bucket has ended.")
    expect(player.page.locator("#opening")).to_be_visible()
    assert len(player.shots()) == 1
