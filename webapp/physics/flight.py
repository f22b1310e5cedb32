"""Where a struck ball comes down, for one ball or for a grid of balls.

Knows nothing of clubs, players or places; it is handed a launch and a sky.
"""

import math
from typing import NamedTuple

import numpy as np

from webapp.physics.ball import Coefficient, Real, drag_coefficient, lift_coefficient
from webapp.physics.motion import (
    CLIMB,
    HEIGHT,
    STEP_S,
    STILL_SKY,
    Launch,
    Sky,
    State,
    advance,
    first_step_s,
    follow,
    follow_grid,
    rate_of,
    start,
)
from webapp.units import RPM_RADPS


class Flight(NamedTuple):
    """Where and how the ball came down: distances [m], time [s], descent [deg], spin left [rpm]."""

    carry_m: Real
    side_m: Real
    time_s: Real
    descent_deg: Real
    apex_m: Real
    spin_rpm: Real


def fly(
    launch: Launch,
    sky: Sky = STILL_SKY,
    target_up_m: float = 0.0,
    drag: Coefficient = drag_coefficient,
    lift: Coefficient = lift_coefficient,
    step_s: float = STEP_S,
) -> Flight | None:
    """Fly one ball until it comes down through the height of its target.

    Parameters
    ----------
    launch : Launch
        Scalar launch; speed above 0 m/s, launch 0 to 90 deg.
    sky : Sky
        Air and wind.
    target_up_m : float
        Height of the target above the ball [m], + up.
    drag, lift : callable
        Coefficients as functions of the spin ratio; the measured ones unless a check needs others.
    step_s : float
        Step of the fourth-order Runge-Kutta scheme [s]; where wind changes with height it starts at 0.01 and grows.

    Returns
    -------
    Flight or None
        `carry_m` along x, `side_m` + to the right. None if the ball never rises to its
        target, or is still up after 60 s.

    Notes
    -----
    dv/dt = -k CD |u| u + k CL |u| (axis x u) - g z, d(omega)/dt = -(2.0e-5/r) |u| omega, with u the velocity
    relative to the air and k = density area/(2 mass). Newton's rule finds apex and landing in the last step.
    """
    first_s = first_step_s(sky, step_s)
    rate = rate_of(launch, sky, drag, lift, math.sin, math.cos, math.sqrt)
    state = start(launch, math.sin, math.cos)
    top, rise_s, topped = follow(state, first_s, step_s, rate, CLIMB, 0.0)
    apex_m = top[HEIGHT]
    if not topped or apex_m < target_up_m:
        return None
    last, fall_s, landed = follow(top, step_s, step_s, rate, HEIGHT, target_up_m)
    if not landed:
        return None
    x, y, _, vx, vy, vz, omega = last
    descent_deg = math.degrees(math.atan2(-vz, math.hypot(vx, vy)))
    return Flight(x, 0.0 - y, rise_s + fall_s, descent_deg, apex_m, omega / RPM_RADPS)


def fly_grid(launch: Launch, sky: Sky = STILL_SKY, target_up_m: Real = 0.0, step_s: float = STEP_S) -> Flight:
    """Fly many balls at once.

    Parameters
    ----------
    launch, sky, target_up_m
        As for `fly`; any field may be an array [same units], all broadcast to one shape.
    step_s : float
        As for `fly`.

    Returns
    -------
    Flight
        Arrays of the common shape; every field is nan where `fly` would return None.
    """
    first_s = first_step_s(sky, step_s)
    fields = np.broadcast_arrays(*launch, sky.density_kgm3, sky.tail_mps, sky.cross_mps, target_up_m)
    shape = fields[0].shape
    flat = [np.array(field, dtype=np.float64).ravel() for field in fields]
    balls, up_m = Launch(*flat[:5]), flat[8]
    skies = Sky(flat[5], flat[6], flat[7], sky.wind_exponent, sky.gravity_mps2)
    rate = rate_of(balls, skies, drag_coefficient, lift_coefficient, np.sin, np.cos, np.sqrt)
    top, rise_s, topped = follow_grid(start(balls, np.sin, np.cos), first_s, step_s, rate, CLIMB, 0.0)
    apex_m = top[HEIGHT]
    last, fall_s, landed = follow_grid(top, step_s, step_s, rate, HEIGHT, up_m)
    x, y, _, vx, vy, vz, omega = last
    descent_deg = np.degrees(np.arctan2(-vz, np.hypot(vx, vy)))
    reached = topped & landed & (apex_m >= up_m)
    values = (x, 0.0 - y, rise_s + fall_s, descent_deg, apex_m, omega / RPM_RADPS)
    return Flight(*(np.where(reached, value, np.nan).reshape(shape) for value in values))


def after(
    launch: Launch,
    seconds: float,
    sky: Sky = STILL_SKY,
    drag: Coefficient = drag_coefficient,
    lift: Coefficient = lift_coefficient,
) -> State:
    """Position [m], velocity [m/s] and spin [rad/s] of one ball `seconds` after launch, in empty space."""
    rate = rate_of(launch, sky, drag, lift, math.sin, math.cos, math.sqrt)
    steps = max(1, math.ceil(seconds / STEP_S))
    state = start(launch, math.sin, math.cos)
    for _ in range(steps):
        state = advance(state, seconds / steps, rate)
    return state
