"""What the server refused is put right on a page of its own, whatever bucket it belongs to, also without signal.

Sources: the project's design (wire contract: what is refused stays on the phone, marked, to be mended).
"""

import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import expect

from tests.factories import Raw, a_bucket, a_shot, raw, the_demo_set
from webapp.moments import moved
from webapp.units import YARD_M

from .chromium import facts_of, now
from .player import Player
from .server import Server
from .waiting import until_all_taken, until_idle, until_kept

TOO_FAR_M = 900.0


@pytest.fixture
def two_days_old() -> list[Raw]:
    """The demo set and a bucket of two days ago with one ball of the 56."""
    begun_at = moved(now(), days=-2)
    demo, bucket = the_demo_set(begun_at), a_bucket(begun_at)
    return [*demo, bucket, a_shot(bucket, demo[2], 50, moved(begun_at, seconds=30))]


@pytest.fixture
def player(meet: Callable[..., Player], two_days_old: list[Raw]) -> Player:
    """A player whose bucket is two days old."""
    return meet(facts=two_days_old)


def hold(player: Player, *facts: Raw) -> None:
    """Put facts among those of this phone that wait, each a second later than the one before."""
    player.page.evaluate(
        """async ([book, facts]) => {
          const { add } = await (await import(document.querySelector("script[type=module]").src)).take("outbox.js");
          await add(book, facts);
        }""",
        [player.book_id, facts],
    )


def held_of(server: Server, player: Player, root: str) -> list[dict[str, Any]]:
    """The bodies that the server holds of a root, in the order they came."""
    return [fact["body"] for fact in facts_of(server, player.book_id) if fact["root"] == root]


def test_refused_entries_can_be_saved_as_a_file_and_stay(
    player: Player, two_days_old: list[Raw], tmp_path: Path
) -> None:
    *_, bucket, shot = two_days_old
    wrong = a_shot(bucket, shot["body"]["club_id"], carry_m=TOO_FAR_M)
    player.open("/card")
    hold(player, wrong)
    player.open("/refused")
    expect(player.page.locator("#refused li")).to_have_count(1)
    until_idle(player.page)  # the server's no comes before its copy of the wedge
    club, saved = player.saved_copy("save a copy of these", tmp_path / "copy.json")  # its wedge comes with it
    assert (club["id"], saved["id"], saved["body"]) == (shot["body"]["club_id"], wrong["id"], wrong["body"])
    expect(player.page.locator("#refused li")).to_have_count(1)


def test_a_refused_ball_of_a_bucket_two_days_old_is_mended_without_signal_and_taken(
    meet_ready: Callable[..., Player], server: Server, two_days_old: list[Raw]
) -> None:
    *_, bucket, shot = two_days_old
    player, wrong = meet_ready(facts=two_days_old), a_shot(bucket, shot["body"]["club_id"], carry_m=TOO_FAR_M)
    player.open("/card")
    until_kept(player.page, "/refused")
    hold(player, wrong)
    expect(player.page.locator("#notices")).to_contain_text("carry must be a number from 0 to")
    player.context.set_offline(True)
    player.page.get_by_role("link", name="mend").tap()
    entry = player.page.get_by_role("listitem").filter(has_text="Ball, 56 9:00")
    expect(entry).to_contain_text("This entry was not taken: carry must be a number from 0 to")
    expect(player.page.get_by_text("carry must be a number from 0 to 400 yd (365 m)")).to_have_count(1)
    expect(player.page.locator("#notices")).to_be_hidden()
    entry.get_by_label("carry (yards, 0 to 400)").fill("54")
    entry.get_by_role("button", name="mend").tap()
    expect(player.page.locator("#said")).to_contain_text("Mended. It is saved on this phone")
    expect(player.page.get_by_text("Nothing of what this phone holds was refused.")).to_be_visible()
    expect(player.page.locator("#notices")).to_contain_text("1 waiting")
    player.context.set_offline(False)
    player.page.evaluate("dispatchEvent(new Event('online'))")
    until_all_taken(player.page, player.book_id)
    (mended,) = held_of(server, player, wrong["id"])
    assert round(mended["carry_m"] / YARD_M) == 54
    assert {name: mended[name] for name in mended if name != "carry_m"} == {
        name: value for name, value in wrong["body"].items() if name != "carry_m"
    }
    assert player.faults == []


@pytest.mark.parametrize("text", ["100%", "200%"])
def test_many_reasons_leave_the_page_and_its_way_on_in_sight(
    player: Player, two_days_old: list[Raw], text: str
) -> None:
    *_, bucket, shot = two_days_old
    wrong = {
        "carry_m": TOO_FAR_M,
        "meant_carry_m": -1,
        **dict.fromkeys(("contact", "mode", "landed", "lie", "wind"), "-"),
    }
    player.open()
    hold(player, *(a_shot(bucket, shot["body"]["club_id"], made_at=now(), **{name: wrong[name]}) for name in wrong))
    player.page.evaluate("(text) => { document.documentElement.style.fontSize = text; }", text)
    expect(player.page.locator("#notices p")).to_have_count(len(wrong))
    mend = player.page.get_by_role("link", name="mend")
    reached = mend.evaluate("""(mend) => {
      const { left, top, right, bottom } = mend.getBoundingClientRect();
      const notices = mend.closest("#notices");
      return {
        share: notices.getBoundingClientRect().height / innerHeight, scrolled: notices.scrollTop,
        hit: [top + 2, bottom - 2].every((y) => document.elementFromPoint((left + right) / 2, y) === mend),
      };
    }""")
    assert reached == {"share": pytest.approx(0.4, abs=0.01), "scrolled": 0, "hit": True}
    player.button("Same as last time").tap()
    expect(player.patch).to_be_visible()


def test_a_refused_bucket_is_called_a_bucket(player: Player) -> None:
    player.open("/card")
    hold(player, a_bucket(now(), bay_offset_m=TOO_FAR_M))
    player.open("/refused")
    entry = player.page.get_by_role("listitem")
    expect(entry).to_contain_text("Bucket Pellow Fen")
    expect(entry).not_to_contain_text("isit")
    expect(entry).to_contain_text(
        re.compile(r"noted \d{1,2} [A-Z][a-z]{2,3} 20\d\d, \d\d:\d\d")
    )  # as days are written everywhere


def test_a_carry_out_of_range_is_not_sent_again(player: Player, two_days_old: list[Raw]) -> None:
    *_, bucket, shot = two_days_old
    player.open("/refused")
    hold(player, a_shot(bucket, shot["body"]["club_id"], carry_m=TOO_FAR_M))
    box = player.page.get_by_label("carry (yards, 0 to 400)")
    for value in ("401", "-1"):
        box.fill(value)
        player.button("mend").tap()
        expect(box).to_have_attribute("aria-invalid", "true")
    box.fill("")
    player.button("mend").tap()
    assert box.evaluate("box => box.validity.valueMissing")
    expect(box).to_be_visible()


@pytest.mark.parametrize(
    ("refused_for", "kept"),
    [
        ("carry_m", {"carry_m": None, "landed": "unseen"}),
        ("meant_carry_m", {"meant_carry_m": None, "carry_m": 50 * YARD_M}),
    ],
)
def test_a_refused_ball_is_set_aside_without_the_carry_it_was_refused_for(
    player: Player, server: Server, two_days_old: list[Raw], refused_for: str, kept: dict[str, Any]
) -> None:
    *_, bucket, shot = two_days_old
    wrong = a_shot(bucket, shot["body"]["club_id"], 50, **{refused_for: TOO_FAR_M})
    player.open("/refused")
    hold(player, wrong)
    player.button("set aside").tap()
    expect(player.page.locator("#said")).to_contain_text("Set aside: kept, not counted.")
    until_all_taken(player.page, player.book_id)
    (held,) = held_of(server, player, wrong["id"])
    assert held["aside"] is True
    assert {name: held[name] for name in kept} == kept


def test_a_word_that_is_no_choice_is_never_replaced_unasked(
    player: Player, server: Server, two_days_old: list[Raw]
) -> None:
    *_, bucket, shot = two_days_old
    player.open("/refused")
    wrong = a_shot(bucket, shot["body"]["club_id"], 50, contact="no such strike")
    hold(player, wrong)
    box = player.page.get_by_label("contact")
    expect(box.locator(":checked")).to_have_text("choose")
    player.button("mend").tap()
    assert box.evaluate("box => box.validity.valueMissing")
    box.select_option("not said")
    player.button("mend").tap()
    until_all_taken(player.page, player.book_id)
    (mended,) = held_of(server, player, wrong["id"])
    assert mended == {**wrong["body"], "contact": ""}


@pytest.mark.parametrize(("refused_for", "kept"), [("contact", ""), ("mode", None)])
def test_a_ball_with_a_word_that_is_no_choice_is_set_aside_without_a_made_up_one(
    player: Player, server: Server, two_days_old: list[Raw], refused_for: str, kept: str | None
) -> None:
    *_, bucket, shot = two_days_old
    player.open("/refused")
    wrong = a_shot(bucket, shot["body"]["club_id"], 50, **{refused_for: "no such word"})
    hold(player, wrong)
    player.button("set aside").tap()
    if kept is None:  # no ball can do without it, so it has to be chosen
        box = player.page.get_by_label(refused_for)
        assert box.evaluate("box => box.validity.valueMissing")
        box.select_option(index=2)
        kept = box.input_value()
        player.button("set aside").tap()
    until_all_taken(player.page, player.book_id)
    (held,) = held_of(server, player, wrong["id"])
    assert (held["aside"], held[refused_for]) == (True, kept)


def test_a_refused_correction_that_a_later_one_replaced_is_mended_without_undoing_that(
    player: Player, server: Server, two_days_old: list[Raw]
) -> None:
    shot = two_days_old[-1]
    corrections = [raw("shot", {**shot["body"], "carry_m": carry_m}, root=shot["id"]) for carry_m in (TOO_FAR_M, 50.0)]
    player.open("/refused")
    hold(player, *corrections)
    player.page.get_by_label("carry (yards, 0 to 400)").fill("60")
    player.button("mend").tap()
    until_all_taken(player.page, player.book_id)
    held = {fact["id"]: fact for fact in facts_of(server, player.book_id) if fact["root"] == shot["id"]}
    assert set(held) == {shot["id"], *(one["id"] for one in corrections)}
    assert round(held[corrections[0]["id"]]["body"]["carry_m"] / YARD_M) == 60
    assert max(held.values(), key=lambda fact: fact["made_at"])["body"]["carry_m"] == 50.0


def test_a_ball_whose_bucket_is_not_in_the_book_is_given_to_one_that_is(
    player: Player, server: Server, two_days_old: list[Raw]
) -> None:
    *_, bucket, shot = two_days_old
    lost = a_shot(a_bucket(judged_by="eye"), shot["body"]["club_id"], judged_by="eye", judged_apart=False)
    player.open("/refused")
    hold(player, lost)
    expect(player.page.get_by_role("listitem")).to_contain_text("its bucket is not in this book")
    player.page.get_by_label("bucket").select_option(bucket["id"])
    player.button("mend").tap()
    until_all_taken(player.page, player.book_id)
    (kept,) = held_of(server, player, lost["id"])
    assert kept["bucket_id"] == bucket["id"]
    assert "judged_apart" not in kept  # it was seen by eye, however that bucket was judged


def test_a_field_the_server_does_not_know_is_left_out(player: Player, server: Server, two_days_old: list[Raw]) -> None:
    *_, bucket, shot = two_days_old
    strange = a_shot(bucket, shot["body"]["club_id"], colour="green")
    player.open("/refused")
    hold(player, strange)
    player.button("leave out “colour”").tap()
    until_all_taken(player.page, player.book_id)
    (kept,) = held_of(server, player, strange["id"])
    assert "colour" not in kept


def test_what_is_sent_again_as_it_stands_comes_back_with_its_reason(player: Player, two_days_old: list[Raw]) -> None:
    *_, bucket, shot = two_days_old
    player.open("/refused")
    hold(player, a_shot(bucket, shot["body"]["club_id"], carry_m=TOO_FAR_M))
    expect(player.page.get_by_role("listitem")).to_have_count(1)
    with player.page.expect_response("**/api/facts"):
        player.button("send all as they stand").tap()
    expect(player.page.get_by_role("listitem")).to_contain_text("carry must be a number from 0 to")
