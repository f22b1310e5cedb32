"""The ball: its size and mass, and how it drags, lifts and loses spin in air.

Knows nothing of flights, clubs or players.

| constant | value | source |
|---|---|---|
| BALL_* | 45.93 g and 42.67 mm, limits of the equipment rules of golf | read |
| LIFT_*, DRAG_* | fit to points of Bearman & Harvey, Aeronautical Quarterly 27 (1976) 112-122 | read |
| DRAG_CALIBRATION | 0.90 fits remembered full-shot averages; no partial wedge supports it | common practice |
| SPIN_DECAY | 2.0e-5, Smits & Smith 1994 through Penner, Am. J. Phys. 69 (2001) 563, eq. 16 | quoted |

The points lie between 0.08 and 0.94 in spin ratio and below 56 m/s; beyond them
both curves are extrapolations.
"""

import math
from collections.abc import Callable
from typing import Any

BALL_KG = 0.04593
BALL_RADIUS_M = 0.04267 / 2.0
BALL_AREA_M2 = math.pi * BALL_RADIUS_M**2
LIFT_MOST, LIFT_HALF = 0.548, 0.216
DRAG_STILL, DRAG_SPUN, DRAG_HALF = 0.176, 0.618, 0.792
DRAG_CALIBRATION = 0.90
SPIN_DECAY = 2.0e-5

# A number or an array of numbers: the same equations serve one ball and a grid of balls.
Real = Any
Coefficient = Callable[[Real], Real]


def lift_coefficient(spin_ratio: Real) -> Real:
    """Lift coefficient at spin ratio S = r omega/|u|, 0.08 to 0.94: 0.548 S/(0.216 + S), rms 0.016."""
    return LIFT_MOST * spin_ratio / (LIFT_HALF + spin_ratio)


def drag_coefficient(spin_ratio: Real) -> Real:
    """Drag coefficient at spin ratio S, 0.08 to 0.94: 0.90 (0.176 + 0.618 S/(0.792 + S)), rms 0.011."""
    return DRAG_CALIBRATION * (DRAG_STILL + DRAG_SPUN * spin_ratio / (DRAG_HALF + spin_ratio))
