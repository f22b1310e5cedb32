"""The year: its months, the start of each number and now, and what the strike cost month by month.

Sources: the verdict is the drift rule's (tests/core/test_verdicts.py), the cost is mean of all less mean of the clean
ones (tests/core/test_strike.py); the balls here are invented and their figures worked out by hand.
"""

from typing import Any

import pytest

from webapp.trends.year import year_of
from webapp.views.year_view import number_words, said

CELL = ("56", 90.0)
CLOCK = "2026-03-15T18:00:00.000"


def ball(day: str, carry_m: float, **more: Any) -> dict[str, Any]:
    return {
        "id": f"{day} {carry_m}", "visit_id": day, "local_at": f"{day}T10:00:00.000", "club_id": "56",
        "swing_deg": 90.0, "ball": "range", "mode": "swing", "counted": 1, "landed": "seen", "contact": "clean",
        "carry_m": carry_m, "meant_carry_m": None, "surface": "mat", "judged_by": "laser", "run_index": 1, **more,
    }  # fmt: skip


def of(*balls: dict[str, Any]) -> Any:
    return year_of(balls, CLOCK, "range", {CELL: 0.05})


def test_the_year_is_the_twelve_months_up_to_this_one() -> None:
    year = of(ball("2025-03-31", 50.0), ball("2025-04-01", 50.0), ball("2026-03-15", 50.0), ball("2026-03-15", 52.0))
    assert [f"{one.first:%Y-%m}" for one in year.months][::11] == ["2025-04", "2026-03"]
    assert [one.balls for one in year.months] == [1, *[0] * 10, 2]
    assert (year.visits, year.balls, year.counted) == (2, 3, 3)
    assert said(year, "range") == "2 visits, 3 balls; 3 range balls count for the card."


@pytest.mark.parametrize(("days", "start", "now"), [(1, 0, 1), (2, 1, 1), (5, 2, 2), (8, 3, 3)])
def test_a_number_starts_with_three_visits_or_half_of_them(days: int, start: int, now: int) -> None:
    change = of(*(ball(f"2025-05-{day + 1:02}", 50.0 + day) for day in range(days))).changes[0]
    assert (change.before.visits if change.before else 0) == start
    assert change.after is not None
    assert change.after.visits == now
    assert bool(change.verdict) == bool(start)
    assert change.after.mean_m == pytest.approx(50.0 + days - 1 - (now - 1) / 2)


def test_a_number_that_moved_is_said_to_have() -> None:
    earlier = [ball(f"2025-05-{day:02}", 50.0 + at) for day in (1, 2, 3) for at in (-1, 0, 1)]
    later = [ball(f"2026-02-{day:02}", 60.0 + at) for day in (1, 2, 3) for at in (-1, 0, 1)]
    start, now, verdict, apart = number_words(of(*earlier, *later).changes[0], "m")
    assert (start, now, verdict) == (("50.0", "(9)"), ("60.0", "(9)"), "moved")
    assert apart.startswith("+10.0 ± ")
    assert number_words(of(*earlier).changes[0], "m")[2] == "no sign"


def test_a_number_starts_and_ends_with_visits_that_have_a_clean_ball() -> None:
    """Who strikes each number once a visit mishits some first and last ball of the year."""
    days = [f"2025-05-{day:02}" for day in range(1, 13)]
    contacts = ["fat", "thin", "clean", "fat", *["clean"] * 5, "fat", "heavy", "fat"]
    balls = [
        ball(day, 50.0 + at, contact=contact) for at, (day, contact) in enumerate(zip(days, contacts, strict=True))
    ]
    start, now, verdict, _ = number_words(of(*balls).changes[0], "m")
    # 52, 54 and 55 against 56, 57 and 58; a mean of logarithms lies a little lower.
    assert (start, now) == (("53.7", "(3)"), ("57.0", "(3)"))
    assert verdict


def test_one_ball_moves_no_number() -> None:
    one = number_words(of(ball("2025-05-01", 97.0), ball("2025-06-01", 60.0)).changes[0], "m")
    assert one[:3] == (("97.0", "(1)"), ("60.0", "(1)"), "perhaps")
    on_one_side = [ball("2025-05-01", 97.0), *(ball("2025-06-01", 60.0 + at) for at in range(4))]
    assert number_words(of(*on_one_side).changes[0], "m")[2] == "perhaps"
    two = [ball(day, carry_m + at) for day, carry_m in (("2025-05-01", 97.0), ("2025-06-01", 60.0)) for at in (0, 1)]
    assert number_words(of(*two).changes[0], "m")[2] == "moved"


def test_a_number_holds_no_ball_that_only_passed_for_a_clean_one() -> None:
    balls = [ball(f"2025-05-{day:02}", 50.0) for day in (2, 3)]
    fat = [ball(day, 30.0) for day in ("2025-05-01", "2025-05-03", "2025-05-04")]
    year = year_of([*balls, *fat], CLOCK, "range", {CELL: 0.05}, {one["id"] for one in fat})
    assert number_words(year.changes[0], "m") == (("50.0", "(1)"), ("50.0", "(1)"), "no sign", "0.0 ± 4.1")


def test_a_number_that_was_never_struck_clean_says_so() -> None:
    balls = [ball(f"2025-05-{day:02}", 40.0, contact="fat") for day in (1, 2)]
    assert number_words(of(*balls).changes[0], "m") == (("none clean", ""), ("none clean", ""), "", "")


def test_a_number_without_a_ball_has_a_dash_on_both_sides() -> None:
    assert number_words(of().changes[0], "m") == (("–", ""), ("–", ""), "", "")


def test_the_strike_costs_what_its_own_months_balls_say() -> None:
    # 40 against the clean 50 in one of two balls: 5 a ball in May; nothing in June; none to tell by in July.
    year = of(
        ball("2025-05-01", 50.0), ball("2025-05-01", 40.0, contact="fat"),
        ball("2025-06-01", 50.0), ball("2025-07-01", 40.0, contact="fat"),
    )  # fmt: skip
    costs = [one.cost and one.cost.lost_m for one in year.months][1:4]
    assert costs == [pytest.approx(-5.0), pytest.approx(0.0), None]


def test_balls_of_another_kind_are_struck_but_move_no_number() -> None:
    year = of(ball("2025-05-01", 50.0), ball("2025-05-02", 80.0, ball="own"), ball("2025-05-02", 9.0, counted=0))
    assert (year.visits, year.balls, year.counted) == (2, 3, 1)
    assert year.changes[0].after is not None
    assert year.changes[0].after.mean_m == pytest.approx(50.0)
