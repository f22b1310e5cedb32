"""What was noted of one ball beside its carry and contact, in plain words; what is as usual goes without saying.

Knows no page; lengths stay in metres, so that its reader's unit can be put in late.
"""

from collections.abc import Mapping
from typing import Any

from ..facts import DIRECTIONS, FLIGHTS, SWING_CHECKS, WINDS
from .card_words import Length

FLIGHT_WORDS = dict(zip(FLIGHTS, ("gripped down", "flown low", "flown high"), strict=True))
WIND_WORDS = dict(zip(WINDS[1:], ("into you", "behind you", "from the left", "from the right"), strict=True))
_WAYS = dict(zip(DIRECTIONS, ("went left", "went straight", "went right"), strict=True))
_SWINGS = dict(zip(SWING_CHECKS, ("the swing was longer", "it was that swing", "the swing was shorter"), strict=True))
LEAST_ROLL_M = 0.5  # what is shorter would be shown as 0 in one unit or the other

Row = Mapping[str, Any]
Parts = tuple[str | Length, ...]


def noted(shot: Row, bucket: Row) -> list[Parts]:
    """Everything out of the usual, each in a few words.

    Parameters
    ----------
    shot : mapping
        A row or a filled body of one ball.
    bucket : mapping
        What holds for its bucket; of it only the wind is read, where none was noted with the ball. May be empty.
    """
    found = [
        f"{shot['lie']} lie" if shot["lie"] != "level" else "",
        FLIGHT_WORDS.get(shot["flight"], ""),
        _WAYS.get(shot["direction"], ""),
        _SWINGS.get(shot["swing_check"], ""),
        _wind(shot, bucket),
        "noted on the rain patch" if shot["coarse"] else "",
        "noted during a round" if shot["course"] else "",
    ]
    return [*((words,) for words in found if words), *_roll(shot["roll_m"])]


def _wind(shot: Row, bucket: Row) -> str:
    """The wind that a ball flew in; calm is said where it was not calm in its bucket."""
    of_the_bucket = bucket.get("wind", "calm")
    wind, force = (shot["wind"], shot["wind_force"]) if shot["wind"] else (of_the_bucket, bucket.get("wind_force", ""))
    if wind == "calm":
        return "" if of_the_bucket == "calm" else "calm air"
    return f"{force or 'light'} wind {WIND_WORDS[wind]}"


def _roll(roll_m: float | None) -> list[Parts]:
    if roll_m is None:
        return []
    if abs(roll_m) < LEAST_ROLL_M:
        return [("no roll to speak of",)]
    return [("rolled " if roll_m > 0 else "rolled back ", Length(abs(roll_m)))]
