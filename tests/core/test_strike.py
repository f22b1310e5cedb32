"""Cost of contact, shares by surface and bias, against the worked example F1 and counts made by hand."""

from typing import Any

import pytest

from tests.factories import F1
from webapp.card.shots_behind import behind, why_not
from webapp.card.strike import Shares, bias_of, strikes
from webapp.units import YARD_M


def a_row(carry_yd: float | None, contact: str = "clean", **more: Any) -> dict[str, Any]:
    return {
        "club_id": "56",
        "swing_deg": 90.0,
        "mode": "swing",
        "counted": True,
        "meant_carry_m": 54 * YARD_M,
        "carry_m": None if carry_yd is None else carry_yd * YARD_M,
        "landed": "unseen" if carry_yd is None else "seen",
        "contact": contact,
        "surface": "mat",
        "judged_by": "monitor",
        "ball": "range",
        "lie": "level",
        "flight": "",
        "aside": False,
        "bucket_aside": 0,
        "course": False,
        "bucket_id": "today",
        "visit_id": "today",
        "struck_at": "2025-05-01T09:30:00.000Z",
        "local_at": "2025-05-01T09:30:00.000",
        "monitor_note": "",
        "indoor_counts": False,
        "strong_wind": False,
        "place": "Pellow Fen",
        "nine": False,
        "direction": "",
        "swing_check": "",
        "roll_m": None,
        **more,
    }


def aimed(carry_yd: float, meant_yd: float = 60, contact: str = "clean", **more: Any) -> dict[str, Any]:
    return a_row(carry_yd, contact, mode="distance", counted=False, meant_carry_m=meant_yd * YARD_M, **more)


F1_ROWS = [a_row(carry_yd, contact) for carry_yd, contact in F1]


def in_yards(metres: float | None) -> float:
    assert metres is not None
    return round(metres / YARD_M, 1)


def test_it_reckons_the_ten_balls_of_the_worked_example() -> None:
    found = behind(F1_ROWS, "range")
    assert found.all is not None
    assert found.clean is not None
    everything, clean = found.all.plain, found.clean.plain
    assert (everything.n, in_yards(everything.mean_m), in_yards(everything.median_m)) == (10, 53.0, 54.0)
    assert in_yards(everything.sd_m) == 5.1
    assert (in_yards(everything.two_in_three_low_m), in_yards(everything.two_in_three_high_m)) == (50.5, 56.0)
    assert in_yards(everything.nine_in_ten_m) == 48.2
    assert in_yards(found.all.against_meant_m) == -1.0
    assert (clean.n, in_yards(clean.mean_m), in_yards(clean.median_m), in_yards(clean.sd_m)) == (8, 53.6, 54.0, 2.4)
    assert in_yards(found.clean.against_meant_m) == -0.4


def test_it_shows_both_sides_of_the_cost_of_contact() -> None:
    cost = strikes(F1_ROWS).cost
    assert cost is not None
    assert {contact: in_yards(metres) for contact, metres in cost.by_contact.items()} == {"fat": -1.3, "thin": 0.6}
    assert (in_yards(cost.lost_m), in_yards(cost.won_m), in_yards(cost.total_m)) == (-1.3, 0.6, -0.6)
    assert (cost.n, cost.n_clean) == (10, 8)


def test_one_chunk_lowers_the_nine_in_ten_carry_and_not_the_clean_median() -> None:
    found = behind([*F1_ROWS, a_row(8, "fat")], "range")
    assert found.all is not None
    assert found.clean is not None
    assert in_yards(found.clean.plain.median_m) == 54.0
    assert in_yards(found.all.plain.nine_in_ten_m) == 41.0


def test_each_ball_is_compared_with_the_clean_balls_of_its_own_cell() -> None:
    long_cell = [a_row(100, swing_deg=180.0), a_row(100, swing_deg=180.0), a_row(90, "fat", swing_deg=180.0)]
    short_cell = [a_row(50), a_row(50), a_row(40, "fat")]
    both = strikes([*long_cell, *short_cell]).cost
    assert both is not None
    assert in_yards(both.total_m) == -3.3


def test_no_cost_is_claimed_where_no_ball_was_clean() -> None:
    assert strikes([a_row(40, "fat"), a_row(44, "heavy")]).cost is None


def test_grass_and_mat_keep_their_own_shares() -> None:
    rows = [a_row(54), a_row(54), a_row(40, "fat"), a_row(54, surface="grass"), a_row(30, "fat", surface="grass")]
    by_surface = strikes(rows).by_surface
    assert by_surface is not None
    assert by_surface["mat"].share("fat") == pytest.approx(1 / 3)
    assert by_surface["grass"].share("fat") == pytest.approx(1 / 2)


def test_a_ball_lost_from_sight_counts_its_contact() -> None:
    by_surface = strikes([a_row(54), a_row(None, "thin")]).by_surface
    assert by_surface is not None
    assert by_surface["mat"].counts == {"clean": 1, "thin": 1}


def test_bias_comes_from_distance_called_balls_alone() -> None:
    found = strikes([*F1_ROWS, *(aimed(57) for _ in range(5)), aimed(50, contact="fat")])
    assert found.overall is not None
    assert found.overall.n == 6
    assert in_yards(found.overall.all_m) == -4.2
    assert in_yards(found.overall.clean_m) == -3.0
    assert strikes(F1_ROWS).bias == ()


def test_bias_is_told_by_band_of_the_meant_carry() -> None:
    found = strikes([aimed(30, 32), aimed(40, 40), aimed(69, 70), aimed(95, 100)])
    assert [band.n for band in found.bias] == [1, 1, 2]
    assert [in_yards(band.all_m) for band in found.bias] == [-2.0, 0.0, -3.0]


def test_six_short_three_in_one_long_is_told_as_such() -> None:
    # 8% of 60 yd is 4.8 yd.
    carries_yd = [55, 55, 54, 53, 52, 50, 56, 60, 64, 65]
    found = bias_of([aimed(carry_yd) for carry_yd in carries_yd], None, None, None)
    assert found is not None
    assert (found.short, found.within, found.long) == (6, 3, 1)


def test_the_margin_is_never_under_the_step_of_judging() -> None:
    by_eye = bias_of([aimed(35, 40, judged_by="eye")], None, None, None)
    by_monitor = bias_of([aimed(35, 40)], None, None, None)
    assert by_eye is not None
    assert by_monitor is not None
    assert (by_eye.within, by_monitor.short) == (1, 1)


@pytest.mark.parametrize(
    ("change", "reason"),
    [
        ({"aside": True, "counted": False}, "set aside"),
        ({"mode": "distance", "counted": False}, "hit to a number"),
        ({"lie": "wet", "counted": False}, "wet lie"),
        ({"flight": "grip-down", "counted": False}, "gripped down"),
        ({"ball": "own"}, "own ball"),
        ({"bucket_aside": 1, "counted": False}, "bucket set aside"),
        ({"strong_wind": True, "counted": False}, "strong wind"),
        ({"ball": "", "counted": False}, "bucket taken back"),
        ({}, ""),
    ],
)
def test_a_shot_that_does_not_count_says_why(change: dict[str, Any], reason: str) -> None:
    assert why_not(a_row(54, **change), "range") == reason


@pytest.mark.parametrize("counts", [(3, 2, 2), (4, 1, 1), (33, 1, 5, 7, 9), (1, 1, 1, 1, 1, 1, 1), (5,)])
def test_shares_in_whole_per_cent_add_to_a_hundred(counts: tuple[int, ...]) -> None:
    """Each by itself 3, 2 and 2 of 7 make 43, 29 and 29: a hundred and one; none is off by one or more."""
    shares = Shares(sum(counts), {f"{at}": n for at, n in enumerate(counts)})
    whole = [int(shares.said(contact).rstrip("%")) for contact in shares.counts]
    assert sum(whole) == 100
    assert all(abs(one - 100 * n / shares.n) < 1 for one, n in zip(whole, counts, strict=True))
    assert shares.said("fat") == Shares(0, {}).said("fat") == "0%"


def test_a_number_without_shots_has_no_figures() -> None:
    found = behind([], "range")
    assert (found.all, found.clean, found.cost, found.visits) == (None, None, None, ())


def test_of_two_remainders_alike_the_first_contact_is_rounded_up() -> None:
    """23 and 17 of 40 are 57.5% and 42.5%; in floats the second's remainder is the larger."""
    shares = Shares(40, {"clean": 23, "thin": 17})
    assert (shares.said("clean"), shares.said("thin")) == ("58%", "42%")
