"""The joint estimate: every cell's typical carry and spread, from all balls and what the player states.

Knows nothing of how the numbers are shown, and nothing of books, clocks or pages.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from webapp.estimate import model
from webapp.estimate.balls import Ball, Balls, before_the_move, memory
from webapp.estimate.joint import combine, day_levels, doubted_days, hear_days, without_itself
from webapp.estimate.model import FloatArray, IntArray, Options
from webapp.estimate.prior import Cell, Told, believed

_PRIOR_CLEAN_CHANCE = np.array(model.CLEAN_CHANCE)
_ALMOST_NONE = 1e-300
_WRONG_DAY = model.WRONG_DAY_SD**2


@dataclass(frozen=True)
class Pooled:
    """What is known of J cells from n balls. Logarithms are of carries in metres.

    Attributes
    ----------
    cells, balls, told, options : as given
    told_m : dict of int to float
        Stated carry [m] of the cells that have one.
    m, V : (J,), (J, J) arrays
        Mean and covariance of ln(typical carry).
    sigma : (J,) array
        Spread of clean balls, as a fraction of the carry.
    N : (J,) array
        Balls that speak for each cell: sum of weight times memory.
    df : (J,) array
        Degrees of freedom of the cell's spread.
    age_days : (J,) array
        Mean age [d] of what speaks for the cell; 0 without balls.
    w : (n,) array
        Chance that each ball was a clean one, judged without it; 0 for those not measured.
    apart, apart_sd : (n,) arrays
        ln(carry) less the forecast made without the ball, and the sd of that; nan for balls not measured.
    clean_chance : (7,) array
        By place in model.CONTACTS.
    mishit_rate : float
        Share of balls that are not clean, over all cells, in (0, 1).
    """

    cells: tuple[Cell, ...]
    balls: Balls
    told: tuple[Told, ...]
    options: Options
    told_m: dict[int, float]
    m: FloatArray
    V: FloatArray
    sigma: FloatArray
    N: FloatArray
    df: FloatArray
    age_days: FloatArray
    w: FloatArray
    apart: FloatArray
    apart_sd: FloatArray
    clean_chance: FloatArray
    mishit_rate: float


def pool(
    cells: Sequence[Cell],
    balls: Balls | Sequence[Ball],
    told: Sequence[Told] = (),
    options: Options | None = None,
) -> Pooled:
    """Estimate all cells together.

    Parameters
    ----------
    cells : sequence of Cell, length J
        In any order; each cell once; none is allowed.
    balls : Balls or sequence of Ball, length n >= 0
        All balls that count; the cost grows with n, so a caller passes at most the latest 200 of a cell.
    told : sequence of Told
        Carries the player states; the last one of a cell holds.
    options : Options, optional

    Returns
    -------
    Pooled
        Without balls it holds the prior given what is told; a cell without balls leans on the others.

    Notes
    -----
    Balls of one cell and bucket share a shift with sd omega, a clean ball is N(level + shift, sigma^2),
    another has the residual density model.mishit_density. Per cell and bucket N = sum w d and the mean; per
    cell P = sum_b 1/(omega^2 + sigma^2/N), V = (K^-1 + P)^-1, m = mu + V P (mean - mu). The weight w of a ball
    comes from the forecast made without it; a group whose mean does not belong to its cell gets a wider shift
    (joint.doubted_days). The parts are repeated until no m moves by more than SMALLEST_STEP and no sigma^2 by
    more than SMALLEST_SPREAD_STEP of itself, at most MOST_ROUNDS times.
    """
    options = options or Options()
    every = balls if isinstance(balls, Balls) else Balls.from_list(balls)
    mean, covariance = believed(cells, told, options)
    index = {cell: place for place, cell in enumerate(cells)}
    told_m = {index[statement.cell]: statement.carry_m for statement in told if statement.cell in index}

    used = np.flatnonzero(every.measured)
    solved = _solve(_Evidence.of(every, used, len(cells), options), mean, covariance, options)
    w = np.zeros(len(every.cell))
    apart, apart_sd = np.full(len(w), np.nan), np.full(len(w), np.nan)
    w[used], apart[used], apart_sd[used] = solved.w, solved.apart, solved.apart_sd
    total = float(solved.N.sum())
    return Pooled(
        cells=tuple(cells),
        balls=every,
        told=tuple(told),
        options=options,
        told_m=told_m,
        m=solved.m,
        V=solved.V,
        sigma=solved.sigma,
        N=solved.N,
        df=solved.N + np.minimum(model.CELL_SPREAD_BALLS, model.SPREAD_BALLS + total - solved.N),
        age_days=solved.age_days,
        w=w,
        apart=apart,
        apart_sd=apart_sd,
        clean_chance=solved.clean_chance,
        mishit_rate=_rate(int(np.count_nonzero(every.counted)), float(solved.w.sum())),
    )


@dataclass(frozen=True)
class _Evidence:
    """The measured balls; of each group, the balls of one cell in one bucket, the cell and the chance that it is not.

    The visits since the player says that the cell moved are vouched for, however far off they lie.
    """

    cell: IntArray
    group: IntArray
    cell_of: IntArray
    wrong_chance: FloatArray
    y: FloatArray
    contact: IntArray
    d: FloatArray
    age_days: FloatArray
    n_cells: int

    @classmethod
    def of(cls, balls: Balls, used: IntArray, n_cells: int, options: Options) -> "_Evidence":
        cell, age_days, n_buckets = balls.cell.take(used), balls.age_days.take(used), len(balls.bucket_names) or 1
        key = cell * n_buckets + balls.bucket.take(used)
        present = np.bincount(key) > 0
        group = (np.cumsum(present) - 1).take(key)
        cell_of = np.flatnonzero(present) // n_buckets
        older = before_the_move(cell, age_days, options)
        vouched = np.isin(cell_of, list(options.moved_age_days)) & (np.bincount(group, older, len(cell_of)) == 0)
        return cls(
            cell=cell,
            group=group,
            cell_of=cell_of,
            wrong_chance=np.where(vouched, 0.0, model.WRONG_DAY_CHANCE),
            y=np.log(balls.carry_m.take(used)),
            contact=balls.contact.take(used),
            d=memory(cell, balls.order.take(used), age_days, options),
            age_days=age_days,
            n_cells=n_cells,
        )

    def by_group(self, values: FloatArray) -> FloatArray:
        return np.bincount(self.group, values, len(self.cell_of)).astype(float, copy=False)

    def by_cell(self, group_values: FloatArray) -> FloatArray:
        return np.bincount(self.cell_of, group_values, self.n_cells).astype(float, copy=False)


@dataclass(frozen=True)
class _Solved:
    m: FloatArray
    V: FloatArray
    sigma: FloatArray
    N: FloatArray
    age_days: FloatArray
    w: FloatArray
    apart: FloatArray
    apart_sd: FloatArray
    clean_chance: FloatArray


def _solve(balls: _Evidence, mean: FloatArray, covariance: FloatArray, options: Options) -> _Solved:
    omega2 = options.day_shift_sd**2
    chance = _PRIOR_CLEAN_CHANCE
    n_by_contact = np.bincount(balls.contact, minlength=len(chance))
    s2 = np.full(balls.n_cells, model.SPREAD_SD**2)

    # The first forecast rests on medians, which a slip of entry cannot drag along.
    N = balls.by_group(chance[balls.contact] * balls.d)
    days = np.full(len(balls.cell_of), omega2)
    P, _ = hear_days(N, N, s2[balls.cell_of], days, balls.cell_of, balls.n_cells)
    m, V = combine(mean, covariance, _medians(balls, chance, mean), P)
    w = _weights(balls.y - m[balls.cell], (np.diag(V) + omega2 + s2).take(balls.cell), balls.contact, chance)

    for _ in range(model.MOST_ROUNDS):
        before, s2_before = m, s2
        wd = w * balls.d
        N, s2_of = balls.by_group(wd), s2[balls.cell_of]
        heard = balls.by_group(wd * balls.y) / np.maximum(N, _ALMOST_NONE)
        P, cell_mean = hear_days(N, heard, s2_of, days, balls.cell_of, balls.n_cells)
        m, V = combine(mean, covariance, cell_mean, P)

        m_of, v_of = m[balls.cell_of], np.diag(V)[balls.cell_of]
        level, C = day_levels(N, heard, s2_of, days, m_of, v_of)
        off = balls.y - level.take(balls.group)
        apart, S = without_itself(off, C.take(balls.group), s2_of.take(balls.group), wd, model.HIGHEST_LEVERAGE)
        w = _weights(apart, S, balls.contact, chance)

        days = doubted_days(N, heard, s2_of, days, m_of, v_of, omega2, _WRONG_DAY, balls.wrong_chance)
        N_cell = balls.by_cell(N)
        s2 = _spreads(balls.by_cell(balls.by_group(wd * off**2) + N * C), N_cell)
        kept = np.bincount(balls.contact, w, len(chance))
        chance = (model.CLEAN_CHANCE_BALLS * _PRIOR_CLEAN_CHANCE + kept) / (model.CLEAN_CHANCE_BALLS + n_by_contact)
        # V belongs to the spreads it was made with, so these must have settled too.
        if (
            np.max(np.abs(m - before), initial=0.0) < model.SMALLEST_STEP
            and np.max(np.abs(s2 / s2_before - 1), initial=0.0) < model.SMALLEST_SPREAD_STEP
        ):
            break

    age_days = balls.by_cell(balls.by_group(wd * balls.age_days)) / np.maximum(N_cell, _ALMOST_NONE)
    return _Solved(m, V, np.sqrt(s2), N_cell, age_days, w, apart, np.sqrt(S), chance)


def _medians(balls: _Evidence, chance: FloatArray, mean: FloatArray) -> FloatArray:
    """Median ln(carry) per cell: of the likely clean balls, else of all balls, else the prior's mean."""
    likely = chance[balls.contact] > 0.5
    part = balls.cell + balls.n_cells * likely
    # Carries lie within e^-50 and e^50 m, so one sort puts the balls in order by part and by carry.
    in_order = np.sort(part * 100.0 + balls.y)
    counts = np.bincount(part, minlength=2 * balls.n_cells)
    some = np.flatnonzero(counts)
    first = (np.cumsum(counts) - counts)[some]
    low, high = first + (counts[some] - 1) // 2, first + counts[some] // 2
    medians = mean.copy()
    # Those of likely clean balls come last and hold.
    medians[some % balls.n_cells] = 0.5 * (in_order[low] + in_order[high]) - some * 100.0
    return medians


def _weights(apart: FloatArray, S: FloatArray, contact: IntArray, chance: FloatArray) -> FloatArray:
    """Chance that a ball this far from its forecast (variance S) was clean; `chance` is by contact."""
    # Single precision is plenty for a chance, and exponentials are most of what an estimate costs.
    r, variance, likely = apart.astype(np.float32), S.astype(np.float32), chance.take(contact)
    clean = likely * (np.exp(r * r / (-2 * variance)) / np.sqrt(2 * math.pi * variance))
    return np.asarray(clean / (clean + (1 - likely) * model.mishit_density(r)), dtype=float)


def _spreads(SS: FloatArray, N: FloatArray) -> FloatArray:
    """Variance of clean balls per cell, each cell leaning on the common one."""
    common = (model.SPREAD_BALLS * model.SPREAD_SD**2 + SS.sum()) / (model.SPREAD_BALLS + N.sum())
    return np.asarray((model.CELL_SPREAD_BALLS * common + SS) / (model.CELL_SPREAD_BALLS + N))


def _rate(n: float, clean: float) -> float:
    """The mishit rate: (4 + sum(1 - w))/(20 + n)."""
    return (model.MISHIT_RATE_BALLS * model.MISHIT_RATE + n - clean) / (model.MISHIT_RATE_BALLS + n)
