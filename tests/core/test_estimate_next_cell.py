"""Which cell to practise next."""

import numpy as np
import pytest

from tests.core.estimate_players import bag, stated, visit
from webapp.estimate.next_cell import next_cells
from webapp.estimate.pool import pool


def test_a_cell_known_well_is_left_alone():
    balls = [ball for name in range(5) for ball in visit(9, [48] * 10, name=name)]
    assert 9 not in next_cells(pool(bag(), balls, stated()), [1.0] * 16, 10, 4)


def test_it_does_not_choose_cells_far_from_what_the_player_uses():
    use = [0.0] * 16
    use[9] = 1.0
    assert next_cells(pool(bag(), [], stated()), use, 10, 1) == [9]


def test_its_first_choice_is_the_best_of_all():
    """Source: the variance left after each choice, by the dense inverse."""
    pooled = pool(bag(), visit(3, [110] * 8), stated())
    noise = pooled.shift_variance + pooled.sigma**2 / (10 * (1 - pooled.mishit_rate))
    use = np.exp(pooled.m)

    def left(cell):
        heard = np.zeros((16, 16))
        heard[cell, cell] = 1 / noise[cell]
        return use**2 @ np.diag(np.linalg.inv(np.linalg.inv(pooled.V) + heard))

    (chosen,) = next_cells(pooled, use.tolist(), 10, 1)
    assert left(chosen) == pytest.approx(min(left(cell) for cell in range(16)))


def test_no_blocks_choose_nothing():
    assert next_cells(pool(bag(), []), [1.0] * 16, 10, 0) == []
