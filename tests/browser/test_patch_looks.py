"""The landing patch as it is drawn: figures that keep apart, lanes for a thumb, buttons on the thumb's side.

Sources: the least lane and the thumb side are decisions of the project's design.
"""

from collections.abc import Callable
from itertools import combinations, pairwise

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


@pytest.mark.parametrize("meant", [46, 52, 53, 54, 55, 57, 58, 61, 63, 71, 95])
def test_no_figures_of_the_ground_touch_one_another(hitting: Player, meant: int) -> None:
    hitting.mean(meant)
    places = "all => all.map((figure) => figure.getBoundingClientRect().toJSON())"
    boxes = look_at_all(hitting.page, "#patch .figure", places)
    touching = [
        (box, other)
        for box, other in combinations(boxes, 2)
        if box["left"] < other["right"]
        and box["right"] > other["left"]
        and box["top"] + 4 < other["bottom"]
        and box["bottom"] > other["top"] + 4  # room above and below the digits
    ]
    assert touching == []


@pytest.mark.parametrize(("meant", "beside"), [(46, {"40", "50"}), (55, {"50", "60"})])
def test_the_lines_next_to_the_thick_one_are_named(hitting: Player, meant: int, beside: set[str]) -> None:
    """Most balls come down between them."""
    hitting.mean(meant)
    assert beside <= set(look_at_all(hitting.page, "#patch .figure", "all => all.map((figure) => figure.textContent)"))


@pytest.mark.parametrize("meant", [46, 55, 72])
def test_no_figure_reaches_into_the_tag_of_the_thick_line(hitting: Player, meant: int) -> None:
    hitting.mean(meant)
    gaps = look_at_all(
        hitting.page,
        "#patch .figure:not(.meant-figure)",
        """all => all.map((figure) => {
          const tag = document.querySelector(".meant-tag").getBBox();
          const foot = Number(figure.getAttribute("y"));
          const head = foot - 0.7 * parseFloat(getComputedStyle(figure).fontSize); // digits are .7 em high
          return Math.max(tag.y - foot, head - tag.y - tag.height);
        })""",
    )
    assert min(gaps) >= 0


@pytest.mark.parametrize("meant", [99, 112, 190])
def test_every_figure_of_the_ground_lies_on_the_screen(hitting: Player, meant: int) -> None:
    hitting.mean(meant)
    lefts = look_at_all(
        hitting.page, "#patch .figure", "all => all.map((figure) => figure.getBoundingClientRect().left)"
    )
    assert min(lefts) >= 0


@pytest.mark.parametrize("meant", [58, 70, 77])
def test_no_line_runs_through_a_figure_or_a_word_of_the_ground(hitting: Player, meant: int) -> None:
    hitting.mean(meant)
    struck = hitting.patch.evaluate(
        """(patch) => {
          const box = (one) => one.getBoundingClientRect();
          const crosses = (line, word) => line.left < word.right - 1 && line.right > word.left + 1
            && line.top < word.bottom - 3 && line.bottom > word.top + 3;
          const lines = [...patch.querySelectorAll(".edge, .reach, .between-lanes")].map(box);
          const apart = (word) => getComputedStyle(word).paintOrder.startsWith("stroke");
          const words = [...patch.querySelectorAll("text")].filter((word) => !apart(word));
          return words.filter((word) => lines.some((line) => crosses(line, box(word)))).map((word) => word.textContent);
        }"""
    )
    assert struck == []


@pytest.mark.parametrize("mode", ["make the swing", "hit the number"])
@pytest.mark.parametrize("name", ["PW", "Wedge", "Gap wedge", "Pitching", "A wedge of forty letters, spaces counted"])
def test_a_call_is_whole_however_its_wedge_is_named(meet: Callable[..., Player], name: str, mode: str) -> None:
    club = a_club(name, 46)
    player = meet(facts=[club, a_full_carry(club, 112)])
    player.open()
    player.start_bucket()
    for swing in ("10:30", "full"):
        player.button("next call").tap()
        player.button(mode).tap()
        player.cell(name, swing).tap()
        expect(player.page.locator(".swing-name")).to_have_text(swing)
        for width, height in ((360, 640), (640, 360)):
            player.page.set_viewport_size({"width": width, "height": height})
            expect_a_whole_call(player)


def expect_a_whole_call(player: Player) -> None:
    """Club, arm, swing and number stand side by side within the call, the two last on one line each."""
    boxes = player.page.evaluate(BOXES_OF_THE_CALL)
    inside = boxes.pop("call")
    assert all(inside["left"] <= box["left"] < box["right"] <= inside["right"] for box in boxes.values())
    assert inside["top"] <= boxes["club"]["top"] < boxes["club"]["bottom"] <= inside["bottom"]
    in_order = sorted(boxes.values(), key=lambda box: box["left"])
    assert all(one["right"] <= other["left"] for one, other in pairwise(in_order))
    assert (boxes["swing"]["lines"], boxes["number"]["lines"]) == (1, 1)


@pytest.mark.parametrize("row", [0, 1, 2])
def test_in_the_rain_words_and_ball_stand_apart_in_their_field(hitting: Player, row: int) -> None:
    hitting.button("More").tap()
    hitting.page.get_by_label("rain patch").check()
    hitting.button("back to the patch").tap()
    hitting.page.evaluate("document.fonts.ready.then(() => null)")
    with hitting.in_one_breath():
        hitting.tap_patch(1 / 6, (row + 0.5) / 3)
        for width, height in SCREENS_IN_THE_RAIN:
            # With larger text a phone held across has no two columns, since its widths are told in letters.
            for text in ("100%", "130%", "200%") if width < height else ("100%",):
                hitting.hold_at(width, height, text)
                assert hitting.patch.evaluate(IN_THE_RAIN) == {"mark": 1, "out": [], "struck": []}, (width, text)


def test_a_lane_is_wide_enough_for_a_thumb(hitting: Player) -> None:
    lanes = hitting.patch.locator("rect.lane")
    expect(lanes).to_have_count(5)
    widths = look_at_all(
        hitting.page, "#patch rect.lane", "all => all.map((lane) => lane.getBoundingClientRect().width)"
    )
    assert min(widths) >= 66  # the design's least lane at 360 px


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
