"""What is shown of a cell, and how far it may be trusted."""

import math
from dataclasses import replace

import numpy as np
import pytest

from tests.core.estimate_players import FULL_YD, bag, stated, visit
from webapp.estimate.figures import balls_by_visit, counts, figures
from webapp.estimate.forecast import forecast, mishit_parts
from webapp.estimate.gaps import full_gaps
from webapp.estimate.model import SHARES_OF_FULL, Options, shortening
from webapp.estimate.pool import pool
from webapp.estimate.prior import Cell, Told
from webapp.estimate.trust import trust
from webapp.units import YARD_M

NINE = 9


def shown(balls=(), told=(), cells=None, options=None):
    return figures(pool(cells or bag(), list(balls), told, options))


def test_a_stated_carry_is_shown_as_typed():
    full = shown(told=stated())[11]
    assert full.typical_carry_m == pytest.approx(85 * YARD_M)
    assert full.trust == "told"


@pytest.mark.parametrize("stated_yd", [(150, 60, 94, 30), (60, 99, 85, 110)])
def test_a_stated_carry_that_nobody_would_guess_lies_in_its_own_range(stated_yd):
    for cell in shown(told=stated(stated_yd)):
        assert cell.typical_low_m <= cell.typical_carry_m <= cell.typical_high_m


def test_a_cell_with_neither_is_a_guess_with_its_range():
    guess = shown(told=stated())[NINE]
    assert guess.trust == "guess"
    assert guess.n == 0
    assert guess.last_age_days is None
    assert guess.typical_high_m - guess.typical_low_m > 10 * YARD_M


def test_one_ball_makes_a_told_cell_early_and_shows_the_estimate():
    full = shown(visit(11, [80]), stated())[11]
    assert full.trust == "early"
    assert 80 * YARD_M < full.typical_carry_m < 85 * YARD_M


@pytest.mark.parametrize(
    ("n", "visits", "n_recent", "told", "word"),
    [
        (0, 0, 0, False, "guess"),
        (0, 0, 0, True, "told"),
        (1, 1, 1, True, "early"),
        (30, 1, 30, False, "early"),  # F10
        (30, 2, 30, False, "early"),
        (9, 3, 9, False, "early"),
        (30, 3, 30, False, "settled"),  # F10
        (10, 3, 5, False, "settled"),
        (30, 3, 0, False, "old"),  # F10
        (31, 4, 1, False, "old"),  # F10: one new ball does not change that
        (31, 4, 4, False, "old"),
        (9, 3, 0, False, "early"),
    ],
)
def test_trust_takes_the_first_word_that_holds(n, visits, n_recent, told, word):
    assert trust(n, visits, n_recent, told, 2 * YARD_M) == word


def test_a_wide_number_is_early_whatever_it_rests_on_and_an_old_one_is_old_whatever_its_width():
    assert trust(30, 3, 30, False, 2.5 * YARD_M) == "settled"
    assert trust(30, 3, 30, False, 2.51 * YARD_M) == "early"
    assert trust(30, 3, 0, False, 9 * YARD_M) == "old"


def test_the_half_width_is_that_of_the_range_shown():
    for cell in shown(visit(NINE, [48, 50, 46, 49, 47] * 6)):
        assert cell.half_width_m == pytest.approx((cell.typical_high_m - cell.typical_low_m) / 2)


def test_a_number_is_by_eye_only_while_no_ball_was_measured():
    by_eye = visit(NINE, [48] * 9, judged_by="eye")
    assert shown(by_eye)[NINE].by_eye
    assert not shown(by_eye)[NINE - 1].by_eye
    assert not shown(by_eye + visit(NINE, [48], name=1))[NINE].by_eye


def test_the_last_ball_decides_with_its_age_whether_a_cell_is_old():
    visits = [ball for name in range(3) for ball in visit(NINE, [48] * 10, name=name, age_days=81 - 10 * name)]
    assert shown(visits)[NINE].trust == "old"
    assert shown(visits)[NINE].last_age_days == 61
    assert shown([*visits, *visit(NINE, [48], name=9)])[NINE].trust == "old"
    recent = [ball for name in range(3) for ball in visit(NINE, [48] * 10, name=name, age_days=50)]
    assert shown(recent)[NINE].trust == "settled"
    assert shown(recent, options=Options(old_after_days=45))[NINE].trust == "old"


def test_a_cell_that_moved_earns_its_trust_anew():
    balls = [ball for name in range(4) for ball in visit(NINE, [48] * 10, name=name, age_days=40 - 10 * name)]
    assert (shown(balls)[NINE].trust, shown(balls)[NINE].n) == ("settled", 40)
    told_so = shown(balls, options=Options(moved_age_days={NINE: 10}))[NINE]
    assert (told_so.trust, told_so.n, told_so.n_clean, told_so.visits) == ("early", 10, 10, 1)


def test_a_told_number_that_moved_is_the_stated_one_until_it_is_struck_again():
    hit = visit(3, [120] * 20, age_days=40)
    moved = pool(bag(), hit, stated(), Options(moved_age_days={3: 10}))
    cell = figures(moved)[3]
    assert (cell.trust, cell.n, round(cell.typical_carry_m / YARD_M, 6)) == ("told", 0, 112)
    assert full_gaps(moved)[0].gap_m == pytest.approx(13 * YARD_M)


@pytest.mark.parametrize(("chance", "n_clean"), [(0.49, 0), (0.5, 3), (0.6, 3)])
def test_a_ball_counts_as_clean_where_that_is_as_likely_as_a_mishit(chance, n_clean):
    pooled = pool(bag(), visit(NINE, [52, 54, 55]))
    assert counts(replace(pooled, w=np.full(3, chance))).n_clean[NINE] == n_clean


def test_n_and_visits_count_balls_of_any_contact_and_n_clean_the_likely_clean():
    balls = visit(NINE, [48, 47, 30, 20], ["clean", "clean", "fat", "shank"]) + visit(NINE, [49], name=1)
    cell = shown(balls)[NINE]
    assert (cell.n, cell.n_clean, cell.visits, cell.rough) == (5, 3, 2, True)


def test_balls_that_are_read_and_do_not_count_keep_their_place_in_their_visit():
    lost, moved = visit(NINE, [48, None, 47], name=1, age_days=3), visit(3, [110] * 2, age_days=9)
    balls = [*moved, *lost, *visit(3, [120], name=1, age_days=3), *visit(NINE, [None], name=2)]
    pooled = pool(bag(), balls, options=Options(moved_age_days={3: 5}))
    read = balls_by_visit(pooled, NINE + 1)
    assert (read[NINE], read[3], read[0]) == (("101", "0"), ("00", "1"), ())


def test_a_cell_is_rough_below_twenty_balls():
    assert shown(visit(NINE, [48] * 19))[NINE].rough
    assert not shown(visit(NINE, [48] * 20))[NINE].rough


def test_swings_that_carry_the_wrong_way_round_are_both_marked():
    """F8: 51, 9:00 71 and 10:30 69."""
    balls = [ball for cell, yd in ((5, 71), (6, 69)) for b in range(4) for ball in visit(cell, [yd] * 10, name=b)]
    marked = [i for i, cell in enumerate(shown(balls, stated())) if cell.out_of_order]
    assert marked == [5, 6]


def test_a_visit_whose_medians_lie_the_wrong_way_round_marks_both():
    """F8 on one visit: the estimate alone puts 71 and 69 in order, since its curve rises with the swing."""
    balls = [ball for cell, yd in ((5, 71), (6, 69)) for ball in visit(cell, [yd - 1, yd, yd, yd, yd + 1])]
    pooled = pool(bag(), balls, stated())
    assert pooled.m[6] > pooled.m[5]
    assert [i for i, cell in enumerate(figures(pooled)) if cell.out_of_order] == [5, 6]


def test_four_balls_are_too_few_to_mark_a_cell_by_their_median():
    balls = [ball for cell, yd in ((5, 71), (6, 69)) for ball in visit(cell, [yd] * 4)]
    assert not any(cell.out_of_order for cell in shown(balls, stated()))


def test_nothing_is_marked_where_longer_swings_carry_farther():
    assert not any(cell.out_of_order for cell in shown(told=stated()))


def test_the_next_clean_ball_is_less_sure_than_the_typical_carry():
    for cell in shown(visit(NINE, [48, 50, 46, 49, 47] * 6)):
        assert cell.next_low_m < cell.typical_low_m < cell.typical_high_m < cell.next_high_m


def test_the_nine_in_ten_carry_is_reached_nine_times_in_ten():
    pooled = pool(bag(), visit(NINE, [48, 50, 30, 49, 47] * 6), stated())
    ahead = forecast(pooled)
    np.testing.assert_allclose(ahead.below(ahead.point_m(0.1)), 0.1, atol=1e-9)
    assert np.all(ahead.point_m(0.1) < np.exp(pooled.m))


def test_more_mishits_lower_the_nine_in_ten_carry_and_not_the_typical_one():
    clean = visit(NINE, [48, 50, 46, 49, 47] * 4)
    fat = visit(NINE, [20, 25, 22, 18, 24] * 4, "fat", name=1)
    with_fat, without = shown(clean + fat)[NINE], shown(clean)[NINE]
    assert with_fat.nine_in_ten_carry_m < 0.8 * without.nine_in_ten_carry_m
    assert with_fat.typical_carry_m == pytest.approx(without.typical_carry_m, rel=0.02)


def test_mishits_of_full_swings_are_expected_of_full_swings():
    balls = [
        ball
        for club, yd in enumerate(FULL_YD)
        for ball in visit(club * 4 + 3, [yd] * 4 + [yd / 2] * 4, ["clean"] * 4 + ["fat"] * 4)
        + visit(club * 4, [yd / 2] * 8, name=1)
    ]
    full = np.array([ball.cell % 4 == 3 for ball in balls])
    pooled = pool(bag(), balls, stated())
    q = pooled.swing_mishit_rate.reshape(4, 4)
    assert np.all(q == q[0])
    assert q[0, 0] < q[0, 1] == q[0, 2] == pooled.mishit_rate < q[0, 3]
    assert q[0, 3] == pytest.approx((20 * pooled.mishit_rate + np.sum(1 - pooled.w[full])) / 52)


def test_mishits_teach_how_they_fly():
    clean = visit(NINE, [50] * 20)
    bladed = visit(NINE, [75, 80, 72, 78, 81, 70] * 4, "bladed", name=1)
    before, after = mishit_parts(pool(bag(), clean)), mishit_parts(pool(bag(), clean + bladed))
    assert after.mean[3] > before.mean[3] + 0.1
    assert after.share[3] > 2 * before.share[3]
    assert after.share.sum() == pytest.approx(1)


def test_unseen_balls_teach_which_mishits_come():
    lost = list(visit(NINE, [None] * 10, "thin"))
    assert mishit_parts(pool(bag(), lost)).share[2] == pytest.approx((0.3 * 20 + 10) / 30)


def test_the_shares_of_the_full_carry_are_those_of_common_practice():
    """Common practice, no source: 7:30 40-55%, 9:00 65-78%, 10:30 80-92% of the full carry."""
    share = np.exp(-shortening(np.array([45.0, 90.0, 135.0, 180.0]), Options()))
    assert 0.40 <= share[0] <= 0.55
    assert 0.65 <= share[1] <= 0.78
    assert 0.80 <= share[2] <= 0.92
    assert share[3] == 1
    rising = [value for _, value in SHARES_OF_FULL]
    assert rising == sorted(rising)


def test_a_guess_holds_the_spread_of_common_practice():
    """Common practice, no source: clean balls scatter by 4 to 6% of the carry for good players."""
    guess = shown()[NINE]
    assert 0.04 <= guess.spread_m / guess.typical_carry_m <= 0.06 + 1e-12


def test_a_told_cell_of_another_kind_of_ball_is_no_statement_for_this_one():
    cells = bag(kinds=("own", "range"))
    told = [Told(Cell("56", 56.0, 180.0, "own"), 85 * YARD_M)]
    full = figures(pool(cells, [], told))
    assert (full[11].trust, full[27].trust) == ("told", "guess")
    assert math.isclose(full[11].typical_carry_m, 85 * YARD_M)
