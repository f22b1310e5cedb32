"""The call above the ground: said aloud when it is another one, and what stands there while a player warms up.

Source: the touch rules of the project's design.
"""

import re

from playwright.sync_api import expect

from .player import Player


def test_the_call_is_said_aloud_whenever_it_is_another_one(hitting: Player) -> None:
    called = hitting.page.locator("#called")
    expect(called).to_have_text("56 9:00 54, make the swing")
    hitting.page.locator("#truth").tap()
    expect(called).to_have_text("56 9:00 60, hit the number")
    hitting.call("60", "full")
    expect(called).to_have_text(re.compile(r"^60 full 7\d, hit the number$"))
    expect(hitting.page.get_by_role("button", name=re.compile(r"^the call, 60 full 7\d ; touch it"))).to_be_visible()


def test_a_meant_carry_that_is_hidden_is_not_said_aloud(hitting: Player) -> None:
    hitting.button("More").tap()
    hitting.page.get_by_label("hide the meant carry when I make the swing").check()
    hitting.button("back to the patch").tap()
    expect(hitting.page.locator("#called")).to_have_text("56 9:00, make the swing")


def test_warm_up_balls_are_only_counted(hitting: Player) -> None:
    hitting.button("More").tap()
    hitting.page.get_by_role("checkbox", name="warm-up, not counted").check()
    hitting.button("back to the patch").tap()
    expect(hitting.page.locator("#truth")).to_have_text("warm-up – not counted")
    expect(hitting.page.locator("#why .mode")).to_have_text("then 56 9:00")
    expect(hitting.page.locator("#called")).to_have_text("then 56 9:00 54, make the swing")
    in_large = hitting.page.locator("#call > :not(.visually-hidden)").filter(visible=True)
    expect(in_large).to_have_text(["warm-up"])  # a first-timer swings what stands there
    for deed in ("lost sight", "shank", "set aside"):
        expect(hitting.button(deed)).to_be_disabled()
    for n in range(1, 4):
        hitting.page.get_by_role("button", name="one more").tap()
        expect(hitting.page.locator("#warm-count")).to_have_text(str(n))
    hitting.button("start counting").tap()
    expect(hitting.patch).to_be_visible()
    expect(hitting.page.locator("#why .mode")).to_have_text("make the swing")
    expect(in_large).to_have_text(["56", "", "9:00", "54"])
    expect(hitting.button("shank")).to_be_enabled()
    assert hitting.shots() == []


def test_a_touch_on_the_line_of_truth_ends_the_warm_up(hitting: Player) -> None:
    hitting.button("More").tap()
    hitting.page.get_by_role("checkbox", name="warm-up, not counted").check()
    hitting.button("back to the patch").tap()
    hitting.page.get_by_role("button", name="warm-up – not counted; touch to end it").tap()
    expect(hitting.patch).to_be_visible()
    expect(hitting.page.locator("#truth")).to_have_text("counts for the card")


def test_the_figures_of_a_swing_stand_in_the_middle_of_the_wedges_tile(hitting: Player) -> None:
    hitting.page.evaluate("document.fonts.ready.then(() => null)")
    off = hitting.page.locator("#call .swing-name").evaluate("""(name) => {
      const { font, lineHeight } = getComputedStyle(name);
      const pen = Object.assign(document.createElement("canvas").getContext("2d"), { font });
      const letters = pen.measureText("9:00");
      const { fontBoundingBoxAscent: above, fontBoundingBoxDescent: below } = letters;
      const line = name.getBoundingClientRect().top + (parseFloat(lineHeight) - above - below) / 2 + above;
      const tile = document.querySelector("#call .club-name").getBoundingClientRect();
      return line - letters.actualBoundingBoxAscent / 2 - (tile.top + tile.bottom) / 2;
    }""")
    assert abs(off) <= 3
