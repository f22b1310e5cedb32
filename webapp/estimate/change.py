"""How a player changes with time: the clock that stops in a pause, and the walk between its knots.

Knows nothing of balls or of cells.
"""

from dataclasses import dataclass

import numpy as np

from webapp.estimate import model
from webapp.estimate.model import FloatArray


@dataclass(frozen=True)
class Clock:
    """The time in which a player changes; it stands still from PAUSE_AFTER_DAYS after the newest visit.

    `pause_days` is how long it has stood still [d].
    """

    pause_days: float

    @classmethod
    def since(cls, newest_age_days: float) -> "Clock":
        """The clock of a player whose newest visit is so old [d, >= 0]."""
        return cls(max(newest_age_days - model.PAUSE_AFTER_DAYS, 0.0))

    def years(self, age_days: FloatArray) -> FloatArray:
        """A/365: how much of that time [a] lies between visits of these ages [d] and today."""
        return np.maximum(age_days - self.pause_days, 0.0) / model.DAYS_A_YEAR

    @property
    def doubt(self) -> float:
        """What each cell drifts by itself while the clock stands still: a variance of ln(carry)."""
        return model.OWN_DRIFT_SD**2 * self.pause_days / model.DAYS_A_YEAR


def knots(oldest_years: float) -> FloatArray:
    """(k,) years [a] at which the walk is known: up to the first knot past the oldest visit; none without visits."""
    every = np.array(model.WALK_KNOTS_DAYS) / model.DAYS_A_YEAR
    return every[: int(np.searchsorted(every, oldest_years, side="left")) + 1] if oldest_years > 0 else every[:0]


def walk_covariance(at_years: FloatArray) -> FloatArray:
    """(k, k) covariance of the walk at its knots: WALK_SD^2 min(A, A'), because the walk is 0 today."""
    return model.WALK_SD**2 * np.minimum(at_years[:, None], at_years[None, :])


def walk_weights(years: FloatArray, at_years: FloatArray) -> FloatArray:
    """(o, k) what each knot weighs in the walk at `years`: straight lines between 0 and the knots, level beyond."""
    if not len(at_years):
        return np.zeros((len(years), 0))
    corners = np.concatenate([[0.0], at_years])
    return np.column_stack([np.interp(years, corners, corner) for corner in np.eye(len(corners))[1:]])
