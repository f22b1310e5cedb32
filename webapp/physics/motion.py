"""The equations of motion of a spinning ball in moving air, and how they are stepped through time.

Knows nothing of clubs or players; flight.py calls it. Axes: x to the target, y left, z up.
"""

import math
from collections.abc import Callable
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from webapp.physics.air import FORECAST_HEIGHT_M, GRAVITY_MPS2, ROUGHNESS_M, STANDARD_PRESSURE_PA, density_kgm3
from webapp.physics.ball import BALL_AREA_M2, BALL_KG, BALL_RADIUS_M, SPIN_DECAY, Coefficient, Real
from webapp.units import RPM_RADPS

STEP_S = 0.1
FIRST_STEP_S, GROWTH = 0.01, 1.5  # Wind grows fastest just above the ground, so the ball leaves it in short steps.
LONGEST_FLIGHT_S = 60.0
HEIGHT, CLIMB = 2, 5  # Places in a state: height z and climbing speed vz.

TINY_MPS = 1e-9  # Keeps the spin ratio of a ball at rest a number.
NEWTON_ROUNDS = 12
_GRID_NEWTON_ROUNDS = 5
_NEWTON_CLOSE_S = 1e-12

State = tuple[Real, Real, Real, Real, Real, Real, Real]
Rate = Callable[[State], State]
Floats = npt.NDArray[np.float64]
Flags = npt.NDArray[np.bool_]


class Launch(NamedTuple):
    """A ball leaving the face.

    `speed_mps` [m/s], `launch_deg` up from level, `spin_rpm` total spin, `azimuth_deg` + right of the target,
    `tilt_deg` of the spin axis, + curves to the right. Fields may be arrays of one shape for `fly_grid`.
    """

    speed_mps: Real
    launch_deg: Real
    spin_rpm: Real
    azimuth_deg: Real = 0.0
    tilt_deg: Real = 0.0


class Sky(NamedTuple):
    """What the ball flies through.

    `density_kgm3` [kg/m3]; `tail_mps` + down the shot and `cross_mps` + from left to right, at 10 m [m/s];
    `wind_exponent` 0.16 for a forecast, 0 for a wind felt at ball height; `gravity_mps2` [m/s2].
    """

    density_kgm3: Real = density_kgm3(15.0, STANDARD_PRESSURE_PA)
    tail_mps: Real = 0.0
    cross_mps: Real = 0.0
    wind_exponent: float = 0.0
    gravity_mps2: float = GRAVITY_MPS2


STILL_SKY = Sky()


def first_step_s(sky: Sky, step_s: float) -> float:
    """The first step [s]: short where the wind changes with height."""
    return step_s if sky.wind_exponent == 0.0 else min(step_s, FIRST_STEP_S)


def start(launch: Launch, sin: Coefficient, cos: Coefficient) -> State:
    """The state as the ball leaves the face."""
    up, side = launch.launch_deg * (math.pi / 180.0), launch.azimuth_deg * (math.pi / 180.0)
    level = launch.speed_mps * cos(up)
    zero = 0.0 * launch.speed_mps
    velocity = (level * cos(side), -level * sin(side), launch.speed_mps * sin(up))
    return (zero, zero, zero, *velocity, launch.spin_rpm * RPM_RADPS)


def rate_of(
    launch: Launch,
    sky: Sky,
    drag: Coefficient,
    lift: Coefficient,
    sin: Coefficient,
    cos: Coefficient,
    sqrt: Coefficient,
) -> Rate:
    """The right-hand side of the equations of motion, for floats or arrays."""
    up, side = launch.launch_deg * (math.pi / 180.0), launch.azimuth_deg * (math.pi / 180.0)
    tilt = launch.tilt_deg * (math.pi / 180.0)
    # The axis is square to the first velocity: level for pure backspin, leaning by the tilt otherwise.
    ax = -sin(side) * cos(tilt) + sin(tilt) * sin(up) * cos(side)
    ay = -cos(side) * cos(tilt) - sin(tilt) * sin(up) * sin(side)
    az = -sin(tilt) * cos(up)
    k = sky.density_kgm3 * (BALL_AREA_M2 / (2.0 * BALL_KG))
    wind_x, wind_y, gravity = sky.tail_mps, -sky.cross_mps, sky.gravity_mps2
    half_exponent, roughness2 = sky.wind_exponent / 2.0, ROUGHNESS_M**2
    decay = SPIN_DECAY / BALL_RADIUS_M

    def rate(state: State) -> State:
        _, _, z, vx, vy, vz, omega = state
        if half_exponent:
            # The same rule as air.wind_share, written out because this line runs some hundred times a flight.
            share = ((z * z + roughness2) / FORECAST_HEIGHT_M**2) ** half_exponent
            ux, uy = vx - wind_x * share, vy - wind_y * share
        else:
            ux, uy = vx - wind_x, vy - wind_y
        speed = sqrt(ux * ux + uy * uy + vz * vz) + TINY_MPS
        spin_ratio = BALL_RADIUS_M * omega / speed
        back = k * speed * drag(spin_ratio)
        turn = k * speed * lift(spin_ratio)
        return (
            vx,
            vy,
            vz,
            turn * (ay * vz - az * uy) - back * ux,
            turn * (az * ux - ax * vz) - back * uy,
            turn * (ax * uy - ay * ux) - back * vz - gravity,
            -decay * speed * omega,
        )

    return rate


def follow(state: State, stride: float, step: float, rate: Rate, place: int, level: float) -> tuple[State, float, bool]:
    """Fly on until `state[place]` has sunk to `level`: the state, time taken [s], whether it got there.

    The first step is `stride` [s]; the following ones grow to `step` [s].
    """
    time_s = 0.0
    while (ahead := advance(state, stride, rate))[place] > level:
        state, time_s, stride = ahead, time_s + stride, min(step, GROWTH * stride)
        if time_s > LONGEST_FLIGHT_S:
            return state, time_s, False
    part_s = stride
    # Newton's rule never overshoots here: the curve falls, is hollow downwards, and the search starts beyond its root.
    for _ in range(NEWTON_ROUNDS):
        ahead = advance(state, part_s, rate)
        change_s = (ahead[place] - level) / (rate(ahead)[place] or -TINY_MPS)
        part_s = min(max(part_s - change_s, 0.0), stride)
        if abs(change_s) < _NEWTON_CLOSE_S:
            break
    return advance(state, part_s, rate), time_s + part_s, True


def follow_grid(
    state: State, stride: float, step: float, rate: Rate, place: int, level: Real
) -> tuple[State, Floats, Flags]:
    """As `follow` for arrays; each ball stops at its own last step above the level."""
    time_s = np.zeros(state[0].shape)
    aloft = np.ones(state[0].shape, dtype=bool)
    last_s = np.zeros(state[0].shape)
    while time_s.max() <= LONGEST_FLIGHT_S:
        ahead = advance(state, stride, rate)
        last_s[aloft] = stride
        aloft &= ahead[place] > level
        if not aloft.any():
            break
        state = tuple(np.where(aloft, new, old) for new, old in zip(ahead, state, strict=True))
        time_s += stride * aloft
        stride = min(step, GROWTH * stride)
    part_s = last_s.copy()
    for _ in range(_GRID_NEWTON_ROUNDS):
        ahead = advance(state, part_s, rate)
        slope = rate(ahead)[place]
        change_s = (ahead[place] - level) / np.where(slope == 0.0, -TINY_MPS, slope)
        part_s = np.clip(part_s - change_s, 0.0, last_s)
    return advance(state, part_s, rate), time_s + part_s, ~aloft


def advance(s: State, dt: Real, rate: Rate) -> State:
    """One step of the classical fourth-order Runge-Kutta scheme, written out because a loop is slower."""
    h = 0.5 * dt
    a = rate(s)
    b = rate(_along(s, h, a))
    c = rate(_along(s, h, b))
    d = rate(_along(s, dt, c))
    w = dt / 6.0
    return (
        s[0] + w * (a[0] + 2.0 * (b[0] + c[0]) + d[0]),
        s[1] + w * (a[1] + 2.0 * (b[1] + c[1]) + d[1]),
        s[2] + w * (a[2] + 2.0 * (b[2] + c[2]) + d[2]),
        s[3] + w * (a[3] + 2.0 * (b[3] + c[3]) + d[3]),
        s[4] + w * (a[4] + 2.0 * (b[4] + c[4]) + d[4]),
        s[5] + w * (a[5] + 2.0 * (b[5] + c[5]) + d[5]),
        s[6] + w * (a[6] + 2.0 * (b[6] + c[6]) + d[6]),
    )


def _along(s: State, dt: Real, r: State) -> State:
    return (
        s[0] + dt * r[0],
        s[1] + dt * r[1],
        s[2] + dt * r[2],
        s[3] + dt * r[3],
        s[4] + dt * r[4],
        s[5] + dt * r[5],
        s[6] + dt * r[6],
    )
