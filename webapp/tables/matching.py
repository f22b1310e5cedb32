"""Which wedge of a bag a word of a table may stand for: by its name, or by the one loft that the word holds.

Knows no book; the player is asked about every word, and what is found here stands first among the answers.
"""

import re
from collections.abc import Iterable
from typing import NamedTuple

from ..facts import LOFT_DEG_RANGE
from ..files.ball_row import folded

_LOFT = re.compile(r"(?<![0-9.,])([0-9]{2}(?:[.,][0-9]+)?)(?![0-9.,]*[0-9])")


class Known(NamedTuple):
    """A wedge of the bag."""

    id: str
    name: str
    loft_deg: float


def answer_for(word: str, bag: Iterable[Known]) -> str:
    """The id of the wedge that a word stands for, else the loft of a new one as text, else "".

    A wedge goes by its name too where that is a loft other than its own: bent, it kept the name.
    """
    there = list(bag)
    named = [club for club in there if folded(club.name) == folded(word)]
    if named:
        return named[0].id
    loft = loft_of(word)
    if loft is None:
        return ""
    near = [club for club in there if club.loft_deg == loft or folded(club.name) == f"{loft:g}"]
    return near[0].id if len(near) == 1 else "" if near else f"{loft:g}"


def loft_of(word: str) -> float | None:
    """The loft [deg] that a word such as "56", "56°" or "wedge 56" holds; None where it holds none or two."""
    numbers = {float(number.replace(",", ".")) for number in _LOFT.findall(word)}
    lofts = {number for number in numbers if LOFT_DEG_RANGE[0] <= number <= LOFT_DEG_RANGE[1]}
    return lofts.pop() if len(lofts) == 1 else None
