"""What a player is shown of each cell: its numbers, what they rest on and how far they may be trusted.

Knows nothing of sentences, units of length or pages.
"""

from dataclasses import dataclass

import numpy as np

from webapp.estimate import model
from webapp.estimate.balls import before_the_move
from webapp.estimate.forecast import forecast
from webapp.estimate.model import FloatArray
from webapp.estimate.pool import Pooled
from webapp.estimate.student import t_point
from webapp.estimate.trust import trust

_EIGHTY_PERCENT = 0.9


@dataclass(frozen=True)
class CellFigures:
    """One cell's numbers; carries in metres, unrounded, "low" and "high" the ends of 80% intervals.

    Attributes
    ----------
    typical_carry_m, typical_low_m, typical_high_m : float
        What a clean ball carries; a told cell shows the stated number as typed.
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
    last_age_days : float or None
        Age [d] of the newest ball; None without balls.
    out_of_order : bool
        A longer swing of the same club and kind of ball carries no further, or a shorter one no less far.
    rough : bool
        Under 20 balls, so the nine-in-ten carry is rough.
    """

    typical_carry_m: float
    typical_low_m: float
    typical_high_m: float
    spread_m: float
    next_low_m: float
    next_high_m: float
    nine_in_ten_carry_m: float
    n_clean: int
    n: int
    visits: int
    trust: str
    last_age_days: float | None
    out_of_order: bool
    rough: bool


def figures(pooled: Pooled) -> list[CellFigures]:
    """The figures of all cells, in the order of `pooled.cells`."""
    shown = typical_carry_m(pooled)
    t = t_point(_EIGHTY_PERCENT, pooled.df)
    variance = np.diag(pooled.V)
    wide = t * np.sqrt(variance + model.YEARLY_WALK_SD**2 * pooled.age_days / model.DAYS_A_YEAR)
    next_wide = t * np.sqrt(variance + pooled.options.day_shift_sd**2 + pooled.sigma**2)
    low, high = np.minimum(np.exp(pooled.m - wide), shown), np.maximum(np.exp(pooled.m + wide), shown)
    nine = forecast(pooled).point_m(0.1)
    crossed = out_of_order(pooled, shown)

    balls, j = pooled.balls, len(pooled.cells)
    counted = balls.counted & ~before_the_move(balls.cell, balls.age_days, pooled.options)
    cell = balls.cell[counted]
    n = np.bincount(cell, minlength=j)
    n_clean = np.bincount(cell, pooled.w[counted] >= 0.5, j)
    fresh = np.bincount(cell, balls.age_days[counted] <= pooled.options.fresh_days, j)
    kinds = len(balls.bucket_names) or 1
    visits = np.bincount(np.unique(cell * kinds + balls.bucket[counted]) // kinds, minlength=j)
    newest = np.full(j, np.inf)
    np.minimum.at(newest, cell, balls.age_days[counted])

    return [
        CellFigures(
            typical_carry_m=float(shown[i]),
            typical_low_m=float(low[i]),
            typical_high_m=float(high[i]),
            spread_m=float(shown[i] * pooled.sigma[i]),
            next_low_m=float(np.exp(pooled.m[i] - next_wide[i])),
            next_high_m=float(np.exp(pooled.m[i] + next_wide[i])),
            nine_in_ten_carry_m=float(nine[i]),
            n_clean=int(n_clean[i]),
            n=int(n[i]),
            visits=int(visits[i]),
            trust=trust(int(n[i]), int(visits[i]), int(fresh[i]), i in pooled.told_m),
            last_age_days=float(newest[i]) if n[i] else None,
            out_of_order=bool(crossed[i]),
            rough=bool(n[i] < model.ROUGH_BELOW_BALLS),
        )
        for i in range(j)
    ]


def typical_carry_m(pooled: Pooled) -> FloatArray:
    """(J,) typical carry [m] as shown: the stated number as typed while no ball of the cell counts."""
    shown = np.exp(pooled.m)
    n = np.bincount(pooled.balls.cell[pooled.balls.counted], minlength=len(shown))
    for cell, carry_m in pooled.told_m.items():
        if n[cell] == 0:
            shown[cell] = carry_m
    return shown


def out_of_order(pooled: Pooled, carry_m: FloatArray) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
    """(J,) whether a cell and a longer swing of its club carry the wrong way round; both are marked."""
    crossed = np.zeros(len(pooled.cells), dtype=bool)
    for i, cell in enumerate(pooled.cells):
        for k, other in enumerate(pooled.cells):
            longer = other.swing_deg > cell.swing_deg and (other.club, other.ball) == (cell.club, cell.ball)
            if longer and carry_m[k] <= carry_m[i]:
                crossed[i] = crossed[k] = True
    return crossed
