"""Sheets over the ground open at their top, where their question and the names of the wedges stand.

Source: the touch rules of the project's design: the screen says what a touch does.
"""

from collections.abc import Callable

import pytest
from playwright.sync_api import Locator, expect

from .player import Player
from .waiting import look_at_all

# Whether what stands on a button reaches over its sides.
IS_CUT = """all => all.map((button) => {
  const [inner, outer] = [document.createRange(), button.getBoundingClientRect()];
  inner.selectNodeContents(button);
  const { left, right } = inner.getBoundingClientRect();
  return left < outer.left || right > outer.right;
})"""


def next_call(hitting: Player) -> Locator:
    """The swing table, for the next ball."""
    hitting.button("next call").tap()
    expect(hitting.page.get_by_role("heading", name="Next call")).to_be_visible()
    return hitting.page.locator("#swings")


def wrong_call(hitting: Player) -> Locator:
    """The swing table, for balls that were noted under the wrong call."""
    hitting.page.get_by_role("button", name="the call, ").tap()
    expect(hitting.page.get_by_role("heading", name="Which was it really?")).to_be_visible()
    return hitting.page.locator("#swings")


def more(hitting: Player) -> Locator:
    """What holds for the bucket."""
    hitting.button("More").tap()
    return hitting.page.locator("#more")


@pytest.mark.parametrize("opened", [next_call, wrong_call, more])
def test_a_sheet_that_was_scrolled_opens_at_its_top_again(hitting: Player, opened: Callable[[Player], Locator]) -> None:
    sheet = opened(hitting)
    assert sheet.evaluate("(sheet) => { sheet.scrollTop = 9999; return sheet.scrollTop; }") > 0
    hitting.page.keyboard.press("Escape")
    expect(sheet).to_be_hidden()
    opened(hitting)
    assert sheet.evaluate("(sheet) => sheet.scrollTop") == 0


def test_how_a_call_is_meant_is_readable_on_a_small_phone_before_scrolling(hitting: Player) -> None:
    sheet = next_call(hitting)
    words = """all => all.map((key) => {
      const range = document.createRange();
      range.selectNodeContents(key);
      return range.getBoundingClientRect().bottom;
    })"""
    ends = sheet.locator("[data-mode]").evaluate_all(words)
    foot = hitting.page.locator(".deeds").evaluate("(foot) => foot.getBoundingClientRect().top")
    assert max(ends) <= foot


def test_from_which_ball_on_opens_at_the_last_ball_by_its_number(hitting: Player) -> None:
    for place in range(14):
        hitting.tap_patch(0.5, 0.5 - place % 3 / 20)
        hitting.wait_out_fresh()
    wrong_call(hitting)
    hitting.cell("51", "9:00").tap()
    expect(hitting.page.get_by_role("heading", name="From which ball on?")).to_be_focused()
    balls = hitting.page.locator("#which-balls .ball")
    expect(balls.last).to_be_in_viewport(ratio=1)
    places = "all => all.map((one) => one.getBoundingClientRect().toJSON())"
    last, keys = look_at_all(hitting.page, "#which-balls li:last-child .ball, .deeds", places)
    assert last["bottom"] <= keys["top"]
    expect(balls.locator(".place")).to_have_text([f"{place}." for place in range(1, 15)])
    hitting.page.evaluate("document.documentElement.style.fontSize = '200%'")
    assert not any(look_at_all(hitting.page, "#which-balls .ball", IS_CUT))
    balls.last.tap()
    expect(hitting.patch).to_be_focused()


def test_the_way_out_of_the_next_call_is_in_sight_and_what_rests_below_looks_so(hitting: Player) -> None:
    color = "(one) => getComputedStyle(one).color"
    key, soft = hitting.button("lost sight"), hitting.page.locator(".line #saved").evaluate(color)
    assert key.evaluate(color) != soft
    next_call(hitting)
    out = hitting.button("back to the patch")
    keys = hitting.page.locator(".deeds").bounding_box()
    box = out.bounding_box()
    assert box
    assert keys
    assert box["y"] + box["height"] <= keys["y"]
    for resting in hitting.page.locator("#call, .deeds button, .ball").all():
        assert resting.evaluate(color) == soft
    out.tap()
    expect(hitting.patch).to_be_visible()
    assert key.evaluate(color) != soft
