"""The Gaussian algebra of the estimate: what the visits tell of the unknowns, with every visit's shifts summed out.

Knows nothing of golf. A group g has a mean y_g = x_g z + a_visit + b_g + noise; its shifts a (of the visit) and b (of
the group) have variances omega_a^2 and o_g. x_g is a row's part beside an occasion's part, so that every sum over
groups is a product of small matrices: P fills a table of rows by occasions.
"""

from dataclasses import dataclass

import numpy as np

from webapp.estimate.groups import Groups
from webapp.estimate.model import FloatArray
from webapp.estimate.unknowns import Unknowns


@dataclass(frozen=True)
class Solved:
    """One round's answer for p unknowns, v visits and G groups.

    Attributes
    ----------
    z, V : (p,), (p, p) arrays
        Mean and covariance of the unknowns.
    H, h : (p, p), (p,) arrays
        What the groups told: precision, and precision times value.
    S : (v,) array
        1/omega_a^2 + sum P.
    a, var_a : (v,) arrays
        Shift of each visit and its variance.
    level, level_variance : (G,) arrays
        l = x z + a and its variance.
    """

    z: FloatArray
    V: FloatArray
    H: FloatArray
    h: FloatArray
    S: FloatArray
    a: FloatArray
    var_a: FloatArray
    level: FloatArray
    level_variance: FloatArray


def solve(
    groups: Groups,
    unknown: Unknowns,
    K: FloatArray,
    P: FloatArray,
    r: FloatArray,
    omega_a2: float,
    checks: tuple[FloatArray, FloatArray],
) -> Solved:
    """Hear all groups at once.

    Parameters
    ----------
    K : (p, p) array
        Prior covariance of the unknowns, which may be singular.
    P, r : (G,) arrays
        Precision of each group's mean when its visit's shift is known, N/(o N + sigma^2), and the mean less the
        prior mean of its cell.
    omega_a2 : float
        Variance of the visits' shifts, > 0.
    checks : (p, p), (p,) arrays
        sum c c'/.08^2 and sum c q/.08^2 of the eye checks.

    Notes
    -----
    X_v = sum P x/S_v, r_v = sum P r/S_v, H = sum P x x' - sum S_v X_v X_v', h = sum P x r - sum S_v X_v r_v, both with
    the checks; V = (I + K H)^-1 K, z = V h; a = r_v - X_v z, var a = 1/S_v + X_v V X_v';
    l = x z + a, var l = (x - X_v) V (x - X_v)' + 1/S_v.
    """
    E, F, c = unknown.of_row, unknown.of_occasion, unknown.of_row.shape[1]
    shape = len(E), len(F)
    place = groups.row * max(shape[1], 1) + groups.occasion
    P_table = np.bincount(place, P, shape[0] * shape[1]).reshape(shape)
    Pr_table = np.bincount(place, P * r, shape[0] * shape[1]).reshape(shape)

    P_occasion, Pr_occasion = P_table.sum(axis=0), Pr_table.sum(axis=0)
    P_row, Pr_row = P_table.sum(axis=1), Pr_table.sum(axis=1)

    # Occasions are in the order of their visits, so a visit's sum is one over neighbours.
    firsts = groups.first_of_visit
    S = 1 / omega_a2 + np.add.reduceat(P_occasion, firsts)
    PF = P_occasion[:, None] * F
    SX_v = np.hstack([np.add.reduceat(P_table, firsts, axis=1).T @ E, np.add.reduceat(PF, firsts, axis=0)])
    X_v, Sr_v = SX_v / S[:, None], np.add.reduceat(Pr_occasion, firsts)

    H, h = checks[0] - X_v.T @ SX_v, checks[1] - X_v.T @ Sr_v
    across = E.T @ P_table @ F
    H[:c, :c] += E.T @ (P_row[:, None] * E)
    H[:c, c:] += across
    H[c:, :c] += across.T
    H[c:, c:] += F.T @ PF
    h[:c] += Pr_row @ E
    h[c:] += Pr_occasion @ F

    V = np.linalg.solve(np.eye(len(K)) + K @ H, K)
    V = 0.5 * (V + V.T)
    z = V @ h
    a = Sr_v / S - X_v @ z
    VX = V @ X_v.T
    spread_v = _rows_dot(X_v, VX.T)

    # Level and variance as tables of rows by occasions, of which each group takes its place.
    visit = groups.visit
    level = (E @ z[:c])[:, None] + (F @ z[c:] + a[visit])
    own_row = _rows_dot(E @ V[:c, :c], E)
    own_occasion = _rows_dot(F @ V[c:, c:] - 2 * VX[c:].T[visit], F) + (spread_v + 1 / S)[visit]
    variance = own_row[:, None] + own_occasion + 2 * E @ (V[:c, c:] @ F.T - VX[:c, visit])
    return Solved(z, V, H, h, S, a, 1 / S + spread_v, level.ravel().take(place), variance.ravel().take(place))


def precision(N: FloatArray, o: FloatArray, s2: FloatArray) -> FloatArray:
    """P = N/(o N + sigma^2): what N balls of one group tell beside their shift of variance o; (G,) arrays."""
    return N / (o * N + s2)


def with_own_shift(
    solved: Solved, N: FloatArray, r: FloatArray, o: FloatArray, s2: FloatArray
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Shift b of each group, its variance, and the variance C of the level with it; (G,) arrays.

    k = o N/(o N + sigma^2), b = k (r - l), C = (1 - k)^2 v + o (1 - k); the shift's own variance is o (1 - k) + k^2 v.
    """
    k = o * N / (o * N + s2)
    rest = o * (1 - k)
    return k * (r - solved.level), rest + k**2 * solved.level_variance, rest + (1 - k) ** 2 * solved.level_variance


def without_itself(
    off: FloatArray, C: FloatArray, s2: FloatArray, weight: FloatArray, highest_leverage: float
) -> tuple[FloatArray, FloatArray]:
    """How far each ball is from the level forecast without it, and the variance of that; all arrays (n,).

    `off` is the ball less the level that holds it, C the level's variance, `weight` how much the ball counted.
    With the leverage weight C/sigma^2, capped below 1: off/(1 - leverage) and C/(1 - leverage) + sigma^2.
    """
    keep = 1 - np.minimum(weight * C / s2, highest_leverage)
    return off / keep, C / keep + s2


def _rows_dot(one: FloatArray, other: FloatArray) -> FloatArray:
    """The product of each row of one matrix with the same row of the other."""
    return np.asarray(np.einsum("ij,ij->i", one, other))
