"""What eye checks tell of the ways of judging: pairs of a carry said by eye and the same carry measured.

Knows nothing of balls.
"""

import math
from collections.abc import Iterable

import numpy as np

from webapp.estimate import model
from webapp.estimate.balls import EyeCheck
from webapp.estimate.model import FloatArray
from webapp.estimate.unknowns import Unknowns


def sound(checks: Iterable[EyeCheck]) -> list[EyeCheck]:
    """The pairs that can tell something: both carries above 0, not judged twice by eye, and not a slip of entry."""
    return [
        check
        for check in checks
        if check.said_m > 0
        and check.measured_m > 0
        and check.measured_by != "eye"
        and abs(math.log(check.said_m / check.measured_m)) < model.EYE_CHECK_SLIP
    ]


def ways_of(checks: Iterable[EyeCheck]) -> tuple[str, ...]:
    """The ways of judging that the pairs tie together."""
    measured = tuple(dict.fromkeys(check.measured_by for check in checks))
    return ("eye", *measured) if measured else ()


def heard(checks: Iterable[EyeCheck], unknown: Unknowns) -> tuple[FloatArray, FloatArray]:
    """Precision (p, p) and precision times value (p,) of the unknowns: each pair observes c_eye - c_measured.

    Its value is ln(said/measured), its error EYE_CHECK_SD.
    """
    H, h = np.zeros_like(unknown.K), np.zeros(len(unknown.K))
    for check in checks:
        c = np.zeros(len(h))
        c[unknown.place_of_way("eye")], c[unknown.place_of_way(check.measured_by)] = 1.0, -1.0
        H += np.outer(c, c) / model.EYE_CHECK_SD**2
        h += c * math.log(check.said_m / check.measured_m) / model.EYE_CHECK_SD**2
    return H, h
