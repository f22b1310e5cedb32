"""The lead arm's angle from address and the name of its place on a clock face.

Knows nothing of clubs or carries; stored angles and names in files are never mirrored, only what is shown and typed.
"""

import re

FULL_DEG = 180.0
FULL_NAME = "full"
SWING_DEG_RANGE = (1.0, 180.0)
DEFAULT_SWINGS_DEG = (45.0, 90.0, 135.0, FULL_DEG)

_CLOCK_NAME = re.compile(r"^(\d{1,2}):(\d{2})$")
_CLOCK_TYPED = re.compile(r"^(\d|1[0-2])(?:[.,](\d{2}))?$")


def hour(swing_deg: float) -> float:
    """Clock hour [h] of a lead-arm angle [deg] from address: 6 at address, 9 at 90 deg, 12 at full."""
    return 6.0 + swing_deg / 30.0


def clock_name(swing_deg: float, mirrored: bool = False) -> str:
    """What the swing is called: "9:00" for 90 deg ("3:00" mirrored), "full" for 180 deg."""
    if swing_deg >= FULL_DEG:
        return FULL_NAME
    minutes = round(hour(swing_deg) * 60)
    if mirrored:
        minutes = 12 * 60 - minutes
    hours, minute = divmod(minutes % (12 * 60), 60)
    return f"{hours or 12}:{minute:02d}"


def swing_deg_of(name: str, mirrored: bool = False) -> float:
    """Lead-arm angle [deg] of "9:00" ("3:00" mirrored), "full" or degrees such as "105"; ValueError for others."""
    text = name.strip().lower()
    if text == FULL_NAME:
        return FULL_DEG
    clock = _CLOCK_NAME.match(text)
    if clock:
        hours, minutes = int(clock[1]), int(clock[2])
        if hours > 12 or minutes > 59:
            raise ValueError(f"{name!r} is no place on a clock")
        shown = hours % 12 * 60 + minutes
        unmirrored = 12 * 60 - shown if mirrored else shown or 12 * 60
        swing_deg = (unmirrored - 6 * 60) / 2  # in minutes, so that 7:20 is 40 degrees exactly
    else:
        swing_deg = kept_deg(float(text))
    if not SWING_DEG_RANGE[0] <= swing_deg <= SWING_DEG_RANGE[1]:
        raise ValueError(f"{name!r} is not between 6:00 and full")
    return swing_deg


def swing_deg_typed(text: str, mirrored: bool = False) -> float:
    """Lead-arm angle [deg] of what a person types; ValueError as of `swing_deg_of`.

    A phone's number keys have no colon: 9, 9.30 and 9,30 are places on the clock too, and no swing of few degrees.
    """
    told = _CLOCK_TYPED.match(text.strip())
    return swing_deg_of(f"{told[1]}:{told[2] or '00'}" if told else text, mirrored)


def kept_deg(swing_deg: float) -> float:
    """An angle [deg] in hundredths, as every swing is kept: a finer one has no short text that reads back as itself."""
    return round(swing_deg, 2)


def mirrors(hand: str, seen_from: str) -> bool:
    """Whether clock hours are read mirrored: a left-hander seen from the front, a right-hander in his own eyes."""
    return (hand == "left") != (seen_from == "self")
