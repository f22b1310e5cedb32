"""Every conversion factor of the project, and how a length, a temperature and an altitude are shown.

Knows nothing of clubs, shots or pages.
"""

import math
from typing import NamedTuple

YARD_M = 0.9144  # exact: international yard (1959 agreement)
CLOSE = 1e-9  # two ways to one number differ by less, such as a length and its round trip through metres
FOOT_M = 0.3048  # exact: a third of the yard
MILE_M = 1609.344  # exact: 1760 yards
HOUR_S = 3600.0
MPH_MPS = MILE_M / HOUR_S  # exact: 0.44704 m/s
KMH_MPS = 1000.0 / HOUR_S
RPM_RADPS = 2.0 * math.pi / 60.0
KELVIN_AT_0_DEGC = 273.15
DEGF_AT_0_DEGC = 32.0
DEGF_PER_DEGC = 1.8  # exact, as is the 32

SPEED_MPS = {"mph": MPH_MPS, "kmh": KMH_MPS, "mps": 1.0}
SPEED_NAMES = {"mph": "mph", "kmh": "km/h", "mps": "m/s"}


class LengthUnit(NamedTuple):
    """A unit that a reader may choose for lengths."""

    length_m: float
    name: str
    speed_unit: str  # what its readers are offered first for speeds


# The one place that says which units of length there are; the first is the one that a book starts with.
LENGTH_UNITS = {
    "yd": LengthUnit(YARD_M, "yards", "mph"),
    "m": LengthUnit(1.0, "metres", "kmh"),
}
LENGTH_M = {unit: one.length_m for unit, one in LENGTH_UNITS.items()}
UNIT_NAMES = {unit: one.name for unit, one in LENGTH_UNITS.items()}
SPEED_BESIDE = {unit: one.speed_unit for unit, one in LENGTH_UNITS.items()}
USUAL_UNIT = next(iter(LENGTH_UNITS))
# Neither follows the unit of length: there are players in yards who think in degrees Celsius.
TEMPERATURE_NAMES = {"c": "°C", "f": "°F"}
ALTITUDE_M = {"m": 1.0, "ft": FOOT_M}
ALTITUDE_NAMES = {name: name for name in ALTITUDE_M}


def to_m(length: float, unit: str) -> float:
    """Metres of a length given in `unit`, a name of LENGTH_UNITS; KeyError for any other."""
    return length * LENGTH_M[unit]


def from_m(length_m: float, unit: str) -> float:
    """A length of `length_m` metres in `unit`, a name of LENGTH_UNITS, unrounded."""
    return length_m / LENGTH_M[unit]


def to_mps(speed: float, speed_unit: str) -> float:
    """Metres a second of a speed given in `speed_unit` ("mph", "kmh" or "mps"); KeyError for any other unit."""
    return speed * SPEED_MPS[speed_unit]


def from_mps(speed_mps: float, speed_unit: str) -> float:
    """A speed of `speed_mps` [m/s] in `speed_unit` ("mph", "kmh" or "mps"), unrounded."""
    return speed_mps / SPEED_MPS[speed_unit]


def to_degc(temperature: float, temperature_unit: str) -> float:
    """Degrees Celsius of a temperature given in `temperature_unit` ("c" or "f"); KeyError for any other unit."""
    return {"c": temperature, "f": (temperature - DEGF_AT_0_DEGC) / DEGF_PER_DEGC}[temperature_unit]


def from_degc(temperature_c: float, temperature_unit: str) -> float:
    """A temperature of `temperature_c` [degC] in `temperature_unit` ("c" or "f"), unrounded."""
    return {"c": temperature_c, "f": temperature_c * DEGF_PER_DEGC + DEGF_AT_0_DEGC}[temperature_unit]


def to_altitude_m(altitude: float, altitude_unit: str) -> float:
    """Metres of an altitude given in `altitude_unit` ("m" or "ft"); KeyError for any other unit."""
    return altitude * ALTITUDE_M[altitude_unit]


def from_altitude_m(altitude_m: float, altitude_unit: str) -> float:
    """An altitude of `altitude_m` metres in `altitude_unit` ("m" or "ft"), unrounded."""
    return altitude_m / ALTITUDE_M[altitude_unit]


def temperature_shown(temperature_c: float, temperature_unit: str) -> str:
    """The number a reader of `temperature_unit` is shown: tenths where there are any, halves up."""
    return f"{round_half_up(from_degc(temperature_c, temperature_unit) * 10) / 10:g}"


def altitude_shown(altitude_m: float, altitude_unit: str) -> str:
    """The number a reader of `altitude_unit` is shown: whole, halves up."""
    return f"{round_half_up(from_altitude_m(altitude_m, altitude_unit))}"


def whole(length_m: float, unit: str) -> int:
    """The whole number of `unit` a reader is shown; halves go up, so 45.72 m is 46 m and 50 yd is 50 yd."""
    return round_half_up(from_m(length_m, unit))


def whole_words(length_m: float, unit: str) -> str:
    """A length for a sentence in its reader's unit: "54 yards"."""
    return f"{whole(length_m, unit)} {UNIT_NAMES[unit]}"


def within(low_m: float, high_m: float, unit: str) -> tuple[int, int]:
    """The lowest and the highest whole number of `unit` that lie in a range of metres."""
    return math.ceil(from_m(low_m, unit) - CLOSE), math.floor(from_m(high_m, unit) + CLOSE)


def tenths(length_m: float, unit: str) -> float:
    """`length_m` in `unit` with one decimal, for the figures behind a number."""
    return math.floor(from_m(length_m, unit) * 10 + 0.5 + CLOSE) / 10


def in_every_unit(length_m: float) -> str:
    """A length for a sentence that is not redrawn when its reader changes units: "2.5 yd (2.3 m)"."""
    usual, *others = (f"{tenths(length_m, unit):g} {unit}" for unit in LENGTH_UNITS)
    return f"{usual} ({', '.join(others)})"


def round_half_up(value: float) -> int:
    """The nearest whole number, halves upwards; the tiny term forgives the error of a round trip through metres."""
    return math.floor(value + 0.5 + CLOSE)
