"""Balls of a cell struck another way: gripped down, low or high, or from an odd lie, each against the card's number.

Knows no table and no page; rows of one cell's shots come in. None of these balls moves the number itself.
"""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from statistics import median
from typing import Any

from ..estimate.model import CELL_SHIFT_SD, VISIT_SHIFT_SD
from ..estimate.student import HIGH_Z
from ..facts import FLIGHTS, LIES
from .balls import is_clean
from .card_data import CardCell

LEAST_BALLS_A_FLIGHT = 5
LEAST_BALLS_A_LIE = 8

Row = Mapping[str, Any]


@dataclass(frozen=True)
class OtherWay:
    """One other way and its `n` clean balls.

    Attributes
    ----------
    name : one of facts.FLIGHTS or facts.LIES.
    carry_m : median [m] of its clean balls; None for a lie, which tells a difference only.
    change_m : that median less the card's number [m].
    error_m : standard error of the change [m]; a visit moves all its balls together.
    """

    name: str
    n: int
    carry_m: float | None
    change_m: float
    error_m: float


def other_ways(shots: Iterable[Row], cell: CardCell, ball: str) -> tuple[OtherWay, ...]:
    """The other ways of a cell with enough clean balls of one kind of ball: five of a flight, eight of a lie.

    A clean ball counts here if it would count for the card but for its flight or its lie; with both it tells neither.
    """
    clean = [shot for shot in shots if _tells(shot) and shot["ball"] == ball]
    found = []
    for name in FLIGHTS:
        own = [shot for shot in clean if shot["flight"] == name and shot["lie"] == "level"]
        if len(own) >= LEAST_BALLS_A_FLIGHT:
            found.append(_other_way(name, own, cell, own_row=True))
    for name in LIES:
        own = [shot for shot in clean if shot["lie"] == name and not shot["flight"]]
        if name != "level" and len(own) >= LEAST_BALLS_A_LIE:
            found.append(_other_way(name, own, cell, own_row=False))
    return tuple(found)


def _other_way(name: str, own: Sequence[Row], cell: CardCell, own_row: bool) -> OtherWay:
    carry_m, visits = median(shot["carry_m"] for shot in own), len({shot["visit_id"] for shot in own})
    # A median of n has pi/2 times the variance of their mean.
    scatter = (cell.spread_m / cell.typical_carry_m) ** 2 * math.pi / 2 / len(own)
    own_error_m = carry_m * math.sqrt(scatter + (VISIT_SHIFT_SD**2 + CELL_SHIFT_SD**2) / visits)
    error_m = math.hypot(own_error_m, cell.half_width_m / HIGH_Z)
    return OtherWay(name, len(own), carry_m if own_row else None, carry_m - cell.shown_carry_m, error_m)


def _tells(shot: Row) -> bool:
    """Whether a swing-called ball is clean and not left out as a whole."""
    left_out = shot["aside"] or shot["bucket_aside"] or shot["course"] or shot["strong_wind"]
    left_out = left_out or (shot["monitor_note"] == "indoor" and not shot["indoor_counts"])
    return bool(shot["mode"] == "swing" and is_clean(shot) and not left_out)
