"""What a carry is played in: air, wind and the target's height, and which values these sums can work with.

Knows nothing of clubs, cards or pages; conditions/today.py says what a day does to a carry.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

from webapp.facts import ALTITUDE_M_RANGE, TEMPERATURE_C_RANGE
from webapp.physics.air import BALL_HEIGHT_EXPONENT, FORECAST_EXPONENT, density_kgm3, standard_air
from webapp.physics.motion import Sky
from webapp.units import (
    ALTITUDE_NAMES,
    CLOSE,
    MPH_MPS,
    SPEED_BESIDE,
    SPEED_NAMES,
    TEMPERATURE_NAMES,
    UNIT_NAMES,
    USUAL_UNIT,
    YARD_M,
    from_altitude_m,
    from_degc,
    from_m,
    from_mps,
    whole_words,
)

WIND_MPS_RANGE = (-20.0 * MPH_MPS, 20.0 * MPH_MPS)
TARGET_UP_M_RANGE = (-10.0 * YARD_M, 10.0 * YARD_M)
CARRY_M_RANGE = (5.0 * YARD_M, 140.0 * YARD_M)

WIND_EXPONENTS = {"forecast": FORECAST_EXPONENT, "ball": BALL_HEIGHT_EXPONENT}


@dataclass(frozen=True)
class Conditions:
    """What a carry is played in.

    Parameters
    ----------
    temperature_c : float
        Air temperature [degC], -20 to 50.
    altitude_m : float
        Height above the sea [m], -100 to 4000.
    tail_mps : float
        Wind along the shot [m/s], + helping, - against, 20 mph at most either way. Wind across is left out.
    wind_at : str
        "forecast" for a forecast at 10 m over open ground, "ball" for wind at ball height all the way.
    target_up_m : float
        Height of the target above the ball [m], + up, 10 yards at most either way.
    """

    temperature_c: float = 15.0
    altitude_m: float = 0.0
    tail_mps: float = 0.0
    wind_at: str = "forecast"
    target_up_m: float = 0.0

    @property
    def sky(self) -> Sky:
        """The air and wind of these conditions, dry, at the standard pressure of the altitude."""
        density = density_kgm3(self.temperature_c, standard_air(self.altitude_m).pressure_pa)
        return Sky(density, self.tail_mps, wind_exponent=WIND_EXPONENTS[self.wind_at])

    @property
    def still(self) -> "Conditions":
        """The same air without wind, on the level: how a card's home counts."""
        return replace(self, tail_mps=0.0, target_up_m=0.0)


def one_by_one(home: Conditions, today: Conditions) -> list[tuple[str, Conditions]]:
    """Home turned into today one cause at a time, so that the parts add up; causes that are as at home are left out."""
    warm = replace(home, temperature_c=today.temperature_c)
    high = replace(warm, altitude_m=today.altitude_m)
    windy = replace(high, tail_mps=today.tail_mps, wind_at=today.wind_at)
    steps = [("temperature", warm), ("altitude", high), ("wind", windy), ("height", today)]
    befores = [home, warm, high, windy]
    return [
        (cause, here)
        for (cause, here), before in zip(steps, befores, strict=True)
        if replace(here, wind_at="") != replace(before, wind_at="")
    ]


def doubts(
    conditions: Conditions,
    asked_m: float | None = None,
    unit: str = USUAL_UNIT,
    temperature_unit: str = "c",
    altitude_unit: str = "m",
) -> list[str]:
    """Plain sentences on every value that cannot be worked with, in the reader's units; none for those that can.

    `asked_m` [m] is the carry asked for, None where only the card's own numbers are flown.
    """
    found = []
    known: tuple[tuple[str, float, tuple[float, float], Callable[[float, int], str]], ...] = (
        (
            "A temperature",
            conditions.temperature_c,
            TEMPERATURE_C_RANGE,
            lambda degc, digits: (
                f"{_told(from_degc(degc, temperature_unit), digits)} {TEMPERATURE_NAMES[temperature_unit]}"
            ),
        ),
        (
            "An altitude",
            conditions.altitude_m,
            ALTITUDE_M_RANGE,
            lambda height_m, digits: (
                f"{_told(from_altitude_m(height_m, altitude_unit), digits)} {ALTITUDE_NAMES[altitude_unit]}"
            ),
        ),
        ("A wind", conditions.tail_mps, WIND_MPS_RANGE, lambda tail_mps, digits: _wind(tail_mps, unit, digits)),
        (
            "A target height",
            conditions.target_up_m,
            TARGET_UP_M_RANGE,
            lambda up_m, digits: f"{_told(from_m(up_m, unit), digits)} {UNIT_NAMES[unit]}",
        ),
    )
    for name, value, (low, high), shown in known:
        if not math.isfinite(value):
            found.append(f"{name} has to be a number; your carries are unchanged.")
        elif not low <= value <= high:
            found.append(
                f"{name} of {shown(value, 2)} is outside {shown(low, 0)} to {shown(high, 0)}, where these sums hold; "
                "your carries are unchanged."
            )
    if conditions.wind_at not in WIND_EXPONENTS:
        found.append("The wind is either a forecast or felt at the ball; your carries are unchanged.")
    if asked_m is not None and not CARRY_M_RANGE[0] <= asked_m <= CARRY_M_RANGE[1]:
        shortest, longest = (whole_words(edge_m, unit) for edge_m in CARRY_M_RANGE)
        found.append(f"These sums hold from {shortest} to {longest}; your carries are unchanged.")
    return found


def _told(value: float, digits: int) -> str:
    """At most so many digits after the point: a value just beyond a range must not read like its end, a whole one."""
    found = f"{value + CLOSE:,.{digits}f}"
    return found.rstrip("0").rstrip(".") if digits else found


def _wind(tail_mps: float, unit: str, digits: int) -> str:
    speed_unit = SPEED_BESIDE[unit]
    side = "against" if tail_mps < 0.0 else "behind"
    return f"{_told(abs(from_mps(tail_mps, speed_unit)), digits)} {SPEED_NAMES[speed_unit]} {side}"
