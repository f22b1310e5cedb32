"""Numbers as they are typed on the phone: a comma is taken, letters are refused in a line under the box.

Where a page reads its boxes itself nothing reaches the server that could refuse them, so each such page is used.
"""

from collections.abc import Callable

import pytest
from playwright.sync_api import Locator, expect

from tests.factories import Raw, a_bucket, a_shot, f1_balls, the_demo_set
from webapp.units import YARD_M

from .chromium import facts_of, now
from .player import Player
from .server import Server
from .test_refused import hold
from .waiting import until_all_taken

NO_NUMBER = "must be a number, such as 54 or 54.5."
# What reads the boxes is loaded when the first one is entered.
READS = """() => {
  const box = document.querySelector("[data-typed]");
  box.value = "warm";
  box.dispatchEvent(new Event("input", { bubbles: true }));
  return box.hasAttribute("aria-invalid");
}"""
TYPE_IN_EVERY_BOX = """(text) => [...document.querySelectorAll("[data-typed]")].map((box) => {
  for (const around of document.querySelectorAll("details")) around.open = true;
  box.value = text;
  for (const type of ["input", "change"]) box.dispatchEvent(new Event(type, { bubbles: true }));
  const said = document.getElementById(box.getAttribute("aria-describedby"))?.textContent ?? "";
  const sent = !box.form || box.form.checkValidity();
  box.value = "";
  box.dispatchEvent(new Event("input", { bubbles: true }));
  return { name: box.name, said, sent };
})"""


@pytest.fixture
def with_balls(meet: Callable[..., Player]) -> Player:
    """A player whose book has a number to choose and a ball to put right."""
    clubs, bucket = the_demo_set(now()), a_bucket(now())
    return meet(facts=[*clubs, bucket, *f1_balls(bucket, clubs[2], now())])


def test_letters_are_refused_under_every_box_of_every_page(with_balls: Player, server: Server) -> None:
    shot = next(fact["id"] for fact in facts_of(server, with_balls.book_id) if fact["kind"] == "shot")
    pages = ("/bag", "/bucket", "/conditions", "/eye-check", "/fits", "/practice", "/round/notes", "/settings")
    for path in (*pages, f"/shots/{shot}"):
        with_balls.open(path)
        expect(with_balls.page.locator("html[data-look]")).to_be_attached()
        with_balls.page.locator("[data-typed]").first.dispatch_event("focusin")
        with_balls.page.wait_for_function(READS)
        boxes = with_balls.page.evaluate(TYPE_IN_EVERY_BOX, "warm")
        assert boxes, path
        for box in boxes:
            assert NO_NUMBER in box["said"], (path, box)
            assert not box["sent"] or path == "/bucket", (path, box)
        assert all(box["said"] == "" for box in with_balls.page.evaluate(TYPE_IN_EVERY_BOX, "5")), path
    assert with_balls.faults == []


def test_a_form_with_letters_in_a_folded_box_is_not_sent_and_shows_the_box(player: Player) -> None:
    player.open("/bag")
    summary = player.page.get_by_text("Another wedge")
    summary.tap()
    form = player.page.locator("[aria-label='another wedge']")  # what is folded away has no role
    form.get_by_label("loft").fill("warm")
    summary.tap()
    form.evaluate("group => group.closest('form').requestSubmit()")
    expect(form.get_by_text(f"Loft {NO_NUMBER}")).to_be_visible()
    form.get_by_label("loft").fill("54,5")
    expect(form.get_by_text(NO_NUMBER)).to_have_count(0)
    form.get_by_role("button", name="Put it in the bag").tap()
    expect(player.page.get_by_text("The 54.5 is in the bag.")).to_be_visible()


def test_a_refused_box_is_shown_with_its_name(player: Player) -> None:
    player.open("/settings")
    player.page.get_by_label("Most balls a day").fill("abc")
    player.page.get_by_role("button", name="Keep these").tap()
    expect(player.page.get_by_label("Most balls a day")).to_be_focused()
    expect(player.page.locator("label", has_text="Most balls a day")).to_be_in_viewport(ratio=1)


def test_another_wedge_is_kept_with_keep_changes_and_enter_takes_no_wedge_out(player: Player) -> None:
    page = player.page
    player.open("/bag")
    page.get_by_role("button", name="Keep changes").tap()
    expect(page.get_by_text("Nothing differs, so nothing was changed.")).to_be_visible()
    page.get_by_text("Another wedge").tap()
    page.locator("[aria-label='another wedge']").get_by_label("loft").fill("65")
    page.get_by_role("button", name="Keep changes").tap()
    expect(page.get_by_text("The 65 is in the bag.")).to_be_visible()
    page.get_by_label("name", exact=True).first.fill("pitching")
    page.get_by_label("name", exact=True).first.press("Enter")
    expect(page.get_by_text("The pitching was changed.")).to_be_visible()
    expect(page.get_by_text("left the bag; its balls are kept")).to_have_count(0)


def test_a_ball_typed_with_a_comma_is_noted_and_one_with_letters_or_too_far_is_not(
    hitting: Player, server: Server
) -> None:
    hitting.button("More").tap()
    form = hitting.page.locator("#typed")
    carry = form.get_by_label("carry, where it landed")
    for typed, why in (("far", f"Carry {NO_NUMBER}"), ("401", "Carry must be from 0 to 400 yards.")):
        carry.fill(typed)
        form.get_by_role("button", name="Note this ball").tap()
        expect(form.get_by_text(why)).to_be_visible()
    carry.fill("49,5")
    form.get_by_label("landing", exact=True).select_option("lost sight")
    form.get_by_role("button", name="Note this ball").tap()
    expect(form.get_by_text("Say that it was seen, or empty the carry. Nothing was noted yet.")).to_be_visible()
    form.get_by_label("landing", exact=True).select_option("seen")
    form.get_by_role("button", name="Note this ball").tap()
    expect(hitting.page.locator("#said")).to_have_text("ball 1: 49.5 clean, saved on this phone")
    assert carries(hitting, server) == [49.5]


def test_a_bay_offset_and_a_meant_carry_are_taken_with_a_comma_and_refused_in_words(
    hitting: Player, server: Server
) -> None:
    hitting.button("More").tap()
    change(hitting.page.locator("#now-offset"), "near", f"Bay offset {NO_NUMBER}")
    change(hitting.page.locator("#now-offset"), "−4,5")
    hitting.button("back to the patch").tap()
    hitting.button("next call").tap()
    change(hitting.page.locator("#meant"), "5 0", f"Meant carry {NO_NUMBER}")
    change(hitting.page.locator("#meant"), "401", "Meant carry must be from 0 to 400 yards.")
    change(hitting.page.locator("#meant"), "61,5")
    expect(hitting.page.locator("#call .meant-number")).to_have_text("62")
    until_all_taken(hitting.page, hitting.book_id)
    (*_, bucket) = (fact["body"] for fact in facts_of(server, hitting.book_id) if fact["kind"] == "bucket")
    assert bucket["bay_offset_m"] == pytest.approx(-4.5 * YARD_M)


def test_a_meant_carry_half_typed_stays_while_a_ball_of_another_tab_is_drawn(hitting: Player, server: Server) -> None:
    facts = facts_of(server, hitting.book_id)
    club = next(fact for fact in facts if fact["kind"] == "club")
    (bucket,) = (fact for fact in facts if fact["kind"] == "bucket")
    hitting.button("next call").tap()
    meant = hitting.page.locator("#meant")
    meant.fill("6")
    hold(hitting, a_shot(bucket, club, 52))
    expect(hitting.page.locator("#count")).to_have_text("1 ball")
    expect(meant).to_have_value("6")


def test_a_bucket_is_started_only_with_numbers_that_can_be_read(player: Player, server: Server) -> None:
    player.open()
    form = player.page.locator("#begin")
    start = form.get_by_role("button", name="Start the bucket")
    form.get_by_label("temperature", exact=True).fill("80")
    start.tap()
    expect(form.get_by_text("Temperature must be from −20 to 50 °C.")).to_be_visible()
    form.get_by_label("temperature", exact=True).fill("21,5")
    form.get_by_label("bay offset").fill("60")
    start.tap()
    expect(form.get_by_text("Bay offset must be from −54 to 54 yards.")).to_be_visible()
    form.get_by_label("bay offset").fill("-4,5")
    start.tap()
    expect(player.patch).to_be_visible()
    until_all_taken(player.page, player.book_id)
    (bucket,) = (fact["body"] for fact in facts_of(server, player.book_id) if fact["kind"] == "bucket")
    assert (bucket["temperature_c"], bucket["bay_offset_m"]) == (21.5, pytest.approx(-4.5 * YARD_M))


def test_questions_take_a_comma_and_answer_nothing_to_letters(with_balls: Player) -> None:
    page = with_balls.page
    with_balls.open("/fits")
    expect(page.locator("#slide")).to_be_visible()
    flag = page.get_by_label("How far", exact=False).first
    flag.fill("60,5")
    expect(page.locator("#said h2")).to_contain_text("61")
    flag.fill("60.5x")
    expect(page.locator("#said > *")).to_have_count(0)
    expect(page.get_by_text(f"The distance {NO_NUMBER}")).to_be_visible()
    with_balls.open("/conditions")
    expect(page.locator("body.scripted")).to_be_attached()
    page.get_by_label("carry to the target").fill("54,5")
    expect(page.locator("#answer [data-part=sentence]")).to_contain_text("55 yards plays")
    page.get_by_label("wind speed").fill("9,5")
    expect(page.locator("#answer [data-part=sentence]")).to_contain_text("wind against")
    page.get_by_label("wind speed").fill("strong")
    expect(page.locator("#answer")).to_be_hidden()
    expect(page.get_by_text(f"Wind speed {NO_NUMBER}")).to_be_visible()


def test_a_course_note_is_kept_with_a_comma(player: Player, server: Server) -> None:
    player.open("/round/notes")
    player.page.get_by_label("Meant to carry").fill("61,5")
    player.button("short").tap()
    expect(player.page.get_by_text("Saved on this phone: meant 61,5, landed short.")).to_be_visible()
    until_all_taken(player.page, player.book_id)
    (note,) = (fact["body"] for fact in facts_of(server, player.book_id) if fact["kind"] == "note")
    assert f"meant_m={61.5 * YARD_M:.4f}" in note["words"]


def change(box: Locator, typed: str, why: str = "") -> None:
    """Type into a box that is read when it is left."""
    box.fill(typed)
    box.blur()
    if why:
        expect(box.page.get_by_text(why)).to_be_visible()
    else:
        expect(box).not_to_have_attribute("aria-invalid", "true")


def carries(player: Player, server: Server) -> list[float]:
    until_all_taken(player.page, player.book_id)
    shots: list[Raw] = [fact["body"] for fact in facts_of(server, player.book_id) if fact["kind"] == "shot"]
    return [round(shot["carry_m"] / YARD_M, 6) for shot in shots]
