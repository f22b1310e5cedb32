"""How balls are remembered."""

import numpy as np
import pytest

from webapp.estimate.balls import memory
from webapp.estimate.model import Options


def remembered(ages, cell=None, options=None):
    n = len(ages)
    return memory(np.array(cell or [0] * n), np.arange(n), np.array(ages, dtype=float), options or Options())


def test_a_ball_that_nothing_replaced_is_remembered_whole_however_old():
    assert remembered([4000.0]).tolist() == [1.0]


def test_a_young_ball_is_remembered_whole_however_many_followed():
    assert remembered([0.0] * 50).tolist() == [1.0] * 50


def test_it_counts_half_after_sixty_days_and_ten_later_balls():
    assert remembered([60.0] + [0.0] * 10)[0] == 0.5


def test_a_juniors_balls_count_half_after_forty_five_days():
    assert remembered([45.0] + [0.0] * 10, options=Options(fresh_days=45))[0] == 0.5


def test_balls_of_other_cells_replace_nothing():
    assert remembered([600.0, 0.0, 0.0], cell=[0, 1, 1])[0] == 1.0


def test_the_order_of_the_list_does_not_matter():
    cell, order, ages = np.array([0, 0, 0]), np.array([2, 0, 1]), np.array([1.0, 300.0, 150.0])
    turned = memory(cell[::-1], order[::-1], ages[::-1], Options())[::-1]
    np.testing.assert_array_equal(memory(cell, order, ages, Options()), turned)
    assert memory(cell, order, ages, Options())[1] == pytest.approx(2**-0.2)


def test_balls_from_before_a_marked_change_weigh_less():
    told = Options(moved_age_days={0: 10, 7: 1})
    assert remembered([20.0, 5.0], options=told).tolist() == [pytest.approx(0.15 * 2**-0.1), 1.0]
    assert remembered([20.0, 20.0], cell=[0, 1], options=told).tolist() == [0.15, 1.0]


def test_no_balls_are_no_trouble():
    assert remembered([]).shape == (0,)
