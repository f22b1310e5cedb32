"""Student's t and the normal distribution, because the running program does without scipy.

Knows nothing of golf.
"""

import math
from statistics import NormalDist

import numpy as np

from webapp.estimate.model import FloatArray

BELOW_HIGH = 0.9  # the chance below the upper end of an 80% interval, which leaves out as much at the lower
HIGH_Z = NormalDist().inv_cdf(BELOW_HIGH)  # standard deviations from a normal interval's middle to its upper end
_TOGETHER = 512  # numbers at once: of few values many terms are worked out together, which spares calls of numpy
_log_gamma = np.frompyfunc(math.lgamma, 1, 1)
_error_function = np.frompyfunc(math.erf, 1, 1)


def normal_below(z: FloatArray) -> FloatArray:
    """Chance that a standard normal value lies below z."""
    return 0.5 + 0.5 * np.asarray(_error_function(np.asarray(z) / math.sqrt(2.0)), dtype=float)


def normal_density(z: FloatArray) -> FloatArray:
    """Density of the standard normal distribution."""
    return np.exp(-0.5 * z * z) / math.sqrt(2 * math.pi)


def t_below(t: FloatArray, df: FloatArray) -> FloatArray:
    """Chance that a Student t value with df > 0 degrees of freedom (any real number) lies below t.

    Through the regularised incomplete beta function, P = 1 - I_x(df/2, 1/2)/2 for t > 0 with
    x = df/(df + t^2) (Abramowitz and Stegun 1964, 26.7.1; the continued fraction is 26.5.8). Shapes broadcast.
    """
    t, df = np.broadcast_arrays(np.asarray(t, dtype=float), np.asarray(df, dtype=float))
    x = df / (df + t * t)
    tail = 0.5 * _beta_below(x, t * t / (df + t * t), 0.5 * df)
    return np.where(t > 0, 1 - tail, tail)


def t_density(t: FloatArray, df: FloatArray) -> FloatArray:
    """Density of Student's t with df > 0 degrees of freedom."""
    df = np.asarray(df, dtype=float)
    log_scale = np.asarray(_log_gamma((df + 1) / 2) - _log_gamma(df / 2), dtype=float) - 0.5 * np.log(df * math.pi)
    return np.exp(log_scale - 0.5 * (df + 1) * np.log1p(t * t / df))


def t_point(chance: float, df: FloatArray) -> FloatArray:
    """The value below which Student's t with df >= 1 degrees of freedom lies with this chance, in (0, 1).

    Halley's steps from the normal point with its first corrections, whose error is of the cube of the one before;
    exact to about 1e-11 from df = 1 on for chances between .005 and .995.
    """
    df = np.asarray(df, dtype=float)
    z = _normal_point(chance)
    t = z + (z**3 + z) / (4 * df) + (5 * z**5 + 16 * z**3 + 3 * z) / (96 * df**2)
    for _ in range(40):
        newton = (t_below(t, df) - chance) / t_density(t, df)
        step = newton / (1 + 0.5 * newton * (df + 1) * t / (df + t * t))
        t = t - step
        if np.max(np.abs(step), initial=0.0) < 1e-5:
            break
    return t


def t_by_df() -> list[tuple[int, float]]:
    """The point of an 80% interval by degrees of freedom, for a program that reads between them and not beyond."""
    df = np.array([6, 7, 8, 9, 10, 12, 15, 20, 30, 60, 120])
    return [(int(d), round(float(t), 4)) for d, t in zip(df, t_point(0.9, df.astype(float)), strict=True)]


def _normal_point(chance: float) -> float:
    """The standard normal point of a chance, by Newton's steps from 0."""
    z = 0.0
    for _ in range(60):
        step = (0.5 + 0.5 * math.erf(z / math.sqrt(2)) - chance) * math.sqrt(2 * math.pi) * math.exp(z * z / 2)
        z -= max(-1.0, min(1.0, step))
        if abs(step) < 1e-14:
            break
    return z


def _beta_below(x: FloatArray, rest: FloatArray, a: FloatArray) -> FloatArray:
    """Regularised incomplete beta function I_x(a, 1/2); `rest` is 1 - x, given apart to keep its digits."""
    b = 0.5
    log_front = a * np.log(x) + b * np.log(np.where(rest > 0, rest, 1.0))
    log_front = log_front + np.asarray(_log_gamma(a + b) - _log_gamma(a), dtype=float) - math.lgamma(b)
    turned = x > (a + 1) / (a + b + 2)
    fraction = _fraction(np.where(turned, rest, x), np.where(turned, b, a), np.where(turned, a, b))
    front = np.exp(log_front)
    return np.where(rest <= 0, 1.0, np.where(turned, 1 - front * fraction / b, front * fraction / a))


def _fraction(x: FloatArray, a: FloatArray, b: FloatArray) -> FloatArray:
    """The continued fraction of the incomplete beta function, from its last term to its first.

    a or b is 1/2. So many terms leave an error below 1e-14: counted for 0.2 to a million degrees of freedom, each with
    450 values of t up to 10,000.
    """
    terms = int(min(60.0, 13 + 3.2 * math.sqrt(max(a.max(initial=0.0), b.max(initial=0.0)))))
    together = 1 + _TOGETHER // max(x.size, 1)
    value = np.ones_like(x)
    for last in range(terms, 0, -together):
        m = np.arange(last, max(last - together, 0), -1).reshape(-1, *[1] * x.ndim)
        evens = m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m))
        odds = -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1))
        for even, odd in zip(evens, odds, strict=True):
            value = 1 + even / (1 + odd / value)
    return np.asarray(1 / (1 - (a + b) * x / (a + 1) / value))
