"""The balls of an estimate in groups: those of one cell, struck on one visit and judged in one way.

Knows nothing of what the groups tell.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from webapp.estimate import model
from webapp.estimate.balls import Balls, before_the_move
from webapp.estimate.model import FloatArray, IntArray, Options

ALMOST_NONE = 1e-300


@dataclass(frozen=True)
class Groups:
    """n measured balls in G groups. A row is a cell, or a cell before its move; an occasion a visit and way.

    Attributes
    ----------
    cell, group, contact : (n,) int arrays
        Of each ball.
    y : (n,) array
        ln(carry [m]) of each ball.
    row, occasion, visit_of, cell_of : (G,) int arrays
        Of each group; rows 0 .. J - 1 are the cells as they are now, the others `moved_cells` before their moves.
    wrong_chance : (G,) array
        Chance that the group is not of its cell at all; 0 on the visits since the player says that it moved.
    visit, way : (O,) int arrays
        Of each occasion; visits are numbered in the order of the occasions.
    first_of_visit : (v,) int array
        The first occasion of each visit; the others of the visit follow it.
    age_days : (O,) array
        Age [d] of each occasion's visit, that of its newest ball.
    moved_cells : (M,) int array
    move_days : (M,) array
        How long ago [d] each of them moved.
    """

    cell: IntArray
    group: IntArray
    contact: IntArray
    y: FloatArray
    row: IntArray
    occasion: IntArray
    visit_of: IntArray
    cell_of: IntArray
    wrong_chance: FloatArray
    visit: IntArray
    way: IntArray
    first_of_visit: IntArray
    age_days: FloatArray
    moved_cells: IntArray
    move_days: FloatArray
    n_cells: int

    def by_group(self, values: FloatArray) -> FloatArray:
        """(G,) sums over the balls of each group."""
        return np.bincount(self.group, values, len(self.row)).astype(float, copy=False)

    def by_cell(self, group_values: FloatArray) -> FloatArray:
        """(J,) sums over the groups of each cell."""
        return np.bincount(self.cell_of, group_values, self.n_cells).astype(float, copy=False)

    def by_visit(self, weights: FloatArray, group_values: FloatArray) -> FloatArray:
        """(v,) weighted means over the groups of each visit."""
        total = np.bincount(self.visit_of, weights)
        return np.bincount(self.visit_of, weights * group_values) / np.maximum(total, ALMOST_NONE)


def grouped(balls: Balls, n_cells: int, options: Options) -> Groups:
    """The measured balls in their groups; groups are in the order of rows, then of occasions."""
    used = np.flatnonzero(balls.measured)
    cell, age_days = balls.cell.take(used), balls.age_days.take(used)
    moved = sorted(place for place in options.moved_age_days if 0 <= place < n_cells)
    before = before_the_move(cell, age_days, options)
    row = np.where(before, n_cells + np.searchsorted(moved, cell), cell) if moved else cell

    n_ways = len(model.WAYS)
    occasions, occasion = _numbered(balls.visit.take(used) * n_ways + balls.judged_by.take(used))
    visits, visit = _numbered(occasions // n_ways)
    newest = np.full(len(visits), np.inf)
    np.minimum.at(newest, visit.take(occasion), age_days)

    n_occasions = len(occasions) or 1
    groups, group = _numbered(row * n_occasions + occasion)
    row_of = groups // n_occasions
    now = row_of < n_cells
    moved_cells = np.array(moved, dtype=np.intp)
    vouched = now & np.isin(row_of, moved_cells)
    return Groups(
        cell=cell,
        group=group,
        contact=balls.contact.take(used),
        y=np.log(balls.carry_m.take(used)),
        row=row_of,
        occasion=groups % n_occasions,
        visit_of=visit.take(groups % n_occasions),
        cell_of=np.where(now, row_of, np.append(moved_cells, 0)[np.where(now, 0, row_of - n_cells)]),
        wrong_chance=np.where(vouched, 0.0, model.WRONG_DAY_CHANCE),
        visit=visit,
        way=occasions % n_ways,
        first_of_visit=np.flatnonzero(np.diff(visit, prepend=-1)),
        age_days=newest.take(visit),
        moved_cells=moved_cells,
        move_days=np.array([options.moved_age_days[place] for place in moved], dtype=float),
        n_cells=n_cells,
    )


def _numbered(keys: NDArray[np.intp]) -> tuple[IntArray, IntArray]:
    """The different keys, rising, and each key's place among them; keys are small integers >= 0."""
    present = np.bincount(keys) > 0
    return np.flatnonzero(present), (np.cumsum(present) - 1).take(keys)
