"""A swing in a table from anywhere: a place on the clock, "full" or degrees, also as a spreadsheet writes it again.

Knows no hand: clocks in files are never mirrored.
"""

import re

from ..clock import swing_deg_of

_TIME_OF_DAY = re.compile(r"([0-9]{1,2}:[0-9]{2}):00")


def as_typed(text: str) -> str:
    """A swing as it was typed: a spreadsheet takes 9:00 for a time of day and keeps it as 09:00:00."""
    clock = _TIME_OF_DAY.fullmatch(text)
    return clock[1] if clock else text


def swing_told(text: str) -> float | None:
    """The lead arm's angle [deg] that a cell says by itself; None where it says none."""
    try:
        return swing_deg_of(as_typed(text))
    except ValueError:
        return None
