"""The yardage page: for every whole yard or metre the number that fits it best, made beforehand.

Knows no page, book or clock; what fits is asked of fitting.py.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from ..card.strike import Margin
from ..units import to_m, whole
from .fitting import Candidate, Choice, answer, question


@dataclass(frozen=True)
class Yardage:
    """One row: a distance in whole units, the best choice for it, and whether it really fits."""

    distance: int
    choice: Choice
    fits: bool


def yardage(among: Sequence[Candidate], margin: Margin, unit: str) -> list[Yardage]:
    """A row for every whole unit from the shortest to the longest number, within the player's own margin."""
    if not among:
        return []
    carries = [whole(one.carry_m, unit) for one in among]
    rows = []
    for distance in range(max(1, min(carries)), max(carries) + 1):
        found = answer(question(to_m(distance, unit), margin), among)
        best = found.ranked[0] if found.ranked else found.closest
        if best is not None:
            rows.append(Yardage(distance, best, bool(found.ranked)))
    return rows


def columns(rows: Sequence[Yardage], count: int) -> list[list[Yardage]]:
    """The rows cut into `count` columns of nearly equal length, in their order."""
    most = -(-len(rows) // count)
    return [list(rows[at : at + most]) for at in range(0, len(rows), most)] if rows else []
