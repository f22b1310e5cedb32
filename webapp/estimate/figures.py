"""What a player is shown of each cell: its numbers, what they rest on and how far they may be trusted.

Knows nothing of sentences, units of length or pages.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from webapp.estimate import model
from webapp.estimate.balls import before_the_move
from webapp.estimate.forecast import forecast
from webapp.estimate.model import FloatArray
from webapp.estimate.order import out_of_order
from webapp.estimate.pool import Pooled
from webapp.estimate.student import BELOW_HIGH, t_point
from webapp.estimate.trust import trust


@dataclass(frozen=True)
class CellFigures:
    """One cell's numbers; carries in metres, unrounded, "low" and "high" the ends of 80% intervals.

    Attributes
    ----------
    typical_carry_m, typical_low_m, typical_high_m : float
        What a clean ball carries; a told cell shows the stated number as typed.
    half_width_m : float
        Half the width of that interval, which "settled" asks to be narrow.
    spread_m : float
        Standard deviation of single clean balls of one day.
    next_low_m, next_high_m : float
        The next clean ball, on a new day.
    nine_in_ten_carry_m : float
        Reached nine times in ten, mishits included.
    n_clean : int
        Balls more likely clean than not (weight >= .5).
    n, visits : int
        All counted balls with any contact, also those under and over; the visits they came in. Balls from before
        the player says the cell moved are left out: a number has to earn its trust anew.
    trust : str
        "guess", "told", "early", "settled" or "old".
    too_wide : bool
        Early though balls and visits are enough, because the half-width is too large.
    by_eye : bool
        Every ball it rests on was judged by eye; False without balls.
    last_age_days : float or None
        Age [d] of the newest ball; None without balls.
    out_of_order : bool
        A longer swing of the same club and kind of ball carries no further, or a shorter one no less far (order.py).
    rough : bool
        Under 20 balls, so the nine-in-ten carry is rough.
    """

    typical_carry_m: float
    typical_low_m: float
    typical_high_m: float
    half_width_m: float
    spread_m: float
    next_low_m: float
    next_high_m: float
    nine_in_ten_carry_m: float
    n_clean: int
    n: int
    visits: int
    trust: str
    too_wide: bool
    by_eye: bool
    last_age_days: float | None
    out_of_order: bool
    rough: bool


@dataclass(frozen=True)
class Counts:
    """What the balls of J cells tell by their number alone; (J,) arrays.

    `n`, `n_clean`, `visits` and `by_eye` are as in CellFigures; `recent` of the balls are so new that their number is
    not old; `newest_days` is the age [d] of the newest, inf without balls.
    """

    n: NDArray[np.int_]
    n_clean: NDArray[np.int_]
    recent: NDArray[np.int_]
    visits: NDArray[np.int_]
    by_eye: NDArray[np.bool_]
    newest_days: FloatArray


def figures(pooled: Pooled) -> list[CellFigures]:
    """The figures of all cells, in the order of `pooled.cells`."""
    shown = typical_carry_m(pooled)
    t = t_point(BELOW_HIGH, pooled.df)
    wide, next_wide = t * np.sqrt(pooled.level_variance), t * np.sqrt(pooled.next_variance)
    low, high = np.minimum(np.exp(pooled.m - wide), shown), np.maximum(np.exp(pooled.m + wide), shown)
    half_m = (high - low) / 2
    nine = forecast(pooled).point_m(0.1)
    crossed = out_of_order(pooled, shown)

    counted, j = counts(pooled), len(pooled.cells)
    of_trust = [
        (int(counted.n[i]), int(counted.visits[i]), int(counted.recent[i]), i in pooled.told_m) for i in range(j)
    ]
    words = [trust(*of_trust[i], float(half_m[i])) for i in range(j)]
    return [
        CellFigures(
            typical_carry_m=float(shown[i]),
            typical_low_m=float(low[i]),
            typical_high_m=float(high[i]),
            half_width_m=float(half_m[i]),
            spread_m=float(shown[i] * pooled.sigma[i]),
            next_low_m=float(np.exp(pooled.m[i] - next_wide[i])),
            next_high_m=float(np.exp(pooled.m[i] + next_wide[i])),
            nine_in_ten_carry_m=float(nine[i]),
            n_clean=int(counted.n_clean[i]),
            n=int(counted.n[i]),
            visits=int(counted.visits[i]),
            trust=words[i],
            too_wide=trust(*of_trust[i], 0.0) == "settled" != words[i],
            by_eye=bool(counted.by_eye[i]),
            last_age_days=float(counted.newest_days[i]) if counted.n[i] else None,
            out_of_order=bool(crossed[i]),
            rough=bool(counted.n[i] < model.ROUGH_BELOW_BALLS),
        )
        for i in range(j)
    ]


def counts(pooled: Pooled) -> Counts:
    """The counts of all cells, in the order of `pooled.cells`."""
    balls, j = pooled.balls, len(pooled.cells)
    counted = _counted(pooled)
    cell = balls.cell[counted]
    n = np.bincount(cell, minlength=j)
    kinds = len(balls.visit_names) or 1
    measured = np.bincount(cell, balls.judged_by[counted] != model.WAYS.index("eye"), j)
    places = np.unique(cell * kinds + balls.visit[counted])
    newest = np.full(j, np.inf)
    np.minimum.at(newest, cell, balls.age_days[counted])
    return Counts(
        n=n,
        n_clean=np.bincount(cell, pooled.w[counted] >= model.CLEAN_FROM, j),
        recent=np.bincount(cell, balls.age_days[counted] <= pooled.options.old_after_days, j),
        visits=np.bincount(places // kinds, minlength=j),
        by_eye=(n > 0) & (measured == 0),
        newest_days=newest,
    )


def balls_by_visit(pooled: Pooled, j: int) -> list[tuple[str, ...]]:
    """All balls that were read of the first `j` cells, visits and balls in the order struck.

    A letter stands for a ball: "1" where it is among the cell's `n`, "0" where it is not, as one lost from sight.
    """
    found: list[dict[int, str]] = [{} for _ in range(j)]
    balls = pooled.balls
    for cell, visit, counted in zip(balls.cell.tolist(), balls.visit.tolist(), _counted(pooled).tolist(), strict=True):
        if cell < j:
            found[cell][visit] = found[cell].get(visit, "") + ("1" if counted else "0")
    return [tuple(visits.values()) for visits in found]


def typical_carry_m(pooled: Pooled) -> FloatArray:
    """(J,) typical carry [m] as shown: the stated number as typed while no ball of the cell counts."""
    shown = np.exp(pooled.m)
    n = np.bincount(pooled.balls.cell[_counted(pooled)], minlength=len(shown))
    for cell, carry_m in pooled.told_m.items():
        if n[cell] == 0:
            shown[cell] = carry_m
    return shown


def _counted(pooled: Pooled) -> NDArray[np.bool_]:
    """Which balls speak for a number as it is now: those that count and were struck since it moved."""
    balls = pooled.balls
    return balls.counted & ~before_the_move(balls.cell, balls.age_days, pooled.options)
