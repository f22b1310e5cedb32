"""Twenty balls for a forecast: counts by largest remainder, places at its quantiles, and the same on both sides.

Sources: a normal forecast whose quantiles scipy gives; the window of the worked example F4 (invented data).
"""

import re
from itertools import pairwise

import numpy as np
import pytest
from scipy import stats

from webapp.draw.ground import axis, ground, twenty_balls
from webapp.estimate.chance import Chances, Table, shares, twenty
from webapp.units import YARD_M

STEPS = np.arange(1, 130)
TABLE = Table(1, YARD_M, tuple(stats.norm.cdf(STEPS, 63, 4)))


def test_they_lie_at_the_middles_of_twenty_equal_shares() -> None:
    _, carries_m = twenty(TABLE, 1 * YARD_M, 120 * YARD_M)
    expected = stats.norm.ppf((np.arange(20) + 0.5) / 20, 63, 4)
    # The table is read by straight lines between whole yards, which at the tails costs up to a tenth of a yard.
    assert np.array(carries_m) / YARD_M == pytest.approx(expected, abs=0.1)


@pytest.mark.parametrize(("front", "back"), [(58, 70), (63, 64), (70, 80), (20, 30)])
def test_counts_and_places_never_disagree(front: float, back: float) -> None:
    (short, inside, long), carries_m = twenty(TABLE, front * YARD_M, back * YARD_M)
    assert short + inside + long == 20
    assert all(carry <= front * YARD_M for carry in carries_m[:short])
    assert all(front * YARD_M <= carry <= back * YARD_M for carry in carries_m[short : short + inside])
    assert all(carry >= back * YARD_M for carry in carries_m[short + inside :])
    exact = 20 * (stats.norm.cdf(back, 63, 4) - stats.norm.cdf(front, 63, 4))
    assert abs(inside - exact) < 1


def test_largest_remainders_add_to_twenty() -> None:
    assert shares(Chances(1 / 3, 1 / 3, 1 / 3), 20) == (7, 7, 6)


def test_the_ground_hatches_only_trouble_that_was_named() -> None:
    along = axis(66 * YARD_M, 58 * YARD_M, 70 * YARD_M)
    drawn = ground(along, 66 * YARD_M, 58 * YARD_M, None, "yd")
    assert drawn.count('class="trouble"') == 1
    assert "to 58" in drawn
    assert "past" not in drawn
    assert ">60</text>" in drawn


@pytest.mark.parametrize(
    ("flag", "unit", "step"), [(66, "yd", 10), (112, "yd", 10), (200, "yd", 20), (340, "yd", 20), (400, "yd", 50)]
)
def test_figures_of_far_ground_stand_as_far_apart_as_they_are_wide(flag: float, unit: str, step: int) -> None:
    drawn = ground(axis(flag * YARD_M, flag * 0.92 * YARD_M, flag * 1.08 * YARD_M), flag * YARD_M, None, None, unit)
    places = [(float(x), int(at)) for x, at in re.findall(r'<text x="([\d.]+)"[^>]*>(\d+)<', drawn)]
    assert {other - one for (_, one), (_, other) in pairwise(places)} == {step}
    assert all(at % step == 0 for _, at in places)
    assert min(other - one for (one, _), (other, _) in pairwise(places)) >= 30  # three figures are 24 wide


def test_a_window_narrower_than_a_ball_still_tells_in_from_out() -> None:
    window_m = 63 * YARD_M, 63.2 * YARD_M
    counts, carries_m = twenty(TABLE, *window_m)
    drawn = twenty_balls(axis(63 * YARD_M, *window_m), carries_m, counts, window_m)
    assert (drawn.count('class="in"'), drawn.count('class="out"')) == (counts[1], 20 - counts[1])
