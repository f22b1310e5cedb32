"""The estimate: every cell's typical carry and spread, from all balls, eye checks and what the player states.

Knows nothing of how the numbers are shown, and nothing of books, clocks or pages. change.py, unknowns.py, joint.py and
learned.py hold its steps.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from webapp.estimate import eye, learned, model
from webapp.estimate.balls import Ball, Balls, EyeCheck
from webapp.estimate.change import Clock
from webapp.estimate.groups import ALMOST_NONE, Groups, grouped
from webapp.estimate.joint import Solved, precision, solve, with_own_shift, without_itself
from webapp.estimate.model import FloatArray, Options
from webapp.estimate.prior import Cell, Told, believed
from webapp.estimate.unknowns import Unknowns, unknowns


@dataclass(frozen=True)
class Pooled:
    """What is known today of J cells from n balls. Logarithms are of carries in metres.

    Attributes
    ----------
    cells, balls, told, options : as given
    eye_checks : tuple of EyeCheck
        Those that can tell something.
    told_m : dict of int to float
        Stated carry [m] of the cells that have one.
    m, V : (J,), (J, J) arrays
        Mean and covariance of ln(typical carry).
    sigma : (J,) array
        Spread of clean balls, as a fraction of the carry.
    N : (J,) array
        Balls that speak for each cell: sum of weights.
    df : (J,) array
        Degrees of freedom of the cell's spread.
    omega_a2, omega_b2 : float
        Variances of a visit's shift and of one cell's in it.
    drift : (J,) array
        Variance that each cell's own drift adds to its number: by the mean age of its balls and by a pause.
    pause_days : float
        How long [d] the player's clock has stood still (change.Clock).
    trend : float
        What the player gains in a year, as a fraction of the carry.
    ways : tuple of str
        Ways of judging in use.
    way_m, way_V, way_cell_V : (W,), (W, W), (W, J) arrays
        Mean and covariance of how far each of them is out, and the covariance with the cells.
    w : (n,) array
        Chance that each ball was a clean one, judged without it; 0 for those not measured.
    apart, apart_sd : (n,) arrays
        ln(carry) less the forecast made without the ball, and the sd of that; nan for balls not measured.
    clean_chance : (7,) array
        By place in model.CONTACTS.
    mishit_rate : float
        Share of balls that are not clean, over all cells, in (0, 1).
    swing_mishit_rate : (J,) array
        The same of each cell's swing, over all clubs.
    """

    cells: tuple[Cell, ...]
    balls: Balls
    told: tuple[Told, ...]
    options: Options
    eye_checks: tuple[EyeCheck, ...]
    told_m: dict[int, float]
    m: FloatArray
    V: FloatArray
    sigma: FloatArray
    N: FloatArray
    df: FloatArray
    omega_a2: float
    omega_b2: float
    drift: FloatArray
    pause_days: float
    trend: float
    ways: tuple[str, ...]
    way_m: FloatArray
    way_V: FloatArray
    way_cell_V: FloatArray
    w: FloatArray
    apart: FloatArray
    apart_sd: FloatArray
    clean_chance: FloatArray
    mishit_rate: float
    swing_mishit_rate: FloatArray

    @property
    def level_variance(self) -> FloatArray:
        """(J,) variance of ln(typical carry) as shown, with the cell's own drift."""
        return np.asarray(np.diag(self.V) + self.drift)

    @property
    def shift_variance(self) -> float:
        """Variance of the shift that one cell's balls of one visit share: the visit's and the cell's own."""
        return self.omega_a2 + self.omega_b2

    @property
    def next_variance(self) -> FloatArray:
        """(J,) variance of ln(carry) of the next clean ball, on a new visit."""
        return np.asarray(self.level_variance + self.shift_variance + self.sigma**2)


def pool(
    cells: Sequence[Cell],
    balls: Balls | Sequence[Ball],
    told: Sequence[Told] = (),
    options: Options | None = None,
    eye_checks: Sequence[EyeCheck] = (),
    on_a_visit: bool = False,
) -> Pooled:
    """Estimate all cells together.

    Parameters
    ----------
    cells : sequence of Cell, length J
        In any order; each cell once; none is allowed.
    balls : Balls or sequence of Ball, length n >= 0
        All balls that count; the cost grows with n, so a caller passes at most the latest 200 of a cell, 50 of a visit.
    told : sequence of Told
        Carries the player states; the last one of a cell holds.
    options : Options, optional
    eye_checks : sequence of EyeCheck
    on_a_visit : bool
        Whether the player has just begun a visit, so that a pause is over; for a phone that hears balls later.

    Returns
    -------
    Pooled
        Without balls it holds the prior given what is told; a cell without balls leans on the others.

    Notes
    -----
    ln(carry) = theta_cell + jump + g(A) - beta A/365 + a_visit + b_cell,visit + c_way + e. One round hears every group
    (joint.solve), judges each ball by the forecast made without it, and learns spreads, shifts, doubts and the trend's
    variance (learned.py). Rounds end when no level moves by more than SMALLEST_STEP and no sigma^2 by more than
    SMALLEST_SPREAD_STEP of itself, after at most MOST_ROUNDS.
    """
    options = options or Options()
    every = balls if isinstance(balls, Balls) else Balls.from_list(balls)
    mean, covariance = believed(cells, told, options)
    index = {cell: place for place, cell in enumerate(cells)}
    ages_days = every.age_days[every.counted]
    clock = Clock.since(0.0 if on_a_visit or not len(ages_days) else float(ages_days.min()))
    groups, checks = grouped(every, len(cells), options), tuple(eye.sound(eye_checks))
    unknown = unknowns(groups, covariance, clock, eye.ways_of(checks))
    found = _rounds(groups, unknown, mean, eye.heard(checks, unknown))

    j, used = len(cells), np.flatnonzero(every.measured)
    w, apart, apart_sd = np.zeros(len(every.cell)), np.full(len(every.cell), np.nan), np.full(len(every.cell), np.nan)
    w[used], apart[used], apart_sd[used] = found.w, found.apart, np.sqrt(found.S)
    total = float(found.N.sum())
    swings_deg = np.array([cell.swing_deg for cell in cells])
    mishit_rate, swing_mishit_rate = learned.mishit_rates(swings_deg, every.cell[every.counted], w[every.counted])
    ways = slice(len(unknown.K) - len(unknown.ways), None)
    return Pooled(
        cells=tuple(cells),
        balls=every,
        told=tuple(told),
        options=options,
        eye_checks=checks,
        told_m={index[statement.cell]: statement.carry_m for statement in told if statement.cell in index},
        m=mean + found.solved.z[:j],
        V=found.solved.V[:j, :j],
        sigma=np.sqrt(found.s2),
        N=found.N,
        df=found.N + np.minimum(model.CELL_SPREAD_BALLS, model.SPREAD_BALLS + total - found.N),
        omega_a2=found.omega_a2,
        omega_b2=found.omega_b2,
        drift=clock.doubt + model.OWN_DRIFT_SD**2 * found.years,
        pause_days=clock.pause_days,
        trend=float(found.solved.z[unknown.trend]),
        ways=tuple(model.WAYS[way] for way in unknown.ways),
        way_m=found.solved.z[ways],
        way_V=found.solved.V[ways, ways],
        way_cell_V=found.solved.V[ways, :j],
        w=w,
        apart=apart,
        apart_sd=apart_sd,
        clean_chance=found.chance,
        mishit_rate=mishit_rate,
        swing_mishit_rate=swing_mishit_rate,
    )


@dataclass(frozen=True)
class _Found:
    """The last round: its answer, and what was learned from it."""

    solved: Solved
    s2: FloatArray
    N: FloatArray
    years: FloatArray
    omega_a2: float
    omega_b2: float
    w: FloatArray
    apart: FloatArray
    S: FloatArray
    chance: FloatArray


def _rounds(groups: Groups, unknown: Unknowns, mean: FloatArray, checks: tuple[FloatArray, FloatArray]) -> _Found:
    j, cell_of, cell, group = groups.n_cells, groups.cell_of, groups.cell, groups.group
    drift = model.OWN_DRIFT_SD**2 * unknown.years[groups.occasion]
    learns_shifts = len(set(groups.visit.tolist())) >= model.LEARNED_FROM_VISITS
    omega_a2, omega_b2 = model.VISIT_SHIFT_SD**2, model.CELL_SHIFT_SD**2
    doubted = np.full(len(cell_of), omega_b2)
    K, chance = unknown.K, np.array(model.CLEAN_CHANCE)
    s2, m = np.full(j, model.SPREAD_SD**2), mean
    y = groups.y - mean.take(cell)

    # The first weights rest on medians, which a slip of entry cannot drag along.
    S = np.full(len(y), model.FIRST_SPREAD_FACTOR * model.SPREAD_SD**2)
    w = learned.clean_weights(y - _medians(groups, y).take(cell), S, groups.contact, chance)
    for _ in range(model.MOST_ROUNDS):
        m_before, s2_before = m, s2
        N, s2_of, o = groups.by_group(w), s2.take(cell_of), doubted + drift
        r = groups.by_group(w * y) / np.maximum(N, ALMOST_NONE)
        P = precision(N, o, s2_of)
        solved = solve(groups, unknown, K, P, r, omega_a2, checks)
        m = solved.z[:j]

        b, var_b, C = with_own_shift(solved, N, r, o, s2_of)
        off = y - (solved.level + b).take(group)
        apart, S = without_itself(off, C.take(group), s2_of.take(group), w, model.HIGHEST_LEVERAGE)
        heard, w = w, learned.clean_weights(apart, S, groups.contact, chance)

        N_cell = groups.by_cell(N)
        s2 = learned.spreads(groups.by_cell(groups.by_group(heard * off**2) + N * C), N_cell)
        chance = learned.clean_chances(groups.contact, w)
        noise = learned.noise_of(s2_of, N, drift)
        K = unknown.with_trend(learned.trend_variance(solved.z[unknown.trend], solved.V[unknown.trend, unknown.trend]))
        doubted, usual = learned.doubted(
            omega_b2, r - solved.level, solved.level_variance, doubted, noise, groups.wrong_chance
        )
        if learns_shifts:
            omega_a2 = learned.visit_shift(omega_a2, solved.a, solved.var_a, groups.by_visit(P, usual))
            omega_b2 = learned.cell_shift(omega_b2, b, var_b, o, usual * (N > model.SHIFT_LEARNED_FROM_BALLS))
        # V belongs to the spreads it was made with, so these must have settled too.
        if (
            np.max(np.abs(m - m_before), initial=0.0) < model.SMALLEST_STEP
            and np.max(np.abs(s2 / s2_before - 1), initial=0.0) < model.SMALLEST_SPREAD_STEP
        ):
            break
    years = groups.by_cell(N * unknown.years[groups.occasion]) / np.maximum(N_cell, ALMOST_NONE)
    return _Found(solved, s2, N_cell, years, omega_a2, omega_b2, w, apart, S, chance)


def _medians(groups: Groups, y: FloatArray) -> FloatArray:
    """Median of y per cell: of the likely clean balls, else of all balls, else 0, the prior's mean."""
    likely = np.array(model.CLEAN_CHANCE)[groups.contact] > 0.5
    part = groups.cell + groups.n_cells * likely
    # Carries lie within e^-50 and e^50 of their prior mean, so one sort puts the balls in order by part and by carry.
    in_order = np.sort(part * 100.0 + y)
    counts = np.bincount(part, minlength=2 * groups.n_cells)
    some = np.flatnonzero(counts)
    first = (np.cumsum(counts) - counts)[some]
    low, high = first + (counts[some] - 1) // 2, first + counts[some] // 2
    medians = np.zeros(groups.n_cells)
    # Those of likely clean balls come last and hold.
    medians[some % max(groups.n_cells, 1)] = 0.5 * (in_order[low] + in_order[high]) - some * 100.0
    return medians
