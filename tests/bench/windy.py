"""Whether taking a noted light wind out of a bucket's balls would help: `python -m tests.bench.windy [players] [seed]`.

Nothing in the product does so; this measures what a correction by the flight model would bring to players whose visits
had a light wind, noted by its direction alone. The truth launches each wedge anywhere within the band that
conditions/launches.py leaves open; the correction knows only the middle of the band and one speed.
"""

import sys
from dataclasses import dataclass, replace

import numpy as np

from tests.bench.changing import half_width
from tests.bench.generator import Player, player
from webapp.conditions.day import Conditions
from webapp.conditions.launches import LAUNCH_OFF_DEG, SPIN_OFF_SHARE, ClubLaunch, launch_of_loft
from webapp.conditions.rungs import OWN, Number, flown_m, ladder
from webapp.estimate.balls import Ball, Balls
from webapp.estimate.pool import pool

SUPPOSED_MPS = 2.5
BALLS, VISITS = 24, 12
DIRECTIONS = {"into": -1.0, "down": 1.0, "across": 0.0, "calm": 0.0}


@dataclass(frozen=True)
class Row:
    """Winds of some visits: their speeds [m/s at 10 m], which directions come, and how often one is noted wrongly."""

    name: str
    speeds_mps: tuple[float, float]
    directions: tuple[str, ...]
    noted_wrong: float = 0.0


ROWS = (
    Row("2 to 3 m/s from anywhere", (2.0, 3.0), tuple(DIRECTIONS)),
    Row("2 to 3 m/s, always into it", (2.0, 3.0), ("into",)),
    Row("0 to 5 m/s from anywhere", (0.0, 5.0), tuple(DIRECTIONS)),
    Row("0 to 5 m/s, always into it", (0.0, 5.0), ("into",)),
    Row("2 to 3 m/s from anywhere, one in five noted wrongly", (2.0, 3.0), tuple(DIRECTIONS), 0.2),
    Row("no wind, one visit in two noted as light wind into it", (0.0, 0.0), ("into", "calm")),
)


def effect(someone: Player, carry_m: np.ndarray, launches: list[ClubLaunch], tail_mps: float) -> np.ndarray:
    """(J,) what a wind along the shot makes of each cell's carry, as a factor."""
    numbers = [Number(f"{at}", float(carry_m[at]), launches[at]) for at in range(len(carry_m))]
    rungs = [rung for rung in ladder(numbers, Conditions()) if rung.key]
    factor = np.ones(len(carry_m))
    flown = flown_m(rungs, Conditions(tail_mps=tail_mps))[:, OWN]
    for rung, today_m in zip(rungs, flown, strict=True):
        factor[int(rung.key)] = today_m / rung.card_m
    return factor


def measured(row: Row, players: int, seed: int) -> dict[str, tuple[float, float]]:
    """RMSE [%] of ln(typical carry) and the share that its 80% range held: wind left in, and taken out."""
    rng, errors, held = np.random.default_rng(seed), {"left in": [], "taken out": []}, {"left in": [], "taken out": []}
    for _ in range(players):
        someone = player(rng, 0.02)
        lofts = [launch_of_loft(cell.loft_deg) for cell in someone.cells]
        off, more = rng.uniform(-1, 1, 2)
        true = [
            ClubLaunch(one.launch_deg + off * LAUNCH_OFF_DEG, one.spin_rpm_per_mps * (1 + more * SPIN_OFF_SHARE))
            for one in lofts
        ]
        carry_m = np.exp(someone.level)
        unit = {sign: effect(someone, carry_m, true, sign * SUPPOSED_MPS) - 1 for sign in (-1.0, 1.0)}
        supposed = {sign: effect(someone, carry_m, lofts, sign * SUPPOSED_MPS) for sign in (-1.0, 1.0)}
        books: dict[str, list[Ball]] = {"left in": [], "taken out": []}
        for visit in range(VISITS):
            hit = [cell for cell in range(len(carry_m)) for _ in range(BALLS // VISITS)]
            direction = row.directions[int(rng.integers(len(row.directions)))]
            noted = direction if rng.random() >= row.noted_wrong else str(rng.choice(list(DIRECTIONS)))
            size = rng.uniform(*row.speeds_mps) / SUPPOSED_MPS
            sign, noted_sign = DIRECTIONS[direction], DIRECTIONS[noted]
            for ball in someone.visit(hit, visit, 1.0 + 15.0 * (VISITS - visit)):
                blown = 1 + size * unit[sign][ball.cell] if sign else 1.0
                back = supposed[noted_sign][ball.cell] if noted_sign else 1.0
                books["left in"].append(_times(ball, blown))
                books["taken out"].append(_times(ball, blown / back))
        for way, balls in books.items():
            pooled = pool(someone.cells, Balls.from_list(balls), someone.stated)
            errors[way].append(pooled.m - someone.level)
            held[way].append(np.abs(pooled.m - someone.level) < half_width(pooled))
    return {way: (100 * float(np.sqrt(np.mean(np.square(errors[way])))), float(np.mean(held[way]))) for way in errors}


def _times(ball: Ball, factor: float) -> Ball:
    return replace(ball, carry_m=None if ball.carry_m is None else ball.carry_m * factor)


def main(players: int, seed: int) -> None:
    """Print each row."""
    print(f"{players} players, seed {seed}; wind left in -> taken out")
    for row in ROWS:
        (e0, c0), (e1, c1) = measured(row, players, seed).values()
        print(f"{row.name:54} RMSE % {e0:.2f} -> {e1:.2f} ({e1 / e0:.2f})  covers {c0:.2f} -> {c1:.2f}", flush=True)


if __name__ == "__main__":
    given = [int(text) for text in sys.argv[1:]]
    main(*(given + [60, 71][len(given) :]))
