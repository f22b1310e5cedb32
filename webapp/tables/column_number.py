"""A number of one of our columns: what it may lie between, which unit it may name, and how our own table has it.

Knows the columns of files/columns.py; how a number is written anywhere is told_number.py's.
"""

from functools import lru_cache
from typing import Any

from ..delivery.readings import FIELD_OF, is_speed
from ..facts import DELIVERY, KINDS
from ..units import SPEED_MPS, SPEED_NAMES, from_m, from_mps
from .told_length import unit_named
from .told_number import number_told, parted

_LENGTHS = {
    "carry": ("shot", "carry_m"),
    "meant": ("shot", "meant_carry_m"),
    "roll": ("shot", "roll_m"),
    "bay_offset": ("bucket", "bay_offset_m"),
}
_PLAIN = {
    "loft_deg": "club",
    "run_index": "shot",
    "temperature_c": "bucket",
    "warm_up_balls": "bucket",
    "utc_offset_min": "bucket",
}
HOLDS_NUMBERS = {*_LENGTHS, *_PLAIN, *FIELD_OF}


def number_in(word: str, text: str, unit: str, speed_unit: str, decimal: str) -> str:
    """The number of a cell as our own table has it; ValueError with what is wrong."""
    low, high = _bounds(word, unit, speed_unit)
    number, behind = parted(text)
    if behind and _is_unit_of(word, behind, unit, speed_unit):
        text = number
    try:
        value = number_told(text, low, high, decimal)
    except ValueError as error:
        raise ValueError(f"{word} {error}") from error
    return plain_number(value)


def plain_number(value: float) -> str:
    """A number as a cell of our own table has it."""
    return str(int(value)) if value.is_integer() else repr(value)


def _is_unit_of(word: str, text: str, unit: str, speed_unit: str) -> bool:
    said = text.lower().rstrip(".")
    if word in _LENGTHS:
        named = unit_named(said)
        if named and named != unit:
            raise ValueError(f"{word} is in {named}, where {unit} was said")
        return named == unit
    if word in FIELD_OF and is_speed(word):
        return said in (speed_unit, SPEED_NAMES.get(speed_unit))
    return said in ("°", "deg", "rpm", "°c")


@lru_cache
def _bounds(word: str, unit: str, speed_unit: str) -> tuple[float, float]:
    if word in _LENGTHS:
        kind, name = _LENGTHS[word]
        low, high = _ends(KINDS[kind][name])
        return from_m(low, unit), from_m(high, unit)
    if word in _PLAIN:
        return _ends(KINDS[_PLAIN[word]][word])
    low, high = _ends(DELIVERY[FIELD_OF[word]])
    if is_speed(word) and speed_unit in SPEED_MPS:
        return from_mps(low, speed_unit), from_mps(high, speed_unit)
    return low, high


def _ends(bounds: Any) -> tuple[float, float]:
    return float(bounds.low), float(bounds.high)
