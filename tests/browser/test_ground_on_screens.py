"""The open bucket on every screen: turned on its side, and with text twice as large, the ground stays in reach.

Source: decisions of the project's design (the patch usable without scrolling; a target is 48 px).
"""

from typing import Any

import pytest
from playwright.sync_api import expect

from .player import Player
from .test_patch import carries

LEAST_GROUND_PX = 200


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
    hitting.page.set_viewport_size(screen)
    hitting.page.evaluate("(text) => { document.documentElement.style.fontSize = text; }", text)
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
