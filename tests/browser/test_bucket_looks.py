"""The bucket page in every state: nothing for the accessibility checker to report, nothing lost at 200% text.

Sources: axe-core's rules (WCAG 2.1 A and AA and best practice), by the installed package axe-playwright-python;
the 48 px of a target and 320 px at 200% are decisions of the project's design.
"""

from collections.abc import Callable, Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, expect

from tests.factories import a_club, raw, the_demo_set

from .chromium import now
from .conftest import as_before, expect_axe_finds_nothing, phones
from .player import Player
from .server import Server
from .waiting import look_at_all


def start_page(player: Player) -> None:
    """Before any bucket."""


def patch(player: Player) -> None:
    """Three balls: one set aside, one reopened, one fresh."""
    player.start_bucket()
    for carry in (52, 55):
        player.touch(carry, "clean")
        player.wait_out_fresh()
    player.button("set aside").tap()
    player.settled()
    player.touch(50, "thin")
    player.ball(3).tap()


def moved(player: Player) -> None:
    """A ball just moved, with "2 balls" on offer for as long as it is looked at."""
    move_a_ball(player)
    hold_the_offer(player)


def hold_the_offer(player: Player) -> None:
    """The clock stands, so that what is on offer stays; timers run, which the checker itself needs."""
    player.page.clock.set_fixed_time(player.page.evaluate("Date.now()") / 1000)


def move_a_ball(player: Player) -> None:
    player.start_bucket()
    with player.in_one_breath():
        player.touch(52, "clean")
        player.touch(55, "fat")
    expect(player.button("2 balls")).to_be_visible()


def asked(player: Player) -> None:
    """The question about every tenth ball, with its three answers."""
    player.start_bucket()
    for _ in range(10):
        player.tap_patch(0.5, 0.5)
        player.wait_out_fresh()
    expect(player.page.locator("#strip")).to_contain_text("that swing:")
    hold_the_offer(player)


def next_call(player: Player) -> None:
    """The swing table over the patch."""
    player.start_bucket()
    player.button("next call").tap()


def wrong_call(player: Player) -> None:
    """The list of balls that a wrong call was for."""
    move_a_ball(player)
    player.page.get_by_role("button", name="the call, ").tap()
    player.cell("51", "full").tap()
    expect(player.page.get_by_role("heading", name="From which ball on?")).to_be_visible()


def more(player: Player) -> None:
    """The sheet behind "More"."""
    player.start_bucket()
    player.button("More").tap()


def warm_up(player: Player) -> None:
    """Warm-up balls."""
    more(player)
    player.page.get_by_role("checkbox", name="warm-up, not counted").check()
    player.button("back to the patch").tap()
    player.settled()


def rain(player: Player) -> None:
    """The rain patch."""
    more(player)
    player.page.get_by_label("rain patch").check()
    player.button("back to the patch").tap()
    player.settled()


def covered(player: Player) -> None:
    """The cover of an idle patch."""
    player.start_bucket()
    player.let_pass(91_000)
    expect(player.button("touch to go on")).to_be_visible()


STATES = [start_page, patch, moved, asked, next_call, wrong_call, more, warm_up, rain, covered]


@pytest.fixture(scope="module", params=STATES, ids=lambda state: state.__name__)
def walked(request: pytest.FixtureRequest, browser: Browser, server: Server) -> Iterator[Player]:
    """A phone that was walked into a state once, for every test that looks at it."""
    with phones(browser, server) as meet:
        player = meet()
        player.open()
        request.param(player)
        yield player
        assert player.faults == []


@pytest.fixture
def shown(walked: Player) -> Player:
    """A phone in that state, as it was before anybody looked."""
    return as_before(walked)


def only(*states: Callable[[Player], None]) -> pytest.MarkDecorator:
    """A test that looks at these states alone."""
    return pytest.mark.parametrize("walked", states, ids=[state.__name__ for state in states], indirect=True)


def test_the_accessibility_checker_has_nothing_to_report(shown: Player) -> None:
    expect_axe_finds_nothing(shown.page)


def test_at_320_px_and_twice_the_text_nothing_is_cut_off_sideways(shown: Player) -> None:
    shown.page.set_viewport_size({"width": 320, "height": 640})
    shown.page.evaluate("document.documentElement.style.fontSize = '200%'")
    wide = shown.page.evaluate(
        """() => [...document.querySelectorAll("main *")].filter((one) => one.getClientRects().length)
          .filter((one) => !one.closest("svg, .visually-hidden, #readout"))
          .filter((one) => one.getBoundingClientRect().right > innerWidth + 1 || one.getBoundingClientRect().left < -1)
          .map((one) => one.outerHTML.slice(0, 120))"""
    )
    assert wide == []


def test_the_call_stands_whole_in_its_line(hitting: Player) -> None:
    hitting.page.evaluate("document.fonts.ready.then(() => null)")
    for mode in ("make the swing", "hit the number"):
        expect(hitting.page.locator("#called")).to_contain_text(mode)
        for width, text in ((360, "100%"), (390, "200%"), (430, "200%")):
            hitting.hold_at(width, 844, text)
            cut = look_at_all(
                hitting.page,
                "#call > :not(.visually-hidden)",
                """all => all.filter((one) => one.checkVisibility()).filter((one) => {
                    const [part, head] = [one, one.parentElement].map((some) => some.getBoundingClientRect());
                    // figures leave the foot of a line empty
                    return part.top < head.top || part.bottom > head.bottom + 4;
                  }).map((one) => one.className)""",
            )
            assert cut == [], (mode, width, text)
        hitting.page.locator("#truth").tap()


@pytest.mark.parametrize(("width", "text"), [(360, "100%"), (320, "100%"), (320, "200%")])
@only(moved, asked)
def test_every_word_of_an_offer_stands_inside_its_button(shown: Player, width: int, text: str) -> None:
    shown.page.set_viewport_size({"width": width, "height": 640})
    shown.page.evaluate("(text) => { document.documentElement.style.fontSize = text; }", text)
    cut = look_at_all(
        shown.page,
        "#strip > *",
        """all => all.filter((one) => {
            const words = document.createRange();
            words.selectNodeContents(one);
            const [inner, outer, strip] = [words, one, one.parentElement].map((it) => it.getBoundingClientRect());
            return inner.left < outer.left - 1 || inner.right > outer.right + 1 || outer.right > strip.right + 1
              || inner.top < strip.top - 1 || inner.bottom > strip.bottom + 1
              || (one.tagName === "BUTTON" && outer.width < 48);
          }).map((one) => one.outerHTML)""",
    )
    assert cut == []


def test_six_wedges_of_six_swings_stand_side_by_side_inside_their_cells(meet: Callable[..., Player]) -> None:
    at = now()
    swings = [raw("swing", {"swing_deg": deg, "name": ""}, at) for deg in (30.0, 45.0, 60.0, 90.0, 135.0, 180.0)]
    wedges = [a_club(name, made_at=at) for name in ("43", "64")]
    player = meet(facts=[*the_demo_set(at), *wedges, *swings])
    player.open()
    next_call(player)
    player.page.evaluate("document.fonts.ready.then(() => null)")
    for width in (320, 360):
        player.page.set_viewport_size({"width": width, "height": 640})
        player.page.wait_for_function("(width) => document.documentElement.clientWidth === width", arg=width)
        cut = look_at_all(
            player.page,
            "#cells :is(th, button)",
            """all => all.filter((one) => {
                const words = document.createRange();
                words.selectNodeContents(one);
                const [inner, outer] = [words.getBoundingClientRect(), one.getBoundingClientRect()];
                return inner.left < outer.left - 1 || inner.right > outer.right + 1;
              }).map((one) => one.textContent)""",
        )
        assert cut == [], width
        lines = look_at_all(
            player.page,
            "#cells th[scope=row]",
            """all => all.map((one) => {
                const name = document.createRange();
                name.selectNodeContents(one.lastChild);
                return name.getClientRects().length;
              })""",
        )
        assert lines == [1] * 6, width


def test_the_top_line_keeps_to_one_line_when_balls_wait(hitting: Player) -> None:
    hitting.context.set_offline(True)
    for _ in range(10):
        hitting.tap_patch(0.5, 0.5)
        hitting.wait_out_fresh()
    expect(hitting.page.locator("[data-waiting]")).to_have_text("saved on this phone 10")
    bottom = "all => all.map((one) => one.getBoundingClientRect().bottom)"
    (line,) = look_at_all(hitting.page, ".line", bottom)
    assert max(look_at_all(hitting.page, ".line > *", bottom)) <= line


@pytest.mark.parametrize("height", [568, 640])
@pytest.mark.parametrize("text", ["100%", "200%"])
@only(warm_up)
def test_a_warm_ups_words_stand_apart(shown: Player, text: str, height: int) -> None:
    shown.page.set_viewport_size({"width": 360, "height": height})
    shown.page.evaluate("(text) => { document.documentElement.style.fontSize = text; }", text)
    ends = look_at_all(
        shown.page,
        "#warm-title, #warm-ball, #warm-done",
        """all => all.flatMap((one) => {
          const words = document.createRange();
          words.selectNodeContents(one);
          const [inner, outer] = [words, one].map((it) => it.getBoundingClientRect());
          return [Math.min(inner.top, outer.top), Math.max(inner.bottom, outer.bottom)];
        })""",
    )
    assert ends == sorted(ends)
    assert ends[-1] <= shown.page.locator(".ground").evaluate("one => one.getBoundingClientRect().bottom")


@only(more)
def test_what_the_words_mean_has_more_room_than_the_words(shown: Player) -> None:
    shown.page.locator("details:has(.meanings)").evaluate("one => { one.open = true; }")
    widths = look_at_all(
        shown.page, "#more .meanings > *", "all => all.map((one) => [one.tagName, one.getBoundingClientRect().width])"
    )
    assert 1.5 * max(width for tag, width in widths if tag == "DT") <= min(
        width for tag, width in widths if tag == "DD"
    )


@only(patch, next_call, more, warm_up)
def test_every_button_is_a_full_target(shown: Player) -> None:
    small = shown.page.evaluate(
        """() => [...document.querySelectorAll("main :is(button, a.button, select)")]
          .filter((one) => one.checkVisibility())
          .map((one) => [one.outerHTML.slice(0, 80), one.getBoundingClientRect()])
          .filter(([, box]) => box.height < 48 || box.width < 48).map(([what]) => what)"""
    )
    assert small == []


def test_a_player_who_asked_for_less_motion_sees_none(player: Player) -> None:
    player.open()
    patch(player)
    assert seconds_of_motion(player) > 0
    player.page.emulate_media(reduced_motion="reduce")
    for path in ("/bucket", "/card", "/print"):
        player.page.goto(player.url + path)
        assert seconds_of_motion(player) == 0


def seconds_of_motion(player: Player) -> float:
    """The longest transition or animation that anything on the page could run."""
    return float(
        player.page.evaluate(
            """() => Math.max(...[...document.querySelectorAll("*")].flatMap((one) => {
              const look = getComputedStyle(one);
              const times = `${look.transitionDuration},${look.animationDuration}`.split(",");
              return look.scrollBehavior === "smooth" ? [9] : times.map(parseFloat);
            }))"""
        )
    )


@pytest.mark.parametrize("scheme", ["light", "dark"])
@only(patch, rain, next_call, warm_up)
def test_forced_colours_leave_an_edge_round_every_field_and_button(shown: Player, scheme: Any) -> None:
    shown.page.emulate_media(color_scheme=scheme, forced_colors="active")
    lanes = look_at_all(
        shown.page,
        "#patch .lane",
        "all => all.map((one) => [getComputedStyle(one).fill, getComputedStyle(one).stroke])",
    )
    ink, ground = shown.page.evaluate(
        "() => [getComputedStyle(document.body).color, getComputedStyle(document.documentElement).backgroundColor]"
    )
    assert {tuple(look) for look in lanes} == {(ground, ink)}
    edgeless = shown.page.evaluate(
        """() => [...document.querySelectorAll("main button")].filter((one) => one.checkVisibility())
          .filter((one) => one.id !== "call") // the head of the page, which is all one wide target
          .filter((one) => !["Top", "Right", "Bottom", "Left"].some((side) => {
            const look = getComputedStyle(one);
            return parseFloat(look[`border${side}Width`]) > 0 && look[`border${side}Color`] !== look.backgroundColor;
          })).map((one) => one.outerHTML.slice(0, 80))"""
    )
    assert edgeless == []
