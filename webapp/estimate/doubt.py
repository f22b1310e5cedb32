"""Whether an entered carry looks like a slip of the finger, and which number was probably meant.

Knows nothing of rings, questions or refusals; an entry is kept as entered whatever is found here.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from webapp.estimate.figures import typical_carry_m
from webapp.estimate.pool import Pooled
from webapp.units import to_m, whole

_RINGED_BEYOND_SDS = 4.0
_FITS_WITHIN_SDS = 2.0


@dataclass(frozen=True)
class Doubt:
    """How an entry stands to its cell.

    `spreads_away` is signed, (carry - typical)/spread; `suggested_m` [m] is the carry that was probably
    meant, or None. An entry gets a ring when there is one.
    """

    spreads_away: float
    suggested_m: float | None

    @property
    def ring(self) -> bool:
        return self.suggested_m is not None


def doubtful(pooled: Pooled, cell: int, carry_m: float, unit: str) -> Doubt:
    """How a carry [m, > 0] entered in `unit` ("yd" or "m") for `cell` stands to the estimate made without it.

    Suggested is, of the numbers one slip away (two digits swapped, one too many, one missing), the nearest
    to the forecast that fits it, if the entry lies beyond four predictive standard deviations.
    """
    sd = math.sqrt(pooled.V[cell, cell] + pooled.options.day_shift_sd**2 + pooled.sigma[cell] ** 2)
    return _judged(pooled, cell, carry_m, unit, float(pooled.m[cell]), sd)


def doubtful_balls(pooled: Pooled, unit: str) -> dict[int, Doubt]:
    """The balls of `pooled` that get a ring, by place; each is judged by the forecast made without it."""
    carry_m, cells = pooled.balls.carry_m, pooled.balls.cell
    with np.errstate(invalid="ignore"):
        far = np.flatnonzero(np.abs(pooled.apart) > _RINGED_BEYOND_SDS * pooled.apart_sd)
    found = {}
    for i in far.tolist():
        m = math.log(carry_m[i]) - float(pooled.apart[i])
        doubt = _judged(pooled, int(cells[i]), float(carry_m[i]), unit, m, float(pooled.apart_sd[i]))
        if doubt.ring:
            found[i] = doubt
    return found


def _judged(pooled: Pooled, cell: int, carry_m: float, unit: str, m: float, sd: float) -> Doubt:
    typical_m = float(typical_carry_m(pooled)[cell])
    away = (carry_m - typical_m) / (typical_m * float(pooled.sigma[cell]))
    if abs(math.log(carry_m) - m) <= _RINGED_BEYOND_SDS * sd:
        return Doubt(away, None)
    meant = [to_m(number, unit) for number in _one_slip_from(whole(carry_m, unit))]
    meant = [other_m for other_m in meant if abs(math.log(other_m) - m) <= _FITS_WITHIN_SDS * sd]
    return Doubt(away, min(meant, key=lambda other_m: abs(math.log(other_m) - m), default=None))


def _one_slip_from(entered: int) -> Iterator[int]:
    """Whole numbers above 0 of which one slip makes `entered`: digits swapped, one too many, one missing."""
    digits = str(entered)
    slips = {digits[:i] + digits[i + 1] + digits[i] + digits[i + 2 :] for i in range(len(digits) - 1)}
    slips |= {digits[:i] + digits[i + 1 :] for i in range(len(digits)) if len(digits) > 1}
    slips |= {digits[:i] + digit + digits[i:] for i in range(len(digits) + 1) for digit in "0123456789"}
    for text in sorted(slips - {digits}):
        if int(text) > 0:
            yield int(text)
