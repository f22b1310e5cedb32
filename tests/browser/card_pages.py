"""The way through the card's page, and a book with each word of trust on its card."""

from collections.abc import Iterator
from typing import Any

from playwright.sync_api import Locator, Page, expect

from tests.factories import Raw, a_bucket, a_shot, the_demo_set
from webapp.moments import moved

from .chromium import now
from .player import Player

WORDS = ("settled", "early", "told", "guess", "old")
VIEWS = ("Dial", "Yard pole", "Table")


def book_of_every_trust() -> list[Raw]:
    """A 56 that is settled at 9:00, early at 7:30 and old at 10:30; the rest are guesses or told."""
    present = now()
    facts = the_demo_set(moved(present, days=-200))
    club = next(fact["root"] for fact in facts if fact["kind"] == "club" and fact["body"]["name"] == "56")
    for visit in range(4):
        bucket = a_bucket(moved(present, days=-3 * (visit + 1)))
        facts.append(bucket)
        facts += [ball(bucket, club, 61 + place % 3, place) for place in range(5)]
    bucket = a_bucket(moved(present, days=-2))
    facts += [bucket, *(ball(bucket, club, 42, place, swing_deg=45.0) for place in range(3))]
    for visit in range(3):
        bucket = a_bucket(moved(present, days=-100 - visit))
        facts.append(bucket)
        facts += [ball(bucket, club, 73, place, swing_deg=135.0) for place in range(4)]
    return facts


def ball(bucket: Raw, club: str, carry_yd: float, place: int, **more: Any) -> Raw:
    return a_shot(bucket, club, carry_yd, moved(bucket["made_at"], minutes=place), **more)


def open_card(player: Player, path: str = "/card") -> Page:
    player.page.goto(player.url + path)
    expect(player.page.locator("svg.dial").first).to_be_visible()
    if path == "/card":
        expect(player.page.locator("body.scripted")).to_be_attached()
    return player.page


def choose(page: Page, view: str) -> None:
    """Turn to another view of the card: one of VIEWS."""
    page.get_by_role("radio", name=view).check()


def each_view_unfolded(page: Page, views: tuple[str, ...]) -> Iterator[None]:
    """Stop at each of these views, or at the page itself when it has none, with all that can be seen unfolded."""
    for view in views or (None,):
        if view:
            choose(page, view)
        folded = page.locator("details:not([open]) > summary").filter(visible=True)
        while folded.count():
            folded.first.tap()
        yield


def in_table(page: Page, club: str, swing: str) -> Locator:
    """A cell of the swing table, found as one reads it: its swing's row, its wedge's column."""
    heads = page.locator(".swing-table thead th").all_text_contents()
    column = next(place for place, head in enumerate(heads) if head.split()[0] == club)
    return page.locator(".swing-table tbody tr", has=page.locator("th", has_text=swing)).locator("td").nth(column)


def number(cell: Locator) -> int:
    return int(cell.locator("[data-part=carry]").inner_text())
