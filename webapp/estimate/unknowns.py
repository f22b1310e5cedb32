"""What the estimate solves for at once, and what is believed of it beforehand.

The unknowns z are, in this order: the cells' levels theta; for each move that the player tells of one jump of all its
cells and one of each of them; the walk at its knots; the trend beta; the ways of judging. Knows nothing of carries.
"""

from dataclasses import dataclass

import numpy as np

from webapp.estimate import model
from webapp.estimate.change import Clock, knots, walk_covariance, walk_weights
from webapp.estimate.groups import Groups
from webapp.estimate.model import FloatArray, IntArray


@dataclass(frozen=True)
class Unknowns:
    """p unknowns, of which `n_cells` levels come first.

    Attributes
    ----------
    K : (p, p) array
        Prior covariance; the prior mean is 0 but for the cells, whose mean is taken off the balls.
    of_row : (R, c) array
        The part of x that a group's row fixes: its cell and the jumps.
    of_occasion : (O, p - c) array
        The part that its occasion fixes: the walk, -A/365 for the trend, and the way.
    years : (O,) array
        A/365 of each occasion.
    trend : int
        Place of beta.
    ways : (W,) int array
        The ways of judging in use, as places in model.WAYS; they are the last unknowns, in this order.
    """

    n_cells: int
    K: FloatArray
    of_row: FloatArray
    of_occasion: FloatArray
    years: FloatArray
    trend: int
    ways: IntArray

    def with_trend(self, variance: float) -> FloatArray:
        """K with another variance of beta."""
        K = self.K.copy()
        K[self.trend, self.trend] = variance
        return K

    def place_of_way(self, way: str) -> int:
        """Place of a way of judging in z; ValueError where it is not in use."""
        return len(self.K) - len(self.ways) + list(self.ways).index(model.WAYS.index(way))


def unknowns(groups: Groups, covariance: FloatArray, clock: Clock, checked_by: tuple[str, ...] = ()) -> Unknowns:
    """The unknowns of some groups; `covariance` (J, J) is the cells' prior, `checked_by` the ways of the eye checks."""
    years = clock.years(groups.age_days)
    at_years = knots(float(years.max(initial=0.0)))
    used = {model.WAYS.index(way) for way in checked_by} | set(groups.way.tolist())
    ways = np.array(sorted(used), dtype=np.intp)
    jumps, jump_variances = _jumps(groups)
    blocks = (
        covariance,
        np.diag(jump_variances),
        walk_covariance(at_years),
        np.array([[model.TREND_SD**2]]),
        np.diag(np.array(list(model.WAY_SDS.values()))[ways] ** 2),
    )
    return Unknowns(
        n_cells=groups.n_cells,
        K=_along_the_diagonal(blocks),
        of_row=np.hstack([np.vstack([np.eye(groups.n_cells), np.eye(groups.n_cells)[groups.moved_cells]]), jumps]),
        of_occasion=np.hstack([walk_weights(years, at_years), -years[:, None], np.equal.outer(groups.way, ways) * 1.0]),
        years=years,
        trend=groups.n_cells + len(jump_variances) + len(at_years),
        ways=ways,
    )


def _jumps(groups: Groups) -> tuple[FloatArray, FloatArray]:
    """Which jumps each row holds, (R, Q), and their prior variances, (Q,); the rows of today hold none."""
    moves, move = np.unique(groups.move_days, return_inverse=True)
    before = np.hstack([np.eye(len(moves))[move], np.eye(len(move))])
    variances = np.repeat([model.MOVE_SHARED_SD**2, model.MOVE_CELL_SD**2], [len(moves), len(move)])
    return np.vstack([np.zeros((groups.n_cells, len(variances))), before]), variances


def _along_the_diagonal(blocks: tuple[FloatArray, ...]) -> FloatArray:
    """The blocks as one matrix, 0 elsewhere."""
    ends = np.cumsum([len(block) for block in blocks])
    whole = np.zeros((ends[-1], ends[-1]))
    for end, block in zip(ends, blocks, strict=True):
        whole[end - len(block) : end, end - len(block) : end] = block
    return whole
