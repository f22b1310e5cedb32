"""A name of forty letters without a space widens no page, and names of two letters stay in one piece.

Sources: the project's own limits of names (webapp/facts.py); the rest is our choice, no source.
"""

from collections.abc import Callable

import pytest

from tests.factories import a_bucket, a_club, a_full_carry, a_setting, f1_balls, the_demo_set
from webapp.moments import moved

from .chromium import PHONE, now
from .player import Player
from .server import Server
from .waiting import look_at_all

LONGEST = 40
PAGES = (
    "/bucket", "/card", "/card/{club}/90", "/bag", "/fits?carry=80", "/trends", "/trends/periods", "/visits",
    "/visits/last", "/practice", "/links", "/print", "/w/{token}", "/w/{token}/homework", "/w/{token}/periods",
)  # fmt: skip
BROKEN = """all => all.filter((name) => {
  const lines = name.getBoundingClientRect().height / parseFloat(getComputedStyle(name).fontSize);
  return name.getClientRects().length > 1 || lines > 1.9;
}).map((name) => name.outerHTML)"""


@pytest.fixture
def named(meet: Callable[..., Player], server: Server) -> tuple[Player, dict[str, str]]:
    """A player all of whose names are as long as they may be, and what the addresses of his pages hold."""
    begun = moved(now(), hours=-3)
    clubs = [a_club(letter * LONGEST, loft_deg=46 + 4 * at, made_at=begun) for at, letter in enumerate("Wz")]
    bucket = a_bucket(begun, place="M" * LONGEST)
    balls = [ball for club in clubs for ball in f1_balls(bucket, club, begun)]
    carries = [a_full_carry(club, 110 - 9 * at, begun) for at, club in enumerate(clubs)]
    facts = [*clubs, *carries, bucket, *balls, a_setting("nickname", "N" * LONGEST, begun)]
    player = meet(facts=facts)
    with server.directory() as directory:
        profile = {"shows": "shots", "nickname": True, "days": True}
        token = directory.new_link(player.book_id, "l" * 30, now(), moved(now(), days=9), profile)
    return player, {"club": clubs[0]["id"], "token": token}


def test_the_longest_names_widen_no_page(named: tuple[Player, dict[str, str]]) -> None:
    player, held = named
    for page in PAGES:
        player.page.goto(player.url + page.format(**held))
        player.page.locator("main").wait_for()
        assert player.page.evaluate("document.documentElement.scrollWidth") <= PHONE["viewport"]["width"], page


@pytest.mark.parametrize("text", ["100%", "200%"])
def test_a_name_of_two_letters_is_never_broken(meet: Callable[..., Player], server: Server, text: str) -> None:
    player = meet(facts=the_demo_set(now()))
    for page in PAGES[:2] + PAGES[3:12]:
        player.page.goto(player.url + page)
        player.page.locator("main").wait_for()
        player.page.evaluate("(text) => { document.documentElement.style.fontSize = text; }", text)
        assert look_at_all(player.page, "span.tab", BROKEN) == [], page
