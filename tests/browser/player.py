"""What a player does with the phone, in the player's words.

Finds things by role and label as the player would; waits for what the page says and never for time.
"""

import json
import time
from collections.abc import Iterator
from contextlib import contextmanager
from math import ceil
from pathlib import Path
from typing import Any

from playwright.sync_api import BrowserContext, Locator, Page, expect

from webapp.touch import GUTTER_PX, NAMES_PX

from .waiting import until_kept, until_stands, until_worker_stands, while_time_stands

LANES = ("fat", "heavy", "clean", "thin", "bladed")
# Where the patch lies, and which carries its lines tell.
_DRAWN = """(patch) => {
  patch.scrollIntoViewIfNeeded();
  const { x, y, width, height } = patch.getBoundingClientRect();
  const figures = [...patch.querySelectorAll(".figure:not(.meant-figure)")];
  const middle = ({ top, bottom }) => (top + bottom) / 2;
  const lines = figures.map((figure) => [Number(figure.textContent), middle(figure.getBoundingClientRect())]);
  return { x, y, width, height, lines };
}"""
_READOUT = """() => {
  const readout = document.querySelector("#readout");
  return readout?.checkVisibility({ visibilityProperty: true }) ? readout.textContent : "";
}"""
FRESH_MS = 4000
SLIDE_S = 3.0  # how long a slide has taken when the thumb lifts, by the time its events carry
MOVE_S = 0.1
STEP_MS = 9000  # less than static/db.js waits for the database
AFTER_WRITES = """async () => {
  const base = document.querySelector("script[type=module]").src;
  const { transact } = await (await import(base)).take("db.js");
  await transact("readwrite", async () => {});
}"""
# Chromium may pass through a size between the old and the new one, and the page draws its ground a frame after each.
DRAWN_AT = """([width, height, place]) => {
  const { clientWidth, clientHeight } = document.documentElement;
  const drawn = place.querySelector("svg");
  return clientWidth === width && clientHeight === height
    && drawn?.width.baseVal.value === place.clientWidth && drawn.height.baseVal.value === place.clientHeight;
}"""
MOST_MOVES = 12
# A tap whose button is drawn anew just then is withheld by the driver, which taps again: what the page hears counts.
_WATCH_FINGER = """
addEventListener("pointerdown", () => {
  globalThis.touches = (globalThis.touches ?? 0) + 1;
  globalThis.finger = null;
});
addEventListener("pointermove", (event) => { globalThis.finger = [event.clientX, event.clientY]; }, true);
"""


class Player:
    """One phone with one book."""

    def __init__(self, context: BrowserContext, url: str, book_id: str = "") -> None:
        self.context, self.url, self.book_id = context, url, book_id
        self.page: Page = context.new_page()
        self.faults: list[str] = []
        self.page.on("pageerror", lambda error: self.faults.append(str(error)))
        self.page.add_init_script(_WATCH_FINGER)
        self.page.clock.install()
        self._fingers = context.new_cdp_session(self.page)
        self._since_touch = 0.0

    def open(self, path: str = "/bucket") -> None:
        """Go to a page and wait for its script: before it runs, forms go to the server."""
        self.page.goto(self.url + path)
        until_stands(self.page)

    @contextmanager
    def without_fault(self, path: str) -> Iterator["Player"]:
        """Open a page; nothing may have failed when it is left."""
        self.open(path)
        yield self
        assert self.faults == []

    def wait_until_kept(self) -> None:
        """Stay online until the worker holds the pages for the day without signal."""
        if not self.page.evaluate("Boolean(navigator.serviceWorker?.controller)"):
            until_worker_stands(self.page)
            self.page.reload()
            expect(self.page.locator("body.scripted")).to_be_attached()
        for path in ("/bucket", "/card"):
            until_kept(self.page, path)

    def start_bucket(self, **chosen: str) -> None:
        """Start a bucket at Pellow Fen: mat, range balls, by monitor, unless something else is chosen."""
        page = self.page
        expect(page.locator("body.scripted")).to_be_attached()
        summary = page.get_by_text("Something is different today")
        if summary.is_visible():
            summary.tap()
        form = page.locator("form:has(fieldset)").first
        for label in (chosen.get("surface", "mat"), chosen.get("ball", "range balls")):
            form.get_by_role("radio", name=label).check()
        form.get_by_role("radio", name=chosen.get("judged_by", "by a launch monitor")).check()
        form.get_by_label("place").fill(chosen.get("place", "Pellow Fen"))
        form.get_by_role("button", name="Start the bucket").tap()
        expect(self.patch).to_be_visible()

    def end_bucket(self) -> None:
        """End the open bucket."""
        self.button("More").tap()
        self.button("End the bucket").tap()

    def call(self, club: str, swing: str, meant: int | None = None) -> None:
        """Choose the next call from the swing table."""
        self.button("next call").tap()
        if meant is None:
            self.cell(club, swing).tap()
        else:
            self._slide_to(self.cell(club, swing), str(meant))
        expect(self.patch).to_be_visible()

    def mean(self, meant: int) -> None:
        """Type another meant carry for the call in force."""
        self.button("next call").tap()
        self.page.locator("#meant").fill(str(meant))
        self.page.locator("#meant").blur()
        self.button("back to the patch").tap()
        expect(self.patch.locator(".meant-figure")).to_have_text(str(meant))

    def cell(self, club: str, swing: str) -> Locator:
        """A cell of the swing table."""
        return self.page.locator("#cells").get_by_role("button", name=f"{club} {swing},")

    def touch(self, value: int | str, contact: str) -> None:
        """One touch on the patch: press in the lane, slide until the figure above the thumb is right, lift."""
        self.press(value, contact)
        self._finger("touchEnd")
        self.settled()

    def press(self, value: int | str, contact: str) -> None:
        """The touch without the lift."""
        drawn = self.patch.evaluate(_DRAWN)
        x = drawn["x"] + GUTTER_PX + (drawn["width"] - GUTTER_PX) * (LANES.index(contact) + 0.5) / len(LANES)
        top, bottom = drawn["y"] + NAMES_PX + 2, drawn["y"] + drawn["height"] - 2
        at, unit_px = _place_of(value, drawn["lines"], top, bottom)
        self._finger("touchStart", x, at)
        shown = self.page.evaluate(_READOUT)
        if not shown:
            self.page.clock.run_for(400)  # a short press just records; the figure shows when it is held
            expect(self.page.locator("#readout")).to_be_visible()
            shown = self.readout()
        while shown != f"{value} {contact}":
            assert bottom - top > 0.5, f"the patch never showed {value} {contact}"
            top, bottom = (top, at) if self._is_short(shown, value) else (at, bottom)
            figure = shown.split()[0]
            at = at - unit_px * (int(value) - int(figure)) if figure.isdecimal() else top
            at = at if top < at < bottom else (top + bottom) / 2
            self._finger("touchMove", x, at)
            shown = self.readout()

    def lift_above_the_patch(self) -> None:
        """Slide off the patch's top edge and lift."""
        box = self.patch.bounding_box()
        assert box
        self._finger("touchMove", box["x"] + 100, box["y"] - 30)
        self._finger("touchEnd")

    def tap_patch(self, across: float, down: float) -> None:
        """A short touch at a share of the patch's width and height."""
        box = self.patch.bounding_box()
        assert box
        self.page.touchscreen.tap(box["x"] + box["width"] * across, box["y"] + box["height"] * down)
        self.settled()

    def drag(self, what: Locator, across: float, down: float, onto: Locator) -> None:
        """Press a thing, drag it onto another and lift."""
        start, end = what.bounding_box(), onto.bounding_box()
        assert start
        assert end
        self._finger("touchStart", start["x"] + start["width"] / 2, start["y"] + start["height"] / 2)
        self._finger("touchMove", end["x"] + end["width"] * across, end["y"] + end["height"] * down)
        self._finger("touchEnd")
        self.settled()

    @contextmanager
    def in_one_breath(self) -> Iterator[None]:
        """Do what follows within the four seconds of a fresh ball, however slow the machine is."""
        with while_time_stands(self.page):
            yield

    def hold_at(self, width: int, height: int, text: str = "100%") -> None:
        """The phone with another screen and size of text, once the ground stands in it."""
        self.page.set_viewport_size({"width": width, "height": height})
        self.page.evaluate("(text) => { document.documentElement.style.fontSize = text; }", text)
        self.page.wait_for_function(DRAWN_AT, arg=[width, height, self.patch.element_handle()])

    def wait_out_fresh(self) -> None:
        """Let the four seconds pass in which a ball can be moved, as between two swings."""
        self.page.clock.fast_forward(FRESH_MS + 100)

    def let_pass(self, ms: int) -> None:
        """Let time pass on the page, in steps after what was being written: that would seem to take all of it."""
        for _ in range(ceil(ms / STEP_MS)):
            self.page.evaluate(AFTER_WRITES)
            self.page.clock.fast_forward(min(STEP_MS, ms))
            ms -= STEP_MS

    def wait_out_questions(self) -> None:
        """Let the question about the last ball go away unanswered."""
        self.page.clock.fast_forward(10_100)
        expect(self.page.locator("#strip")).to_be_hidden()

    def settled(self) -> None:
        """Every deed asked for so far is on the page."""
        self.page.wait_for_function("() => document.body.dataset.busy !== 'true'")

    def button(self, name: str) -> Locator:
        """A visible button by its words."""
        return self.page.get_by_role("button", name=name, exact=True).filter(visible=True)

    def saved_copy(self, words: str, path: Path) -> list[Any]:
        """The facts in the file that a button hands out."""
        with self.page.expect_download() as download:
            self.button(words).tap()
        download.value.save_as(path)
        return list(json.loads(path.read_text())["facts"])

    def balls(self) -> list[str]:
        """The ball row, left to right, as a screen reader says it."""
        return self.page.locator("#balls button").evaluate_all("all => all.map((one) => one.ariaLabel)")

    def ball(self, from_last: int = 1) -> Locator:
        """A ball of the row, 1 being the last struck."""
        return self.page.locator("#balls button").nth(-from_last)

    def readout_shows(self) -> bool:
        """Whether there is a figure above the thumb."""
        return self.page.locator("#readout").is_visible()

    def readout(self) -> str:
        """The figure above the thumb."""
        return self.page.locator("#readout").text_content() or ""

    def forget_touches(self) -> None:
        """Count touches from here on; one that is on its way to the page yet is counted before."""
        self.page.evaluate(
            """() => new Promise((done) => {
              const { port1, port2 } = new MessageChannel();
              port1.onmessage = () => { globalThis.touches = 0; done(); };
              port2.postMessage(null);
            })"""
        )

    @property
    def touches(self) -> int:
        """How often the screen was touched since the count began."""
        return int(self.page.evaluate("globalThis.touches ?? 0"))

    @property
    def patch(self) -> Locator:
        """The landing patch."""
        return self.page.get_by_role("application")

    def shots(self) -> list[dict[str, Any]]:
        """The shown shots of this phone, in the order struck."""
        return self.page.evaluate(
            """async (book) => {
              const base = document.querySelector("script[type=module]").src;
              const { rowsOf } = await (await import(base)).take("outbox.js");
              const { fold } = await (await import(base)).take("rules/shot.js");
              const rows = await rowsOf(book);
              const first = rows.filter((row) => row.id === row.root);
              const begun = Object.fromEntries(first.map((row) => [row.root, row.made_at]));
              return [...fold(rows).values()].filter((row) => row.kind === "shot")
                .sort((one, other) => (begun[one.root] < begun[other.root] ? -1 : 1))
                .map((row) => ({ ...row.body, state: row.state, root: row.root }));
            }""",
            self.book_id,
        )

    def _is_short(self, shown: str, value: int | str) -> bool:
        if shown.startswith("way over") or value == "way short":
            return False
        return shown.startswith("way short") or value == "way over" or int(shown.split()[0]) < int(value)

    def _slide_to(self, button: Locator, wanted: str) -> None:
        box = button.bounding_box()
        assert box
        x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
        self._finger("touchStart", x, y)
        typical = int((button.text_content() or "").rstrip("abcdefghijklmnopqrstuvwxyz"))
        way, unit_px = 0.0, 9.0
        for _ in range(MOST_MOVES):
            if self.readout_shows() and self.readout() == wanted:
                break
            way = unit_px * (typical - int(wanted)) if not way else way + unit_px * (int(self.readout()) - int(wanted))
            self._finger("touchMove", x, y + way)
        assert self.readout() == wanted, f"the slide never showed {wanted}"
        self._finger("touchEnd")
        self.settled()

    def _finger(self, kind: str, x: float = 0, y: float = 0) -> None:
        points = [] if kind == "touchEnd" else [{"x": x, "y": y}]
        # A thumb rests before it lifts. One that lifts in full flight makes the browser swallow the tap that follows.
        self._since_touch = 0.0 if kind == "touchStart" else self._since_touch + MOVE_S
        at = time.time() - (0 if kind == "touchEnd" else max(SLIDE_S - self._since_touch, 0))
        self._fingers.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points, "timestamp": at})
        if kind == "touchMove":  # moves reach the page with its next frame
            self.page.wait_for_function(
                "([x, y]) => Math.hypot(globalThis.finger?.[0] - x, globalThis.finger?.[1] - y) < 1", arg=[x, y]
            )


def _place_of(value: int | str, drawn: list[list[float]], top: float, bottom: float) -> tuple[float, float]:
    """Where a carry lies by the lines drawn on the patch, and how many pixels a unit of carry takes there."""
    if not str(value).isdecimal():
        return (bottom if value == "way short" else top), 1.0
    lines = sorted(drawn, key=lambda line: abs(line[0] - int(value)))
    near = lines[0] if lines else (0, bottom)
    other = next((line for line in lines if line[0] != near[0]), (near[0] + int(value), (top + bottom) / 2))
    unit_px = (near[1] - other[1]) / (other[0] - near[0])
    at = near[1] - unit_px * (int(value) - near[0])
    return min(max(at, top + 1), bottom - 1), unit_px
