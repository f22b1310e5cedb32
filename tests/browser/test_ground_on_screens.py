"""The open bucket on every screen: turned on its side, and with text twice as large, the ground stays in reach.

Source: decisions of the project's design (the patch usable without scrolling; a target is 48 px).
"""

from itertools import pairwise

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


def test_ground_and_keys_are_in_reach_without_scrolling(hitting: Player) -> None:
    screens = ((844, 390, "100%"), (640, 360, "100%"), (390, 844, "200%"), (360, 640, "200%"), (320, 640, "200%"))
    for struck, (width, height, text) in enumerate(screens):
        hitting.hold_at(width, height, text)
        expect_all_in_reach(hitting, width, height)
        hitting.touch(55, "clean")
        assert carries(hitting)[struck:] == [55], (width, height)
        hitting.button("set aside").tap()
        hitting.settled()
        assert [shot["aside"] for shot in hitting.shots()[struck:]] == [True], (width, height)
        expect(hitting.patch).to_be_visible()
        hitting.wait_out_fresh()


def expect_all_in_reach(player: Player, width: int, height: int) -> None:
    """The ground, every key and the words of the line of truth, whole and on the screen."""
    (ground,) = on_screen(player, "#patch")
    assert ground["top"] >= 0, (width, height)
    assert ground["bottom"] <= height
    assert ground["right"] <= width
    assert ground["height"] >= LEAST_GROUND_PX, (width, height)
    for key in on_screen(player, ":is(.deeds, .line) button"):
        assert key["width"] >= 48, (width, height)
        assert key["height"] >= 48, (width, height)
        assert key["left"] >= 0, (width, height)
        assert key["right"] <= width
        assert key["bottom"] <= height
    (line,) = on_screen(player, ".line")
    for selector in ("#count", "#truth", "#saved"):
        words = player.page.locator(selector).evaluate(
            """(one) => {
                const range = document.createRange();
                range.selectNodeContents(one);
                return range.getBoundingClientRect().toJSON();
            }"""
        )
        assert words["top"] >= line["top"], f"{selector} is cut off at {width}x{height}"
        assert words["bottom"] <= line["bottom"], f"{selector} is cut off at {width}x{height}"


def test_a_low_window_that_is_narrow_too_scrolls_to_a_ground_of_full_width(hitting: Player) -> None:
    """400% zoom of a wide window, and half of a split screen; WCAG 2.2, 1.4.10 reflow (from memory)."""
    for before, (width, height) in enumerate(((320, 256), (360, 320), (426, 320), (400, 300))):
        hitting.page.evaluate("scrollTo(0, 0)")
        hitting.hold_at(width, height)
        (ground,) = on_screen(hitting, ".ground")
        assert ground["width"] == width
        assert ground["height"] >= LEAST_GROUND_PX, (width, height)
        names = on_screen(hitting, "#patch .lane-name")
        assert all(one["right"] <= other["left"] for one, other in pairwise(names)), (width, height)
        for carry in (55, 50):
            hitting.touch(carry, "clean")
            hitting.wait_out_fresh()
        assert carries(hitting)[2 * before :] == [55, 50], (width, height)
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
