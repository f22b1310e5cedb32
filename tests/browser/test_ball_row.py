"""The row of the last five balls: whole however a ball is named, apart from the line above, and marked when set aside.

Sources: the touch rules of the project's design; the 6 px between two things to press are our choice, no source.
"""

from collections.abc import Callable

from playwright.sync_api import expect

from tests.factories import a_bucket, a_shot, raw, the_demo_set
from webapp.moments import moved

from .chromium import now
from .player import Player
from .waiting import look_at_all

APART_PX = 6
LEAST_TICK_PX = 10
# What of a ball lies outside its button: its sign, its figure with the ring round it, its tick.
CUT = """all => all.flatMap((ball) => {
  const outer = ball.getBoundingClientRect();
  const [sign, value] = [...ball.children].map((part) => part.getBoundingClientRect());
  const squeezed = sign.right > value.left || sign.width < 16;
  const cut = [...ball.children].filter((part) => {
    const inner = part.getBoundingClientRect();
    return inner.left < outer.left || inner.right > outer.right || inner.top < outer.top || inner.bottom > outer.bottom;
  });
  return [...cut.map((part) => part.outerHTML), ...(squeezed ? [ball.outerHTML] : [])];
})"""


def strike_five(hitting: Player) -> None:
    """Far off and three digits long, over, short, lost with a strike, and a plain one."""
    hitting.mean(104)
    hitting.touch(112, "clean")
    hitting.wait_out_fresh()
    for landed, contact in (("way over", "bladed"), ("way short", "fat")):
        hitting.touch(landed, contact)
        hitting.wait_out_fresh()
    hitting.button("lost sight").tap()
    hitting.settled()
    hitting.tap_patch(0.3, 0.5)
    hitting.wait_out_fresh()
    hitting.touch(90, "clean")
    hitting.wait_out_fresh()
    values = hitting.page.locator("#balls .value")
    expect(values).to_have_text(["112", "over", "short", "lost", "90"])
    expect(hitting.page.locator("#balls .kept")).to_have_count(5)


def moved_once(player: Player) -> None:
    """A ball that a second touch moved, beside which stands that it may be two."""
    with player.in_one_breath():
        player.tap_patch(0.5, 0.5)
        player.tap_patch(0.5, 0.4)
    player.wait_out_fresh()


def test_a_moved_ball_that_is_chosen_says_what_a_touch_does_beside_its_offer(hitting: Player) -> None:
    moved_once(hitting)
    strip = hitting.page.locator("#strip")
    expect(strip).to_have_text("moved2 balls")
    hitting.ball(1).tap()
    expect(strip).to_have_text("ball 1: touch where it came down2 balls")
    hitting.ball(1).tap()
    expect(strip).to_have_text("moved2 balls")


def test_the_guide_of_a_first_ball_stands_before_an_offer_and_a_chosen_ball_before_both(player: Player) -> None:
    player.open()
    player.start_bucket()
    expect(player.page.locator("#guide")).to_contain_text("Up is longer.")
    moved_once(player)
    guide, strip = player.page.locator("#guide"), player.page.locator("#strip")
    expect(guide).to_contain_text("This lane is a clean strike.")
    expect(strip).to_be_hidden()
    player.ball(1).tap()
    expect(guide).to_be_hidden()
    expect(strip).to_have_text("ball 1: touch where it came down2 balls")
    player.ball(1).tap()
    player.button("I know").tap()
    expect(strip).to_have_text("moved2 balls")


def test_nothing_of_a_ball_is_cut(hitting: Player) -> None:
    strike_five(hitting)
    hitting.page.evaluate("document.fonts.ready.then(() => null)")
    for width, text in ((320, "100%"), (360, "100%"), (390, "100%"), (360, "200%")):
        hitting.hold_at(width, 640, text)
        assert look_at_all(hitting.page, "#balls .ball", CUT) == [], (width, text)
        ticks = look_at_all(
            hitting.page, "#balls .state", "all => all.map((tick) => parseFloat(getComputedStyle(tick).fontSize))"
        )
        assert min(ticks) >= LEAST_TICK_PX, (width, text)
    hitting.hold_at(640, 360)
    assert look_at_all(hitting.page, "#balls .ball", CUT) == [], "held across"


def test_nothing_of_a_ball_told_in_the_rain_is_cut(hitting: Player) -> None:
    """Its figure has a sign before it that is wider than a digit."""
    hitting.mean(104)
    hitting.button("More").tap()
    hitting.page.get_by_label("rain patch").check()
    hitting.button("back to the patch").tap()
    hitting.settled()  # the ground stands before the rain patch is chosen and drawn
    for down in (0.2, 0.5, 0.8):
        hitting.tap_patch(0.5, down)
        hitting.wait_out_fresh()
    hitting.page.evaluate("document.fonts.ready.then(() => null)")
    assert all("≈" in ball for ball in hitting.balls())
    for screen in ((320, 568, "100%"), (360, 640, "100%"), (390, 844, "100%"), (412, 915, "100%"),
                   (360, 640, "200%"), (640, 360, "100%")):  # fmt: skip
        hitting.hold_at(*screen)
        assert look_at_all(hitting.page, "#balls .ball", CUT) == [], screen


def test_an_offer_keeps_its_distance_from_the_balls_below(hitting: Player) -> None:
    with hitting.in_one_breath():
        hitting.touch(52, "clean")
        hitting.touch(56, "clean")
        offer, ball = hitting.button("2 balls").bounding_box(), hitting.ball().bounding_box()
    assert offer
    assert ball
    assert ball["y"] - (offer["y"] + offer["height"]) >= APART_PX


def test_a_shank_that_is_set_aside_looks_so(hitting: Player) -> None:
    """It has no figure that could be struck through."""
    looks = "all => all.map((ball) => getComputedStyle(ball).borderStyle)"
    for _ in range(2):
        hitting.button("shank").tap()
        hitting.settled()
        hitting.wait_out_fresh()
    assert look_at_all(hitting.page, "#balls .ball", looks) == ["solid", "solid"]
    hitting.button("set aside").tap()
    expect(hitting.button("restore")).to_be_visible()
    assert look_at_all(hitting.page, "#balls .ball", looks) == ["solid", "dotted"]


def test_a_ball_whose_correction_leaves_its_carry_out_reads_lost(meet: Callable[..., Player]) -> None:
    """As its own page writes one, and another phone may."""
    begun, bag = moved(now(), seconds=-60), the_demo_set(now())
    bucket = a_bucket(begun)
    ball = a_shot(bucket, bag[2], 54, begun)
    told = {name: value for name, value in ball["body"].items() if name != "carry_m"}
    lost = raw("shot", {**told, "landed": "unseen"}, moved(begun, seconds=9), ball["root"])
    player = meet(facts=[*bag, bucket, ball, lost])
    player.open()
    expect(player.ball()).to_have_accessible_name("ball 1: lost clean, copied")
