"""Every assumed number of the estimate, in one table, and the two curves made of them.

Knows nothing of balls, books or how the numbers are shown.

All carries are handled as y = ln(carry_m); a constant given as a share or a logarithm is a fraction of the
carry. Values without another source are from memory or assumptions of this project; none is a measurement of
players.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from webapp.clock import hour
from webapp.units import YARD_M

FloatArray = NDArray[np.float64]
AnyFloatArray = NDArray[np.floating[Any]]
IntArray = NDArray[np.intp]

# Carry of a swing as a share of the same club's full carry, by clock hour (common practice, no source).
SHARES_OF_FULL = (
    (6.0, 0.20), (6.5, 0.30), (7.0, 0.40), (7.5, 0.50), (8.0, 0.58), (9.0, 0.72),
    (10.0, 0.82), (10.5, 0.86), (11.0, 0.91), (12.0, 1.00),
)  # fmt: skip

# Full carry against loft: ln(92 yd) - .031 (L - 52) - .0009 (L - 52)^2.
REFERENCE_LOFT_DEG = 52.0
REFERENCE_FULL_CARRY_M = 92 * YARD_M
LOFT_SLOPE = -0.031
LOFT_CURVE = -0.0009

# Standard deviations of the prior, as fractions of the carry; x = (loft - 52)/10, u = -ln(share of full).
PRIOR_LEVEL_SD = 0.22
PRIOR_SLOPE_SD = 0.07
PRIOR_CURVE_SD = 0.05
PRIOR_CLUB_SD = 0.03
PRIOR_SHORT_SWING_SD = 0.20
PRIOR_SWING_SD = 0.04
PRIOR_SWING_REACH_H = 1.5
PRIOR_CLUB_SHORT_SWING_SD = 0.06
PRIOR_CELL_SD = 0.045
PRIOR_BALL_KIND_SD = 0.03

# A full carry the player states: taken as a little too long, with a doubt of its own and one shared by all.
TOLD_BIAS = 0.02
TOLD_SD = 0.05
TOLD_SHARED_SD = 0.04

# Spread of clean balls: a common spread worth 6 balls, of which each cell borrows 12.
SPREAD_SD = 0.06
SPREAD_BALLS = 6.0
CELL_SPREAD_BALLS = 12.0

# Residuals ln(carry) - ln(typical) of balls that were not clean: (share, mean, sd).
MISHIT_DENSITY = ((0.55, -0.11, 0.08), (0.37, -0.33, 0.25), (0.08, 0.0, 1.0))
SLIP_SHARE, SLIP_SD = MISHIT_DENSITY[2][0], MISHIT_DENSITY[2][2]

# Contacts in the order of every array indexed by contact; the chance that such a ball flew as a clean one.
CONTACTS = ("clean", "heavy", "thin", "fat", "bladed", "", "shank")
CLEAN_CHANCE = (0.93, 0.30, 0.30, 0.08, 0.08, 0.80, 0.0)
CLEAN_CHANCE_BALLS = 20.0
LANDINGS = ("seen", "unseen", "under", "over")

MISHIT_RATE = 0.20
MISHIT_RATE_BALLS = 20.0

# How mishits of each contact fly: share of mishits, mean and sd of the residual.
MISHIT_PARTS = {
    "heavy": (0.35, -0.11, 0.08),
    "fat": (0.20, -0.33, 0.25),
    "thin": (0.30, -0.06, 0.10),
    "bladed": (0.15, 0.15, 0.20),
}
MISHIT_PART_BALLS = 10.0
MISHIT_SHARE_BALLS = 20.0

# Once in so many visits a cell's balls are not that cell's at all: the wrong club was called all day.
WRONG_DAY_CHANCE = 0.03
WRONG_DAY_SD = 0.15

FADE_BALLS = 10.0
YEARLY_WALK_SD = 0.02
DAYS_A_YEAR = 365.0
HIGHEST_LEVERAGE = 0.98
MOST_ROUNDS = 8
SMALLEST_STEP = 1e-3
SMALLEST_SPREAD_STEP = 0.05

ROUGH_BELOW_BALLS = 20
EARLY_BELOW_BALLS = 10
EARLY_BELOW_VISITS = 3
OLD_BELOW_BALLS = 5


@dataclass(frozen=True)
class Options:
    """What a player may set about the estimate.

    Attributes
    ----------
    day_shift_sd : float
        How far a day moves all balls of one cell together, as a fraction of the carry; > 0. An assumption.
    shares_of_full : tuple of (float, float)
        Clock hour [h], rising from 6 to 12, and share of the full carry at it, in (0, 1].
    fresh_days : float
        After so many days [d] an older ball counts half once newer ones replace it; 60, a junior's 45.
    moved_age_days : mapping of int to float
        By a cell's place: its balls older than this [d] weigh `older_weight`, because the player says it moved then.
    older_weight : float
        The weight of those balls, in (0, 1].
    """

    day_shift_sd: float = 0.028
    shares_of_full: tuple[tuple[float, float], ...] = SHARES_OF_FULL
    fresh_days: float = 60.0
    moved_age_days: Mapping[int, float] = field(default_factory=dict)
    older_weight: float = 0.15


def shortening(swing_deg: FloatArray, options: Options) -> FloatArray:
    """-ln of the share of the full carry at arm angles `swing_deg` [deg, 0 to 180], (s,); 0 at full.

    Linear in the logarithm between the clock hours of `options.shares_of_full`, constant outside them.
    """
    hours, shares = np.array(options.shares_of_full).T
    return np.asarray(-np.interp([hour(angle) for angle in swing_deg], hours, np.log(shares)), dtype=float)


def mishit_density(residual: AnyFloatArray) -> AnyFloatArray:
    """Density of ln(carry) - ln(typical carry) of a ball that was not clean: heavy, fat, slips of entry."""
    density: AnyFloatArray = np.zeros_like(residual)
    for share, mean, sd in MISHIT_DENSITY:
        # One quadratic in the residual, because this is most of the time an estimate takes.
        bent, level = -0.5 / sd**2, math.log(share / (sd * math.sqrt(2 * math.pi)))
        density += np.exp(bent * (residual * (residual - 2 * mean)) + (bent * mean**2 + level))
    return density
