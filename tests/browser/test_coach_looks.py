"""A coach's page: its bars tell shares apart and bear their figures, no scale hangs out of its column, units have room.

Source: the first screen of a coach's page in the project's design.
"""

from collections.abc import Callable

import pytest
from playwright.sync_api import Page

from webapp.moments import moved

from .chromium import now
from .conftest import as_before
from .player import Player
from .server import Server
from .waiting import look_at_all

PLACES = """(all) => all.filter((one) => one.checkVisibility()).map((one) => {
  const { left, right, top, bottom } = one.getBoundingClientRect();
  return { left, right, top, bottom };
})"""


@pytest.fixture
def read(phone_of_the_demo: Player, server: Server) -> Callable[[int], Page]:
    """The coach's page of the demo book on a screen of some width."""
    player = as_before(phone_of_the_demo)
    with server.directory() as directory:
        token = directory.new_link(player.book_id, "a coach", now(), moved(now(), days=9), {})

    def at(width: int) -> Page:
        player.page.set_viewport_size({"width": width, "height": 800})
        player.page.goto(f"{server.url}/w/{token}")
        player.page.evaluate("document.fonts.ready.then(() => null)")
        return player.page

    return at


@pytest.mark.parametrize("width", [390, 1280])
def test_each_share_stands_on_its_bar(read: Callable[[int], Page], width: int) -> None:
    page = read(width)
    shares = look_at_all(page, ".strike-bars .fig", PLACES)
    bars = look_at_all(page, ".strike-bars rect", PLACES)
    assert all(0 <= bar["top"] - share["bottom"] <= 8 for share, bar in zip(shares, bars, strict=True))
    feet = [bar["bottom"] for bar in bars]
    assert max(feet) - min(feet) < 1


@pytest.mark.parametrize("width", [360, 844, 1280])
def test_no_figure_of_a_scale_hangs_out_of_its_column(read: Callable[[int], Page], width: int) -> None:
    page = read(width)
    over = look_at_all(
        page,
        ".rows",
        """(all) => all.map((rows) => Math.max(...[...rows.querySelectorAll("text")]
          .filter((figure) => getComputedStyle(figure).display !== "none")
          .map((figure) => figure.getBoundingClientRect().right - rows.getBoundingClientRect().right)))""",
    )
    assert over
    assert max(over) <= 1


@pytest.mark.parametrize("width", [390, 1280])
def test_the_names_of_units_have_room_in_their_keys(read: Callable[[int], Page], width: int) -> None:
    page = read(width)
    rooms = look_at_all(
        page,
        ".unit-keys .choice",
        """(all) => all.map((key) => {
          const words = document.createRange();
          words.selectNodeContents(key);
          const [inner, outer] = [words.getBoundingClientRect(), key.getBoundingClientRect()];
          return Math.min(inner.left - outer.left, outer.right - inner.right);
        })""",
    )
    assert len(rooms) == 2
    assert min(rooms) >= 12
