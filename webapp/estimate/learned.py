"""What a round of the estimate learns for the next: weights, spreads, sizes of shifts, doubts and the trend's variance.

Knows nothing of how the unknowns are solved.
"""

import math

import numpy as np

from webapp.estimate import model
from webapp.estimate.model import AnyFloatArray, FloatArray, IntArray

_FEWEST_BALLS = 1e-9


def clean_weights(apart: FloatArray, S: FloatArray, contact: IntArray, chance: FloatArray) -> FloatArray:
    """Chance that each ball was clean, (n,): `apart` from its forecast, which has variance S.

    pi N(r; 0, S)/(pi N(r; 0, S) + (1 - pi) h(r)); `chance` holds pi by contact. A ball so far out that neither density
    is more than 0 was not clean.
    """
    # Single precision is plenty for a chance, and exponentials are most of what an estimate costs.
    r, variance, likely = apart.astype(np.float32), S.astype(np.float32), chance.take(contact)
    clean = likely * (np.exp(r * r / (-2 * variance)) / np.sqrt(2 * math.pi * variance))
    either = clean + (1 - likely) * mishit_density(r)
    return np.asarray(np.divide(clean, either, out=np.zeros(len(r)), where=either > 0))


def mishit_density(residual: AnyFloatArray) -> AnyFloatArray:
    """h(r), the density of ln(carry) - ln(typical carry) of a ball that was not clean: heavy, fat, slips of entry."""
    density: AnyFloatArray = np.zeros_like(residual)
    for share, mean, sd in model.MISHIT_DENSITY:
        # One quadratic in the residual, because this is most of the time an estimate takes.
        bent, level = -0.5 / sd**2, math.log(share / (sd * math.sqrt(2 * math.pi)))
        density += np.exp(bent * (residual * (residual - 2 * mean)) + (bent * mean**2 + level))
    return density


def clean_chances(contact: IntArray, w: FloatArray) -> FloatArray:
    """pi by contact, (7,): the chance assumed for each counts as CLEAN_CHANCE_BALLS balls."""
    assumed, worth = np.array(model.CLEAN_CHANCE), model.CLEAN_CHANCE_BALLS
    kept, struck = np.bincount(contact, w, len(assumed)), np.bincount(contact, minlength=len(assumed))
    return np.asarray((worth * assumed + kept) / (worth + struck))


def mishit_rates(swings_deg: FloatArray, cell: IntArray, w: FloatArray) -> tuple[float, FloatArray]:
    """Share of balls that are not clean over all cells, and for each cell that of its swing over all clubs, (J,).

    `swings_deg` is (J,); `cell` and `w` are the balls' cells and chances to be clean, (n,). What is assumed of all
    counts as MISHIT_RATE_BALLS balls, and the share over all as SWING_MISHIT_BALLS of a swing.
    """
    assumed, worth = model.MISHIT_RATE_BALLS * model.MISHIT_RATE, model.SWING_MISHIT_BALLS
    rate = float((assumed + np.sum(1 - w)) / (model.MISHIT_RATE_BALLS + len(w)))
    kinds, swing = np.unique(swings_deg, return_inverse=True)
    struck = np.bincount(swing[cell], minlength=len(kinds))
    missed = np.bincount(swing[cell], 1 - w, len(kinds))
    return rate, np.asarray(((worth * rate + missed) / (worth + struck))[swing])


def spreads(SS: FloatArray, N: FloatArray) -> FloatArray:
    """Variance of clean balls per cell, each cell leaning on the common one; sums of squares and balls, (J,)."""
    common = (model.SPREAD_BALLS * model.SPREAD_SD**2 + SS.sum()) / (model.SPREAD_BALLS + N.sum())
    return np.asarray((model.CELL_SPREAD_BALLS * common + SS) / (model.CELL_SPREAD_BALLS + N))


def visit_shift(omega_a2: float, a: FloatArray, var_a: FloatArray, usual: FloatArray) -> float:
    """omega_a^2 anew from the visits' shifts by MacKay's fixed point (1992, Neural Computation 4); (v,) arrays.

    A visit counts by its chance to be `usual`: the wrong club called all day says nothing of days.
    """
    known = usual @ np.maximum(1 - var_a / omega_a2, 0.0)
    assumed, worth = model.VISIT_SHIFT_SD**2, model.VISIT_SHIFT_WORTH
    return _within_limits(float((worth * assumed + usual @ a**2) / (worth + known)))


def cell_shift(omega_b2: float, b: FloatArray, var_b: FloatArray, o: FloatArray, counts: FloatArray) -> float:
    """omega_b^2 anew from the groups' shifts, which have variances o and count so much; (G,) arrays."""
    squares = counts @ (b**2 * (omega_b2 / o))
    known = counts @ np.maximum(1 - var_b / o, 0.0)
    assumed, worth = model.CELL_SHIFT_SD**2, model.CELL_SHIFT_WORTH
    return _within_limits(float((worth * assumed + squares) / (worth + known)))


def doubted(
    omega_b2: float,
    off: FloatArray,
    level_variance: FloatArray,
    o: FloatArray,
    noise: FloatArray,
    wrong_chance: FloatArray,
) -> tuple[FloatArray, FloatArray]:
    """omega_b^2 of each group, larger for one that does not belong to its cell; all arrays (G,).

    Most shifts have the variance omega_b^2, but with `wrong_chance` a group has WRONG_DAY_SD^2. Each is judged by how
    far its mean is `off` the level as the others make it: the level and its variance hold the group, whose shift had
    variance o less the drift in `noise`, so its leverage is level_variance/(o + noise). The result has the precision
    that the two kinds have on average. Beside it the chance that the group is of the usual kind.
    """
    wrong = model.WRONG_DAY_SD**2
    keep = 1 - np.minimum(level_variance / (o + noise), model.HIGHEST_LEVERAGE)
    apart, v_without = off / keep, level_variance / keep
    usual_alone, wrong_alone = omega_b2 + noise, wrong + noise
    S_usual, S_wrong = v_without + usual_alone, v_without + wrong_alone
    odds = wrong_chance / (1 - wrong_chance) * np.sqrt(S_usual / S_wrong)
    odds *= np.exp(np.minimum(0.5 * (wrong - omega_b2) * apart**2 / (S_usual * S_wrong), 50.0))
    # The mean of the precisions 1/(usual + noise) and 1/(wrong + noise), turned back without losing digits.
    by_usual, by_wrong = wrong_alone, odds * usual_alone
    return np.asarray((omega_b2 * by_usual + wrong * by_wrong) / (by_usual + by_wrong)), 1 / (1 + odds)


def noise_of(s2: FloatArray, N: FloatArray, drift: FloatArray) -> FloatArray:
    """Variance of a group's mean beside its shift: sigma^2/N and what its cell drifted by itself; (G,) arrays."""
    return s2 / np.maximum(N, _FEWEST_BALLS) + drift


def trend_variance(beta: float, var_beta: float) -> float:
    """tau^2 of the trend: what makes a normal prior of a Student t with TREND_DF degrees of freedom."""
    return (model.TREND_DF * model.TREND_SD**2 + beta**2 + var_beta) / (model.TREND_DF + 1)


def _within_limits(variance: float) -> float:
    low, high = model.SHIFT_SD_LIMITS
    return min(max(variance, low**2), high**2)
