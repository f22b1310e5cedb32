"""What temperature, altitude, wind and a raised or sunken target do to a carry, as a range with its reason.

Knows nothing of pages, shots or the lock for rounds; whoever shows these sums decides when they may be shown.

The player's own carry, measured at home, is scaled by the difference between two flights of one reference
launch: 30 degrees, 240 rpm of spin for each m/s of ball speed (common practice, no source). A quarter of
the correction either way covers what that launch and the published coefficients leave open. Left out is
the ball's own temperature, so answers for colder days are "at least".
"""

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

from webapp.physics.air import BALL_HEIGHT_EXPONENT, FORECAST_EXPONENT, GRAVITY_MPS2, density_kgm3, standard_air
from webapp.physics.ball import Real
from webapp.physics.flight import Flight, fly
from webapp.physics.motion import Launch, Sky
from webapp.units import (
    ALTITUDE_NAMES,
    KMH_MPS,
    MPH_MPS,
    TEMPERATURE_NAMES,
    UNIT_NAMES,
    YARD_M,
    from_altitude_m,
    from_degc,
    round_half_up,
    whole,
)

REFERENCE_LAUNCH_DEG = 30.0
REFERENCE_SPIN_RPM_PER_MPS = 240.0
REFERENCE_SPEED_MPS_RANGE = (1.0, 75.0)
RANGE_SHARE = 0.25
COLD_BALL_DEGC = 5.0  # From this much colder than at home a cold ball is felt (from memory), so "at least" is said.
AIR_MATTERS_M = 20.0 * YARD_M
MEASURED_M = 75.0 * YARD_M

TEMPERATURE_C_RANGE = (-20.0, 50.0)
ALTITUDE_M_RANGE = (-100.0, 4000.0)
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


@dataclass(frozen=True)
class Part:
    """How much one cause ("temperature", "altitude", "wind" or "height") adds to the carry [m]."""

    cause: str
    change_m: float


@dataclass(frozen=True)
class Answer:
    """A carry under conditions.

    `carry_m`, `low_m`, `high_m` [m] are None where nothing can be said; `at_least` marks a correction that a
    cold ball makes larger; `parts` add up to the correction; `sentence` says it all; `note` warns, or is "".
    """

    carry_m: float | None
    low_m: float | None
    high_m: float | None
    at_least: bool
    parts: tuple[Part, ...]
    sentence: str
    note: str = ""


def carry_to_play(target_m: float, home: Conditions, today: Conditions, unit: str = "yd") -> Answer:
    """The carry of the card to play for a target.

    Parameters
    ----------
    target_m : float
        Level distance to where the ball shall come down [m], 5 to 140 yards.
    home : Conditions
        Where the card's carries were measured; only its temperature and altitude count.
    today : Conditions
        What is played in.
    unit : str
        "yd" or "m", for the sentence only.

    Returns
    -------
    Answer
        The carry [m] that at home would be struck the same way, with a quarter of the correction either way.
    """
    return _answer(_play_m, target_m, home, today, unit, "plays")


def carry_today(card_m: float, home: Conditions, today: Conditions, unit: str = "yd") -> Answer:
    """What a carry of the card becomes today; parameters and answer as for `carry_to_play`."""
    return _answer(_flown_m, card_m, home, today, unit, "flies")


def doubts(
    conditions: Conditions, unit: str = "yd", temperature_unit: str = "c", altitude_unit: str = "m"
) -> list[str]:
    """Plain sentences on every value that cannot be worked with, in the reader's units; none for those that can."""
    found = []
    known: tuple[tuple[str, float, tuple[float, float], Callable[[float], str]], ...] = (
        ("A temperature", conditions.temperature_c, TEMPERATURE_C_RANGE, lambda degc: _degrees(degc, temperature_unit)),
        (
            "An altitude",
            conditions.altitude_m,
            ALTITUDE_M_RANGE,
            lambda altitude_m: _altitude(altitude_m, altitude_unit),
        ),
        ("A wind", conditions.tail_mps, WIND_MPS_RANGE, lambda tail_mps: _wind(tail_mps, unit)),
        ("A target height", conditions.target_up_m, TARGET_UP_M_RANGE, lambda up_m: _length(up_m, unit)),
    )
    for name, value, (low, high), shown in known:
        if not math.isfinite(value):
            found.append(f"{name} has to be a number; your carries are unchanged.")
        elif not low <= value <= high:
            found.append(
                f"{name} of {shown(value)} is outside {shown(low)} to {shown(high)}, where these sums hold; "
                "your carries are unchanged."
            )
    if conditions.wind_at not in WIND_EXPONENTS:
        found.append("The wind is either a forecast or felt at the ball; your carries are unchanged.")
    return found


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


def worded(
    asked_m: float, parts: tuple[Part, ...], home: Conditions, today: Conditions, unit: str, verb: str
) -> Answer:
    """The answer that these parts come to, with its range and sentence; `verb` is "plays" or "flies"."""
    change_m = sum(part.change_m for part in parts)
    low_m, high_m = sorted((asked_m + (1 - RANGE_SHARE) * change_m, asked_m + (1 + RANGE_SHARE) * change_m))
    at_least = home.temperature_c - today.temperature_c >= COLD_BALL_DEGC
    sentence = _sentence(asked_m, low_m, high_m, at_least, parts, home, today, unit, verb)
    return Answer(asked_m + change_m, low_m, high_m, at_least, parts, sentence, _note(asked_m, unit))


def plays_first_order_m(target_m: float, target_up_m: float, descent_deg: float) -> float:
    """Carry to play [m] for a raised target by the straight line alone: target + up/tan(descent).

    Within 4% of the solver for 5 yards of height from 80 yards on; shorter shots need `carry_to_play`.
    `descent_deg` [deg] lies above 0 and below 90; ValueError elsewhere.
    """
    if not 0.0 < descent_deg < 90.0:
        raise ValueError("A ball comes down between level and straight down; the descent is outside that.")
    return target_m + target_up_m / math.tan(math.radians(descent_deg))


def reference_flight(ball_speed_mps: float, conditions: Conditions) -> Flight | None:
    """The reference launch at `ball_speed_mps` [m/s], flown; None if it never rises to the target."""
    return fly(reference_launch(ball_speed_mps), conditions.sky, conditions.target_up_m)


def reference_launch(ball_speed_mps: Real) -> Launch:
    """The launch every scaled carry assumes: 30 degrees, spin in step with the ball's speed [m/s]."""
    return Launch(ball_speed_mps, REFERENCE_LAUNCH_DEG, REFERENCE_SPIN_RPM_PER_MPS * ball_speed_mps)


def reference_speed_mps(carry_m: float, conditions: Conditions) -> float | None:
    """The ball speed [m/s] whose reference launch carries `carry_m` [m] in `conditions`; None if none does.

    A raised target can lie inside the shortest flight that rises to it, and a strong wind can stop even the
    fastest ball short; both give None.
    """
    slowest, fastest = REFERENCE_SPEED_MPS_RANGE
    speed = max(slowest, _SURELY_SHORT * math.sqrt(GRAVITY_MPS2 * max(carry_m, 0.0)))
    miss = _miss_m(speed, carry_m, conditions)
    if miss is not None and miss >= 0.0:
        speed, miss = slowest, _miss_m(slowest, carry_m, conditions)
    slow, miss_slow = speed, miss
    # Into wind the carry can shrink again beyond some speed, so the first speed that does it is looked for.
    while miss is None or miss < 0.0:
        slow, miss_slow = speed, miss
        speed *= _SCAN
        if speed > fastest:
            return None
        miss = _miss_m(speed, carry_m, conditions)
    return _root(slow, miss_slow, speed, miss, carry_m, conditions)


_COLDER = {"plays": "more", "flies": "less"}
_SURELY_SHORT = 0.8  # In a vacuum it takes 1.07 sqrt(g carry), so the search starts below that.
_SCAN = 1.25
_CLOSE_M = 1e-5
_ROUNDS = 60


def _miss_m(speed_mps: float, carry_m: float, conditions: Conditions) -> float | None:
    flight = reference_flight(speed_mps, conditions)
    return None if flight is None else float(flight.carry_m) - carry_m


def _root(
    slow: float,
    miss_slow: float | None,
    fast: float,
    miss_fast: float,
    carry_m: float,
    conditions: Conditions,
) -> float | None:
    """Regula falsi, halving the weight of an end kept twice; plain halving while the slow end is too low."""
    weight_slow, weight_fast, was_short = miss_slow, miss_fast, None
    for _ in range(_ROUNDS):
        if weight_slow is None:
            middle = 0.5 * (slow + fast)
        else:
            middle = (slow * weight_fast - fast * weight_slow) / (weight_fast - weight_slow)
        miss = _miss_m(middle, carry_m, conditions)
        if miss is not None and abs(miss) < _CLOSE_M:
            return middle
        short = miss is None or miss < 0.0
        if miss is None or miss < 0.0:
            slow, weight_slow = middle, miss
            weight_fast *= 0.5 if was_short is True else 1.0
        else:
            fast, weight_fast = middle, miss
            if weight_slow is not None and was_short is False:
                weight_slow *= 0.5
        was_short = short
    return None


def _play_m(target_m: float, home: Conditions, today: Conditions) -> float | None:
    speed = reference_speed_mps(target_m, today)
    flight = None if speed is None else reference_flight(speed, home)
    return None if flight is None else float(flight.carry_m)


def _flown_m(card_m: float, home: Conditions, today: Conditions) -> float | None:
    speed = reference_speed_mps(card_m, home)
    flight = None if speed is None else reference_flight(speed, today)
    return None if flight is None else float(flight.carry_m)


def _answer(
    scaled_m: Callable[[float, Conditions, Conditions], float | None],
    asked_m: float,
    home: Conditions,
    today: Conditions,
    unit: str,
    verb: str,
) -> Answer:
    home = replace(home, tail_mps=0.0, target_up_m=0.0)
    refusals = doubts(home, unit) + doubts(today, unit)
    if not CARRY_M_RANGE[0] <= asked_m <= CARRY_M_RANGE[1]:
        low, high = (_length(edge, unit) for edge in CARRY_M_RANGE)
        refusals.append(f"These sums hold from {low} to {high}; your carries are unchanged.")
    if refusals:
        return _nothing(" ".join(dict.fromkeys(refusals)))

    parts, before_m = [], asked_m
    for cause, here in one_by_one(home, today):
        after_m = scaled_m(asked_m, home, here)
        if after_m is None or after_m > CARRY_M_RANGE[1]:
            return _nothing(_cannot(cause, asked_m, today, unit))
        parts.append(Part(cause, after_m - before_m))
        before_m = after_m
    return worded(asked_m, tuple(parts), home, today, unit, verb)


def _nothing(sentence: str) -> Answer:
    return Answer(None, None, None, False, (), sentence)


def _cannot(cause: str, asked_m: float, today: Conditions, unit: str) -> str:
    if cause == "height" and today.target_up_m > 0.0:
        return (
            f"Cannot get there: a ball launched near {REFERENCE_LAUNCH_DEG:.0f} degrees does not come "
            f"down at {_length(asked_m, unit)} on a target {_length(today.target_up_m, unit)} up. "
            "It takes a higher shot; no carry is given."
        )
    return (
        f"No carry is given: with this wind and air, {_length(asked_m, unit)} is out of reach of the longest "
        f"carry in the model, {_length(CARRY_M_RANGE[1], unit)}."
    )


def _sentence(
    asked_m: float,
    low_m: float,
    high_m: float,
    at_least: bool,
    parts: tuple[Part, ...],
    home: Conditions,
    today: Conditions,
    unit: str,
    verb: str,
) -> str:
    low, high = whole(low_m, unit), whole(high_m, unit)
    shown = f"{low}" if low == high else f"{low} to {high}"
    beyond = f" or {_COLDER[verb]}" if at_least else ""
    asked = f"{_length(asked_m, unit)} {verb} {shown}{beyond}"
    if not parts:
        return f"{asked}: nothing differs from where the card was made."
    reasons = ", ".join(_reason(part, home, today, unit) for part in parts)
    cold = "; a cold ball, not counted here, costs more" if at_least else ""
    return f"{asked}: {reasons}{cold}."


def _reason(part: Part, home: Conditions, today: Conditions, unit: str) -> str:
    words = {
        "temperature": "colder air" if today.temperature_c < home.temperature_c else "warmer air",
        "altitude": "more altitude" if today.altitude_m > home.altitude_m else "less altitude",
        "wind": "wind against" if today.tail_mps < 0.0 else "wind behind",
        "height": "the target up" if today.target_up_m > 0.0 else "the target down",
    }
    size = round_half_up(abs(part.change_m) / (YARD_M if unit == "yd" else 1.0))
    amount = f"{size}" if size else "under 1"
    return f"{words[part.cause]} {'adds' if part.change_m >= 0.0 else 'takes off'} {amount}"


def _note(asked_m: float, unit: str) -> str:
    if asked_m < AIR_MATTERS_M:
        return f"Under {_length(AIR_MATTERS_M, unit)} air and wind hardly matter; height does."
    if asked_m > MEASURED_M:
        return f"Over {_length(MEASURED_M, unit)} the ball spins beyond what was measured: trust it less."
    return ""


def _length(length_m: float, unit: str) -> str:
    return f"{whole(length_m, unit)} {UNIT_NAMES[unit]}"


def _degrees(temperature_c: float, temperature_unit: str) -> str:
    return f"{from_degc(temperature_c, temperature_unit):.0f} {TEMPERATURE_NAMES[temperature_unit]}"


def _altitude(altitude_m: float, altitude_unit: str) -> str:
    return f"{from_altitude_m(altitude_m, altitude_unit):,.0f} {ALTITUDE_NAMES[altitude_unit]}"


def _wind(tail_mps: float, unit: str) -> str:
    speed_mps, name = (MPH_MPS, "mph") if unit == "yd" else (KMH_MPS, "km/h")
    side = "against" if tail_mps < 0.0 else "behind"
    return f"{abs(tail_mps) / speed_mps:.0f} {name} {side}"
