"""Tables on a narrow phone: one that is wider shades the edge behind which there is more, and no line parts a name.

Source: text at 200% without loss is a decision of the project's design; the shade is ours.
"""

from io import BytesIO
from typing import Any

import pytest
from PIL import Image
from playwright.sync_api import Locator

from .conftest import as_before
from .player import Player
from .waiting import look_at_all

SEEN = 24  # of 255 between the shade and the ground


def shades(table: Locator) -> tuple[int, int]:
    """How far the left and the right edge of a table are from its ground, in three of four of their points."""
    picture = Image.open(BytesIO(table.screenshot(animations="disabled"))).convert("L")
    ground = max(picture.getcolors() or [])[1]
    left, right = (
        sorted(abs(picture.crop((x, y, x + 1, y + 1)).getextrema()[0] - ground) for y in range(picture.height))  # type: ignore[operator]
        for x in (1, picture.width - 2)
    )
    return int(left[picture.height // 4]), int(right[picture.height // 4])


@pytest.mark.parametrize("look", ["light", "dark", "sun"])
def test_a_table_shades_the_edge_behind_which_there_is_more(phone_of_the_demo: Player, look: Any) -> None:
    player = as_before(phone_of_the_demo)
    player.open("/bag")
    if look == "sun":
        player.page.evaluate("document.documentElement.dataset.look = 'sun'")
    else:
        player.page.emulate_media(color_scheme=look)
    table = player.page.locator(".scroll").first
    left, right = shades(table)
    assert left == right == 0  # all of it is seen
    player.page.evaluate("document.documentElement.style.fontSize = '200%'")
    left, right = shades(table)
    assert left == 0
    assert right > SEEN
    assert table.evaluate("(table) => { table.scrollLeft = 9999; return table.scrollLeft; }") > 0
    left, right = shades(table)
    assert left > SEEN
    assert right == 0


def test_no_line_parts_the_name_of_a_shot_or_its_carry(phone_of_the_demo: Player) -> None:
    player = as_before(phone_of_the_demo)
    player.open("/trends/periods")
    lines = look_at_all(
        player.page,
        "section:has(#cells) :is(tbody th, td a)",
        """all => {
          for (const folded of document.querySelectorAll("details")) folded.open = true;
          return all.map((one) => {
            const words = document.createRange();
            words.selectNode(one.firstChild);
            return words.getClientRects().length;
          });
        }""",
    )
    assert set(lines) == {1}
    box = player.page.get_by_role("region", name="numbers before and after")
    assert box.evaluate("(box) => box.scrollWidth - box.clientWidth") == 0  # the verdict is in sight
