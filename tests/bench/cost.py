"""What an estimate costs: `python -m tests.bench.cost` prints ratios within one run, and the time on this machine."""

import time
import warnings
from collections.abc import Callable

import numpy as np
import pandas as pd
from statsmodels.regression.mixed_linear_model import MixedLM

from tests.bench.first import pool as first
from tests.bench.generator import Player, player
from webapp.estimate.balls import Balls
from webapp.estimate.figures import figures
from webapp.estimate.pool import pool

ANGLES_DEG = (60.0, 75.0, 90.0, 135.0, 180.0)
VISITS = 40


def main() -> None:
    """50 cells from 10,000 and from 2,000 balls, against a mixed model with a random level per cell and day.

    And against the first version of the estimate (tests/bench/first) in turns, as is a small book of 16 cells.
    """
    someone = player(np.random.default_rng(30), 0.02, ANGLES_DEG, 10)
    many, few = book(someone, 5), book(someone, 1)
    print(f"{len(someone.cells)} cells, {len(many.cell)} and {len(few.cell)} balls")
    ours = best(lambda: pool(someone.cells, many, someone.stated), 40)
    small = best(lambda: pool(someone.cells, few, someone.stated), 40)
    pooled = pool(someone.cells, many, someone.stated)
    shown = best(lambda: figures(pooled), 20)
    theirs = best(lambda: mixed_model(many), 1)
    usual = player(np.random.default_rng(31), 0.02)
    hit = [*[cell for cell in range(len(usual.cells)) for _ in range(3)], 0, 1]
    little = Balls.from_list([ball for v in range(6) for ball in usual.visit(hit, v, 9.0 * (6 - v))])
    print(f"mixed model / estimate        {theirs / ours:8.0f}   (>= 20)")
    print(f"10,000 balls / 2,000 balls    {ours / small:8.2f}")
    print(f"figures / estimate            {shown / ours:8.2f}")
    print(f"this version / first, 10,000  {against_first(someone, many):8.2f}   (<= 2.2)")
    print(f"the same, 16 cells, {len(little.cell)} balls {against_first(usual, little):8.2f}   (<= 2.2)")
    print(f"estimate on this machine      {1000 * ours:8.2f} ms (about 5)")


def book(someone: Player, each: int) -> Balls:
    """`each` balls of every cell in every visit."""
    hit = [cell for cell in range(len(someone.cells)) for _ in range(each)]
    return Balls.from_list([ball for v in range(VISITS) for ball in someone.visit(hit, v, 9.0 * (VISITS - v))])


def against_first(someone: Player, balls: Balls) -> float:
    """Shortest time of the estimate over that of its first version, run in turns."""
    now, before = [], []
    for _ in range(40):
        now.append(best(lambda: pool(someone.cells, balls, someone.stated), 1))
        before.append(best(lambda: first.pool(someone.cells, balls, someone.stated), 1))
    return min(now) / min(before)


def mixed_model(balls: Balls) -> None:
    """The same balls, mishits and slips left in, with a random level per cell and per cell and day within it."""
    frame = pd.DataFrame({"y": 100 * np.log(balls.carry_m), "cell": balls.cell, "visit": balls.visit})
    model = MixedLM.from_formula("y ~ 1", frame, groups="cell", re_formula="1", vc_formula={"day": "0 + C(visit)"})
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        model.fit(reml=True)


def best(work: Callable[[], object], times: int) -> float:
    """The shortest processor time [s] of some runs; other programs on the machine can only lengthen one."""
    spent = []
    for _ in range(times):
        began = time.process_time()
        work()
        spent.append(time.process_time() - began)
    return min(spent)


if __name__ == "__main__":
    main()
