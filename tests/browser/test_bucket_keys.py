"""The open bucket by keys alone: they choose what a touch could have meant, and nothing else.

Sources: the touch rules of the project's design; WCAG 2.2, 2.1.1 keyboard (from memory).
"""

from playwright.sync_api import expect

from .player import Player
from .test_patch import carries
from .waiting import until_all_taken, until_idle

# What cuts the ring round the key in focus: the screen, or a part that shows nothing outside itself.
OUTSIDE = """(key) => {
  const { outlineStyle, outlineOffset, outlineWidth } = getComputedStyle(key);
  const reach = parseFloat(outlineOffset) + parseFloat(outlineWidth);
  const own = key.getBoundingClientRect();
  const fits = ({ left, top, right, bottom }) =>
    Math.min(own.left - left, own.top - top, right - own.right, bottom - own.bottom) >= reach;
  if (outlineStyle === "none") return "no ring";
  if (!fits({ left: 0, top: 0, right: innerWidth, bottom: innerHeight })) return "the screen";
  for (let around = key.parentElement; around; around = around.parentElement) {
    const cuts = getComputedStyle(around).overflow === "hidden";
    if (cuts && !fits(around.getBoundingClientRect())) return around.className || around.id;
  }
  return "";
}"""


def by_keys(hitting: Player, *keys: str) -> str:
    """The figure that stands above the ground once these keys are pressed on it."""
    hitting.patch.focus()
    for key in keys:
        hitting.page.keyboard.press(key)
    return hitting.readout()


def enter(hitting: Player) -> None:
    """Press Enter on what is in focus, and wait until that is done."""
    hitting.page.keyboard.press("Enter")
    hitting.settled()


def test_arrows_name_the_strike_of_a_lost_ball_and_note_no_other(hitting: Player) -> None:
    with hitting.in_one_breath():
        hitting.button("lost sight").tap()
        hitting.settled()
        assert by_keys(hitting, "ArrowUp") == "lost sight clean"
        assert by_keys(hitting, "ArrowUp", "ArrowLeft") == "lost sight heavy"
        enter(hitting)
    assert [(shot["contact"], shot["carry_m"]) for shot in hitting.shots()] == [("heavy", None)]


def test_a_strike_chosen_too_late_for_a_lost_ball_notes_none(hitting: Player) -> None:
    with hitting.in_one_breath():
        hitting.button("lost sight").tap()
        hitting.settled()
        assert by_keys(hitting, "ArrowLeft", "ArrowLeft") == "lost sight heavy"
    hitting.wait_out_fresh()
    hitting.page.wait_for_function("() => document.querySelector('#patch .meant')")
    assert not hitting.readout_shows()
    enter(hitting)
    assert hitting.readout() == "54 clean"
    assert [shot["contact"] for shot in hitting.shots()] == [""]


def test_arrows_step_over_the_nine_fields_in_rain(hitting: Player) -> None:
    hitting.button("More").tap()
    hitting.page.get_by_label("rain patch").check()
    hitting.button("back to the patch").tap()
    hitting.settled()
    assert by_keys(hitting, "ArrowUp") == "in clean"
    assert by_keys(hitting, "ArrowUp", "ArrowUp", "ArrowRight", "ArrowRight") == "long thin"
    enter(hitting)
    (shot,) = hitting.shots()
    assert shot["coarse"]
    assert shot["contact"] == "thin"
    assert shot["carry_m"] > shot["meant_carry_m"] * 1.1


def test_a_ball_reopened_by_keys_keeps_the_focus_and_starts_at_its_own_reading(hitting: Player) -> None:
    for carry, contact in ((51, "heavy"), (58, "thin")):
        hitting.touch(carry, contact)
        hitting.wait_out_fresh()
    expect(hitting.page.locator("#balls .kept")).to_have_count(2)
    first = hitting.ball(2)
    first.focus()
    for words in ("ball 1: touch where it came down", ""):
        enter(hitting)
        expect(first).to_be_focused()
        expect(hitting.page.locator("#said")).to_have_text(words)
    enter(hitting)
    assert by_keys(hitting, "ArrowUp") == "51 heavy"
    assert by_keys(hitting, "ArrowUp") == "52 heavy"
    enter(hitting)
    assert carries(hitting) == [52, 58]


def test_a_reopened_ball_that_nobody_saw_starts_at_the_meant_carry_with_its_strike(hitting: Player) -> None:
    hitting.button("lost sight").tap()
    hitting.settled()
    hitting.tap_patch(0.3, 0.5)
    hitting.wait_out_fresh()
    hitting.ball().tap()
    expect(hitting.ball()).to_have_attribute("aria-pressed", "true")
    assert by_keys(hitting, "ArrowUp") == "54 heavy"
    enter(hitting)
    (shot,) = hitting.shots()
    assert (shot["contact"], shot["landed"]) == ("heavy", "seen")
    assert carries(hitting) == [54]


def test_a_ball_set_aside_is_said_with_its_number(hitting: Player) -> None:
    said = hitting.page.locator("#said")
    for carry in (51, 58):
        hitting.touch(carry, "clean")
        hitting.wait_out_fresh()
    hitting.button("set aside").tap()
    expect(said).to_have_text("ball 2 set aside")
    hitting.button("restore").tap()
    expect(said).to_have_text("ball 2 counted again")
    hitting.ball(2).tap()
    expect(hitting.ball(2)).to_have_attribute("aria-pressed", "true")
    hitting.button("set aside").tap()
    expect(said).to_have_text("ball 1 set aside")


def test_what_a_ball_becomes_is_said_once(hitting: Player) -> None:
    """A reader hears each change of a live region, also one to the words that stood there."""
    hitting.page.evaluate(
        """() => {
          globalThis.heard = [];
          const watch = new MutationObserver((all) => heard.push(...all.map(({ target }) => target.textContent)));
          for (const live of document.querySelectorAll(".line [role=status], #said")) {
            watch.observe(live, { childList: true, characterData: true, subtree: true });
          }
          globalThis.drawn = 0;
          const saved = document.querySelector("#saved");
          new MutationObserver((all) => { drawn += all.length; }).observe(saved, { childList: true });
        }"""
    )
    hitting.touch(55, "clean")
    until_all_taken(hitting.page, hitting.book_id)
    expect(hitting.page.locator("#saved")).to_have_text("copied")
    until_idle(hitting.page)
    assert hitting.page.evaluate("heard") == ["ball 1: 55 clean, saved on this phone"]
    assert hitting.page.evaluate("drawn") == 2


def test_the_ring_of_a_key_at_the_edge_is_whole(hitting: Player) -> None:
    hitting.touch(55, "clean")  # without a ball there is none to set aside
    keys = hitting.page.locator(":is(.line, .deeds) button, #call")
    hitting.page.keyboard.press("Tab")
    for key in keys.filter(visible=True).all():
        key.focus()
        assert key.evaluate(OUTSIDE) == "", key
