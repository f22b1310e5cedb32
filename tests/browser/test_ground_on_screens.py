"""The open bucket on every screen: turned on its side, and with text twice as large, the ground stays in reach.

Source: decisions of the project's design (the patch usable without scrolling; a target is 48 px).
"""

from itertools import pairwise
from typing import Any

import pytest
from playwright.sync_api import expect

from webapp.touch import GUTTER_PX

from .player import Player
from .test_patch import carries

LEAST_GROUND_PX = 200
RING_PX = 19  # half the width of a fresh ball


def on_screen(player: Player, selector: str) -> list[dict[str, float]]:
    """The places of all visible parts of this kind."""
    found: list[dict[str, float]] = (
        player.page.locator(selector)
        .filter(visible=True)
        .evaluate_all("all => all.map((one) => one.getBoundingClientRect().toJSON())")
    )
    assert found
    return found


@pytest.mark.parametrize(
    ("screen", "text"),
    [
        ({"width": 844, "height": 390}, "100%"),
        ({"width": 640, "height": 360}, "100%"),
        ({"width": 390, "height": 844}, "200%"),
        ({"width": 360, "height": 640}, "200%"),
        ({"width": 320, "height": 640}, "200%"),
    ],
    ids=lambda value: value if isinstance(value, str) else f"{value['width']}x{value['height']}",
)
def test_ground_and_keys_are_in_reach_without_scrolling(hitting: Player, screen: Any, text: str) -> None:
    hitting.hold_at(screen["width"], screen["height"], text)
    (ground,) = on_screen(hitting, "#patch")
    assert ground["top"] >= 0
    assert ground["bottom"] <= screen["height"]
    assert ground["right"] <= screen["width"]
    assert ground["height"] >= LEAST_GROUND_PX
    for key in on_screen(hitting, ":is(.deeds, .line) button"):
        assert key["width"] >= 48
        assert key["height"] >= 48
        assert key["left"] >= 0
        assert key["right"] <= screen["width"]
        assert key["bottom"] <= screen["height"]
    (line,) = on_screen(hitting, ".line")
    for selector in ("#count", "#truth", "#saved"):
        words = hitting.page.locator(selector).evaluate(
            """(one) => {
                const range = document.createRange();
                range.selectNodeContents(one);
                return range.getBoundingClientRect().toJSON();
            }"""
        )
        assert words["top"] >= line["top"], f"{selector} is cut off"
        assert words["bottom"] <= line["bottom"], f"{selector} is cut off"
    hitting.touch(55, "clean")
    assert carries(hitting) == [55]
    hitting.button("set aside").tap()
    hitting.settled()
    assert [shot["aside"] for shot in hitting.shots()] == [True]
    expect(hitting.patch).to_be_visible()


@pytest.mark.parametrize(
    "screen", [(320, 256), (360, 320), (426, 320), (400, 300)], ids=lambda screen: "x".join(map(str, screen))
)
def test_a_low_window_that_is_narrow_too_scrolls_to_a_ground_of_full_width(
    hitting: Player, screen: tuple[int, int]
) -> None:
    """400% zoom of a wide window, and half of a split screen; WCAG 2.2, 1.4.10 reflow (from memory)."""
    width, height = screen
    hitting.hold_at(width, height)
    (ground,) = on_screen(hitting, ".ground")
    assert ground["width"] == width
    assert ground["height"] >= LEAST_GROUND_PX
    names = on_screen(hitting, "#patch .lane-name")
    assert all(one["right"] <= other["left"] for one, other in pairwise(names))
    hitting.touch(55, "clean")
    hitting.wait_out_fresh()
    hitting.touch(50, "clean")
    assert carries(hitting) == [55, 50]
    key = hitting.button("set aside")
    key.scroll_into_view_if_needed()
    (box,) = on_screen(hitting, "#aside")
    assert box["bottom"] <= height
    assert hitting.faults == []


def test_a_ball_is_noted_also_where_a_lane_is_narrower_than_its_mark(hitting: Player) -> None:
    hitting.hold_at(200, 480)
    (ground,) = on_screen(hitting, "#patch")
    assert (ground["width"] - GUTTER_PX) / 5 < RING_PX * 2
    for _ in range(2):
        hitting.tap_patch(0.5, 0.5)
        hitting.wait_out_fresh()
    assert len(hitting.shots()) == 2
    assert hitting.faults == []
