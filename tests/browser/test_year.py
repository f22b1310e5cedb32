"""The year as it is looked at and printed: one page of A4 for player and coach, whole on a narrow phone.

Source: A4 is ISO 216; from memory.
"""

from collections.abc import Callable
from io import BytesIO

import pytest
from pypdf import PdfReader

from tests.factories import Raw, a_club, a_full_carry, a_swing
from webapp.books.demo import demo_facts
from webapp.moments import moved

from .chromium import now
from .conftest import as_before, expect_axe_finds_nothing
from .player import Player
from .server import Server

MM_A_POINT = 25.4 / 72


def six_wedges_and_swings() -> list[Raw]:
    """The demo book with two more wedges and six lengths of swing: 36 numbers."""
    since = moved(now(), days=-1)
    more = [a_club(name, made_at=since) for name in ("43", "64")]
    swings = [a_swing(swing_deg, made_at=since) for swing_deg in (45.0, 60.0, 90.0, 105.0, 135.0, 180.0)]
    return [*demo_facts(now()), *more, *map(a_full_carry, more, (122, 60)), *swings]


@pytest.fixture(scope="module")
def kept_phone(meet_for_all: Callable[..., Player]) -> Player:
    """The phone of every test here: it only looks."""
    return meet_for_all(facts=six_wedges_and_swings())


@pytest.fixture
def player(kept_phone: Player) -> Player:
    """A player with as many numbers as a bag may bring."""
    return as_before(kept_phone)


def year_of(player: Player, server: Server, reader: str) -> str:
    if reader == "player":
        return "/trends/year"
    with server.directory() as directory:
        return f"/w/{directory.new_link(player.book_id, 'a coach', now(), moved(now(), days=14), {})}/year"


@pytest.mark.parametrize("reader", ["player", "coach"])
def test_it_is_printed_on_one_page_of_a4_with_nothing_cut_off(player: Player, server: Server, reader: str) -> None:
    player.page.goto(player.url + year_of(player, server, reader))
    pdf = PdfReader(BytesIO(player.page.pdf(prefer_css_page_size=True)))
    box = pdf.pages[0].mediabox
    assert (float(box.width) * MM_A_POINT, float(box.height) * MM_A_POINT) == pytest.approx((210, 297), abs=0.5)
    assert len(pdf.pages) == 1
    text = pdf.pages[0].extract_text()
    assert "64 full" in text
    assert "perhaps" in text
    assert "What changed" not in text
    player.page.set_viewport_size({"width": 703, "height": 1032})  # what A4 leaves between its margins, 96 px an inch
    player.page.emulate_media(media="print")
    tables = player.page.locator(".year .scroll")
    assert tables.evaluate_all("all => all.map((one) => one.scrollWidth <= one.clientWidth)") == [True, True]


@pytest.mark.parametrize("reader", ["player", "coach"])
def test_nothing_is_lost_at_twice_the_letter_size_on_a_narrow_phone(
    player: Player, server: Server, reader: str
) -> None:
    player.page.set_viewport_size({"width": 320, "height": 640})
    player.page.goto(player.url + year_of(player, server, reader))
    player.page.evaluate("() => { document.documentElement.style.fontSize = '200%'; }")
    assert player.page.evaluate("() => document.documentElement.scrollWidth") <= 320


@pytest.mark.parametrize("reader", ["player", "coach"])
def test_axe_finds_nothing(player: Player, server: Server, reader: str) -> None:
    player.page.goto(player.url + year_of(player, server, reader))
    expect_axe_finds_nothing(player.page)
