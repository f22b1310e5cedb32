"""How well what fits does on invented players: `python -m tests.bench.choosing [players] [seed]` prints it.

Two questions: does a chance said come true (in tenths of the chance), and does the number put first land inside more
often than the one with the nearest typical carry, which is what a player would take from a plain table. The bands are
the project's own targets; the generator has other curves than the prior (see generator.py).
"""

import math
import sys
from dataclasses import dataclass, field

import numpy as np

from tests.bench.generator import YARD_M, Player, player
from webapp.card.strike import margin
from webapp.estimate.balls import Ball
from webapp.estimate.chance import rank, tables
from webapp.estimate.forecast import forecast
from webapp.estimate.pool import pool

DAY_SD = 0.02
BALLS_A_CELL = (0, 1, 3, 5, 10)
STRUCK = 300
TARGETS = 12
ACCEPT_ERROR = 0.03  # at one ball a cell and more


@dataclass
class Seen:
    """What was said of windows and what came of them, one entry a window and cell or a window and choice."""

    said: list[float] = field(default_factory=list)
    came: list[float] = field(default_factory=list)
    first: list[float] = field(default_factory=list)
    nearest: list[float] = field(default_factory=list)
    best: list[float] = field(default_factory=list)


def choosing(players: int, seed: int, n: int) -> Seen:
    """Questions asked of books with n balls a cell over up to three visits; half the windows are named trouble."""
    rng, seen = np.random.default_rng(seed), Seen()
    for _ in range(players):
        someone = player(rng, DAY_SD)
        pooled = pool(someone.cells, _balls(someone, n), someone.stated)
        ahead = forecast(pooled)
        found, nine = tables(ahead), ahead.point_m(0.1).tolist()
        typical = np.exp(pooled.m)
        truth = np.array([[someone.carry_m(cell) for _ in range(STRUCK)] for cell in range(len(typical))])
        for front, middle, back in _windows(rng, typical):
            landed = ((truth >= front) & (truth <= back)).mean(axis=1)
            ranked = rank(found, nine, front, back)
            seen.said += [fit.chances.inside for fit in ranked]
            seen.came += [float(landed[fit.cell]) for fit in ranked]
            seen.first.append(float(landed[ranked[0].cell]))
            seen.nearest.append(float(landed[int(np.argmin(np.abs(typical - middle)))]))
            seen.best.append(float(landed.max()))
    return seen


def in_tenths(seen: Seen) -> tuple[list[tuple[float, float, int]], float]:
    """(mean chance said, share that came, windows) for each tenth, and the mean distance weighted by windows."""
    said, came = np.array(seen.said), np.array(seen.came)
    place = np.minimum((said * 10).astype(int), 9)
    rows = [
        (float(said[place == k].mean()), float(came[place == k].mean()), int((place == k).sum()))
        for k in sorted(set(place.tolist()))
    ]
    return rows, sum(abs(chance - share) * count for chance, share, count in rows) / len(said)


def main(players: int, seed: int) -> None:
    """Print every figure."""
    print(f"{players} players, seed {seed}, {TARGETS} windows each")
    for n in BALLS_A_CELL:
        seen = choosing(players, seed, n)
        rows, error = in_tenths(seen)
        achieved = {"put first": seen.first, "nearest typical carry": seen.nearest, "best there was": seen.best}
        means = "  ".join(f"{name} {np.mean(values):.3f}" for name, values in achieved.items())
        print(f"{n} balls a cell: calibration error {error:.4f} (<= {ACCEPT_ERROR} from 1 on); landed inside: {means}")
        print("   said " + " ".join(f"{said:.2f}" for said, _, _ in rows))
        print("   came " + " ".join(f"{came:.2f}" for _, came, _ in rows), flush=True)


def _balls(someone: Player, n: int) -> list[Ball]:
    visits = max(1, min(3, n))
    hit = np.repeat(np.arange(len(someone.cells)), n)
    someone.rng.shuffle(hit)
    parts = np.array_split(hit, visits)
    return [ball for v, part in enumerate(parts) for ball in someone.visit(part.tolist(), v, 10.0 * (visits - v))]


def _windows(rng: np.random.Generator, typical: np.ndarray) -> list[tuple[float, float, float]]:
    """Carries between the shortest and the longest number: half with the usual margin, half with trouble set apart."""
    usual, found = margin("monitor"), []
    for place in range(TARGETS):
        middle = math.exp(rng.uniform(math.log(typical.min()), math.log(typical.max())))
        before, behind = (usual.at(middle),) * 2 if place % 2 else rng.uniform(2, 12, 2) * YARD_M
        found.append((max(middle - before, 0.1), middle, middle + behind))
    return found


if __name__ == "__main__":
    given = [int(text) for text in sys.argv[1:]]
    main(*(given + [100, 20][len(given) :]))
