"""The landing patch as it is drawn: figures that keep apart, lanes for a thumb, buttons on the thumb's side.

Sources: the least lane and the thumb side are decisions of the project's design.
"""

from itertools import combinations

import pytest
from playwright.sync_api import expect

from .player import Player
from .waiting import look_at_all


@pytest.mark.parametrize("meant", [52, 53, 54, 57, 58, 61, 63, 71, 95])
def test_no_figures_of_the_ground_touch_one_another(hitting: Player, meant: int) -> None:
    hitting.button("next call").tap()
    hitting.page.locator("#meant").fill(str(meant))
    hitting.page.locator("#meant").blur()
    hitting.button("back to the patch").tap()
    expect(hitting.patch.locator(".meant-figure")).to_have_text(str(meant))
    places = "all => all.map((figure) => figure.getBoundingClientRect().toJSON())"
    boxes = look_at_all(hitting.page, "#patch .figure", places)
    touching = [
        (box, other)
        for box, other in combinations(boxes, 2)
        if box["left"] < other["right"]
        and box["right"] > other["left"]
        and box["top"] + 4 < other["bottom"]
        and box["bottom"] > other["top"] + 4  # room above and below the digits
    ]
    assert touching == []


def test_a_lane_is_wide_enough_for_a_thumb(hitting: Player) -> None:
    lanes = hitting.patch.locator("rect.lane")
    expect(lanes).to_have_count(5)
    widths = look_at_all(
        hitting.page, "#patch rect.lane", "all => all.map((lane) => lane.getBoundingClientRect().width)"
    )
    assert min(widths) >= 66  # the design's least lane at 360 px


def test_the_thumb_side_mirrors_the_buttons_and_never_the_lanes(hitting: Player) -> None:
    def order() -> list[str]:
        buttons = {
            name: hitting.button(name).bounding_box() for name in ("lost sight", "shank", "next call", "set aside")
        }
        return sorted(buttons, key=lambda name: (buttons[name] or {"x": 0})["x"])

    assert order() == ["lost sight", "shank", "next call", "set aside"]
    hitting.page.evaluate("document.body.dataset.thumb = 'left'")
    assert order() == ["set aside", "next call", "shank", "lost sight"]
    assert hitting.patch.locator(".lane-name").all_text_contents() == ["fat", "heavy", "clean", "thin", "bladed"]
