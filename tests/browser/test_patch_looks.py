"""The landing patch as it is drawn: figures that keep apart, lanes for a thumb, buttons on the thumb's side.

Sources: the least lane and the thumb side are decisions of the project's design.
"""

import re
from collections.abc import Callable
from itertools import combinations, pairwise, product

import pytest
from playwright.sync_api import expect

from tests.factories import a_club, a_full_carry

from .player import FRESH_MS, Player
from .waiting import look_at_all

# Where the words of the call are drawn, whatever their boxes cut off.
BOXES_OF_THE_CALL = """() => {
  const words = (selector) => {
    const range = document.createRange();
    range.selectNodeContents(document.querySelector(selector));
    const { left, right, top, bottom } = range.getBoundingClientRect();
    return { left, right, top, bottom, lines: new Set([...range.getClientRects()].map((rect) => rect.top)).size };
  };
  return {
    call: document.querySelector("#call").getBoundingClientRect().toJSON(),
    club: words(".club-name"), arm: words(".arm-place"), swing: words(".swing-name"), number: words(".meant-number"),
  };
}"""

SCREENS_IN_THE_RAIN = ((320, 568), (360, 640), (390, 844), (640, 360), (820, 1180))
# What of the nine fields lies outside its own, and which words the ball lies on; without the feet of letters.
IN_THE_RAIN = """(patch) => {
  const box = (one) => one.getBoundingClientRect();
  const fields = [...patch.querySelectorAll("rect.lane")].map(box);
  const ring = patch.querySelector(".mark circle");
  const r = ring.r.baseVal.value + 3;
  const [x, y] = [box(patch).left + ring.cx.baseVal.value, box(patch).top + ring.cy.baseVal.value];
  const mark = { words: "mark", left: x - r, right: x + r, top: y - r, bottom: y + r };
  const words = [...patch.querySelectorAll(".lane-name, .rain-lane")].map((one) => {
    const { left, right } = box(one);
    const size = parseFloat(getComputedStyle(one).fontSize);
    const line = box(patch).top + one.y.baseVal[0].value;
    return { words: one.textContent, left, right, top: line - 0.75 * size, bottom: line };
  });
  const within = (one) => fields.some(({ left, right, top, bottom }) =>
    one.left >= left && one.right <= right && one.top >= top && one.bottom <= bottom);
  const beside = (one) => one.right < mark.left || one.left > mark.right;
  const apart = (one) => beside(one) || one.top > mark.bottom || one.bottom < mark.top;
  return {
    mark: patch.querySelectorAll(".mark").length,
    out: [...words, mark].filter((one) => !within(one)).map((one) => one.words),
    struck: words.filter((one) => !apart(one)).map((one) => one.words),
  };
}"""


def test_no_figures_of_the_ground_touch_one_another(phone_at_the_patch: Player) -> None:
    for meant in (46, 52, 53, 54, 55, 57, 58, 61, 63, 71, 95):
        phone_at_the_patch.mean(meant)
        places = "all => all.map((figure) => figure.getBoundingClientRect().toJSON())"
        boxes = look_at_all(phone_at_the_patch.page, "#patch .figure", places)
        touching = [
            (box, other)
            for box, other in combinations(boxes, 2)
            if box["left"] < other["right"]
            and box["right"] > other["left"]
            and box["top"] + 4 < other["bottom"]
            and box["bottom"] > other["top"] + 4  # room above and below the digits
        ]
        assert touching == [], meant


def test_the_lines_next_to_the_thick_one_are_named(phone_at_the_patch: Player) -> None:
    """Most balls come down between them."""
    for meant, beside in ((46, {"40", "50"}), (55, {"50", "60"})):
        phone_at_the_patch.mean(meant)
        named = "all => all.map((figure) => figure.textContent)"
        assert beside <= set(look_at_all(phone_at_the_patch.page, "#patch .figure", named)), meant


def test_no_figure_reaches_into_the_tag_of_the_thick_line(phone_at_the_patch: Player) -> None:
    for meant in (46, 55, 72):
        phone_at_the_patch.mean(meant)
        gaps = look_at_all(
            phone_at_the_patch.page,
            "#patch .figure:not(.meant-figure)",
            """all => all.map((figure) => {
              const tag = document.querySelector(".meant-tag").getBBox();
              const foot = Number(figure.getAttribute("y"));
              const head = foot - 0.7 * parseFloat(getComputedStyle(figure).fontSize); // digits are .7 em high
              return Math.max(tag.y - foot, head - tag.y - tag.height);
            })""",
        )
        assert min(gaps) >= 0, meant


def test_every_figure_of_the_ground_lies_on_the_screen(phone_at_the_patch: Player) -> None:
    for meant in (99, 112, 190):
        phone_at_the_patch.mean(meant)
        places = "all => all.map((figure) => figure.getBoundingClientRect().left)"
        assert min(look_at_all(phone_at_the_patch.page, "#patch .figure", places)) >= 0, meant


def test_no_line_runs_through_a_figure_or_a_word_of_the_ground(phone_at_the_patch: Player) -> None:
    for meant in (58, 70, 77):
        phone_at_the_patch.mean(meant)
        struck = phone_at_the_patch.patch.evaluate(
            """(patch) => {
              const box = (one) => one.getBoundingClientRect();
              const crosses = (line, word) => line.left < word.right - 1 && line.right > word.left + 1
                && line.top < word.bottom - 3 && line.bottom > word.top + 3;
              const lines = [...patch.querySelectorAll(".edge, .reach, .between-lanes")].map(box);
              const apart = (word) => getComputedStyle(word).paintOrder.startsWith("stroke");
              const words = [...patch.querySelectorAll("text")].filter((word) => !apart(word));
              const isStruck = (word) => lines.some((line) => crosses(line, box(word)));
              return words.filter(isStruck).map((word) => word.textContent);
            }"""
        )
        assert struck == [], meant


NAMES = ("PW", "Wedge", "Gap wedge", "Pitching", "A wedge of forty letters, spaces counted")
MODES = ("make the swing", "hit the number")


def test_a_call_is_whole_however_its_wedge_is_named(meet: Callable[..., Player]) -> None:
    clubs = [a_club(name, 46) for name in NAMES]
    player = meet(facts=[*clubs, *(a_full_carry(club, 112) for club in clubs)])
    player.open()
    player.start_bucket()
    player.page.evaluate("document.fonts.ready.then(() => null)")
    for name, swing in product(NAMES, ("10:30", "full")):
        player.button("next call").tap()
        player.page.locator("#cells").get_by_role("button", name=re.compile(f"^{name} {swing},")).tap()
        expect(player.page.locator(".club-name")).to_have_text(name)
        expect(player.page.locator(".swing-name")).to_have_text(swing)
        for width, height in ((360, 640), (640, 360)):
            player.hold_at(width, height)
            expect_a_whole_call(player)
            turn_to_the_other_mode(player)
            expect_a_whole_call(player)


def turn_to_the_other_mode(player: Player) -> None:
    """By a touch on the line of truth."""
    called = player.page.locator("#called")
    is_swing = MODES[0] in (called.text_content() or "")
    player.page.locator("#truth").tap()
    expect(called).to_contain_text(MODES[is_swing])


def expect_a_whole_call(player: Player) -> None:
    """Club, arm, swing and number stand side by side within the call, the two last on one line each."""
    which = player.page.locator("#called").text_content(), player.page.viewport_size
    boxes = player.page.evaluate(BOXES_OF_THE_CALL)
    inside = boxes.pop("call")
    assert all(inside["left"] <= box["left"] < box["right"] <= inside["right"] for box in boxes.values()), which
    assert inside["top"] <= boxes["club"]["top"] < boxes["club"]["bottom"] <= inside["bottom"], which
    in_order = sorted(boxes.values(), key=lambda box: box["left"])
    assert all(one["right"] <= other["left"] for one, other in pairwise(in_order)), which
    assert (boxes["swing"]["lines"], boxes["number"]["lines"]) == (1, 1), which


def test_in_the_rain_words_and_ball_stand_apart_in_their_field(hitting: Player) -> None:
    hitting.button("More").tap()
    hitting.page.get_by_label("rain patch").check()
    hitting.settled()
    hitting.button("back to the patch").tap()
    hitting.page.evaluate("document.fonts.ready.then(() => null)")
    with hitting.in_one_breath():
        for row in range(3):
            hitting.hold_at(360, 640)
            hitting.tap_patch(1 / 6, (row + 0.5) / 3)
            for width, height in SCREENS_IN_THE_RAIN:
                # With larger text a phone held across has no two columns, since its widths are told in letters.
                for text in ("100%", "130%", "200%") if width < height else ("100%",):
                    hitting.hold_at(width, height, text)
                    seen = hitting.patch.evaluate(IN_THE_RAIN)
                    assert seen == {"mark": 1, "out": [], "struck": []}, (row, width, text)
            hitting.wait_out_fresh()


def test_a_lane_is_wide_enough_for_a_thumb(phone_at_the_patch: Player) -> None:
    expect(phone_at_the_patch.patch.locator("rect.lane")).to_have_count(5)
    wide = "all => all.map((lane) => lane.getBoundingClientRect().width)"
    assert min(look_at_all(phone_at_the_patch.page, "#patch rect.lane", wide)) >= 66  # the design's least at 360 px


def test_the_thumb_side_mirrors_the_buttons_and_never_the_lanes(hitting: Player) -> None:
    def order() -> list[str]:
        buttons = {
            name: hitting.button(name).bounding_box() for name in ("lost sight", "shank", "next call", "set aside")
        }
        return sorted(buttons, key=lambda name: (buttons[name] or {"x": 0})["x"])

    assert order() == ["lost sight", "shank", "next call", "set aside"]
    hitting.page.evaluate("document.body.dataset.thumb = 'left'")
    assert order() == ["set aside", "next call", "shank", "lost sight"]
    assert hitting.patch.locator(".lane-name").all_text_contents() == ["fat", "heavy", "clean", "thin", "bladed"]


def test_the_edge_of_a_fresh_ball_drains_but_not_with_every_picture(hitting: Player) -> None:
    """An animation of four seconds kept a phone drawing for most of what a ball costs it."""
    # Found and read in one step: the patch may be drawn anew between two, and what left the page has no style.
    drained = """() => {
      const style = getComputedStyle(document.querySelector("#patch .draining .ring"));
      return [style.animationName, parseFloat(style.strokeDashoffset)];
    }"""
    with hitting.in_one_breath():
        hitting.touch(52, "clean")
        assert hitting.page.evaluate(drained) == ["none", 0]
        hitting.page.clock.run_for(FRESH_MS // 2)
        assert hitting.page.evaluate(drained) == ["none", pytest.approx(50, abs=5)]
        hitting.page.emulate_media(reduced_motion="reduce")
        assert hitting.page.evaluate(drained) == ["none", 0]
