"""What fits: the chance that a ball of each cell comes down short of a window, inside it or beyond it.

Knows nothing of flags, slopes or roll; a window is two carries.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from webapp.estimate.forecast import Forecast
from webapp.units import YARD_M

_FARTHEST_STEPS = 400
_DIGITS = 5
_LEAST_CHANCE = 0.0005
TWENTY = 20  # balls stand for a forecast: few enough to count, many enough to tell 13 from 12


@dataclass(frozen=True)
class Table:
    """Chance of carrying less than each whole yard, for a phone without signal.

    Attributes
    ----------
    first : int
        The first carry of the table, in steps.
    step_m : float
        One step [m]: a yard.
    below : tuple of float
        Chance of carrying less than (first + i) steps; 0 before the table, 1 after it.
    """

    first: int
    step_m: float
    below: tuple[float, ...]


@dataclass(frozen=True)
class Chances:
    """Chances of coming down short of a window, inside it and beyond it; they add to 1."""

    short: float
    inside: float
    long: float


@dataclass(frozen=True)
class Fit:
    """How one cell fits a window.

    `nine_in_ten_carry_m` [m]; `clears` whether that reaches the carry that must be reached, if one is given.
    """

    cell: int
    chances: Chances
    nine_in_ten_carry_m: float
    clears: bool


def rank(
    cell_tables: Sequence[Table],
    nine_in_ten_carry_m: Sequence[float],
    front_m: float,
    back_m: float,
    must_carry_m: float | None = None,
) -> list[Fit]:
    """Cells by their chance inside the window, then by the smaller worse side; those that clear first."""
    found = [
        Fit(cell, chances(table, front_m, back_m), nine_m, must_carry_m is None or nine_m >= must_carry_m)
        for cell, (table, nine_m) in enumerate(zip(cell_tables, nine_in_ten_carry_m, strict=True))
    ]
    return sorted(
        found,
        key=lambda fit: (not fit.clears, -fit.chances.inside, max(fit.chances.short, fit.chances.long)),
    )


def tables(ahead: Forecast) -> list[Table]:
    """The table of every cell, without the ends where nearly nothing or nearly everything lies below."""
    farthest = min(_FARTHEST_STEPS, int(np.exp(ahead.m.max(initial=0.0) + 1.0) / YARD_M) + 1)
    steps = np.arange(1, farthest + 1)
    below = ahead.below(np.broadcast_to(steps * YARD_M, (len(ahead.m), farthest)))
    found = []
    for row in below:
        first = max(0, int(np.searchsorted(row, _LEAST_CHANCE)) - 1)
        last = int(np.searchsorted(row, 1 - _LEAST_CHANCE)) + 1
        found.append(Table(first + 1, YARD_M, tuple(round(float(chance), _DIGITS) for chance in row[first:last])))
    return found


def chances(table: Table, front_m: float, back_m: float) -> Chances:
    """Chances of the window [front_m, back_m] [m] by straight lines between the steps of the table."""
    steps = np.arange(table.first, table.first + len(table.below))
    edges = np.array([front_m, back_m]) / table.step_m
    short, reached = np.interp(edges, steps, table.below, left=0.0, right=1.0).tolist()
    return Chances(short, reached - short, 1 - reached)


def percents(found: Chances) -> tuple[int, int, int]:
    """Short, inside and long in whole percent adding to 100: the largest remainders are rounded up."""
    return shares(found, 100)


def shares(found: Chances, of: int) -> tuple[int, int, int]:
    """Short, inside and long in whole parts adding to `of`: the largest remainders are rounded up."""
    short, inside, long = whole_parts((found.short, found.inside, found.long), of)
    return short, inside, long


def whole_parts(fractions: Sequence[float] | Sequence[Fraction], of: int) -> list[int]:
    """Fractions of 1 that make a whole in whole parts adding to `of`: the largest remainders are rounded up."""
    parts = [of * fraction for fraction in fractions]
    whole = [int(part + 1e-9) for part in parts]
    by_remainder = sorted(range(len(parts)), key=lambda i: whole[i] - parts[i])
    for i in by_remainder[: of - sum(whole)]:
        whole[i] += 1
    return whole


def twenty(table: Table, front_m: float, back_m: float) -> tuple[tuple[int, int, int], tuple[float, ...]]:
    """Twenty balls of a cell: how many end short of the window, in it and beyond it, and where each comes down [m].

    They lie at the middles of twenty equal shares of the forecast (a quantile dot plot: Kay, Kola, Hullman and Munson,
    CHI 2016, from memory). The numbers are largest remainders; a ball that they put on the other side of an edge is
    drawn at that edge, so that picture and words never disagree.
    """
    short, inside, long = shares(chances(table, front_m, back_m), TWENTY)
    quantiles = (np.arange(TWENTY) + 0.5) / TWENTY
    steps = np.arange(table.first, table.first + len(table.below))
    carries = np.interp(quantiles, table.below, steps) * table.step_m
    low = np.repeat([0.0, front_m, back_m], (short, inside, long))
    high = np.repeat([front_m, back_m, np.inf], (short, inside, long))
    return (short, inside, long), tuple(np.clip(carries, low, high).tolist())
