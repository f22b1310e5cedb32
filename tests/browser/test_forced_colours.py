"""In a theme of forced colours what is chosen, and what a mark says, is still told apart, and not by colour.

Source: forced colours as in CSS Color Adjustment, where every background becomes the canvas (from memory).
"""

from collections import Counter
from collections.abc import Callable

import pytest
from playwright.sync_api import Locator, expect

from webapp.books.demo import demo_facts

from .chromium import now
from .player import Player

# Edge, ring and filling of a thing; no colour but whether it is filled at all.
LOOKS = """(all) => all.map((one) => {
  const canvas = getComputedStyle(document.documentElement).backgroundColor;
  const look = getComputedStyle(one);
  const ring = look.outlineStyle === "none" ? "no ring" : look.outlineWidth;
  const filled = look.backgroundColor !== canvas && !look.backgroundColor.endsWith(", 0)");
  return [ring, look.borderStyle, filled].join(" ");
})"""


@pytest.fixture
def heron(meet: Callable[..., Player]) -> Player:
    """A player with the demo book, on a phone of forced colours."""
    return meet(facts=demo_facts(now()), forced_colors="active")


def looks_of(what: Locator) -> list[str]:
    return list(what.evaluate_all(LOOKS))


@pytest.mark.parametrize(
    ("path", "group", "chosen"),
    [
        ("/trends", ".which-question a", "[href='#number']"),
        ("/practice", ".sizes .choice", ":has(:checked)"),
        ("/settings", "fieldset:has([name=hand]) .choice", ":has(:checked)"),
        ("/card", ".tabs .choice", ":has(:checked)"),
        ("/bucket", "form fieldset.choices:has([value=mat]) .choice", ":has(:checked)"),
        ("/card", ".foot a", "[aria-current]"),
    ],
)
def test_the_chosen_one_looks_as_no_other_does(heron: Player, path: str, group: str, chosen: str) -> None:
    heron.open(path)
    looks = Counter(looks_of(heron.page.locator(group)))
    (its_look,) = looks_of(heron.page.locator(f"{group}{chosen}"))
    assert looks[its_look] == 1, looks
    assert len(looks) == 2


def test_a_call_by_swing_and_one_by_distance_are_told_apart(hitting: Player) -> None:
    hitting.page.emulate_media(forced_colors="active")
    hitting.button("next call").tap()
    modes = hitting.page.locator(".modes button")
    expect(modes).to_have_count(2)
    assert len(set(looks_of(modes))) == 2


def test_a_clean_ball_of_an_ended_bucket_is_filled_and_another_is_not(hitting: Player) -> None:
    hitting.page.emulate_media(forced_colors="active")
    for contact in ("clean", "thin"):
        hitting.touch(54, contact)
        hitting.wait_out_fresh()
    hitting.button("More").tap()
    hitting.page.get_by_role("button", name="End the bucket").tap()
    dots = hitting.page.locator("#end-dots i")
    expect(dots).to_have_count(2)
    assert [look.split()[-1] for look in looks_of(dots)] == ["true", "false"]


def test_a_ball_that_is_in_has_another_shape_than_one_that_is_out(heron: Player) -> None:
    heron.open("/fits?flag=66&front=58&back=70")
    expect(heron.page.locator(".balls-drawing .in").first).not_to_have_css("fill", "none")
    expect(heron.page.locator(".balls-drawing .out").first).to_have_css("fill", "none")
