"""The Gaussian algebra of the estimate: what the days tell of a cell, and what the cells tell of each other.

Knows nothing of golf; a group is the balls of one cell on one day.
"""

import numpy as np

from webapp.estimate.model import FloatArray, IntArray


def hear_days(
    N: FloatArray, heard: FloatArray, s2: FloatArray, omega2: FloatArray, cell_of: IntArray, n_cells: int
) -> tuple[FloatArray, FloatArray]:
    """Precision and mean that the groups tell of each cell, when each group has a shift of its own.

    Parameters
    ----------
    N, heard, s2, omega2 : (G,) arrays
        Balls that count in each group (>= 0, need not be whole), their mean, the variance of one ball, and
        the variance of the shift the group's balls share.
    cell_of : (G,) int array
        Cell of each group, in 0 .. n_cells - 1.

    Returns
    -------
    P : (n_cells,) array
        sum_b 1/(omega^2 + sigma^2/N); groups with N = 0 add nothing, a cell without groups has 0.
    mean : (n_cells,) array
        The means of the groups weighted by those terms; 0 where P = 0.
    """
    precision = N / (omega2 * N + s2)
    P = np.bincount(cell_of, precision, n_cells).astype(float, copy=False)
    total = np.bincount(cell_of, precision * heard, n_cells)
    return P, np.divide(total, P, out=np.zeros(n_cells), where=P > 0)


def combine(
    mean: FloatArray, covariance: FloatArray, heard: FloatArray, P: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Mean and covariance of J cells after hearing of each a value with precision P.

    V = (K^-1 + P)^-1, m = mean + V P (heard - mean), as V = K (I + P K)^-1, so that neither K nor P need be
    invertible; P = 0 stands for nothing heard. Shapes (J,), (J, J), (J,), (J,).
    """
    V = np.asarray(np.linalg.solve(np.eye(len(P)) + covariance * P, covariance).T, dtype=float)
    return mean + V @ (P * (heard - mean)), V


def day_levels(
    N: FloatArray, heard: FloatArray, s2: FloatArray, omega2: FloatArray, m: FloatArray, v: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Level of each group (the cell's plus the day's shift) and its variance; all arrays (G,).

    `m`, `v` are the cell's estimate, already holding what the group told. The shift is g (heard - m) with
    g = omega^2/(omega^2 + sigma^2/N), the variance (1 - g)^2 v + omega^2 (1 - g).
    """
    g = omega2 * N / (omega2 * N + s2)
    return m + g * (heard - m), (1 - g) ** 2 * v + omega2 * (1 - g)


def doubted_days(
    N: FloatArray,
    heard: FloatArray,
    s2: FloatArray,
    omega2: FloatArray,
    m: FloatArray,
    v: FloatArray,
    usual: float,
    wrong: float,
    chance: FloatArray,
) -> FloatArray:
    """Variance of each group's shift, larger for a group that does not belong to its cell; all arrays (G,).

    Most shifts have the variance `usual`, but with this chance a group has the variance `wrong`. Each is judged
    by its mean against the cell as the others make it: m, v hold the group with variance `omega2`, its
    leverage is v/(omega2 + sigma^2/N). The result has the precision that the two make on average; `usual` for
    N = 0.
    """
    noise = s2 / np.maximum(N, 1e-9)
    keep = 1 - np.minimum(v / (omega2 + noise), 0.98)
    apart, v_without = (heard - m) / keep, v / keep
    usual_alone, wrong_alone = usual + noise, wrong + noise
    S_usual, S_wrong = v_without + usual_alone, v_without + wrong_alone
    odds = chance / (1 - chance) * np.sqrt(S_usual / S_wrong)
    odds *= np.exp(np.minimum(0.5 * (wrong - usual) * apart**2 / (S_usual * S_wrong), 50.0))
    # The mean of the precisions 1/(usual + noise) and 1/(wrong + noise), turned back without losing digits.
    by_usual, by_wrong = wrong_alone, odds * usual_alone
    return np.where(N > 0, (usual * by_usual + wrong * by_wrong) / (by_usual + by_wrong), usual)


def without_itself(
    off: FloatArray, C: FloatArray, s2: FloatArray, weight: FloatArray, highest_leverage: float
) -> tuple[FloatArray, FloatArray]:
    """How far each ball is from the level forecast without it, and the variance of that; all arrays (n,).

    `off` is the ball less the level that holds it, C the level's variance, `weight` how much the ball counted.
    With the leverage weight C/sigma^2, capped below 1: off/(1 - leverage) and C/(1 - leverage) + sigma^2.
    """
    keep = 1 - np.minimum(weight * C / s2, highest_leverage)
    return off / keep, C / keep + s2
