"""Where the distances of a bag lie too far apart, too close together, or are not reached at all.

Knows nothing of plans, prices or clubs to buy.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from webapp.clock import FULL_DEG
from webapp.estimate.figures import typical_carry_m
from webapp.estimate.model import FloatArray, IntArray
from webapp.estimate.pool import Pooled
from webapp.estimate.student import normal_below, t_point
from webapp.units import YARD_M

# Common practice, no source.
GAP_LIMIT_M = 15 * YARD_M
JUNIOR_GAP_LIMIT_M = 20 * YARD_M  # for a junior with few wedges
OVERLAP_M = 7 * YARD_M
OVERLAP_SHARE = 0.08
TWINS_M = 5 * YARD_M
UNCOVERED_M = 5 * YARD_M

TWO_IN_THREE = 5 / 6  # with a sixth of the balls beyond either end
# Of invented bags' gaps told with .5 to .6 a third came true: gaps near a limit come from smaller ones more often.
CALLED = 0.55
CERTAIN = 0.8
_LIKELIER = 0.5
_NODES, _NODE_WEIGHTS = np.polynomial.hermite_e.hermegauss(31)
_NODE_WEIGHTS = _NODE_WEIGHTS / _NODE_WEIGHTS.sum()


@dataclass(frozen=True)
class FullGap:
    """The gap between the full swings of two neighbours in loft.

    Attributes
    ----------
    from_cell, to_cell : int
        The full swings of the stronger and of the weaker loft.
    gap_m, limit_m : float
        The gap [m] as the card shows the carries, and the limit it is held against.
    chance_over : float
        Chance that the gap is over the limit.
    warn, certain : bool
        Whether that chance is over .55 and over .8.
    overlap : bool
        The two do one job: under 7 yd and under 8% of the longer apart, or, where the gap is not over the limit,
        the ranges in which two clean balls in three of a day land share more than half of the wider one.
    """

    from_cell: int
    to_cell: int
    gap_m: float
    limit_m: float
    chance_over: float
    warn: bool
    certain: bool
    overlap: bool


@dataclass(frozen=True)
class Twins:
    """Two cells for one distance, and the chance that they carry less than 5 yd apart."""

    cells: tuple[int, int]
    chance: float


def full_gaps(pooled: Pooled, limit_m: float = GAP_LIMIT_M) -> list[FullGap]:
    """The gaps between full swings, by loft, one kind of ball after the other; empty for one club."""
    shown = typical_carry_m(pooled)
    low, high = _two_in_three_m(pooled, shown)
    found = []
    for fulls in _fulls_by_ball(pooled):
        for i, k in pairwise(fulls):
            gap_m = float(shown[i] - shown[k])
            chance = float(chance_farther(pooled, np.array([i]), np.array([k]), limit_m)[0])
            longer_m = max(shown[i], shown[k])
            shared_m, wider_m = min(high[i], high[k]) - max(low[i], low[k]), max(high[i] - low[i], high[k] - low[k])
            warn = chance > CALLED
            overlap = (gap_m < OVERLAP_M and gap_m < OVERLAP_SHARE * longer_m) or (not warn and shared_m > wider_m / 2)
            found.append(FullGap(i, k, gap_m, limit_m, chance, warn, chance > CERTAIN, bool(overlap)))
    return found


def twins(pooled: Pooled, apart_m: float = TWINS_M) -> list[Twins]:
    """Pairs of cells of one kind of ball that more likely than not carry less than `apart_m` [m] apart."""
    kind = np.array([cell.ball for cell in pooled.cells])
    first, second = np.triu_indices(len(kind), 1)
    # A pair that is likely this close is also close at its medians; twice the width leaves room for skewness.
    middle = np.exp(pooled.m)
    near = (np.abs(middle[first] - middle[second]) < 2 * apart_m) & (kind[first] == kind[second])
    first, second = first[near], second[near]
    chance = chance_farther(pooled, first, second, -apart_m) - chance_farther(pooled, first, second, apart_m)
    return [
        Twins((int(i), int(k)), float(likely))
        for i, k, likely in zip(first, second, chance, strict=True)
        if likely > _LIKELIER
    ]


def uncovered(carries_m: Iterable[float], reach_m: float = UNCOVERED_M) -> list[tuple[float, float]]:
    """Stretches [m] between the shortest and longest of these carries that lie over `reach_m` from all of them."""
    pairs = pairwise(sorted(carries_m))
    return [(short + reach_m, long - reach_m) for short, long in pairs if long - short > 2 * reach_m]


def chance_farther(pooled: Pooled, first: IntArray, second: IntArray, by_m: float) -> FloatArray:
    """Chance that the typical carry of cell `first` is more than `by_m` [m] longer than that of `second`.

    Given the second, the first is normal in the logarithm; the second is summed over 31 Gauss-Hermite nodes.
    Cells are (p,) indices; by_m may be negative.
    """
    if len(first) == 0:
        return np.zeros(0)
    m, V = pooled.m, pooled.V
    sd = np.sqrt(V[second, second])
    slope = V[first, second] / V[second, second]
    rest = np.sqrt(np.maximum(V[first, first] - slope * V[first, second], 1e-18))
    steps = sd[:, None] * _NODES
    needed_m = np.exp(m[second][:, None] + steps) + by_m
    expected = m[first][:, None] + slope[:, None] * steps
    z = (expected - np.log(np.maximum(needed_m, 1e-9))) / rest[:, None]
    return np.where(needed_m > 0, normal_below(z), 1.0) @ _NODE_WEIGHTS


def _two_in_three_m(pooled: Pooled, carry_m: FloatArray) -> tuple[FloatArray, FloatArray]:
    """(J,) ends [m] of where two clean balls in three of one day land.

    What is not known yet of a cell is left out: it would make any two guesses look alike.
    """
    wide = t_point(TWO_IN_THREE, pooled.df) * pooled.sigma
    return carry_m * np.exp(-wide), carry_m * np.exp(wide)


def _fulls_by_ball(pooled: Pooled) -> list[list[int]]:
    """The full swings of each kind of ball, by rising loft."""
    fulls: dict[str, list[int]] = {}
    for i, cell in enumerate(pooled.cells):
        if cell.swing_deg >= FULL_DEG:
            fulls.setdefault(cell.ball, []).append(i)
    return [sorted(row, key=lambda i: pooled.cells[i].loft_deg) for row in fulls.values()]
