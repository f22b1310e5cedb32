"""The first version of the estimate, kept as the baseline of the benches: no trend, no walk, no ways of judging.

Knows nothing of how the numbers are shown. Its prior and its density of mishits are the product's.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from tests.bench.first.joint import combine, day_levels, doubted_days, hear_days, without_itself
from tests.bench.first.memory import FirstOptions, memory
from webapp.estimate import model
from webapp.estimate.balls import Ball, Balls
from webapp.estimate.learned import mishit_density
from webapp.estimate.model import FloatArray, IntArray, Options
from webapp.estimate.prior import Cell, Told, believed
from webapp.estimate.student import t_point

_PRIOR_CLEAN_CHANCE = np.array(model.CLEAN_CHANCE)
_ALMOST_NONE = 1e-300
_WRONG_DAY = model.WRONG_DAY_SD**2
YEARLY_WALK_SD = 0.02


@dataclass(frozen=True)
class FirstPooled:
    """What the first version knew of J cells; (J,) arrays of ln(carry [m]), V (J, J), w (n,) for all balls."""

    m: FloatArray
    V: FloatArray
    sigma: FloatArray
    df: FloatArray
    age_days: FloatArray
    w: FloatArray
    day_shift_sd: float

    @property
    def half_width(self) -> FloatArray:
        """(J,) half the width of the 80% interval of ln(typical carry)."""
        return t_point(0.9, self.df) * np.sqrt(np.diag(self.V) + YEARLY_WALK_SD**2 * self.age_days / 365)

    @property
    def next_half_width(self) -> FloatArray:
        """(J,) half the width of the 80% interval of the next clean ball on a new day."""
        return t_point(0.9, self.df) * np.sqrt(np.diag(self.V) + self.day_shift_sd**2 + self.sigma**2)


def pool(cells: Sequence[Cell], balls: Balls | Sequence[Ball], told: Sequence[Told] = ()) -> FirstPooled:
    """Estimate all cells together, as the first version did; arguments as in webapp.estimate.pool."""
    options = FirstOptions()
    every = balls if isinstance(balls, Balls) else Balls.from_list(balls)
    mean, covariance = believed(cells, told, Options())
    used = np.flatnonzero(every.measured)
    solved = _solve(_Evidence.of(every, used, len(cells), options), mean, covariance, options)
    w = np.zeros(len(every.cell))
    w[used] = solved.w
    total = float(solved.N.sum())
    return FirstPooled(
        m=solved.m,
        V=solved.V,
        sigma=solved.sigma,
        df=solved.N + np.minimum(model.CELL_SPREAD_BALLS, model.SPREAD_BALLS + total - solved.N),
        age_days=solved.age_days,
        w=w,
        day_shift_sd=options.day_shift_sd,
    )


@dataclass(frozen=True)
class _Evidence:
    """The measured balls; of each group, those of one cell on one visit, the cell and the chance that it is not."""

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
    def of(cls, balls: Balls, used: IntArray, n_cells: int, options: FirstOptions) -> "_Evidence":
        cell, age_days, n_buckets = balls.cell.take(used), balls.age_days.take(used), len(balls.visit_names) or 1
        key = cell * n_buckets + balls.visit.take(used)
        present = np.bincount(key) > 0
        group = (np.cumsum(present) - 1).take(key)
        cell_of = np.flatnonzero(present) // n_buckets
        return cls(
            cell=cell,
            group=group,
            cell_of=cell_of,
            wrong_chance=np.full(len(cell_of), model.WRONG_DAY_CHANCE),
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


def _solve(balls: _Evidence, mean: FloatArray, covariance: FloatArray, options: FirstOptions) -> _Solved:
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
    return np.asarray(clean / (clean + (1 - likely) * mishit_density(r)), dtype=float)


def _spreads(SS: FloatArray, N: FloatArray) -> FloatArray:
    """Variance of clean balls per cell, each cell leaning on the common one."""
    common = (model.SPREAD_BALLS * model.SPREAD_SD**2 + SS.sum()) / (model.SPREAD_BALLS + N.sum())
    return np.asarray((model.CELL_SPREAD_BALLS * common + SS) / (model.CELL_SPREAD_BALLS + N))
