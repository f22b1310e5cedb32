"""Takes pictures of every page in every look: `python -m tests.browser.every_picture FOLDER [PAGE ...]`.

FOLDER holds PAGE-LOOK.png and, to be looked at side by side, PAGE.png with all looks of a page in one row.
Knows the pages and the looks; what is on them is the app's own.
"""

import sys
import tempfile
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from random import Random
from typing import Any
from urllib.parse import quote

from PIL import Image
from playwright.sync_api import Browser, Page, expect, sync_playwright

from tests.factories import Raw, a_bucket, a_club, a_full_carry, a_setting, a_shot, a_swing, the_demo_set
from webapp.books.demo import demo_facts
from webapp.moments import moved

from .chromium import PHONE, new_phone, now, open_book, shell_options
from .server import Server

SHEET_HEIGHT = 1400
# What keeps to the screen's edge would stand in the middle of a picture of the whole page.
UNPIN = """() => {
  for (const one of document.querySelectorAll("nav, footer, .answers")) {
    if (["fixed", "sticky"].includes(getComputedStyle(one).position)) one.style.position = "static";
  }
}"""
GAP = 16


def heron() -> list[Raw]:
    """The demo book."""
    return demo_facts(now())


def two_wedges() -> list[Raw]:
    """The demo book with two of its wedges left out."""
    facts = heron()
    out = [fact["root"] for fact in facts if fact["kind"] == "club"][2:]
    return [fact for fact in facts if fact["root"] not in out and fact["body"].get("club_id") not in out]


def six_wedges() -> list[Raw]:
    """The demo book with two more wedges."""
    more = [a_club(name, made_at=moved(now(), days=-1)) for name in ("43", "64")]
    return [*heron(), *more, *map(a_full_carry, more, (122, 60))]


def left_handed() -> list[Raw]:
    """The demo book of a left-handed player."""
    return [*heron(), a_setting("hand", "left", now())]


def no_ball() -> list[Raw]:
    """A bag and nothing else."""
    return the_demo_set(now())


def six_swings() -> list[Raw]:
    """The demo book with six lengths of swing."""
    since = moved(now(), days=-1)
    return [*heron(), *(a_swing(swing_deg, made_at=since) for swing_deg in (45.0, 60.0, 90.0, 105.0, 135.0, 180.0))]


def many_balls() -> list[Raw]:
    """The demo book's wedges and 10,000 balls of two hundred days."""
    dice, facts = Random(1), the_demo_set(moved(now(), days=-300))
    clubs = [fact for fact in facts if fact["kind"] == "club"]
    for day in range(200):
        at = moved(now(), days=-201 + day)
        bucket = a_bucket(made_at=at)
        facts.append(bucket)
        for club in clubs * 12:
            swing_deg, share = dice.choice([(45.0, 0.49), (90.0, 0.71), (135.0, 0.86), (180.0, 1.0)])
            carry_yd = share * (85 + 3 * (56 - club["body"]["loft_deg"])) * dice.gauss(1, 0.05)
            facts.append(a_shot(bucket, club, carry_yd, made_at=at, swing_deg=swing_deg))
    return facts


@dataclass(frozen=True)
class Look:
    """How a page is looked at: whose book, on which screen, in which scheme and size of text."""

    facts: Callable[[], list[Raw]] = heron
    width: int = 360
    height: int = 640
    scheme: str = "light"
    text: str = "100%"
    sun: bool = False
    touch: dict[str, Any] = field(default_factory=lambda: {"has_touch": True, "is_mobile": True})


LOOKS = {
    "day": Look(),
    "dark": Look(scheme="dark"),
    "sun": Look(sun=True),
    "390": Look(width=390, height=844),
    "820": Look(width=820, height=1180),
    "1280": Look(width=1280, height=800, touch={"has_touch": False, "is_mobile": False}),
    "1280-dark": Look(width=1280, height=800, scheme="dark", touch={"has_touch": False, "is_mobile": False}),
    "text-200": Look(text="200%"),
    "left": Look(facts=left_handed),
    "two-wedges": Look(facts=two_wedges),
    "six-wedges": Look(facts=six_wedges),
    "no-ball": Look(facts=no_ball),
    "six-swings": Look(facts=six_swings),
    "many-balls": Look(facts=many_balls),
}
PAGES = {
    "start": "/",
    "start-file": "/start/file",
    "card": "/card",
    "cell": "/card",
    "print": "/print",
    "bucket": "/bucket",
    "ground": "/bucket",
    "next-call": "/bucket",
    "fits": "/fits",
    "fits-answer": "/fits?flag=66&front=58&back=70",
    "leave": "/fits/leave",
    "leave-answer": "/fits/leave?flag=240&roll=3&front=232&back=244",
    "yardage": "/yardage",
    "practice": "/practice",
    "trends": "/trends",
    "year": "/trends/year",
    "periods": "/trends/periods",
    "visits": "/visits",
    "visit": "/visits/last",
    "conditions": "/conditions",
    "eye-check": "/eye-check",
    "shot": "/shots/{shot}",
    "bag": "/bag",
    "settings": "/settings",
    "more": "/more",
    "links": "/links",
    "coach": "{link}",
    "coach-periods": "{link}/periods",
    "coach-homework": "{link}/homework",
    "phones": "/phones",
    "open": "/open",
    "round": "/round",
    "notes": "/round/notes",
    "refused": "/refused",
    "leaving": "/leaving",
    "table": "/table",
    "homework": "/homework",
    "remarks": "/remarks",
    "players": "/players",
    "tablet": "/tablet",
    "delete": "/delete",
    "deleted": "/deleted",
    "error": "/nowhere",
}


def take(folder: Path, wanted: list[str]) -> None:
    """Photograph the wanted pages, all of them when none is named, in every look."""
    folder.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as data, sync_playwright() as driver:
        server = Server(Path(data)).start()
        browser = driver.chromium.launch(**shell_options())
        for name, look in LOOKS.items():
            _photograph(browser, server, folder, name, look, wanted or list(PAGES))
        browser.close()
        server.stop()
    for page in wanted or PAGES:
        _lay_side_by_side(folder, page)


def _photograph(browser: Browser, server: Server, folder: Path, name: str, look: Look, wanted: list[str]) -> None:
    screen = {"width": look.width, "height": look.height}
    context = new_phone(browser, **{**PHONE, **look.touch, "viewport": screen, "color_scheme": look.scheme})
    page = context.new_page()
    places = {"link": ""}
    if look.sun:
        # As static/ui/preferences.js keeps what a phone chose.
        context.add_cookies([{"name": "phone", "value": quote('{"sun":true}'), "url": server.url}])
    for wanted_page in sorted(wanted, key=list(PAGES).index):
        if wanted_page not in ("start", "start-file") and "shot" not in places:
            places = _places(server, open_book(context, server, look.facts()))
        page.goto(server.url + PAGES[wanted_page].format(**places))
        if wanted_page in WAYS:
            WAYS[wanted_page](page)
        page.evaluate("(text) => { document.documentElement.style.fontSize = text; }", look.text)
        if wanted_page not in NO_SCROLL:
            page.evaluate(UNPIN)
        page.screenshot(path=folder / f"{wanted_page}-{name}.png", full_page=wanted_page not in NO_SCROLL)
        print(f"{wanted_page}-{name}", flush=True)
    context.close()


def _places(server: Server, book_id: str) -> dict[str, str]:
    """The addresses that only a book knows."""
    with server.directory() as directory, directory.open_book(book_id) as book:
        link = directory.new_link(book_id, "a coach", now(), moved(now(), days=14), {})
        shots = [fact["root"] for fact in book.after(0, 10_000) if fact["kind"] == "shot"]
    return {"shot": shots[-1] if shots else book_id, "link": f"/w/{link}"}


def _into_a_bucket(page: Page) -> None:
    """Start a bucket, the same as last time where there was one."""
    expect(page.locator("body.scripted")).to_be_attached()
    if page.locator("#patch").is_visible():
        return
    same = page.get_by_role("button", name="Same as last time")
    other = page.get_by_role("button", name="Start the bucket")
    (same if same.is_visible() else other).click()
    expect(page.locator("#patch")).to_be_visible()


def _next_call(page: Page) -> None:
    _into_a_bucket(page)
    page.get_by_role("button", name="next call", exact=True).filter(visible=True).click()


def _shots_behind(page: Page) -> None:
    page.goto(str(page.locator("td.cell a").nth(1).evaluate("(one) => one.href")))


WAYS: dict[str, Callable[[Page], None]] = {
    "cell": _shots_behind, "ground": _into_a_bucket, "next-call": _next_call,
}  # fmt: skip
NO_SCROLL = {"ground", "next-call"}


def _lay_side_by_side(folder: Path, page: str) -> None:
    """All looks of a page in one row, each as tall as the sheet at most."""
    pictures = [Image.open(folder / f"{page}-{name}.png").convert("RGB") for name in LOOKS]
    for one in pictures:
        one.thumbnail((one.width, SHEET_HEIGHT))
    sheet = Image.new("RGB", (sum(one.width + GAP for one in pictures) + GAP, SHEET_HEIGHT + 2 * GAP), "#777")
    x = GAP
    for one in pictures:
        sheet.paste(one, (x, GAP))
        x += one.width + GAP
    sheet.save(folder / f"{page}.png")


if __name__ == "__main__":
    take(Path(sys.argv[1]), sys.argv[2:])
