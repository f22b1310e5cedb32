"""What follows from the delivery numbers of one shot: angles, reference bars, words, questions.

Knows nothing of pages, rows or the clock. Every number is optional; what lacks an input is None or left out.

Signs follow the target for everybody: + is right of it and up. Only the words know the hand of play.
Thresholds, reference ranges and expected directions are common practice, no source, unless one is named.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, fields
from typing import NamedTuple

import numpy as np

from webapp.physics.air import GRAVITY_MPS2
from webapp.physics.flight import fly
from webapp.physics.impact import Strike, launch_of
from webapp.physics.impact import launch_share as share_between
from webapp.physics.motion import Launch
from webapp.units import LENGTH_M, UNIT_NAMES, USUAL_UNIT, YARD_M, whole

REFERENCE_CARRY_M_RANGE = (45.0 * YARD_M, 55.0 * YARD_M)
REFERENCE_LOFT_DEG_RANGE = (54.0, 60.0)
REFERENCE_RANGES = {
    "launch_deg": (27.0, 35.0),
    "attack_deg": (-7.0, -3.0),
    "path_deg": (-1.0, 5.0),  # In-to-out for a right-hander; mirrored for a left-hander.
    "dynamic_loft_deg": (40.0, 47.0),
    "spin_loft_deg": (43.0, 54.0),
}
STRAIGHT_DEG = 1.0
TOUCH_DEG = 5.0
ARC_RADIUS_M_RANGE = (1.4, 1.8)

TREND_SHOTS = 8
TREND_SPAN_M = 10.0 * YARD_M

# How far a reading may stray from the model before it is asked about, as the model's own uncertainty.
BALL_SPEED_SHARE = (0.93, 1.07)
LAUNCH_DEG_OFF = (-3.0, 4.0)
SPIN_SHARE = (0.65, 1.30)
CARRY_SHARE = (0.88, 1.12)

# Under this spin the lift of a slow ball can turn round: Lyu, Kensrud & Smith, Sports Engineering 23:3, 2020.
LEAST_SPIN_RPM = 2500.0
TOO_LITTLE = "No estimate without ball speed, launch and spin, or club speed, attack and dynamic loft."
LOW_SPIN = (
    "No estimate, because a ball with less than 2500 rpm can be pushed down by its spin instead of up; "
    "your numbers are kept."
)


@dataclass(frozen=True)
class Delivery:
    """The delivery numbers of one shot; any may be None.

    Speeds [m/s] from 0; angles [deg], + up and + right of the target; spin [rpm] from 0.
    """

    club_speed_mps: float | None = None
    attack_deg: float | None = None
    path_deg: float | None = None
    face_deg: float | None = None
    dynamic_loft_deg: float | None = None
    launch_deg: float | None = None
    spin_rpm: float | None = None
    ball_speed_mps: float | None = None


class Bar(NamedTuple):
    """One reference bar: name, range and value [deg], place ("in", "under", "over"), position 0 to 1.

    The range fills the middle half of the bar; a position beyond its ends stops there.
    """

    name: str
    low: float
    high: float
    value: float
    place: str
    position: float


class Estimate(NamedTuple):
    """What the model gives for a shot; or `why_not`, and then launch and carry are None."""

    launch: Launch | None
    carry_m: float | None
    why_not: str


class Question(NamedTuple):
    """A doubtful reading: which field, and a plain question about it. The reading is kept either way."""

    field: str
    text: str


def spin_loft_deg(delivery: Delivery) -> float | None:
    """Dynamic loft less attack [deg]; None while either is missing."""
    return _less(delivery.dynamic_loft_deg, delivery.attack_deg)


def face_to_path_deg(delivery: Delivery) -> float | None:
    """Face less path [deg]; negative curves left of the start line for everybody. None if one is missing."""
    return _less(delivery.face_deg, delivery.path_deg)


def deloft_deg(delivery: Delivery, loft_deg: float) -> float | None:
    """Stamped loft less dynamic loft [deg]; None without a dynamic loft."""
    return _less(loft_deg, delivery.dynamic_loft_deg)


def launch_share(delivery: Delivery) -> float | None:
    """Where the launch lies from attack (0) to dynamic loft (1); None if one is missing or both are equal."""
    launch, attack, loft = delivery.launch_deg, delivery.attack_deg, delivery.dynamic_loft_deg
    if launch is None or attack is None or loft is None or loft == attack:
        return None
    return share_between(launch, attack, loft)


def curve_words(delivery: Delivery, hand: str) -> str:
    """Start and curve in words for a player of this `hand` ("right" or "left"); "" without face and path."""
    bend = face_to_path_deg(delivery)
    if bend is None:
        return ""
    if abs(bend) < STRAIGHT_DEG:
        return "Little curve: face and path agree."
    side = "left" if bend < 0.0 else "right"
    # A draw curves towards the side the player stands on when aiming: left for a right-hander.
    shape = "draw" if (side == "left") == (hand == "right") else "fade"
    amount = "a touch of" if abs(bend) <= TOUCH_DEG else "a"
    return f"Curves {side} of its start line: {amount} {shape}."


def path_words(delivery: Delivery, hand: str) -> str:
    """The path as in-to-out or out-to-in for a player of this `hand`; "" without a path."""
    if delivery.path_deg is None:
        return ""
    outward = delivery.path_deg if hand == "right" else -delivery.path_deg
    size = f"{abs(outward):.1f} degrees"
    if abs(outward) < 0.05:
        return "The path runs straight at the target."
    return f"The path runs {size} {'in-to-out' if outward > 0.0 else 'out-to-in'}."


def divot_words(delivery: Delivery) -> str:
    """How deep a good strike brushes at a downward attack, by the geometry of the arc; "" without one.

    Depth = R (1 - cos attack) for an arc of R = 1.4 to 1.8 m (common practice, no source).
    """
    if delivery.attack_deg is None or delivery.attack_deg >= 0.0:
        return ""
    drop = 1.0 - math.cos(math.radians(delivery.attack_deg))
    low, high = (f"{radius_m * drop * 1000:.0f}" for radius_m in ARC_RADIUS_M_RANGE)
    depth = low if low == high else f"{low} to {high}"
    end = "brushes the grass, no big divot" if delivery.attack_deg >= REFERENCE_RANGES["attack_deg"][0] else "digs"
    attack = f"{delivery.attack_deg:.0f}".replace("-", "−")
    return f"At {attack} degrees a good strike runs about {depth} mm deep: it {end}."


def reference_bars(delivery: Delivery, hand: str, loft_deg: float, meant_m: float) -> tuple[Bar, ...]:
    """Readings against the reference of a 50-yard pitch.

    Parameters
    ----------
    delivery : Delivery
        The shot's numbers; a missing one gives no bar.
    hand : str
        "right" or "left"; turns the path's range round.
    loft_deg : float
        Stamped loft [deg]; the reference is for 54 to 60.
    meant_m : float
        Meant carry [m]; the reference is for 45 to 55 yards.

    Returns
    -------
    tuple of Bar
        Empty away from the reference shot, where the player's own trend speaks instead.
    """
    if not _within(loft_deg, REFERENCE_LOFT_DEG_RANGE) or not _within(meant_m, REFERENCE_CARRY_M_RANGE):
        return ()
    ranges = dict(REFERENCE_RANGES)
    if hand == "left":
        low, high = ranges["path_deg"]
        ranges["path_deg"] = (-high, -low)
    values: dict[str, float | None] = {name: getattr(delivery, name, None) for name in ranges}
    values["spin_loft_deg"] = spin_loft_deg(delivery)
    if delivery.path_deg is not None:
        ranges["face_deg"] = (min(0.0, delivery.path_deg), max(0.0, delivery.path_deg))
        values["face_deg"] = delivery.face_deg
    return tuple(_bar(name, *ranges[name], value) for name, value in values.items() if value is not None)


def reference_words(loft_deg: float, meant_m: float, unit: str = USUAL_UNIT) -> str:
    """What the bars stand for, or why there are none."""
    low, high = (whole(edge_m, unit) for edge_m in REFERENCE_CARRY_M_RANGE)
    least, most = REFERENCE_LOFT_DEG_RANGE
    shot = f"a pitch of {low} to {high} {UNIT_NAMES[unit]} with {least:.0f} to {most:.0f} degrees"
    if _within(loft_deg, REFERENCE_LOFT_DEG_RANGE) and _within(meant_m, REFERENCE_CARRY_M_RANGE):
        return f"Reference for {shot}: common practice, not right or wrong."
    if meant_m > REFERENCE_CARRY_M_RANGE[1]:
        return f"The reference is for {shot}. Longer shots usually launch higher; your own trend counts here."
    if meant_m < REFERENCE_CARRY_M_RANGE[0]:
        return f"The reference is for {shot}. Shorter shots usually launch lower; your own trend counts here."
    return f"The reference is for {shot}; with this wedge your own trend counts."


def trend_words(
    name: str,
    carries_m: Sequence[float],
    values_deg: Sequence[float],
    expected: str = "higher",
    unit: str = USUAL_UNIT,
) -> str:
    """The player's own trend of one angle with the carry, beside what a coach expects.

    Parameters
    ----------
    name : str
        What the angle is called, such as "launch".
    carries_m, values_deg : sequence of float
        Carry [m] and angle [deg] of each shot, equally many.
    expected : str
        "higher", "lower" or "level" for longer shots; the coach's statement, to be adjusted.
    unit : str
        A name of units.LENGTH_UNITS.

    Returns
    -------
    str
        "" under 8 shots or under 10 yards between the shortest and the longest; a direction only where the
        least squares slope is more than twice its standard error.
    """
    if len(carries_m) < TREND_SHOTS or max(carries_m) - min(carries_m) < TREND_SPAN_M:
        return ""
    per_ten_m = 10.0 * LENGTH_M[unit]
    carries, values = np.asarray(carries_m) / per_ten_m, np.asarray(values_deg)
    off = carries - carries.mean()
    slope = float(off @ values / (off @ off))
    rest = values - values.mean() - slope * off
    error = math.sqrt(float(rest @ rest) / (len(carries) - 2) / float(off @ off))
    found = "higher" if slope > 2.0 * error else "lower" if slope < -2.0 * error else "level"
    told = f"Over {len(carries)} shots your {name} " + (
        "shows no clear trend with length"
        if found == "level"
        else f"is {abs(slope):.1f} degrees {found} for each 10 {UNIT_NAMES[unit]} more"
    )
    return f"{told}; expected for longer shots: {expected}."


def estimate(delivery: Delivery) -> Estimate:
    """Launch and carry from what was measured, in still standard air.

    Measured launch numbers go first; a missing one is taken from the impact model where club speed, attack
    and dynamic loft allow.
    """
    modelled = _modelled_launch(delivery)
    measured = (delivery.ball_speed_mps, delivery.launch_deg, delivery.spin_rpm)
    known = modelled[:3] if modelled else (None, None, None)
    speed, angle, spin = (m if m is not None else k for m, k in zip(measured, known, strict=True))
    if speed is None or angle is None or spin is None:
        return Estimate(None, None, TOO_LITTLE)
    if spin < LEAST_SPIN_RPM:
        return Estimate(None, None, LOW_SPIN)
    azimuth, tilt = (modelled.azimuth_deg, modelled.tilt_deg) if modelled else (0.0, 0.0)
    launch = Launch(speed, angle, spin, azimuth, tilt)
    flight = fly(launch) if speed > 0.0 and 0.0 < angle < 90.0 else None
    if flight is None:
        return Estimate(None, None, "No estimate: with these numbers the ball does not get up; they are kept.")
    return Estimate(launch, float(flight.carry_m), "")


def questions(delivery: Delivery, loft_deg: float, carry_m: float | None = None) -> tuple[Question, ...]:
    """What to ask about readings that can hardly be true; nothing is refused.

    Parameters
    ----------
    delivery : Delivery
        The shot's numbers.
    loft_deg : float
        Stamped loft of the club [deg].
    carry_m : float, optional
        The carry noted for the shot [m].

    Returns
    -------
    tuple of Question
        In the order of the form; empty when all is plausible or too little is known.
    """
    odd = [
        Question(f.name, "That is no number a ball or club can have. Is it right?")
        for f in fields(delivery)
        if not _possible(f.name, getattr(delivery, f.name))
    ]
    if odd:
        return tuple(odd)
    asked = _angle_questions(delivery, loft_deg) + _model_questions(delivery, carry_m)
    # One question a field is enough, and the plainer one comes first.
    return tuple({question.field: question for question in reversed(asked)}.values())[::-1]


def _angle_questions(delivery: Delivery, loft_deg: float) -> list[Question]:
    asked = []
    attack, loft, launch = delivery.attack_deg, delivery.dynamic_loft_deg, delivery.launch_deg
    if loft is not None and loft > loft_deg:
        asked.append(
            Question(
                "dynamic_loft_deg",
                f"Dynamic loft {loft:.1f} is more than the {loft_deg:.0f} stamped. Is it right?",
            )
        )
    if launch is not None and loft is not None and launch > loft:
        asked.append(Question("launch_deg", f"Launch {launch:.1f} is above the dynamic loft {loft:.1f}. Is it right?"))
    if launch is not None and attack is not None and launch < attack:
        asked.append(Question("launch_deg", f"Launch {launch:.1f} is below the attack {attack:.1f}. Is it right?"))
    return asked


def _model_questions(delivery: Delivery, carry_m: float | None) -> list[Question]:
    asked = []
    modelled = _modelled_launch(delivery)
    if modelled is not None:
        speed, launch, spin = delivery.ball_speed_mps, delivery.launch_deg, delivery.spin_rpm
        if speed is not None and not _within(speed / modelled.speed_mps, BALL_SPEED_SHARE):
            asked.append(_unusual("ball_speed_mps", "Ball speed", speed, modelled.speed_mps, "the club speed and loft"))
        if launch is not None and not _within(launch - modelled.launch_deg, LAUNCH_DEG_OFF):
            asked.append(_unusual("launch_deg", "Launch", launch, modelled.launch_deg, "the attack and loft"))
        if spin is not None and not _within(spin / modelled.spin_rpm, SPIN_SHARE):
            asked.append(_unusual("spin_rpm", "Spin", spin, modelled.spin_rpm, "the club speed and loft"))
    asked += _vacuum_questions(delivery.ball_speed_mps, carry_m)
    flown_m = estimate(delivery).carry_m
    if carry_m is not None and flown_m is not None and not _within(carry_m / flown_m, CARRY_SHARE):
        asked.append(_unusual("carry_m", "The carry", carry_m, flown_m, "these numbers"))
    return asked


def _vacuum_questions(ball_speed_mps: float | None, carry_m: float | None) -> list[Question]:
    """Without air a ball carries v^2/g at most, at 45 degrees; a longer carry needs another speed."""
    if ball_speed_mps is None or carry_m is None or carry_m <= ball_speed_mps**2 / GRAVITY_MPS2:
        return []
    return [Question("carry_m", "No ball that slow carries that far, even without air. Is one of the two wrong?")]


def _unusual(field: str, name: str, value: float, expected: float, reason: str) -> Question:
    way = "high" if value > expected else "low"
    return Question(field, f"{name} is {way} for {reason}. Is it right?")


def _modelled_launch(delivery: Delivery) -> Launch | None:
    speed, attack, loft = delivery.club_speed_mps, delivery.attack_deg, delivery.dynamic_loft_deg
    if not speed or attack is None or loft is None or not 0.0 < loft - attack < 90.0:
        return None
    return launch_of(Strike(speed, attack, loft, delivery.path_deg or 0.0, delivery.face_deg or 0.0))


def _possible(name: str, value: float | None) -> bool:
    if value is None:
        return True
    return math.isfinite(value) and (abs(value) < 90.0 if name.endswith("_deg") else value >= 0.0)


def _bar(name: str, low: float, high: float, value: float) -> Bar:
    place = "under" if value < low else "over" if value > high else "in"
    width = max(high - low, STRAIGHT_DEG)
    position = 0.5 + (value - (low + high) / 2.0) / (2.0 * width)
    return Bar(name, low, high, value, place, min(1.0, max(0.0, position)))


def _less(first: float | None, second: float | None) -> float | None:
    return None if first is None or second is None else first - second


def _within(value: float, ends: tuple[float, float]) -> bool:
    return ends[0] <= value <= ends[1]
