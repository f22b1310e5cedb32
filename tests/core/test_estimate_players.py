"""The bands of tests/bench/players.py in a short form, with fixed seeds; the bench prints the full table."""

import pytest

from tests.bench import players


@pytest.mark.parametrize(("n", "visits"), [(0, 1), (1, 1), (3, 1), (8, 4)])
def test_it_is_closer_than_the_median_of_clean_balls(n, visits):
    found = players.accuracy(60, 11, n, visits)
    assert found["ratio"] <= players.ACCEPT[n, visits]
    assert 0.80 <= found["typical covers"] <= 0.97


@pytest.mark.parametrize(("n", "visits"), [(3, 1), (12, 3)])
def test_it_knows_how_far_it_may_be_out_when_days_differ(n, visits):
    found = players.accuracy(60, 12, n, visits, players.DAY_SD)
    assert found["ratio"] <= players.ACCEPT_DAYS[n, visits]
    assert 0.72 <= found["typical covers"] <= 0.93
    assert 0.77 <= found["next covers"] <= 0.88


def test_many_balls_are_used_as_well_as_by_one_who_knows_the_clean_ones():
    found = players.accuracy(60, 13, 15, 5)
    assert found["ours %"] <= 1.12 * found["known clean %"]


def test_it_does_without_noted_contacts():
    assert players.accuracy(60, 14, 5, labelled=False)["ratio"] <= 0.76


def test_it_fills_a_hole_in_a_ragged_book():
    assert players.ragged(120, 15)["ratio"] <= 0.7


def test_gaps_it_calls_are_mostly_there():
    assert players.gap_calls(100, 16)["false share"] <= 0.25


def test_chances_come_true():
    assert players.calibration(40, 17)["calibration error"] <= 0.03


def test_the_chosen_cells_teach_more_than_going_round():
    assert players.which_next(60, 18)["greedy / in turn"] <= 0.92


@pytest.mark.parametrize("cells", [3, 10, 15])
def test_it_rings_for_a_step_and_seldom_without_however_many_cells_a_visit_mixes(cells):
    found = players.moving(40, 22, cells=cells)
    assert found["false alarms per 480 balls"] <= 0.10
    assert found["5% steps found"] >= 0.88


def test_the_phone_stays_close_to_the_server():
    found = players.phone(150, 20)
    assert found["p90 yd"] <= 1.0
    assert found["p99 yd"] <= 3.0
