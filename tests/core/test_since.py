"""What a period says first: which lines, in which order, and that their numbers are their balls'."""

import math
from typing import Any

import pytest

from tests.core.test_period import CELL, a_shot
from webapp.trends.compare import compare
from webapp.trends.period import Pair, Period
from webapp.trends.since import Line, certainty, lines
from webapp.trends.verdicts import by_visits
from webapp.units import YARD_M

BEGINS = "2025-05-05"
PAIR = Pair("since the lesson", Period("", BEGINS), Period(BEGINS, ""))


def the_lines(shots: list[dict[str, Any]]) -> list[Line]:
    return lines(
        compare(shots, PAIR, {CELL: 0.05}), PAIR, shots[::-1], lambda cell: f"{cell[0]} 9:00", lambda at: at[:10], "yd"
    )


def said(line: Line) -> str:
    return "".join(part if isinstance(part, str) else f"{part.length_m / YARD_M:.0f}" for part in line.words)


def visits(days: list[int], mean: float, fat: int = 0, n: int = 10) -> list[dict[str, Any]]:
    """Visits of n balls: the fat ones 20 yd short, the clean ones a yard either side of the mean."""
    balls = [(mean - 20, "fat") if at < fat else (mean + (1 if at % 2 else -1), "clean") for at in range(n)]
    return [a_shot(f"2025-05-{day:02d}", *ball) for day in days for ball in balls]


def test_nothing_happened_is_said_in_one_line() -> None:
    assert [said(line) for line in the_lines(visits([1], 60))] == ["Last visit 2025-05-01. No ball since the lesson."]


def test_a_visit_past_midnight_is_of_the_day_it_began_on() -> None:
    late = [{**shot, "visit_id": "late"} for shot in visits([1, 2], 60)]
    assert said(the_lines(late)[0]).startswith("Last visit 2025-05-01. ")


def test_a_number_that_moved_and_fat_balls_come_with_their_figures() -> None:
    found = the_lines([*visits([1, 2, 3], 61, fat=1), *visits([6, 7, 8], 66, fat=3)])
    last = "Last visit 2025-05-08. "
    assert said(found[0]) == last + "Since the lesson (2025-05-05): 3 visits, 30 balls, 30 for the card."
    by_part = {line.part: said(line) for line in found}
    # fat balls lie 20 yd under the clean ones: one in ten costs 2 yd a ball, three in ten 6
    assert by_part["fat"] == "Strike: fat 10% to 30%; costs 6.0 yd a ball, was 2.0 (9 of 30 balls)."
    # three days on both sides, shifts of 2.8%, balls of 5%: 63.5 sqrt(2/3 (.0008 + .0025/8)) = 1.7 of doubt
    assert by_part["number"] == "Moved: 56 9:00, 61 to 66: 5 longer, give or take 2 (21 clean balls; 27 before)."


def one_long_day() -> list[dict[str, Any]]:
    """A day of forty balls at 60 and three of two at 52; later two days of three at 58 and one of thirty at 54."""
    days = ((1, 60, 40), (2, 52, 2), (3, 52, 2), (4, 52, 2), (6, 58, 3), (7, 58, 3), (8, 54, 30))
    return [a_shot(f"2025-05-{day:02d}", mean) for day, mean, n in days for _ in range(n)]


def test_what_moved_is_told_with_the_numbers_of_its_verdict() -> None:
    """By balls 58.9 to 54.7 and shorter; by visits, on which the verdict is, the number grew."""
    (change,) = compare(one_long_day(), PAIR, {CELL: 0.03}).told
    levels = []
    for days in ((60, 40), (52, 2), (52, 2), (52, 2)), ((58, 3), (58, 3), (54, 30)):
        weights = [1 / (2 * 0.02**2 + 0.03**2 / n) for _, n in days]  # estimates: two shifts of 2% and balls of 3%
        logs = [weight * math.log(mean) for weight, (mean, _) in zip(weights, days, strict=True)]
        levels.append(math.exp(sum(logs) / sum(weights)))
    assert change.verdict
    assert [change.verdict.before_m / YARD_M, change.verdict.after_m / YARD_M] == pytest.approx(levels)
    found = lines(
        compare(one_long_day(), PAIR, {CELL: 0.03}), PAIR, one_long_day(), lambda cell: "56 9:00", lambda at: at, "yd"
    )
    moved = next(said(line) for line in found if line.part == "number")
    assert moved.startswith(f"Perhaps moved: 56 9:00, {levels[0]:.0f} to {levels[1]:.0f}: ")
    assert "longer, give or take" in moved
    assert by_visits(change.verdict, "yd")[:2] == (f"{levels[0]:.1f}", f"{levels[1]:.1f}")


def test_a_change_of_less_than_a_yard_is_told_in_tenths() -> None:
    slow = [a_shot(f"2025-05-{day:02d}", 20 if day < 5 else 20.4) for day in range(1, 29) for _ in range(20)]
    moved = next(said(line) for line in the_lines(slow) if line.part == "number")
    assert moved.startswith("Perhaps moved: 56 9:00, 20.0 to 20.4: +0.4 ± 0.")


def test_the_heavier_line_comes_first() -> None:
    small = the_lines([*visits([1, 2, 3], 61), *visits([6, 7, 8], 66)])
    aimed = [a_shot("2025-05-06", 43 + at % 3, mode="distance", counted=False) for at in range(9)]
    found = the_lines([*visits([1, 2, 3], 61), *visits([6, 7, 8], 66), *aimed])
    assert [line.part for line in small] == ["all", "number"]
    assert [line.part for line in found] == ["all", "middle", "number"]  # ten yards short outweighs five of change
    assert said(found[1]) == "Aim: short by 10 from 40 to 70 (9 balls to a number)."


def test_two_balls_prove_nothing() -> None:
    assert [line.part for line in the_lines([*visits([1], 61, n=2), *visits([6], 62, fat=1, n=2)])] == ["all"]


def test_certainty_is_that_of_the_normal_curve() -> None:
    assert certainty(0) == 0
    assert round(certainty(1.96), 3) == 0.95
    assert certainty(-1.96) == certainty(1.96)
