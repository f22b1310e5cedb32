"""Groups and unknowns made by hand, for the tests that hold the estimate's algebra against other programs."""

from collections.abc import Sequence

import numpy as np

from webapp.estimate.groups import Groups
from webapp.estimate.joint import Solved, solve
from webapp.estimate.unknowns import Unknowns


def groups_of(row: Sequence[int], visit: Sequence[int], n_cells: int) -> Groups:
    """Groups without balls, by row and visit; every visit is one occasion."""
    nothing, whole = np.zeros(0), np.zeros(0, dtype=np.intp)
    rows, n_visits = np.array(row, dtype=np.intp), max(visit) + 1
    return Groups(
        cell=whole, group=whole, contact=whole, y=nothing, row=rows, occasion=np.array(visit, dtype=np.intp),
        visit_of=np.array(visit, dtype=np.intp), first_of_visit=np.arange(n_visits),
        cell_of=rows, wrong_chance=np.zeros(len(rows)), visit=np.arange(n_visits),
        way=np.zeros(n_visits, dtype=np.intp), age_days=np.zeros(n_visits), moved_cells=whole,
        move_days=nothing, n_cells=n_cells,
    )  # fmt: skip


def unknowns_of(K: np.ndarray, of_row: np.ndarray, of_occasion: np.ndarray) -> Unknowns:
    """Unknowns that have no trend, walk or ways."""
    return Unknowns(len(of_row), K, of_row, of_occasion, np.zeros(len(of_occasion)), 0, np.zeros(0, dtype=np.intp))


def heard(K: np.ndarray, row: Sequence[int], value: np.ndarray, variance: np.ndarray) -> Solved:
    """Values of some rows of identity, each with a variance of its own and nothing shared."""
    omega_a2 = 0.5 * float(np.min(variance))
    groups = groups_of(row, range(len(row)), len(K))
    unknown = unknowns_of(K, np.eye(len(K)), np.zeros((len(row), 0)))
    nothing = np.zeros_like(K), np.zeros(len(K))
    return solve(groups, unknown, K, 1 / (variance - omega_a2), value, omega_a2, nothing)
