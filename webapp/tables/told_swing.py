"""A swing in a table from anywhere: a place on the clock, "full" or degrees, also as a spreadsheet writes it again.

A clock that a table tells by itself is never mirrored, as in this program's own files. What its player may have written
as it is read here is asked for: a mirrored clock of a swing lies between 12 and 6, where no other does.
"""

import re
from collections.abc import Mapping

from ..clock import clock_name, swing_deg_of
from ..files.ball_row import folded

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


def swing_text(swing_deg: float) -> str:
    """How a cell would say a lead arm's angle [deg]: by the clock, or in degrees where the clock tells it too coarsely.

    `swing_told` reads it back as the same angle.
    """
    clock = clock_name(swing_deg)
    return clock if swing_told(clock) == swing_deg else f"{swing_deg:g}"


def names_a_swing(text: str) -> bool:
    """Whether a text names a swing as only a swing is named: a bare number may be anything."""
    return swing_told(text) is not None and not text.replace(".", "").isdigit()


def swing_read(text: str, names: Mapping[float, str], mirrored: bool) -> float | None:
    """The angle [deg] of the swing that a player reads as this text, by its own name or on a mirrored clock."""
    own = [swing_deg for swing_deg, name in names.items() if folded(name) == folded(text)]
    if own or not mirrored or ":" not in text:
        return own[0] if own else None
    try:
        return swing_deg_of(as_typed(text), mirrored)
    except ValueError:
        return None
