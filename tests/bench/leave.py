"""What to leave, measured: `python -m tests.bench.leave [players] [seed]` prints it.

Of invented players: how often a ball lands in from the distance named first, and from the median distance, by the
generator's truth. Of speed: all distances of a card of 24 cells against one answer of what fits, in turns in the same
run; and one change of the question on a phone slowed four times (a real Chromium), with a plain page change beside it.
"""

import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from statistics import median
from typing import NamedTuple

import numpy as np
from playwright.sync_api import sync_playwright

from tests.bench.choosing import DAY_SD
from tests.bench.fits_speed import MEASURE, SLOWED
from tests.bench.generator import YARD_M, Player, player
from tests.browser.chromium import PHONE, chromium_options, now, open_book
from tests.browser.server import Server
from tests.factories import a_club, a_full_carry
from webapp.books.demo import demo_facts
from webapp.card.strike import Margin, margin
from webapp.estimate.chance import tables
from webapp.estimate.forecast import forecast
from webapp.estimate.pool import pool
from webapp.fits.fitting import Candidate, answer, question
from webapp.fits.leave import leave

BALLS_A_CELL, VISITS, STRUCK = 6, 3, 400
ROUNDS, TARGET_RATIO, TARGET_MS = 200, 2.0, 50
WORKED_OUT = """async () => {
  const from = document.querySelector("script[type=module]").src;
  const { leave } = await (await import(from)).take("rules/leave.js");
  const { candidates, margin } = JSON.parse(document.getElementById("page-data").textContent);
  const times = [];
  for (let flag_m = 110; flag_m <= 300; flag_m += 2) {
    const begun = performance.now();
    leave(candidates, margin, "yd", { flag_m });
    times.push(performance.now() - begun);
    await new Promise(requestAnimationFrame);
  }
  return times.sort((one, other) => one - other)[Math.floor(times.length / 2)];
}"""
MARGIN = margin("laser")


class Book(NamedTuple):
    """Of one player: chance said of the distance named first, and the shares that land in from it and from all."""

    said: float
    first: float
    every: tuple[float, ...]


def book(rng: np.random.Generator) -> Book:
    """One player's card after a few balls a cell, and what truly comes of its best shot at every distance."""
    someone = player(rng, DAY_SD)
    among = card_of(someone)
    struck = {one.club_id: np.array([someone.carry_m(int(one.club_id)) for _ in range(STRUCK)]) for one in among}
    found = leave(among, MARGIN, "yd")
    every = {
        one: float(np.mean(np.abs(struck[one.best.club_id] - one.carry_m) <= MARGIN.at(one.carry_m)))
        for one in found.distances
    }
    first = found.by_chance[0]
    return Book(first.chance, every[first], tuple(every.values()))


def card_of(someone: Player) -> tuple[Candidate, ...]:
    """A player's numbers after BALLS_A_CELL balls a cell; the place of a cell stands for its club."""
    hit = np.repeat(np.arange(len(someone.cells)), BALLS_A_CELL)
    someone.rng.shuffle(hit)
    parts = np.array_split(hit, VISITS)
    balls = [ball for v, part in enumerate(parts) for ball in someone.visit(part.tolist(), v, 10.0 * (VISITS - v))]
    pooled = pool(someone.cells, balls, someone.stated)
    ahead = forecast(pooled)
    nine, typical = ahead.point_m(0.1).tolist(), np.exp(pooled.m).tolist()
    return tuple(
        Candidate(
            f"{place}", cell.swing_deg, cell.club, f"{cell.swing_deg:g}", typical[place], nine[place], False, "early",
            BALLS_A_CELL, VISITS, (), table,
        )
        for place, (cell, table) in enumerate(zip(someone.cells, tables(ahead), strict=True))
    )  # fmt: skip


def in_turns(one: Callable[[], object], other: Callable[[], object], rounds: int) -> tuple[float, float]:
    """The median times [ms] of two pieces of work, each done after the other."""
    times: tuple[list[float], list[float]] = ([], [])
    for _ in range(rounds):
        for work, own in zip((one, other), times, strict=True):
            begun = time.perf_counter()
            work()
            own.append(1000 * (time.perf_counter() - begun))
    return median(times[0]), median(times[1])


def on_a_phone() -> dict[str, float]:
    """Of a card of 24 cells: what MEASURE finds on the page of what to leave, and what working it out takes of that."""
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as driver:
        server = Server(Path(folder) / "data").start()
        browser = driver.chromium.launch(**chromium_options())
        context = browser.new_context(**PHONE)
        more = [a_club(name) for name in ("43", "64")]
        open_book(context, server, [*demo_facts(now()), *more, *map(a_full_carry, more, (122, 60))])
        page = context.new_page()
        page.goto(server.url + "/fits/leave")
        page.locator("#line svg").wait_for()
        context.new_cdp_session(page).send("Emulation.setCPUThrottlingRate", {"rate": SLOWED})
        found: dict[str, float] = {**page.evaluate(MEASURE), "worked_out": page.evaluate(WORKED_OUT)}
        browser.close()
        server.stop()
    return found


def main(players: int, seed: int) -> None:
    """Print every figure."""
    rng = np.random.default_rng(seed)
    books = [book(rng) for _ in range(players)]
    better = sum(one.first > median(one.every) for one in books)
    print(f"{players} players, seed {seed}, {BALLS_A_CELL} balls a cell: the distance named first beats the median")
    said, came, middle = np.mean([(one.said, one.first, median(one.every)) for one in books], axis=0)
    print(f"distance in {better} books; it lands in {came:.3f} of the time, said {said:.3f}, the median {middle:.3f}")

    someone = player(rng, DAY_SD, clubs=6)
    among, usual = card_of(someone), Margin(0.08, 4 * YARD_M)
    all_ms, one_ms = in_turns(
        lambda: leave(among, usual, "yd"), lambda: answer(question(66 * YARD_M, usual), among), ROUNDS
    )
    print(f"{len(among)} cells, {len(leave(among, usual, 'yd').distances)} distances:", end=" ")
    print(
        f"{all_ms / one_ms:.2f} times one answer of what fits (<= {TARGET_RATIO:g}; {all_ms:.2f} and {one_ms:.2f} ms)"
    )
    found = on_a_phone()
    print(f"on a phone at 1/{SLOWED} of the processor's speed (<= {TARGET_MS} ms): worked out", end=" ")
    print(
        f"in {found['worked_out']:.1f} ms; with drawing and layout {found['median']:.1f}, 95% {found['p95']:.1f} ms;",
        end=" ",
    )
    print(f"the list set as text takes {found['plain']:.1f}")


if __name__ == "__main__":
    given = [int(text) for text in sys.argv[1:]]
    main(*(given + [60, 20][len(given) :]))
