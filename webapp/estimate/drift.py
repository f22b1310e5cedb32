"""Whether a player's numbers have moved: a chart over the visits, and the verdict on one cell.

Knows nothing of why they moved.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from webapp.estimate.balls import before_the_move
from webapp.estimate.model import CELL_SHIFT_SD, CLEAN_FROM, EYE_CHECK_SD, VISIT_SHIFT_SD, WAY_SDS, WAYS, FloatArray
from webapp.estimate.pool import Pooled
from webapp.estimate.prior import believed

EWMA_WEIGHT = 0.05
EWMA_LIMIT_SDS = 3.3
CLIPPED_AT = 2.5
PERHAPS_ERRORS, MOVED_ERRORS = 1, 2  # standard errors from which, and beyond which, a difference is called so


@dataclass(frozen=True)
class Chart:
    """One chart over the visits.

    Attributes
    ----------
    club : str or None
        None for the chart of all clubs.
    levels : tuple of float
        The running mean after each value, in its own standard deviations.
    limit : float
        A level beyond this either way rings.
    rung_at : int or None
        Place of the first value that rang.
    """

    club: str | None
    levels: tuple[float, ...]
    limit: float
    rung_at: int | None


@dataclass(frozen=True)
class Verdict:
    """One cell's carry [m] in two periods, by visits; the standard error [m] of its change, and the word for that."""

    before_m: float
    after_m: float
    error_m: float
    word: str

    @property
    def change_m(self) -> float:
        """How much longer the cell carries in the later period [m]; below 0 it carries shorter."""
        return self.after_m - self.before_m


def charts(pooled: Pooled) -> list[Chart]:
    """The chart of all clubs, then one per club that has balls.

    Each value is the mean of a cell's clean balls of one visit, judged in one way, against what all groups before it
    make of the cell, of the way and of the visit, in standard deviations: under the model they are independent and
    standard normal. Balls the player says are from before their cell moved (Options.moved_age_days) are left out.
    """
    values = _surprises(pooled)
    found = [_chart(None, [z for _, z in values])]
    for club in dict.fromkeys(cell.club for cell in pooled.cells):
        own = [z for cell, z in values if pooled.cells[cell].club == club]
        if own:
            found.append(_chart(club, own))
    return found


def ewma(values: Sequence[float], weight: float = EWMA_WEIGHT) -> list[float]:
    """The exponentially weighted moving average after each value, from 0 (Roberts 1959); weight in (0, 1]."""
    level, levels = 0.0, []
    for value in values:
        level += weight * (value - level)
        levels.append(level)
    return levels


def ewma_limit(weight: float = EWMA_WEIGHT, sds: float = EWMA_LIMIT_SDS) -> float:
    """Where the average of standard normal values rings: sds times its long-run standard deviation."""
    return sds * math.sqrt(weight / (2 - weight))


def verdict(
    earlier_m: Sequence[Sequence[float]],
    later_m: Sequence[Sequence[float]],
    sigma: float,
    shift_variance: float = VISIT_SHIFT_SD**2 + CELL_SHIFT_SD**2,
    way_variance: float = 0.0,
) -> Verdict | None:
    """Whether a cell's typical carry moved between two periods.

    Parameters
    ----------
    earlier_m, later_m : sequence of sequence of float
        Clean carries [m] of each visit of the period.
    sigma : float
        Spread of clean balls as a fraction of the carry.
    shift_variance : float
        Variance of the shift that a visit's balls of one cell share.
    way_variance : float
        Variance of what the periods' ways of judging alone may make of the change.

    Returns
    -------
    Verdict or None
        "no sign" below one standard error, "perhaps" up to two, "moved" above; the visits count, since a day
        moves all its balls. None where a period has no ball.
    """
    before, after = _period(earlier_m, sigma, shift_variance), _period(later_m, sigma, shift_variance)
    if before is None or after is None:
        return None
    change, error = after[0] - before[0], math.sqrt(before[1] + after[1] + way_variance)
    middle_m = math.exp(0.5 * (before[0] + after[0]))
    return Verdict(math.exp(before[0]), math.exp(after[0]), middle_m * error, word_of(change, error))


def word_of(change: float, error: float) -> str:
    """The word for a difference: "no sign" below one standard error (0 counts as below), "perhaps" up to two."""
    if abs(change) < PERHAPS_ERRORS * error or not change:
        return "no sign"
    return "perhaps" if abs(change) <= MOVED_ERRORS * error else "moved"


def _period(visits_m: Sequence[Sequence[float]], sigma: float, shift_variance: float) -> tuple[float, float] | None:
    """Mean ln(carry) of a period, each visit weighted by what it tells, and its variance."""
    hit = [visit for visit in visits_m if len(visit)]
    if not hit:
        return None
    precision = np.array([1 / (shift_variance + sigma**2 / len(visit)) for visit in hit])
    means = np.array([np.log(visit).mean() for visit in hit])
    return float(precision @ means / precision.sum()), float(1 / precision.sum())


def _chart(club: str | None, values: Sequence[float]) -> Chart:
    levels, limit = ewma(values), ewma_limit()
    rung_at = next((i for i, level in enumerate(levels) if abs(level) > limit), None)
    return Chart(club, tuple(levels), limit, rung_at)


def _surprises(pooled: Pooled) -> list[tuple[int, float]]:
    """(cell, clipped standardised surprise) of each cell and way of judging of each visit, in the order they were hit.

    A filter over the cells, the ways of judging and the visit's own shift that starts at the prior with what eye checks
    tell, and hears one such group after the other: a player who begins to measure what was judged by eye has not moved,
    and a day that carries every cell of its visit further surprises once, not once a cell.
    """
    balls, m, V = pooled.balls, *_beforehand(pooled)
    clean = pooled.w >= CLEAN_FROM
    clean &= ~before_the_move(balls.cell, balls.age_days, pooled.options)
    visits: dict[int, dict[tuple[int, int], list[int]]] = {}
    for i in np.flatnonzero(clean)[np.argsort(balls.order[clean], kind="stable")].tolist():
        groups = visits.setdefault(int(balls.visit[i]), {})
        groups.setdefault((int(balls.cell[i]), int(balls.judged_by[i])), []).append(i)
    values = []
    for groups in visits.values():
        m[-1], V[-1, :], V[:, -1] = 0.0, 0.0, 0.0  # of a new visit's shift nothing is known yet
        V[-1, -1] = pooled.omega_a2
        for (cell, way), members in groups.items():
            x = _places(pooled, WAYS[way])
            x[[cell, -1]] = 1.0
            noise = pooled.omega_b2 + float(pooled.sigma[cell]) ** 2 / len(members)
            surprise, m, V = _hear(m, V, x, float(np.log(balls.carry_m[members]).mean()), noise)
            values.append((cell, max(-CLIPPED_AT, min(CLIPPED_AT, surprise))))
    return values


def _beforehand(pooled: Pooled) -> tuple[FloatArray, FloatArray]:
    """Mean and covariance of the cells, the ways in use and a visit's shift before any ball, the eye checks heard."""
    mean, covariance = believed(pooled.cells, pooled.told, pooled.options)
    j, others = len(mean), [*(WAY_SDS[way] for way in pooled.ways), 0.0]  # the shift is unknown once a visit begins
    m, V = np.append(mean, np.zeros(len(others))), np.diag(np.append(np.zeros(j), others)) ** 2
    V[:j, :j] = covariance
    for check in pooled.eye_checks:
        apart = _places(pooled, "eye") - _places(pooled, check.measured_by)
        _, m, V = _hear(m, V, apart, math.log(check.said_m / check.measured_m), EYE_CHECK_SD**2)
    return m, V


def _places(pooled: Pooled, way: str) -> FloatArray:
    """1 in the place of a way of judging among the cells, the ways in use and the visit's shift, else 0."""
    x = np.zeros(len(pooled.cells) + len(pooled.ways) + 1)
    x[len(pooled.cells) + pooled.ways.index(way)] = 1.0
    return x


def _hear(
    m: FloatArray, V: FloatArray, x: FloatArray, value: float, noise: float
) -> tuple[float, FloatArray, FloatArray]:
    """A value of x z with this noise variance: its surprise in standard deviations, then mean and covariance of z."""
    u = V @ x
    variance = float(x @ u) + noise
    off = value - float(x @ m)
    return off / math.sqrt(variance), m + u * (off / variance), V - np.outer(u, u) / variance
