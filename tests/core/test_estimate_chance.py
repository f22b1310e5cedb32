"""What fits: chances of a window, and the tables the phone reads them from."""

import numpy as np
import pytest

from tests.core.estimate_players import bag, stated, visit
from webapp.estimate.chance import Chances, Table, chances, percents, rank, tables
from webapp.estimate.forecast import forecast
from webapp.estimate.pool import pool
from webapp.estimate.student import normal_below
from webapp.units import YARD_M


def normal_table(mean_yd: float, sd_yd: float) -> Table:
    """Carries that scatter plainly about a mean."""
    return Table(20, YARD_M, tuple(normal_below((np.arange(20, 121) - mean_yd) / sd_yd).tolist()))


F4 = [normal_table(63, 4), normal_table(60, 5), normal_table(66, 6), normal_table(67, 5)]
F4_NINE_M = [57.9 * YARD_M, 53.6 * YARD_M, 58.3 * YARD_M, 60.6 * YARD_M]
F4_WHOLE = list(zip(F4, [(11, 85, 4), (35, 63, 2), (9, 66, 25), (4, 69, 27)], strict=True))
WINDOW_M = (58 * YARD_M, 70 * YARD_M)


@pytest.mark.parametrize(("table", "whole"), F4_WHOLE)
def test_it_gives_the_worked_example(table, whole):
    """F4: flag 66, window 58 to 70 yd, plain normal spread. Source: tables of the normal distribution."""
    assert percents(chances(table, *WINDOW_M)) == whole


def test_the_best_in_the_window_comes_first():
    assert [fit.cell for fit in rank(F4, F4_NINE_M, *WINDOW_M)] == [0, 3, 2, 1]


def test_a_carry_that_must_be_reached_puts_those_that_reach_it_first():
    """F4: (63, 4) fails by a hair, (67, 5) is safest."""
    ranked = rank(F4, F4_NINE_M, *WINDOW_M, must_carry_m=58 * YARD_M)
    assert [fit.cell for fit in ranked] == [3, 2, 0, 1]
    assert [fit.clears for fit in ranked] == [True, True, False, False]


def test_equal_chances_are_ranked_by_the_worse_side():
    # Halves and eighths are exact in floating point, so that both numbers land inside equally often.
    lopsided = Table(50, 1.0, (0.125, 0.625))
    even = Table(50, 1.0, (0.25, 0.75))
    assert chances(lopsided, 50.0, 51.0).inside == chances(even, 50.0, 51.0).inside == 0.5
    for among, order in (([lopsided, even], [1, 0]), ([even, lopsided], [0, 1])):
        assert [fit.cell for fit in rank(among, [40.0, 40.0], 50.0, 51.0)] == order
    long_side = Table(50, 1.0, (0.375, 0.875))
    assert [fit.cell for fit in rank([long_side, even], [40.0, 40.0], 50.0, 51.0)] == [1, 0]


def test_whole_percents_add_to_a_hundred():
    assert percents(Chances(1 / 3, 1 / 3, 1 / 3)) == (34, 33, 33)
    assert percents(Chances(0.006, 0.988, 0.006)) == (1, 99, 0)
    assert percents(Chances(0.0, 1.0, 0.0)) == (0, 100, 0)


def test_a_table_says_what_the_forecast_says():
    ahead = forecast(pool(bag(), visit(9, [48, 50, 30, 49, 47] * 3), stated()))
    for cell, table in enumerate(tables(ahead)):
        steps = np.arange(table.first, table.first + len(table.below)) * YARD_M
        full = ahead.below(np.broadcast_to(steps, (len(ahead.m), len(steps))))[cell]
        np.testing.assert_allclose(table.below, full, atol=5.1e-6)
        assert table.below[0] < 0.001
        assert table.below[-1] > 0.999


def test_every_cell_is_offered_and_nothing_between_them():
    ahead = forecast(pool(bag(), [], stated()))
    found = rank(tables(ahead), ahead.point_m(0.1).tolist(), *WINDOW_M)
    assert sorted(fit.cell for fit in found) == list(range(16))
    assert all(fit.clears for fit in found)
    inside = [fit.chances.inside for fit in found]
    assert inside == sorted(inside, reverse=True)


def test_a_wider_window_never_lowers_the_chance():
    table = tables(forecast(pool(bag(), [], stated())))[9]
    inside = [chances(table, 50 - half, 50 + half).inside for half in np.linspace(0, 40, 60)]
    assert np.all(np.diff(inside) >= 0)
