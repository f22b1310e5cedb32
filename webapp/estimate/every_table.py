"""Many carries read of many tables of chances at once, as chance.chances reads one window of one table.

Knows nothing of what a carry is asked for.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from webapp.estimate.chance import Table
from webapp.estimate.model import FloatArray, IntArray


@dataclass(frozen=True)
class EveryTable:
    """The tables of J cells, one behind the other.

    `start`, `first`, `last` (J,): where each table begins, its first carry in steps, and how many steps follow that;
    `step_m` (J,) the length of one. `below`: the chances, and `area` the area under them [steps] up to each.
    """

    start: IntArray
    first: IntArray
    last: IntArray
    step_m: FloatArray
    below: FloatArray
    area: FloatArray

    def below_at(self, cell: IntArray, carry_m: FloatArray) -> FloatArray:
        """Chance that a ball of each `cell` carries less than `carry_m` [m]; the two are broadcast together."""
        place, at, part = self._at(cell, carry_m)
        found = self.below[at] + part * (self.below[at + 1] - self.below[at])
        return np.where(place < 0, 0.0, np.where(place > self.last[cell], 1.0, found))

    def miss_m(self, cell: IntArray, meant_m: FloatArray) -> FloatArray:
        """How far [m] a ball of each `cell` comes down from `meant_m` [m] on average, on whichever side of it.

        The mean of |carry - meant| is the area under the chances of less up to the meant carry, and over them beyond.
        """
        place, at, part = self._at(cell, meant_m)
        last, start = self.last[cell], self.start[cell]
        slope = self.below[at + 1] - self.below[at]
        upto = (
            self.area[at] - self.area[start] + part * (self.below[at] + part * slope / 2) + np.maximum(place - last, 0)
        )
        every = self.area[start + last] - self.area[start]
        return np.asarray((2 * upto + last - place - every) * self.step_m[cell])

    def _at(self, cell: IntArray, carry_m: FloatArray) -> tuple[FloatArray, IntArray, FloatArray]:
        """The place of a carry in its table [steps], the step before it, and the part of a step from there to it."""
        place = carry_m / self.step_m[cell] - self.first[cell]
        last = self.last[cell]
        inside = np.clip(place, 0, last)
        step = np.minimum(inside.astype(int), last - 1)
        return place, self.start[cell] + step, inside - step


def every_table(tables: Sequence[Table]) -> EveryTable:
    """The tables to be read together, each of two steps or more."""
    below = np.concatenate([table.below for table in tables])
    steps = np.array([len(table.below) for table in tables])
    area = np.concatenate(([0.0], np.cumsum((below[:-1] + below[1:]) / 2)))
    first, step_m = np.array([table.first for table in tables]), np.array([table.step_m for table in tables])
    return EveryTable(np.cumsum(steps) - steps, first, steps - 1, step_m, below, area)
