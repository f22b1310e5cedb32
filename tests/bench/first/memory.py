"""How much each ball was remembered by the first version: it faded with age and with newer balls of its cell.

Knows nothing of what becomes of the numbers.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from webapp.estimate.model import FloatArray, IntArray

FADE_BALLS = 10.0


@dataclass(frozen=True)
class FirstOptions:
    """What the first version assumed: the sd of a day's shift of a cell, and how many days half a ball lasts."""

    day_shift_sd: float = 0.028
    fresh_days: float = 60.0


def memory(cell: IntArray, order: NDArray[np.int64], age_days: FloatArray, options: FirstOptions) -> FloatArray:
    """How much each ball is remembered, in (0, 1]: 2^-min(age/fresh_days, later balls of its cell/10).

    A ball fades only when it is both old and superseded, so one ball alone never fades.
    All arguments are (n,) arrays; ages in days.
    """
    n = len(cell)
    if n == 0:
        return np.zeros(0)
    by_time = np.argsort(order, kind="stable")
    # Cells are few; as small integers they are sorted by counting.
    in_turn = by_time.take(np.argsort(cell.take(by_time).astype(np.int16), kind="stable"))
    ends = np.cumsum(np.bincount(cell))
    later = np.empty(n)
    later[in_turn] = ends.take(cell.take(in_turn)) - np.arange(1, n + 1)
    return np.exp2(-np.minimum(age_days / options.fresh_days, later / FADE_BALLS))
