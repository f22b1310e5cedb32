"""A unit of length as a table from anywhere writes it: "yd", "yards", "metres", "(m)".

Knows no column.
"""

import re

from ..units import LENGTH_UNITS

_UNIT_WORDS = {
    word: unit
    for unit, one in LENGTH_UNITS.items()
    for word in (
        unit,
        f"{unit}s",
        one.name,
        one.name[:-1],
        one.name.replace("re", "er"),
        one.name[:-1].replace("re", "er"),
    )
}
_AROUND = "()[]. "


def unit_named(text: str) -> str:
    """The unit that a word is; "" where it is none."""
    return _UNIT_WORDS.get(text.lower(), "")


def unit_in(text: str) -> str:
    """The unit that a heading names in its last word or in brackets; "" where it names none."""
    words = re.split(r"[\s()\[\]/,]+", text.strip(_AROUND))
    return unit_named(words[-1]) if len(words) > 1 else ""


def unit_told(text: str, usual: str) -> str:
    """The unit that a cell says, the usual one where it says nothing; ValueError where there is none."""
    unit = unit_named(text.strip(_AROUND)) if text else usual
    if not unit:
        raise ValueError(f"unit must be {' or '.join(LENGTH_UNITS)}, not {text[:20]!r}")
    return unit
