"""Whether an entered carry looks like a slip, and which number was probably meant.

Knows nothing of rings, questions or refusals; an entry is kept as entered whatever is found here. The phone alone asks
(static/rules/doubt.js): the functions here are its twins, which tests alone call; the limits are both's.
"""

import math
from collections.abc import Iterable

from webapp.units import to_m, whole

# Predictive standard deviations of ln(carry) beyond which an entry is odd; fat and bladed balls are far off by nature.
RINGED_BEYOND_SDS = {"clean": 4.0, "": 4.0, "heavy": 6.0, "thin": 6.0}
FITS_WITHIN_SDS = 2.0
MOST_TENS = 9  # lines by which a touch may have been misread


def likelier_m(carry_m: float, contact: str, typed: bool, m: float, sd: float, unit: str) -> float | None:
    """The carry [m] probably meant by an entry of `carry_m` [m, > 0] in `unit` (of units.LENGTH_UNITS), or None.

    `m` and `sd` are mean and standard deviation of ln(carry [m]) of the cell's next clean ball. A typed number may be
    one slip away (two digits swapped, one too many, one missing), a touched one whole tens, never a step of the scale.
    Of the numbers that fit the forecast the nearest to it is given.
    """
    limit = RINGED_BEYOND_SDS.get(contact)
    if limit is None or carry_m <= 0 or abs(math.log(carry_m) - m) <= limit * sd:
        return None
    entered = whole(carry_m, unit)
    numbers = one_slip_from(entered) if typed else whole_tens_from(entered)
    meant = [to_m(number, unit) for number in sorted(numbers)]
    meant = [other_m for other_m in meant if abs(math.log(other_m) - m) <= FITS_WITHIN_SDS * sd]
    return min(meant, key=lambda other_m: abs(math.log(other_m) - m), default=None)


def one_slip_from(entered: int) -> Iterable[int]:
    """Whole numbers above 0 of which one slip makes `entered`: digits swapped, one too many, one missing."""
    digits = str(entered)
    slips = {digits[:i] + digits[i + 1] + digits[i] + digits[i + 2 :] for i in range(len(digits) - 1)}
    slips |= {digits[:i] + digits[i + 1 :] for i in range(len(digits)) if len(digits) > 1}
    slips |= {digits[:i] + digit + digits[i:] for i in range(len(digits) + 1) for digit in "0123456789"}
    return {int(text) for text in slips} - {0, entered}


def whole_tens_from(entered: int) -> Iterable[int]:
    """Whole numbers above 0 that differ from `entered` by tens: a line of the patch taken for another."""
    tens = (10 * n for n in range(-MOST_TENS, MOST_TENS + 1) if n)
    return {entered + ten for ten in tens if entered + ten > 0}
