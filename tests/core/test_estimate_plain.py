"""Plain figures and the cost of contact: the worked example F1."""

import pytest

from webapp.estimate.plain import cost_of_contact, plain

CARRIES = [52, 55, 49, 54, 57, 53, 41, 55, 60, 54]
CONTACTS = ["clean"] * 6 + ["fat", "clean", "thin", "clean"]
CLEAN = [carry for carry, contact in zip(CARRIES, CONTACTS, strict=True) if contact == "clean"]


def test_all_balls():
    """F1; the figures do not care for the unit."""
    found = plain(CARRIES)
    assert (found.n, found.mean_m, found.median_m) == (10, 53.0, 54)
    assert found.sd_m == pytest.approx(5.1, abs=0.05)
    assert (found.two_in_three_low_m, found.two_in_three_high_m) == (pytest.approx(50.5), pytest.approx(56.0))
    assert found.nine_in_ten_m == pytest.approx(48.2)


def test_clean_balls():
    found = plain(CLEAN)
    assert (found.n, found.median_m) == (8, 54)
    assert found.mean_m == pytest.approx(53.6, abs=0.05)
    assert found.sd_m == pytest.approx(2.4, abs=0.05)


def test_one_ball_has_no_spread_and_no_balls_have_no_figures():
    assert plain([50]).sd_m is None
    assert plain([50]).nine_in_ten_m == 50
    assert plain([]) is None


def test_the_cost_of_contact_per_ball():
    cost = cost_of_contact(CARRIES, CONTACTS)
    assert set(cost) == {"fat", "thin"}
    assert cost["fat"] == pytest.approx(-1.3, abs=0.05)
    assert cost["thin"] == pytest.approx(0.6, abs=0.05)
    assert sum(cost.values()) == pytest.approx(sum(CARRIES) / 10 - sum(CLEAN) / 8)


def test_without_a_clean_ball_there_is_nothing_to_compare_with():
    assert cost_of_contact([30, 25], ["fat", "heavy"]) == {}
    assert cost_of_contact([], []) == {}


def test_balls_without_a_noted_contact_cost_nothing():
    assert cost_of_contact([50, 30, 48], ["clean", "", "thin"]) == {"thin": -1.0}
