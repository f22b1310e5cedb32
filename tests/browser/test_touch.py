"""What a touch means in the open bucket: each rule of its four seconds, its ground, its line of truth and its sheets.

Source: rules of the project's own design; a visit that nobody planned for is reckoned at 75 touches for 60 balls.
"""

import re
from collections.abc import Callable

import pytest
from playwright.sync_api import expect

from webapp.units import YARD_M

from .card_pages import book_of_every_trust
from .chromium import facts_of
from .player import Player
from .server import Server
from .test_patch import carries
from .waiting import until, until_all_taken, while_time_stands

GUIDED = """async () => {
  const { recall } = await (await import(document.querySelector("script[type=module]").src)).take("db.js");
  return (await recall("guided")) === true;
}"""


def test_n_balls_makes_every_touch_a_ball_of_its_own_in_order(hitting: Player) -> None:
    with hitting.in_one_breath():
        hitting.touch(60, "clean")
        hitting.touch(54, "thin")
        hitting.touch(50, "fat")
        hitting.button("3 balls").tap()
        hitting.settled()
    assert carries(hitting) == [60, 54, 50]
    assert [shot["contact"] for shot in hitting.shots()] == ["clean", "thin", "fat"]


def test_three_balls_noted_in_a_hurry_are_one_touch_from_being_three_also_once_sent(hitting: Player) -> None:
    with while_time_stands(hitting.page):
        for carry in (52, 55, 49):
            hitting.touch(carry, "clean")
            hitting.page.clock.run_for(1500)
    hitting.wait_out_fresh()
    until_all_taken(hitting.page, hitting.book_id)
    hitting.page.reload()
    hitting.button("3 balls").tap()
    hitting.settled()
    assert carries(hitting) == [52, 55, 49]


def test_the_four_seconds_run_from_the_first_touch_and_are_never_renewed(hitting: Player) -> None:
    with while_time_stands(hitting.page):
        for carry in (52, 55, 49, 57):
            hitting.touch(carry, "clean")
            hitting.page.clock.run_for(2600)
    assert carries(hitting) == [55, 57]


@pytest.mark.parametrize("key", ["shank", "lost sight"])
def test_a_touch_after_a_shank_or_a_lost_ball_with_its_strike_is_a_new_ball(hitting: Player, key: str) -> None:
    with hitting.in_one_breath():
        hitting.button(key).tap()
        hitting.settled()
        if key == "lost sight":
            hitting.tap_patch(0.1, 0.5)
        hitting.touch(54, "clean")
    assert carries(hitting) == [None, 54]


def test_the_next_balls_touch_never_answers_which_strike(hitting: Player) -> None:
    hitting.button("lost sight").tap()
    hitting.settled()
    hitting.wait_out_fresh()
    hitting.touch(54, "clean")
    assert [shot["contact"] for shot in hitting.shots()] == ["", "clean"]


def test_head_line_and_touch_speak_of_the_same_call(player: Player) -> None:
    player.open()
    player.button("Start with the first task").tap()
    for n in range(1, 6):
        with player.in_one_breath():
            player.tap_patch(0.5, 0.5)
            expect(player.page.locator(".club-name")).to_have_text("46")
        player.wait_out_fresh()
        expect(player.page.locator(".club-name")).to_have_text("51" if n == 5 else "46")
        expect(player.page.locator("#count")).to_have_text(f"{n} of 20")


def test_a_touch_on_a_lanes_name_explains_and_notes_nothing(hitting: Player) -> None:
    box = hitting.patch.bounding_box()
    assert box
    hitting.tap_patch(0.9, 20 / box["height"])
    expect(hitting.page.locator("#why")).to_contain_text("bladed: ")
    assert hitting.shots() == []


def test_the_same_height_is_the_same_carry_in_every_lane(hitting: Player) -> None:
    for across in (0.15, 0.35, 0.55, 0.75, 0.95):
        hitting.tap_patch(across, 0.4)
        hitting.wait_out_fresh()
    assert len(set(carries(hitting))) == 1
    assert [shot["contact"] for shot in hitting.shots()] == ["fat", "heavy", "clean", "thin", "bladed"]


def test_nothing_that_appears_moves_or_resizes_the_ground(hitting: Player) -> None:
    ground = hitting.patch.bounding_box()
    with hitting.in_one_breath():
        hitting.touch(60, "clean")
        hitting.touch(54, "clean")
        assert hitting.patch.bounding_box() == ground
    hitting.context.set_offline(True)
    for _ in range(19):
        hitting.wait_out_fresh()
        hitting.tap_patch(0.5, 0.5)
    expect(hitting.page.locator("#limit")).to_contain_text("20 balls today")
    expect(hitting.page.locator("#why")).to_contain_text("20 balls today")
    assert hitting.patch.bounding_box() == ground
    hitting.page.locator("#truth").tap()
    hitting.settled()
    assert hitting.patch.bounding_box() == ground


def test_the_keys_below_a_sheet_are_dead_and_the_phones_back_closes_it(hitting: Player) -> None:
    key = hitting.button("lost sight").bounding_box()
    assert key
    for sheet in ("next call", "More"):
        hitting.button(sheet).tap()
        expect(
            hitting.page.get_by_role("heading", name={"More": "This bucket"}.get(sheet, "Next call"))
        ).to_be_visible()
        if sheet == "next call":
            hitting.page.touchscreen.tap(key["x"] + key["width"] / 2, key["y"] + key["height"] / 2)
            hitting.settled()
        hitting.page.go_back()
        expect(hitting.patch).to_be_visible()
    assert hitting.shots() == []
    assert hitting.page.url.endswith("/bucket")


def test_the_line_of_truth_says_what_counts_and_switches_the_mode(hitting: Player) -> None:
    truth = hitting.page.locator("#truth")
    expect(truth).to_have_text("counts for the card")
    truth.tap()
    expect(truth).to_have_text("skill only, not the card")
    expect(hitting.page.locator("#why")).to_contain_text("hit the number")
    truth.tap()
    expect(truth).to_have_text("counts for the card")


def test_rough_stays_said_over_a_reload_and_one_touch_ends_it(hitting: Player) -> None:
    hitting.button("More").tap()
    hitting.page.locator("#now-lie").select_option("rough")
    hitting.settled()
    hitting.page.reload()
    truth = hitting.page.locator("#truth")
    expect(truth).to_have_text("rough – not counted")
    truth.tap()
    expect(truth).to_have_text("counts for the card")
    hitting.touch(54, "clean")
    assert [shot["lie"] for shot in hitting.shots()] == ["level"]


def test_grip_and_way_of_judging_hold_from_the_next_ball_on(hitting: Player) -> None:
    hitting.touch(54, "clean")
    hitting.wait_out_fresh()
    hitting.button("More").tap()
    hitting.page.locator("#now-flight").select_option("grip-down")
    hitting.page.locator("#now-judged").select_option("eye")
    hitting.button("back to the patch").tap()
    expect(hitting.page.locator("#truth")).to_have_text("grip-down – not counted")
    hitting.tap_patch(0.5, 0.5)
    before, after = hitting.shots()
    assert (before.get("flight", ""), before["judged_by"]) == ("", "monitor")
    assert (after["flight"], after["judged_by"]) == ("grip-down", "eye")


def test_more_tells_degrees_monitor_and_flags_of_the_bucket_and_roll_of_a_ball(hitting: Player, server: Server) -> None:
    page = hitting.page
    hitting.button("More").tap()
    page.locator("#now-degrees").select_option("f")
    page.locator("#now-temperature").fill("50")
    page.locator("#now-temperature").blur()
    page.locator("#now-monitor").select_option("corrected")
    page.locator("#now-flags").select_option("laser")
    expect(page.locator("#now-ball")).to_have_value("range")
    page.locator("#now-ball").select_option("own")
    page.locator("#now-surface").select_option("grass")
    page.locator("#now-place").fill(" Low Field ")
    page.locator("#now-place").blur()
    hitting.settled()
    page.get_by_label("carry, where it landed").fill("54")
    page.get_by_label("roll after landing").fill("3")
    hitting.button("Note this ball").tap()
    hitting.settled()
    (ball,) = hitting.shots()
    assert round(ball["roll_m"] / YARD_M, 6) == 3
    until_all_taken(page, hitting.book_id)
    bucket = [fact["body"] for fact in facts_of(server, hitting.book_id) if fact["kind"] == "bucket"][-1]
    assert (bucket["temperature_c"], bucket["monitor_note"], bucket["flags_checked"]) == (10, "corrected", "laser")
    assert (bucket["place"], bucket["ball"], bucket["surface"]) == ("Low Field", "own", "grass")


def test_settled_balls_stay_as_dots_unless_they_are_judged_by_eye(hitting: Player) -> None:
    for carry in (52, 55, 49):
        hitting.touch(carry, "clean")
        hitting.wait_out_fresh()
    expect(hitting.patch.locator(".settled")).to_have_count(3)
    hitting.button("More").tap()
    hitting.page.locator("#now-judged").select_option("eye")
    hitting.button("back to the patch").tap()
    expect(hitting.patch.locator(".settled")).to_have_count(0)


def test_next_call_is_the_cards_own_table_with_its_marks(meet: Callable[..., Player]) -> None:
    player = meet(facts=book_of_every_trust())
    player.open()
    player.start_bucket()
    player.button("next call").tap()
    table = player.page.locator("#cells")
    expect(table.locator("th[scope=col]")).to_have_text(["46", "51", "56", "60"])
    expect(table.locator("th[scope=row]")).to_have_text(["full", "10:30", "9:00", "7:30"])
    marks = table.locator("button").evaluate_all(
        """all => Object.fromEntries(all.map((one) => {
          const look = getComputedStyle(one.querySelector(".number"));
          const corner = getComputedStyle(one.querySelector(".number"), "::after").content !== "none";
          const box = look.borderTopWidth === "0px" ? "" : look.borderTopStyle;
          const bold = Number(look.fontWeight) >= 600;
          return [one.dataset.trust, { box, corner, underline: look.textDecorationLine === "underline", bold }];
        }))"""
    )
    plain = {"box": "", "corner": False, "underline": False, "bold": False}
    assert marks == {
        "settled": {**plain, "bold": True},
        "early": {**plain, "box": "solid"},
        "told": {**plain, "underline": True},
        "guess": {**plain, "box": "dashed"},
        "old": {**plain, "box": "solid", "corner": True},
    }


def test_from_which_ball_on_shows_club_arm_and_carry(hitting: Player) -> None:
    hitting.touch(54, "clean")
    hitting.page.get_by_role("button", name="the call, ").tap()
    hitting.cell("51", "9:00").tap()
    ball = hitting.page.locator("#which").get_by_role("button", name="ball 1:")
    expect(ball).to_contain_text("56")
    expect(ball).to_contain_text("54")
    expect(ball.locator(".arm")).to_be_visible()
    expect(ball).to_have_accessible_name(re.compile("56 9:00$"))
    cut = ball.evaluate(
        """(ball) => {
          const [inner, outer] = [document.createRange(), ball.getBoundingClientRect()];
          inner.selectNodeContents(ball);
          const words = inner.getBoundingClientRect();
          return words.left < outer.left || words.right > outer.right;
        }"""
    )
    assert not cut


def test_an_ended_bucket_can_be_gone_on_with_for_ten_minutes(hitting: Player) -> None:
    hitting.touch(54, "clean")
    hitting.wait_out_fresh()
    hitting.context.set_offline(True)
    hitting.end_bucket()
    expect(hitting.page.locator("#end-words p")).to_have_text(
        [
            "1 ball noted, and it counts for the card.",
            "1 of 1 was struck clean.",
            re.compile(r"^56 9:00 is now 5\d, early \(without this visit 6\d, guess\)\.$"),
        ]
    )
    expect(hitting.page.locator("#end-dots i")).to_have_count(1)
    expect(hitting.page.get_by_role("link", name="See the card")).to_be_visible()
    hitting.button("Go on with this bucket").tap()
    expect(hitting.page.locator("#count")).to_have_text("1 ball")
    hitting.end_bucket()
    hitting.let_pass(600_000)
    expect(hitting.button("Go on with this bucket")).to_be_hidden()


def test_the_first_three_balls_of_a_first_book_are_guided_and_no_others(player: Player) -> None:
    player.open()
    player.start_bucket()
    for line in ("Up is longer.", "This lane is a clean strike.", "Lift to note it."):
        expect(player.page.locator("#guide")).to_contain_text(line)
        expect(player.page.locator("#ghost")).to_be_visible()
        player.tap_patch(0.5, 0.5)  # where the ghost's thumb lies
        player.wait_out_fresh()
    assert len(player.shots()) == 3
    expect(player.page.locator("#guide")).to_be_hidden()
    expect(player.page.locator("#ghost")).to_be_hidden()
    player.page.reload()
    expect(player.page.locator("#guide")).to_be_hidden()


def test_the_guide_can_be_touched_away_for_ever(player: Player) -> None:
    player.open()
    player.start_bucket()
    player.button("I know").tap()
    expect(player.page.locator("#ghost")).to_be_hidden()
    until(player.page, GUIDED)
    player.page.reload()
    expect(player.patch).to_be_visible()
    player.tap_patch(0.5, 0.5)
    player.wait_out_fresh()
    expect(player.page.locator("#guide")).to_be_hidden()
    expect(player.page.locator("#ghost")).to_be_hidden()


def test_a_carry_one_step_off_is_never_doubted(hitting: Player) -> None:
    with hitting.in_one_breath():
        hitting.touch(45, "clean")
    expect(hitting.page.locator("#strip")).to_be_hidden()
    assert "odd" not in (hitting.ball().get_attribute("class") or "")


def test_a_visit_nobody_planned_for_costs_at_most_75_touches_and_all_is_stored(player: Player) -> None:
    page = player.page
    player.open("/practice")
    page.get_by_role("radio", name="30", exact=True).check()
    page.locator("#plan button[value=bucket]").first.tap()
    expect(player.button("start counting")).to_be_visible()
    while not player.patch.is_visible():
        page.locator("#warm-ball").tap()
        player.settled()
    ground = player.patch.bounding_box()
    warmed = int((page.locator("#count").text_content() or "").split(" of ")[0])
    assert warmed > 0
    player.forget_touches()

    def strike(balls: int) -> None:
        for ball in range(balls):
            player.tap_patch(0.3 + 0.05 * (ball % 5), 0.45)
            player.wait_out_fresh()

    def slip() -> None:
        player.tap_patch(0.5, 0.45)
        player.tap_patch(0.6, 0.5)
        player.wait_out_fresh()

    strike(5)
    slip()
    player.context.set_offline(True)
    strike(6)
    page.get_by_role("button", name="the call, ").tap()  # the last six were struck with another club
    player.cell("60", "full").tap()
    page.locator("#which").get_by_role("button", name="ball 7:").tap()
    player.settled()
    player.context.set_offline(False)
    player.drag(player.button("lost sight"), 0.7, 0.6, player.patch)
    player.button("shank").tap()
    player.settled()
    player.button("next call").tap()
    page.go_back()
    strike(3)
    with while_time_stands(page):
        for _ in range(3):
            player.tap_patch(0.5, 0.45)
            page.clock.run_for(1200)
        player.button("3 balls").tap()
        player.settled()
    player.let_pass(120_000)
    player.button("touch to go on").tap()
    strike(10)
    player.end_bucket()
    player.button("Go on with this bucket").tap()
    expect(player.patch).to_be_visible()
    player.context.set_offline(True)
    player.call("56", "9:00")
    strike(20)
    slip()
    strike(60 - len(player.shots()))
    assert player.patch.bounding_box() == ground
    player.end_bucket()
    expect(page.locator("#end-words p")).to_have_count(3)
    assert player.touches <= 75
    shots = player.shots()
    assert len(shots) == 60
    assert {shot["mode"] for shot in shots[-20:]} == {"swing"}
    assert player.faults == []
