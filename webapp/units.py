"""Every conversion factor of the project, and how a length is shown.

Knows nothing of clubs, shots or pages.
"""

import math

YARD_M = 0.9144  # exact: international yard (1959 agreement)
FOOT_M = 0.3048  # exact: a third of the yard
MILE_M = 1609.344  # exact: 1760 yards
HOUR_S = 3600.0
MPH_MPS = MILE_M / HOUR_S  # exact: 0.44704 m/s
KMH_MPS = 1000.0 / HOUR_S
RPM_RADPS = 2.0 * math.pi / 60.0
KELVIN_AT_0_DEGC = 273.15

LENGTH_M = {"yd": YARD_M, "m": 1.0}
UNIT_NAMES = {"yd": "yards", "m": "metres"}
SPEED_MPS = {"mph": MPH_MPS, "kmh": KMH_MPS, "mps": 1.0}
SPEED_NAMES = {"mph": "mph", "kmh": "km/h", "mps": "m/s"}
SPEED_BESIDE = {"yd": "mph", "m": "kmh"}  # what a reader of yards or metres is offered first


def to_m(length: float, unit: str) -> float:
    """Metres of a length given in `unit` ("yd" or "m"); KeyError for any other unit."""
    return length * LENGTH_M[unit]


def from_m(length_m: float, unit: str) -> float:
    """A length of `length_m` metres in `unit` ("yd" or "m"), unrounded."""
    return length_m / LENGTH_M[unit]


def to_mps(speed: float, speed_unit: str) -> float:
    """Metres a second of a speed given in `speed_unit` ("mph", "kmh" or "mps"); KeyError for any other unit."""
    return speed * SPEED_MPS[speed_unit]


def from_mps(speed_mps: float, speed_unit: str) -> float:
    """A speed of `speed_mps` [m/s] in `speed_unit` ("mph", "kmh" or "mps"), unrounded."""
    return speed_mps / SPEED_MPS[speed_unit]


def whole(length_m: float, unit: str) -> int:
    """The whole number of `unit` a reader is shown; halves go up, so 45.72 m is 46 m and 50 yd is 50 yd."""
    return round_half_up(from_m(length_m, unit))


def tenths(length_m: float, unit: str) -> float:
    """`length_m` in `unit` with one decimal, for the figures behind a number."""
    return math.floor(from_m(length_m, unit) * 10 + 0.5 + 1e-9) / 10


def round_half_up(value: float) -> int:
    """The nearest whole number, halves upwards; the tiny term forgives the error of a round trip through metres."""
    return math.floor(value + 0.5 + 1e-9)
