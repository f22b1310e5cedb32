"""The yardage page: for every whole yard or metre the number that fits it best, made beforehand.

Knows no page, book or clock; what fits is asked of fitting.py.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ..card.strike import Margin
from ..estimate.every_table import every_table
from ..facts import LONGEST_CARRY_M
from ..units import CLOSE, to_m, whole
from .fitting import Candidate, Choice, Question, answer, question


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
    every = range(max(1, min(carries)), max(carries) + 1)
    distances = [one for one in every if to_m(one, unit) <= LONGEST_CARRY_M]  # the last may be rounded up beyond it
    asked = [question(to_m(distance, unit), margin) for distance in distances]
    rows = []
    for distance, one, near in zip(distances, asked, _likely(asked, among), strict=True):
        found = answer(one, near)
        if not found.ranked:
            found = answer(one, among)  # what is closest may not be likely
        best = found.ranked[0] if found.ranked else found.closest
        if best is not None:
            rows.append(Yardage(distance, best, bool(found.ranked)))
    return rows


def _likely(asked: Sequence[Question], among: Sequence[Candidate]) -> list[list[Candidate]]:
    """For each question the candidates that may be its best, which are few: `answer` need not weigh the others."""
    tables, every = every_table([one.table for one in among]), np.arange(len(among))[:, None]
    front_m, back_m = (np.array([getattr(one, edge) for one in asked]) for edge in ("front_m", "back_m"))
    inside = tables.below_at(every, back_m) - tables.below_at(every, front_m)
    best = inside >= inside.max(axis=0) - CLOSE
    return [[among[cell] for cell in np.flatnonzero(column).tolist()] for column in best.T]


def columns(rows: Sequence[Yardage], count: int) -> list[list[Yardage]]:
    """The rows cut into `count` columns of nearly equal length, in their order."""
    most = -(-len(rows) // count)
    return [list(rows[at : at + most]) for at in range(0, len(rows), most)] if rows else []
