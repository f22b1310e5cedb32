"""How fast the flight is solved, as ratios within one run: `python -m tests.bench.physics`.

Never part of the tests' verdict; a ratio moves less between machines than a time does.
"""

import math
import statistics
from collections.abc import Callable
from time import perf_counter

import numpy as np
from scipy.integrate import solve_ivp

from webapp.conditions.day import Conditions
from webapp.conditions.launches import launch_of_loft
from webapp.conditions.rungs import Number, ladder
from webapp.conditions.today import day_of, plays
from webapp.physics.air import GRAVITY_MPS2
from webapp.physics.ball import BALL_AREA_M2, BALL_KG, BALL_RADIUS_M, SPIN_DECAY, drag_coefficient, lift_coefficient
from webapp.physics.flight import fly, fly_grid
from webapp.physics.motion import Launch, Sky
from webapp.units import MPH_MPS, RPM_RADPS, YARD_M

PITCH = Launch(26.0, 30.0, 6240.0)
FLIGHTS = 10_000


def main() -> None:
    """Print each comparison as a ratio, with the times it was made of."""
    one_s, windy_s, solver_s = _usual_each_s(
        lambda: fly(PITCH), lambda: fly(PITCH, Sky(tail_mps=-4.0, wind_exponent=0.16)), _by_solve_ivp, times=300
    )
    speeds_mps = np.linspace(12.0, 45.0, FLIGHTS)
    (grid_s,) = _usual_each_s(lambda: fly_grid(Launch(speeds_mps, 30.0, 240.0 * speeds_mps)), times=5)
    home, today = Conditions(20.0), Conditions(8.0, 400.0, -8.0 * MPH_MPS, "forecast", 3.0 * YARD_M)
    numbers = [Number(f"{n}", (35 + 5 * n) * YARD_M, launch_of_loft(46 + n)) for n in range(16)]
    rungs = ladder(numbers, home)
    (answer_s, ladder_s) = _usual_each_s(
        lambda: plays(day_of(rungs, home, today), 60.0), lambda: ladder(numbers, home), times=10
    )

    both = f"{solver_s * 1e3:.2f} / {one_s * 1e3:.2f} ms"
    print(f"solve_ivp (RK45, rtol 1e-6) / one flight   {solver_s / one_s:8.1f}   {both}")
    print(f"one flight in a forecast wind / in calm    {windy_s / one_s:8.1f}   {windy_s * 1e3:.2f} ms")
    print(f"{FLIGHTS:,} single flights / one grid        {FLIGHTS * one_s / grid_s:8.1f}   grid {grid_s:.2f} s")
    print(f"one carry to play / one flight             {answer_s / one_s:8.1f}   {answer_s * 1e3:.1f} ms, four causes")
    print(f"one ladder of 16 numbers / one flight      {ladder_s / one_s:8.1f}   {ladder_s * 1e3:.1f} ms, home known")


def _usual_each_s(*works: Callable[[], object], times: int) -> list[float]:
    """Median time [s] of each work, run in turns so that a busy machine slows all of them alike."""
    taken: list[list[float]] = [[] for _ in works]
    for _ in range(times):
        for work, times_s in zip(works, taken, strict=True):
            begun = perf_counter()
            work()
            times_s.append(perf_counter() - begun)
    return [statistics.median(times_s) for times_s in taken]


def _by_solve_ivp() -> float:
    """The same flight, in the plane, by scipy's default adaptive solver."""
    k = Sky().density_kgm3 * BALL_AREA_M2 / (2.0 * BALL_KG)

    def rate(_: float, state: list[float]) -> tuple[float, ...]:
        _, _, vx, vz, omega = state
        speed = math.sqrt(vx * vx + vz * vz)
        spin_ratio = BALL_RADIUS_M * omega / speed
        back, turn = k * speed * drag_coefficient(spin_ratio), k * speed * lift_coefficient(spin_ratio)
        return (
            vx,
            vz,
            -back * vx - turn * vz,
            turn * vx - back * vz - GRAVITY_MPS2,
            -SPIN_DECAY / BALL_RADIUS_M * speed * omega,
        )

    def landed(_: float, state: list[float]) -> float:
        return state[1]

    landed.direction, landed.terminal = -1.0, True  # type: ignore[attr-defined]
    up = math.radians(PITCH.launch_deg)
    start = (0.0, 0.0, PITCH.speed_mps * math.cos(up), PITCH.speed_mps * math.sin(up), PITCH.spin_rpm * RPM_RADPS)
    flown = solve_ivp(rate, (0.0, 30.0), start, rtol=1e-6, atol=1e-6, events=landed)
    return float(flown.y_events[0][0][0])


if __name__ == "__main__":
    main()
