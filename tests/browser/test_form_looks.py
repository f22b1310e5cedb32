"""How forms look: no box moves for what is said of another, and what explains a box stands next to it.

Source: our choice, no source.
"""

from typing import Any

import pytest
from playwright.sync_api import Locator

from .chromium import facts_of
from .conftest import as_before
from .player import Player
from .server import Server
from .waiting import look_at_all

PLACES = """(all) => all.filter((box) => box.checkVisibility()).map((box) => {
  const { left, right, top, bottom } = box.getBoundingClientRect();
  return { name: box.name, left, right, top: top + scrollY, bottom: bottom + scrollY };
})"""
PHONES = (320, 360, 390)
SCREENS = (360, 390, 1280)
BOXES = "main :is(input:not([type=hidden], [type=radio], [type=checkbox]), select)"


@pytest.fixture
def heron(phone_of_the_demo: Player) -> Player:
    return as_before(phone_of_the_demo)


def refused(box: Locator) -> None:
    """Type a word; what reads the boxes is loaded when the first one is entered."""
    box.fill("warm")
    box.page.wait_for_function(
        """(box) => box.dispatchEvent(new Event("change", { bubbles: true })) && document.querySelector(".wrong")""",
        arg=box.element_handle(),
    )


@pytest.mark.parametrize(
    ("path", "box"),
    [
        ("/bag", "[name$=loft_deg]"),
        ("/bag", "[name$=carry]"),
        ("/conditions", "[name=temperature]"),
        ("/conditions", "[name=wind]"),
        ("/eye-check", "[name^=said_]"),
        ("/fits", "[name=front]"),
        ("/conditions", "[name=home_altitude]"),
    ],
)
def test_no_box_of_a_row_moves_for_what_is_said_of_another(heron: Player, path: str, box: str) -> None:
    heron.open(path)
    wrong = heron.page.locator(box).filter(visible=True).first
    place_of_it = f"(box) => ({PLACES})([box])[0]"
    before = {}
    for width in PHONES:
        hold_at(heron, width)
        before[width] = look_at_all(heron.page, BOXES, PLACES), wrong.evaluate(place_of_it)
    refused(wrong)
    for width, (boxes, at_first) in before.items():
        hold_at(heron, width)
        after, at_last = look_at_all(heron.page, BOXES, PLACES), wrong.evaluate(place_of_it)
        message = look_at_all(heron.page, ".wrong", PLACES)[0]
        for one, other in zip(boxes, after, strict=True):
            if abs(one["top"] - at_first["top"]) < 8:
                assert other["top"] == pytest.approx(one["top"], abs=0.5), (width, one["name"])
        assert message["left"] >= 0, width
        assert message["right"] <= width
        below = [one for one in after if one["top"] > at_last["bottom"]]
        assert not any(lie_on_each_other(message, one) for one in below), width


def hold_at(player: Player, width: int) -> None:
    """The page at this width, once it stands in it, in its own type."""
    player.page.set_viewport_size({"width": width, "height": 800})
    player.page.wait_for_function("(width) => document.documentElement.clientWidth === width", arg=width)
    player.page.evaluate("document.fonts.ready.then(() => null)")


def lie_on_each_other(one: dict[str, Any], other: dict[str, Any]) -> bool:
    across = one["left"] < other["right"] and other["left"] < one["right"]
    return bool(across and one["top"] < other["bottom"] and other["top"] < one["bottom"])


def test_what_is_said_of_a_wedges_number_is_wider_than_its_box(heron: Player) -> None:
    heron.open("/bag")
    loft = heron.page.locator("[name$=loft_deg]").first
    refused(loft)
    (high,) = look_at_all(heron.page, ".wrong", "all => all.map((one) => one.offsetHeight)")
    assert high <= 2 * 20


@pytest.mark.parametrize("path", ["/links", "/settings", "/trends/periods", "/shots/{shot}"])
def test_every_choice_of_a_few_is_as_wide_as_the_others(heron: Player, server: Server, path: str) -> None:
    heron.open(path.format(shot=a_shot_of(server, heron)))
    for width in SCREENS:
        hold_at(heron, width)
        widths = look_at_all(
            heron.page,
            ".choices:not(.tabs, .sizes)",
            """(all) => all.map((few) =>
              [...few.querySelectorAll(".choice")].map((one) => one.getBoundingClientRect().width))""",
        )
        assert widths
        assert all(max(few) - min(few) < 2 for few in widths), (width, widths)


def a_shot_of(server: Server, player: Player) -> str:
    return str(next(fact["id"] for fact in facts_of(server, player.book_id) if fact["kind"] == "shot"))


@pytest.mark.parametrize("look", ["light", "dark", "sun"])
def test_a_box_to_tick_is_drawn_in_the_looks_own_inks(heron: Player, look: Any) -> None:
    heron.open("/links")
    if look == "sun":
        heron.page.evaluate("document.documentElement.dataset.look = 'sun'")
    else:
        heron.page.emulate_media(color_scheme=look)
    box = heron.page.get_by_label("show my nickname")
    inks = """(box) => {
      const probe = document.body.appendChild(document.createElement("i"));
      const ink = (name) => { probe.style.color = `var(--${name})`; return getComputedStyle(probe).color; };
      const { borderTopWidth, borderTopColor, backgroundColor } = getComputedStyle(box);
      const seen = [borderTopWidth, borderTopColor === ink("line"), borderTopColor === ink("ink"),
        backgroundColor === ink("key"), backgroundColor === ink("ink")];
      probe.remove();
      return seen;
    }"""
    assert box.evaluate(inks) == ["2px", True, look == "sun", True, False]
    box.check()
    assert box.evaluate(inks) == ["2px", look == "sun", True, False, True]
    box.uncheck()


@pytest.mark.parametrize("path", ["/settings", "/bucket", "/visits/last"])
def test_a_hint_is_nearer_to_its_box_than_to_what_follows(heron: Player, path: str) -> None:
    heron.open(path)
    heron.page.evaluate("for (const part of document.querySelectorAll('details')) part.open = true")
    gaps = look_at_all(
        heron.page,
        ":is(.field, .pair, fieldset) + .hint:has(+ *)",
        """(all) => all.filter((hint) => hint.checkVisibility()).map((hint) => {
          const [above, here, below] = [hint.previousElementSibling, hint, hint.nextElementSibling].map((one) => {
            const box = [...one.querySelectorAll("input, select, .choice")].at(-1) ?? one;
            return (one === hint.previousElementSibling ? box : one).getBoundingClientRect();
          });
          return [here.top - above.bottom, below.top - here.bottom];
        })""",
    )
    assert gaps
    assert all(0 <= above < below for above, below in gaps), gaps


# The words of lists for which the list has no room, beside its arrow.
CUT = """(all) => all.filter((list) => list.checkVisibility()).flatMap((list) => {
  const { font, paddingLeft, paddingRight } = getComputedStyle(list);
  const pen = Object.assign(document.createElement("canvas").getContext("2d"), { font });
  const room = list.clientWidth - parseFloat(paddingLeft) - parseFloat(paddingRight);
  return [...list.options].map(({ text }) => text).filter((words) => pen.measureText(words).width > room + 1);
})"""


@pytest.mark.parametrize(
    "path", ["/bucket", "/conditions", "/practice", "/shots/{shot}", "/trends/periods", "/visits/last"]
)
def test_a_list_shows_its_whole_words(heron: Player, server: Server, path: str) -> None:
    heron.open(path.format(shot=a_shot_of(server, heron)))
    heron.page.evaluate("for (const part of document.querySelectorAll('details')) part.open = true")
    for width in SCREENS:
        hold_at(heron, width)
        assert look_at_all(heron.page, "main select", CUT) == [], width


def test_a_lists_arrow_stands_clear_of_its_edge_and_grows_with_the_type(heron: Player) -> None:
    heron.open("/links")
    look = "(list) => [getComputedStyle(list).appearance, parseFloat(getComputedStyle(list).paddingRight)]"
    arrow, room = heron.page.locator("select").first.evaluate(look)
    assert arrow == "none"
    heron.page.evaluate("document.documentElement.style.fontSize = '200%'")
    assert heron.page.locator("select").first.evaluate(look) == ["none", 2 * room]


def test_the_names_of_swings_begin_below_one_another(heron: Player) -> None:
    heron.open("/settings")
    for width in SCREENS:
        hold_at(heron, width)
        names = look_at_all(heron.page, ".swing .entry input", PLACES)
        assert len({round(name["left"]) for name in names}) == 1, width
        keys = look_at_all(heron.page, ".swing:has(.entry) button", PLACES)
        beside = [abs(key["bottom"] - names[at // 2]["bottom"]) < 4 for at, key in enumerate(keys)]
        assert set(beside) == {width == 1280}, width


@pytest.mark.parametrize("path", ["/conditions", "/shots/{shot}", "/print", "/settings"])
def test_what_names_a_box_is_bold(heron: Player, server: Server, path: str) -> None:
    heron.open(path.format(shot=a_shot_of(server, heron)))
    heron.page.evaluate("for (const part of document.querySelectorAll('details')) part.open = true")
    weights = look_at_all(
        heron.page,
        "main :is(.field > label, legend:not(.visually-hidden), [for=paper] > *)",
        "all => all.map((name) => Number(getComputedStyle(name).fontWeight))",
    )
    assert min(weights) >= 600


def test_the_three_choices_of_a_thumb_are_of_one_size(heron: Player) -> None:
    heron.open("/settings")
    sizes = """(all) => all.map((one) => one.closest(".choice").getBoundingClientRect()).map(({ width, height, top }) =>
      [Math.round(width), Math.round(height), Math.round(top)])"""
    for width in SCREENS:
        hold_at(heron, width)
        places = look_at_all(heron.page, "[name=thumb]", sizes)
        assert len(places) == 3
        assert len({(wide, high) for wide, high, _ in places}) == 1, width
        assert len({top for _, _, top in places}) in (1, 3), width
