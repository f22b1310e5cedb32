"""What lasted: late balls of a run against first and cold ones, counted by hand."""

from typing import Any

from tests.core.test_period import CELL, a_shot
from webapp.trends.lasted import cold_nines, cold_of, lasted, late_of
from webapp.units import YARD_M


def a_run(day: int, first: float, rest: float, n: int = 6) -> list[dict[str, Any]]:
    """A run of clean balls: the first carries `first`, the others `rest`."""
    return [
        {**a_shot(f"2025-05-{day:02d}", first if at == 1 else rest), "run_index": at, "id": f"{day} {at}"}
        for at in range(1, n + 1)
    ]


def a_nine(day: int, carry: float) -> list[dict[str, Any]]:
    more = {"mode": "distance", "counted": False, "meant_carry_m": 60 * YARD_M, "nine": True, "bucket_id": str(day)}
    return [{**a_shot(f"2025-05-{day:02d}", carry, **more), "id": f"nine {day} {at}"} for at in range(9)]


def test_a_number_that_holds_at_practice_and_not_cold_is_said_with_n_on_both_sides() -> None:
    balls = [ball for day in range(1, 9) for ball in a_run(day, 48, 60)]
    [found] = lasted(balls, [CELL])
    # the mean of all is 58: late balls lie 2 yd off it, first ones 10
    assert (found.late, found.n_late, found.cold, found.n_cold) == (32, 32, 0, 8)
    assert found.words == "holds at practice, not cold yet"


def test_the_opposite_is_said_too() -> None:
    balls = [ball for day in range(1, 9) for ball in a_run(day, 60, 60)]
    for at, ball in enumerate(ball for ball in balls if ball["run_index"] > 1):
        ball["carry_m"] = (60 + (9 if at % 2 else -9)) * YARD_M
    [found] = lasted(balls, [CELL])
    assert (found.late, found.cold, found.n_cold) == (0, 8, 8)
    assert found.words == "holds cold, less so at practice"


def test_no_difference_and_too_few_are_told_apart() -> None:
    same = [ball for day in range(1, 9) for ball in a_run(day, 60, 60)]
    assert lasted(same, [CELL])[0].words == "as good cold as late"
    assert lasted(a_run(1, 60, 60), [CELL])[0].words == "too few: 5 of each tell something"
    assert lasted(same, [("46", 90.0)]) == []


def test_balls_of_a_cold_nine_are_cold_and_held_against_their_number() -> None:
    balls = [*(ball for day in range(1, 9) for ball in a_run(day, 60, 60)), *a_nine(9, 52), *a_nine(12, 62)]
    [found] = lasted(balls, [CELL])
    assert (found.cold, found.n_cold) == (8 + 9, 8 + 18)
    assert [(nine.local_at[:10], nine.within, nine.n) for nine in cold_nines(balls)] == [
        ("2025-05-09", 0, 9), ("2025-05-12", 9, 9),
    ]  # fmt: skip


def test_off_the_scale_is_a_miss_and_lost_from_sight_says_nothing() -> None:
    balls = a_run(1, 60, 60)
    balls[0] |= {"landed": "under", "carry_m": None}
    balls[3] |= {"landed": "unseen", "carry_m": None}
    assert (len(cold_of(balls)), len(late_of(balls))) == (1, 3)
    assert lasted(balls, [CELL])[0].cold == 0
