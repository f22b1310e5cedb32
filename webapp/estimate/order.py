"""Which cells carry the wrong way round: a longer swing that flies no farther than a shorter one of its wedge.

Knows nothing of how such cells are marked.
"""

import numpy as np
from numpy.typing import NDArray

from webapp.estimate.balls import before_the_move
from webapp.estimate.model import CLEAN_FROM, LEAST_BALLS_FOR_ORDER, FloatArray
from webapp.estimate.pool import Pooled


def out_of_order(pooled: Pooled, carry_m: FloatArray) -> NDArray[np.bool_]:
    """(J,) whether a cell and a longer swing of its club and kind of ball carry the wrong way round.

    Either as shown, `carry_m` [m], or by the plain medians of their likely clean balls: the estimate leans on the
    curve over swings, and can put two cells in order that the balls have the other way round.
    """
    plain_m = _plain_medians_m(pooled)
    crossed = np.zeros(len(pooled.cells), dtype=bool)
    for i, cell in enumerate(pooled.cells):
        for k, other in enumerate(pooled.cells):
            longer = other.swing_deg > cell.swing_deg and (other.club, other.ball) == (cell.club, cell.ball)
            if longer and (carry_m[k] <= carry_m[i] or plain_m[k] <= plain_m[i]):
                crossed[i] = crossed[k] = True
    return crossed


def _plain_medians_m(pooled: Pooled) -> FloatArray:
    """(J,) median carry [m] of the likely clean balls since the cell moved; nan under LEAST_BALLS_FOR_ORDER of them."""
    balls = pooled.balls
    likely = (pooled.w >= CLEAN_FROM) & ~before_the_move(balls.cell, balls.age_days, pooled.options)
    medians = np.full(len(pooled.cells), np.nan)
    for cell in range(len(medians)):
        own = balls.carry_m[likely & (balls.cell == cell)]
        if len(own) >= LEAST_BALLS_FOR_ORDER:
            medians[cell] = np.median(own)
    return medians
