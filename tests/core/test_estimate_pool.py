"""What the joint estimate promises, above all when the book is strange."""

import math
from dataclasses import replace

import numpy as np
import pytest

from tests.core.estimate_players import LOFTS_DEG, bag, stated, visit
from webapp.estimate.balls import Ball, Balls, EyeCheck
from webapp.estimate.chance import tables
from webapp.estimate.drift import charts
from webapp.estimate.figures import figures
from webapp.estimate.forecast import forecast
from webapp.estimate.gaps import full_gaps, twins
from webapp.estimate.model import CONTACTS, Options
from webapp.estimate.pool import Pooled, pool
from webapp.estimate.prior import Cell, Told, before, believed
from webapp.units import YARD_M

NINE = 9  # the 56 at 9:00 in bag()
GOOD = (47, 46, 49, 47, 45, 48, 47, 50, 46, 48)


def typical_yd(pooled: Pooled, cell: int = NINE) -> float:
    return math.exp(pooled.m[cell]) / YARD_M


def pooled_of(*balls: list[Ball], cells: list[Cell] | None = None) -> Pooled:
    return pool(cells or bag(), [ball for some in balls for ball in some], stated())


def sound(pooled: Pooled) -> bool:
    """Every number is finite, every interval holds its number and every variance is above 0."""
    for cell in figures(pooled):
        numbers = (cell.typical_low_m, cell.typical_high_m, cell.spread_m, cell.next_low_m, cell.nine_in_ten_carry_m)
        if not all(math.isfinite(number) and number > 0 for number in numbers):
            return False
        if not cell.typical_low_m <= cell.typical_carry_m <= cell.typical_high_m:
            return False
    return bool(np.all(np.linalg.eigvalsh(pooled.V) > -1e-12) and np.all(np.diag(pooled.V) > 0))


def test_it_stays_near_the_balls_of_a_well_known_cell():
    balls = [visit(NINE, GOOD, name=name) for name in range(4)]
    assert typical_yd(pooled_of(*balls)) == pytest.approx(np.mean(GOOD), abs=0.5)


def test_a_cell_without_balls_follows_its_neighbours_a_little():
    guess, after = pooled_of(), pooled_of(visit(NINE, [70] * 10))
    shorter, other_club = NINE - 1, 1
    assert typical_yd(after, shorter) > 1.02 * typical_yd(guess, shorter)
    assert 0 < after.m[other_club] - guess.m[other_club] < after.m[shorter] - guess.m[shorter]


def test_the_stated_full_carry_is_heard_but_not_obeyed():
    mean, _ = believed(bag(), stated(), Options())
    silent, _ = before(bag(), Options())
    said = math.log(85 * YARD_M)
    assert abs(mean[11] - said) < 0.05 < abs(silent[11] + 0.5 - said)
    assert believed(bag(), stated((150, 99, 85, 72)), Options())[0][3] < math.log(150 * YARD_M)


def test_a_statement_for_a_cell_not_on_the_card_still_counts():
    cells = bag(swings=(45.0, 90.0))
    assert pool(cells, [], stated((140, 125, 106, 90))).m[0] > pool(cells, [], stated()).m[0] + 0.1


@pytest.mark.parametrize("slip_yd", [7, 470, 74])
def test_it_is_not_moved_by_a_slip_of_the_finger(slip_yd):
    alone = typical_yd(pooled_of(visit(NINE, GOOD)))
    assert typical_yd(pooled_of(visit(NINE, [*GOOD, slip_yd]))) == pytest.approx(alone, abs=0.5)


@pytest.mark.parametrize("slip_yd", [7, 470])
def test_it_is_hardly_moved_when_the_slip_is_the_only_ball(slip_yd):
    guess, pooled = pooled_of(), pooled_of(visit(NINE, [slip_yd]))
    assert pooled.w[0] < 0.02
    assert typical_yd(pooled) == pytest.approx(typical_yd(guess), rel=0.02)
    assert sound(pooled)


def test_a_wrong_club_for_one_visit_hardly_moves_a_known_cell():
    def others(name: int) -> list[Ball]:
        return visit(1, [80, 81, 79], name=name) + visit(13, [51, 52, 53], name=name)

    right = [visit(NINE, GOOD, name=name, age_days=30 - name) + others(name) for name in range(3)]
    wrong = visit(NINE, [yd * 1.16 for yd in GOOD], name=3) + others(3)
    alone, mixed = typical_yd(pooled_of(*right)), typical_yd(pooled_of(*right, wrong))
    assert mixed == pytest.approx(alone, rel=0.015)
    assert sound(pooled_of(*right, wrong))


def test_a_wrong_club_on_a_visit_of_one_cell_is_doubted():
    """Nothing else tells a wrong club from a long day here: without doubt a quarter of the 16% would be believed."""
    right = [visit(NINE, GOOD, name=name, age_days=30 - name) for name in range(3)]
    wrong = visit(NINE, [yd * 1.16 for yd in GOOD], name=3)
    pooled = pooled_of(*right, wrong)
    assert typical_yd(pooled) == pytest.approx(typical_yd(pooled_of(*right)), rel=0.036)
    assert math.sqrt(pooled.omega_a2) < 0.03


def test_shanks_alone_leave_the_guess_and_count_as_mishits():
    guess, pooled = pooled_of(), pooled_of(visit(NINE, [20] * 12, "shank"))
    np.testing.assert_allclose(pooled.m, guess.m)
    assert pooled.mishit_rate == pytest.approx((4 + 12) / (20 + 12))
    assert figures(pooled)[NINE].n == 12
    assert figures(pooled)[NINE].n_clean == 0
    assert sound(pooled)


def test_one_ball_moves_its_cell_part_of_the_way():
    guess, one = pooled_of(), pooled_of(visit(NINE, [55]))
    assert typical_yd(guess) < 62
    assert 55 < typical_yd(one) < typical_yd(guess)
    assert sound(one)


def test_ten_identical_balls_do_not_make_it_certain():
    pooled = pooled_of(visit(NINE, [55] * 10))
    assert pooled.sigma[NINE] > 0.02
    assert math.sqrt(pooled.V[NINE, NINE]) > 0.015
    assert sound(pooled)


def test_a_cell_with_mishits_only_stays_near_its_guess():
    guess, pooled = pooled_of(), pooled_of(visit(NINE, [30, 22, 41, 15, 38, 26], "fat"))
    assert typical_yd(pooled) > 0.9 * typical_yd(guess)
    assert sound(pooled)


def test_it_finds_the_mishits_when_no_contact_is_noted():
    good = [*GOOD, *GOOD]
    bare, with_mishits = pooled_of(visit(NINE, good, "")), pooled_of(visit(NINE, [*good, 30, 26, 33, 21], ""))
    assert typical_yd(with_mishits) == pytest.approx(typical_yd(bare), abs=0.7)
    assert np.all(with_mishits.w[-4:] < 0.1)


def test_one_wedge_is_enough():
    cells = bag(lofts=(56.0,))
    assert sound(pool(cells, visit(1, GOOD), []))
    assert sound(pool(cells[:1], [], []))


def test_an_empty_bag_has_an_empty_card():
    empty = pool([], [])
    assert figures(empty) == []
    assert full_gaps(empty) == []
    assert twins(empty) == []
    assert tables(forecast(empty)) == []
    assert [chart.levels for chart in charts(empty)] == [()]


def test_it_holds_six_wedges_six_swings_and_two_kinds_of_ball():
    cells = bag((44.0, 48.0, 52.0, 56.0, 60.0, 64.0), (30.0, 45.0, 75.0, 90.0, 135.0, 180.0), ("own", "range"))
    balls = [ball for cell in range(0, 72, 5) for ball in visit(cell, [50 + cell / 3] * 4, name=cell % 3)]
    pooled = pool(cells, balls)
    assert len(pooled.cells) == 72
    assert sound(pooled)


def test_each_kind_of_ball_informs_the_other():
    cells = bag(kinds=("own", "range"))
    guess, after = pool(cells, []), pool(cells, visit(NINE, [70] * 12))
    own, ranged = after.m[NINE] - guess.m[NINE], after.m[NINE + 16] - guess.m[NINE + 16]
    assert 0.5 * own < ranged < own


def test_the_order_in_which_clubs_are_entered_changes_nothing():
    there, back = bag(), bag(tuple(reversed(LOFTS_DEG)))
    balls = visit(NINE, GOOD)
    moved = [replace(ball, cell=back.index(there[ball.cell])) for ball in balls]
    straight, turned = pool(there, balls, stated()), pool(back, moved, stated())
    np.testing.assert_allclose(straight.m, turned.m[[back.index(cell) for cell in there]], atol=1e-9)


def test_a_book_of_one_day_is_less_sure_than_three_days():
    one = pooled_of(visit(NINE, GOOD * 3))
    three = pooled_of(*(visit(NINE, GOOD, name=name) for name in range(3)))
    assert one.V[NINE, NINE] > 1.5 * three.V[NINE, NINE]
    assert sound(one)


@pytest.mark.parametrize("age_days", [-4000.0, 0.0, 9000.0])
def test_a_clock_years_wrong_breaks_nothing(age_days):
    pooled = pooled_of(visit(NINE, GOOD, age_days=age_days))
    assert typical_yd(pooled) == pytest.approx(np.mean(GOOD), rel=0.08)
    assert sound(pooled)


def test_unseen_balls_leave_the_numbers_as_they_are():
    without, seen = pooled_of(visit(NINE, GOOD)), visit(NINE, GOOD)
    lost = [Ball(NINE, None, "fat", 0, 1.0, "unseen", 50 + i) for i in range(5)]
    pooled = pooled_of(seen, lost)
    np.testing.assert_allclose(pooled.m, without.m)
    assert pooled.mishit_rate == without.mishit_rate
    assert figures(pooled)[NINE].n == 10


@pytest.mark.parametrize("landed", ["under", "over"])
def test_balls_off_the_patch_count_as_mishits_but_not_in_the_typical_carry(landed):
    without = pooled_of(visit(NINE, GOOD))
    off = [Ball(NINE, 20 * YARD_M, "clean", 0, 1.0, landed, 50 + i) for i in range(5)]
    pooled = pooled_of(visit(NINE, GOOD), off)
    np.testing.assert_allclose(pooled.m, without.m)
    assert pooled.mishit_rate > without.mishit_rate
    assert figures(pooled)[NINE].n == 15


def test_no_ball_at_all_gives_the_guess_with_its_range():
    pooled = pool(bag(), [])
    mean, covariance = before(bag(), Options())
    np.testing.assert_allclose(pooled.m, mean)
    np.testing.assert_allclose(pooled.V, covariance, atol=1e-15)
    assert sound(pooled)


def test_a_player_who_changed_is_followed_and_one_who_stayed_is_remembered():
    old = visit(NINE, [60] * 20, name=0, age_days=200)
    new = [visit(NINE, [55] * 10, name=name, age_days=20 - name) for name in (1, 2, 3)]
    assert typical_yd(pooled_of(old, *new)) == pytest.approx(55, abs=0.6)
    assert typical_yd(pooled_of(old)) == pytest.approx(60, abs=1)


def test_a_change_that_lasts_is_believed_after_three_visits():
    old = [visit(NINE, [58] * 10, name=name, age_days=200 - name) for name in range(3)]
    new = [visit(NINE, [49] * 10, name=9 + name, age_days=20 - name) for name in range(3)]
    assert typical_yd(pooled_of(*old)) > 57
    assert 51 < typical_yd(pooled_of(*old, new[0])) < 56
    assert typical_yd(pooled_of(*old, *new)) < 50


def test_a_steady_gain_is_seen_as_a_trend():
    rising = [visit(NINE, [50 * 1.01**week] * 5, name=week, age_days=7.0 * (20 - week)) for week in range(20)]
    pooled = pooled_of(*rising)
    assert typical_yd(pooled) == pytest.approx(50 * 1.01**19, rel=0.015)
    assert 0.2 < pooled.trend < 0.6


def test_a_pause_widens_the_numbers_and_moves_none():
    def book(days: float) -> Pooled:
        return pooled_of(*(visit(NINE, GOOD, name=name, age_days=days + 7 * name) for name in range(4)))

    fresh, paused = book(30.0), book(395.0)
    np.testing.assert_allclose(fresh.m, paused.m, atol=1e-12)
    np.testing.assert_allclose(fresh.V, paused.V, atol=1e-12)
    np.testing.assert_allclose(paused.level_variance - fresh.level_variance, 0.02**2, atol=1e-12)


def test_a_visit_begun_ends_the_pause():
    book = [ball for name in range(4) for ball in visit(NINE, GOOD, name=name, age_days=300 + 7 * name)]
    begun = pool(bag(), book, stated(), on_a_visit=True)
    assert begun.V[NINE, NINE] > 1.5 * pooled_of(book).V[NINE, NINE]


def test_what_is_judged_by_eye_is_trusted_less_until_it_is_measured():
    by_eye = [visit(NINE, [50] * 10, name=name, judged_by="eye") for name in range(4)]
    measured = [visit(NINE, [50] * 10, name=name) for name in range(4)]
    checks = [EyeCheck(53 * YARD_M, 50 * YARD_M)] * 10
    eye_alone = pooled_of(*by_eye)
    checked = pool(bag(), [ball for some in by_eye for ball in some], stated(), eye_checks=checks)
    assert eye_alone.V[NINE, NINE] > 2 * pooled_of(*measured).V[NINE, NINE]
    assert checked.V[NINE, NINE] < 0.7 * eye_alone.V[NINE, NINE]
    assert typical_yd(checked) < typical_yd(eye_alone) - 1
    assert checked.way_m[checked.ways.index("eye")] == pytest.approx(0.045, abs=0.012)


@pytest.mark.parametrize(
    "check", [EyeCheck(0, 50), EyeCheck(50, -1), EyeCheck(500, 50), EyeCheck(50, 50, "eye"), EyeCheck(math.nan, 50)]
)
def test_a_pair_that_makes_no_sense_tells_nothing(check):
    balls = visit(NINE, GOOD, judged_by="eye")
    told = pool(bag(), balls, stated(), eye_checks=[check])
    np.testing.assert_array_equal(told.m, pool(bag(), balls, stated()).m)


def test_ten_pairs_say_how_long_the_eye_sees():
    exact = [EyeCheck(1.06 * carry_m, carry_m) for carry_m in range(40, 90, 5)]
    found = pool(bag(), [], stated(), eye_checks=exact)
    assert 0.04 < found.way_m[found.ways.index("eye")] < 0.06


def test_a_visit_that_the_player_vouches_for_is_not_doubted():
    balls = [ball for b in range(5) for ball in visit(NINE, [60] * 5, name=b, age_days=60 - b)]
    balls += visit(NINE, [52] * 12, name=9)
    told_so = pool(bag(), balls, stated(), Options(moved_age_days={NINE: 10}))
    assert typical_yd(told_so) < 54 < 57 < typical_yd(pool(bag(), balls, stated()))


def test_a_told_move_parts_the_balls_before_it_from_those_since():
    balls = visit(NINE, [60] * 8, name=0, age_days=20) + visit(NINE, [52] * 4, name=1)
    others = visit(1, [80] * 8, name=0, age_days=20)
    told_so = pool(bag(), balls + others, stated(), Options(moved_age_days={NINE: 10}))
    untold = pool(bag(), balls + others, stated())
    assert typical_yd(told_so) < typical_yd(untold) - 0.5
    assert typical_yd(told_so, 1) == pytest.approx(typical_yd(untold, 1), rel=0.02)


def test_a_move_of_the_whole_bag_is_learned_from_one_cell():
    before = [ball for cell, yd in ((1, 80), (9, 58), (5, 70)) for ball in visit(cell, [yd] * 10, age_days=40)]
    since = visit(NINE, [53] * 10, name=1) + visit(1, [73] * 10, name=1)
    told_so = pool(bag(), before + since, stated(), Options(moved_age_days=dict.fromkeys(range(16), 20.0)))
    assert typical_yd(told_so, 5) < 67 < typical_yd(pooled_of(before), 5)


def test_lists_and_columns_give_the_same_balls():
    balls = visit(NINE, [47, None, 49], ["clean", "fat", ""]) + visit(3, [110], name=1)
    columns = Balls.from_columns(
        [9, 9, 9, 3],
        [ball.carry_m for ball in balls],
        [ball.contact for ball in balls],
        [0, 0, 0, 1],
        [1.0] * 4,
        ["seen"] * 4,
        [ball.order for ball in balls],
        ["monitor"] * 4,
    )
    np.testing.assert_array_equal(pool(bag(), balls).m, pool(bag(), columns).m)


def test_leaving_a_visit_out_is_as_if_it_had_not_been_hit():
    first, second = visit(NINE, GOOD, name=0), visit(NINE, [60] * 5, name=1)
    left = pool(bag(), Balls.from_list(first + second).without({1}, NINE + 1), stated())
    np.testing.assert_array_equal(left.m, pool(bag(), first, stated()).m)


def test_balls_of_later_cells_stay_where_a_visit_is_left_out():
    first, second = visit(NINE, GOOD, name=0), visit(NINE + 1, [60] * 5, name=1)
    left = Balls.from_list(first + second).without({1}, NINE + 1)
    np.testing.assert_array_equal(left.cell, Balls.from_list(first + second).cell)


def test_an_unknown_contact_is_refused():
    with pytest.raises(KeyError):
        Balls.from_list(visit(NINE, [50], "toed"))


@pytest.mark.parametrize("contact", CONTACTS)
def test_weights_are_chances(contact):
    w = pooled_of(visit(NINE, [1, 20, 45, 50, 60, 90, 400], contact)).w
    assert np.all((w >= 0) & (w <= 1))


def test_the_weight_of_a_ball_is_what_leaving_it_out_makes_it():
    """Source: Bayes' rule with the densities of the model, written out here."""
    pooled = pooled_of(visit(NINE, [*GOOD, 40], [*["clean"] * 10, "heavy"]))
    pi, r, S = pooled.clean_chance[CONTACTS.index("heavy")], pooled.apart[10], pooled.apart_sd[10] ** 2

    def normal(x: float, mean: float, variance: float) -> float:
        return math.exp(-((x - mean) ** 2) / (2 * variance)) / math.sqrt(2 * math.pi * variance)

    other = 0.55 * normal(r, -0.11, 0.08**2) + 0.37 * normal(r, -0.33, 0.25**2) + 0.08 * normal(r, 0, 1)
    clean = pi * normal(r, 0, S)
    assert pooled.w[10] == pytest.approx(clean / (clean + (1 - pi) * other), abs=2e-3)


def test_stated_carries_of_the_same_cell_are_heard_once():
    twice = [Told(bag()[11], 70 * YARD_M), *stated()]
    np.testing.assert_allclose(pool(bag(), [], twice).m, pool(bag(), [], stated()).m)


def test_spread_and_shifts_of_a_known_truth_are_found():
    """Two balls of each cell on forty visits: what a pair's own shift takes up must not be missing in the spread."""
    rng, balls = np.random.default_rng(12), []
    for name in range(40):
        day = rng.normal(0, 0.02)
        for cell in range(16):
            logs = day + rng.normal(0, 0.02) + rng.normal(0, 0.06, 2)
            balls += visit(cell, (60 * np.exp(logs)).tolist(), name=name, age_days=40.0 - name)
    found = pool(bag(), balls)
    assert np.mean(found.sigma) == pytest.approx(0.06, rel=0.04)
    assert math.sqrt(found.omega_a2) == pytest.approx(0.02, rel=0.25)
    assert math.sqrt(found.omega_b2) == pytest.approx(0.02, rel=0.1)
