"""Gaps between full swings, twins and uncovered distances."""

import math
from statistics import NormalDist

import numpy as np
import pytest

from tests.core.estimate_players import bag, stated, visit
from webapp.estimate.gaps import JUNIOR_GAP_LIMIT_M, chance_farther, full_gaps, twins, uncovered
from webapp.estimate.pool import pool
from webapp.units import YARD_M


def gaps_yd(found):
    return [round(gap.gap_m / YARD_M, 6) for gap in found]


def test_it_shows_the_gaps_of_the_stated_carries_until_a_full_ball_exists():
    """F2."""
    assert gaps_yd(full_gaps(pool(bag(), [], stated()))) == [13, 14, 13]
    assert not any(gap.warn for gap in full_gaps(pool(bag(), [], stated())))
    hit = pool(bag(), visit(3, [120] * 5), stated())
    assert full_gaps(hit)[0].gap_m == pytest.approx(math.exp(hit.m[3]) - 99 * YARD_M)


def test_it_warns_of_a_gap_over_the_limit_and_not_of_one_near_it():
    """F2: 56 stated at 80 instead of 85."""
    found = full_gaps(pool(bag(), [], stated((112, 99, 80, 72))))
    assert gaps_yd(found) == [13, 19, 8]
    assert [gap.warn for gap in found] == [False, True, False]
    assert not any(gap.certain for gap in found)
    assert not any(gap.overlap for gap in found)


def test_a_gap_that_is_as_likely_as_not_over_the_limit_is_not_called():
    """Stated 18.5 yd apart: what is stated leans on the usual gaps, and the chance is just over a half."""
    (gap, *_) = full_gaps(pool(bag(), [], stated((112, 93.5, 85, 72))))
    assert 0.5 < gap.chance_over < 0.55
    assert not gap.warn


def test_a_junior_is_allowed_a_wider_gap():
    found = full_gaps(pool(bag(), [], stated((112, 99, 80, 72))), JUNIOR_GAP_LIMIT_M)
    assert not any(gap.warn for gap in found)


@pytest.mark.parametrize("limit_m", [15 * YARD_M, JUNIOR_GAP_LIMIT_M])
def test_full_swings_of_95_and_65_are_too_far_apart_for_anybody(limit_m):
    """Common practice, no source."""
    cells = bag(lofts=(50.0, 58.0), swings=(180.0,))
    balls = [ball for cell, yd in ((0, 95), (1, 65)) for b in range(3) for ball in visit(cell, [yd] * 10, name=b)]
    (gap,) = full_gaps(pool(cells, balls), limit_m)
    assert gap.warn
    assert gap.certain


def test_full_swings_that_carry_the_same_overlap():
    assert [gap.overlap for gap in full_gaps(pool(bag(), [], stated((112, 99, 94, 72))))] == [False, True, False]


@pytest.mark.parametrize(
    ("shorter_yd", "spread_yd", "overlap"),
    [(80, 5, True), (70, 5, False), (77, 3, False), (77, 12, True), (70, 12, False), (45, 25, False)],
)
def test_full_swings_whose_balls_land_in_one_another_overlap(shorter_yd, spread_yd, overlap):
    """85 and 80 with a spread of 5, and 85 and 70, by common practice (no source); the others follow from the rule."""
    cells = bag(lofts=(50.0, 54.0), swings=(180.0,))
    spread = [NormalDist(0, spread_yd).inv_cdf((place + 0.5) / 10) for place in range(10)]
    balls = [
        ball
        for cell, yd in enumerate((85, shorter_yd))
        for b in range(3)
        for ball in visit(cell, [yd + off for off in spread], name=b)
    ]
    (gap,) = full_gaps(pool(cells, balls))
    assert gap.overlap is overlap


@pytest.mark.parametrize(
    ("longer_yd", "shorter_yd", "overlap"), [(85, 78.6, True), (85, 77.5, False), (62, 56.4, False)]
)
def test_full_swings_of_narrow_spread_overlap_under_seven_yards_and_under_a_twelfth(longer_yd, shorter_yd, overlap):
    """Common practice, no source: 6.4 is under 8% of 85, 5.6 is 9% of 62."""
    carries = ((0, longer_yd), (1, shorter_yd))
    balls = [ball for cell, yd in carries for b in range(3) for ball in visit(cell, [yd - 0.2, yd + 0.2] * 10, name=b)]
    (gap,) = full_gaps(pool(bag(lofts=(50.0, 54.0), swings=(180.0,)), balls))
    assert gap.overlap is overlap


def test_guesses_do_not_look_alike_because_little_is_known():
    assert not any(gap.overlap for gap in full_gaps(pool(bag(), [])))


def test_one_club_has_no_gap_and_a_bag_without_full_swings_none():
    assert full_gaps(pool(bag(lofts=(56.0,)), [])) == []
    assert full_gaps(pool(bag(swings=(45.0, 90.0)), [])) == []


def test_gaps_go_by_loft_however_the_clubs_were_entered():
    turned = pool(bag(lofts=(60.0, 46.0, 56.0, 51.0)), [], stated())
    assert gaps_yd(full_gaps(turned)) == [13, 14, 13]


def test_each_kind_of_ball_has_its_own_gaps():
    found = full_gaps(pool(bag(lofts=(46.0, 56.0), kinds=("own", "range")), []))
    assert [(gap.from_cell, gap.to_cell) for gap in found] == [(3, 7), (11, 15)]


def test_the_chance_of_a_gap_is_that_of_drawing_it():
    """Source: 400,000 draws from the joint normal distribution."""
    pooled = pool(bag(), visit(3, [110] * 6) + visit(7, [97] * 4), stated())
    draws = np.exp(np.random.default_rng(8).multivariate_normal(pooled.m, pooled.V, 400_000))
    for by_m in (-5.0, 0.0, 8.0, 13.0, 20.0):
        drawn = np.mean(draws[:, 3] - draws[:, 7] > by_m)
        found = chance_farther(pooled, np.array([3]), np.array([7]), by_m)[0]
        assert found == pytest.approx(drawn, abs=4 * math.sqrt(0.25 / 400_000))


def test_twins_are_two_cells_for_one_distance():
    balls = [ball for cell, yd in ((2, 96), (7, 97)) for b in range(3) for ball in visit(cell, [yd] * 10, name=b)]
    pairs = {pair.cells: pair.chance for pair in twins(pool(bag(), balls, stated()))}
    assert pairs[(2, 7)] > 0.9
    assert (0, 3) not in pairs


def test_two_kinds_of_ball_are_no_twins():
    cells = bag(lofts=(56.0,), swings=(180.0,), kinds=("own", "range"))
    assert twins(pool(cells, visit(0, [80] * 30) + visit(1, [80] * 30, name=1))) == []


def test_it_names_the_distances_no_shot_carries():
    assert uncovered([95.0, 65.0, 60.0], 5.0) == [(70.0, 90.0)]


def test_one_number_or_none_leaves_nothing_uncovered():
    assert uncovered([60.0]) == uncovered([]) == []
