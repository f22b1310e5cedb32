"""Every assumed number of the estimate, in one place, and the two curves made of them.

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
CLEAN_FROM = 0.5  # from this chance on a ball is taken for a clean one, below it for a mishit
LANDINGS = ("seen", "unseen", "under", "over")

MISHIT_RATE = 0.20
MISHIT_RATE_BALLS = 20.0
SWING_MISHIT_BALLS = 20.0

# How mishits of each contact fly: share of mishits, mean and sd of the residual.
MISHIT_PARTS = {
    "heavy": (0.35, -0.11, 0.08),
    "fat": (0.20, -0.33, 0.25),
    "thin": (0.30, -0.06, 0.10),
    "bladed": (0.15, 0.15, 0.20),
}
MISHIT_PART_BALLS = 10.0
MISHIT_SHARE_BALLS = 20.0

# A visit moves all its balls together, and each of its cells once more.
VISIT_SHIFT_SD = 0.02
CELL_SHIFT_SD = 0.02
# From three visits on their sizes are learned; what is assumed counts as so many shifts seen, within these limits.
LEARNED_FROM_VISITS = 3
VISIT_SHIFT_WORTH = 2.0
CELL_SHIFT_WORTH = 8.0
SHIFT_SD_LIMITS = (0.004, 0.08)
SHIFT_LEARNED_FROM_BALLS = 0.3

# Once in so many visits a cell's balls are not that cell's at all: the wrong club was called all day.
WRONG_DAY_CHANCE = 0.03
WRONG_DAY_SD = 0.15

# How a player changes: a trend that is Student t with 4 degrees of freedom, a walk shared by all cells, known at
# these ages [d], and a drift of each cell by itself. A year is the unit of time.
DAYS_A_YEAR = 365.0
TREND_SD = 0.05
TREND_DF = 4.0
WALK_SD = 0.04
WALK_KNOTS_DAYS = (4, 8, 14, 21, 30, 45, 60, 90, 120, 180, 270, 365, 545, 730, 1095, 1825)
OWN_DRIFT_SD = 0.02
# A player who stays away stops changing after so long; from then on only the doubt grows, by OWN_DRIFT_SD.
PAUSE_AFTER_DAYS = 30.0

# How far a way of judging carries is out, all its balls together; and one eye check, a pair of said and measured.
WAY_SDS = {"eye": 0.05, "markers": 0.015, "laser": 0.01, "monitor": 0.003, "paces": 0.02}
WAYS = tuple(WAY_SDS)
EYE_CHECK_SD = 0.08
EYE_CHECK_SLIP = math.log(2.0)  # a pair that is farther apart is a slip of entry

# A move that the player tells of: all cells it names together, and each of them once more.
MOVE_SHARED_SD = 0.05
MOVE_CELL_SD = 0.05

HIGHEST_LEVERAGE = 0.98
MOST_ROUNDS = 8
SMALLEST_STEP = 1e-3
SMALLEST_SPREAD_STEP = 0.05
FIRST_SPREAD_FACTOR = 1.5

ROUGH_BELOW_BALLS = 20
EARLY_BELOW_BALLS = 10
EARLY_BELOW_VISITS = 3
OLD_BELOW_BALLS = 5
LEAST_BALLS_FOR_ORDER = 5
OLD_AFTER_DAYS, JUNIOR_OLD_AFTER_DAYS = 60.0, 45.0
SETTLED_HALF_WIDTH_M = 2.5 * YARD_M


@dataclass(frozen=True)
class Options:
    """What a player may set about the estimate.

    Attributes
    ----------
    shares_of_full : tuple of (float, float)
        Clock hour [h], rising from 6 to 12, and share of the full carry at it, in (0, 1].
    old_after_days : float
        A cell with too few balls of the last so many days [d] is old; 60, a junior's 45. No number depends on it.
    moved_age_days : mapping of int to float
        By a cell's place: how long ago [d] the player says that it became another number.
    """

    shares_of_full: tuple[tuple[float, float], ...] = SHARES_OF_FULL
    old_after_days: float = OLD_AFTER_DAYS
    moved_age_days: Mapping[int, float] = field(default_factory=dict)


def shortening(swing_deg: FloatArray, options: Options) -> FloatArray:
    """-ln of the share of the full carry at arm angles `swing_deg` [deg, 0 to 180], (s,); 0 at full.

    Linear in the logarithm between the clock hours of `options.shares_of_full`, constant outside them.
    """
    hours, shares = np.array(options.shares_of_full).T
    return np.asarray(-np.interp([hour(angle) for angle in swing_deg], hours, np.log(shares)), dtype=float)
