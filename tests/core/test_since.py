"""What a period says first: which lines, in which order, and that their numbers are their balls'."""

import math
import random
from typing import Any

import pytest

from tests.core.test_period import CELL, a_shot
from webapp.trends.compare import compare
from webapp.trends.day_luck import day_variance
from webapp.trends.period import Pair, Period
from webapp.trends.since import Line, lines
from webapp.trends.verdicts import by_visits, certainty
from webapp.units import YARD_M

BEGINS = "2025-05-05"
PAIR = Pair("since the lesson", Period("", BEGINS), Period(BEGINS, ""), begins_on=BEGINS)


def the_lines(shots: list[dict[str, Any]]) -> list[Line]:
    sigma = {(shot["club_id"], 90.0): 0.05 for shot in shots}
    return lines(
        compare(shots, PAIR, sigma), PAIR, shots[::-1], lambda cell: f"{cell[0]} 9:00", lambda at: at[:10], "yd"
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
    assert by_part["fat"] == "Fat: from 10% to 30% of balls; fat costs 6.0 yd a ball, was 2.0 (9 of 30 balls)."
    # three days on both sides, all alike: shifts of 2% (half of .0008), balls of 5%:
    # 63.5 sqrt(2/3 (.0004 + .0025/8)) = 1.4 of doubt
    assert by_part["number"] == "Moved: 56 9:00, 61 to 66: 5 longer, give or take 1 (21 clean balls; 27 before)."


def one_long_day() -> list[dict[str, Any]]:
    """A day of forty balls at 60 and three of two at 52; later two days of three at 58 and one of thirty at 54."""
    days = ((1, 60, 40), (2, 52, 2), (3, 52, 2), (4, 52, 2), (6, 58, 3), (7, 58, 3), (8, 54, 30))
    return [a_shot(f"2025-05-{day:02d}", mean) for day, mean, n in days for _ in range(n)]


def test_what_moved_is_told_with_the_numbers_of_its_verdict() -> None:
    """By balls 58.9 to 54.7 and shorter; by visits, on which the verdict is, the number grew."""
    (change,) = compare(one_long_day(), PAIR, {CELL: 0.03}).told
    of_a_day = day_variance([one_long_day()[:46], one_long_day()[46:]], {CELL: 0.03})
    levels = []
    for days in ((60, 40), (52, 2), (52, 2), (52, 2)), ((58, 3), (58, 3), (54, 30)):
        weights = [1 / (of_a_day + 0.03**2 / n) for _, n in days]  # estimates: the luck of days and balls of 3%
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


LENGTHS = {f"{club}": 0.9 - at / 10 for at, club in enumerate((46, 50, 54, 60))}
SWINGS = {45.0: 50.0, 90.0: 72.0, 135.0: 86.0, 180.0: 100.0}


def a_player(seed: int, moved_by: float = 1.0, balls: int = 40) -> list[dict[str, Any]]:
    """Six visits with balls of sixteen numbers, of which 54 9:00 alone is another one in the later three.

    A day is out by 2%, a ball by 5%; carries are noted to 5 yd. Clubs and swings come by chance.
    """
    chance, shots = random.Random(seed), []
    for day in range(2, 8):
        out = chance.gauss(0, 0.02)
        for _ in range(balls):
            club, swing_deg = chance.choice(list(LENGTHS)), chance.choice(list(SWINGS))
            grown = moved_by if (club, swing_deg) == ("54", 90.0) and day > 4 else 1.0
            carry = SWINGS[swing_deg] * LENGTHS[club] * grown * math.exp(chance.gauss(out, 0.05))
            more = {"club_id": club, "swing_deg": swing_deg}
            shots.append(a_shot(f"2025-05-{day:02d}", 5 * round(carry / 5), **more))
    return shots


def the_moved(shots: list[dict[str, Any]]) -> str:
    sigma = {(club, swing_deg): 0.055 for club in LENGTHS for swing_deg in SWINGS}
    told = compare(shots, PAIR, sigma)
    found = lines(told, PAIR, shots[::-1], lambda cell: f"{cell[0]} {cell[1]:g}", lambda at: at[:10], "yd")
    return next((said(line) for line in found if line.part == "number"), "")


def test_of_sixteen_numbers_that_stayed_hardly_one_is_named() -> None:
    """By the limits of one number by itself 24 of these players read that one moved, 74 that one perhaps did."""
    named = [the_moved(a_player(seed)) for seed in range(100)]
    assert sum(words.startswith("Moved") for words in named) <= 5
    assert sum(bool(words) for words in named) <= 32


def test_one_number_of_sixteen_that_did_move_is_named() -> None:
    """A tenth longer, with some forty balls a side."""
    named = [the_moved(a_player(seed, moved_by=1.1, balls=200)) for seed in range(20)]
    assert sum(words.startswith("Moved: 54 90, ") for words in named) >= 13
    assert sum("oved: 54 90, " in words for words in named) >= 18


def test_a_single_ball_has_not_moved_a_number() -> None:
    before = visits([1, 2, 3], 60)
    for n, word in ((1, "Perhaps moved"), (2, "Moved")):
        found = the_lines([*before, *visits([6], 80, n=n)])
        assert [said(line).partition(":")[0] for line in found if line.part == "number"] == [word]


@pytest.mark.parametrize(
    ("others", "said_too"),
    [
        ([], ""),
        (["51"], " So did 51 9:00."),
        (["51", "46"], " So did 51 9:00 and 46 9:00."),
        (["51", "46", "60", "58"], " So did 51 9:00, 46 9:00 and 2 more."),
    ],
)
def test_other_numbers_that_moved_are_named_too(others: list[str], said_too: str) -> None:
    balls = [*visits([1, 2, 3], 60), *visits([6, 7, 8], 70)]
    for club in others:
        balls += [{**ball, "club_id": club, "id": f"{club} {ball['id']}"} for ball in visits([1, 2, 3], 60)]
        balls += [{**ball, "club_id": club, "id": f"{club} {ball['id']}"} for ball in visits([6, 7, 8], 69)]
    still = [{**ball, "club_id": "48", "id": f"48 {ball['id']}"} for ball in visits([1, 2, 3, 6, 7, 8], 60)]
    moved = next(said(line) for line in the_lines([*balls, *still]) if line.part == "number")
    assert moved.startswith("Moved: 56 9:00, 60 to 70: ")
    assert moved.partition(" before).")[2] == said_too


def test_a_change_of_less_than_a_yard_is_told_in_tenths() -> None:
    slow = [a_shot(f"2025-05-{day:02d}", 20 if day < 5 else 20.4) for day in range(1, 29) for _ in range(20)]
    moved = next(said(line) for line in the_lines(slow) if line.part == "number")
    assert moved.startswith("Moved: 56 9:00, 20.0 to 20.4: +0.4 ± 0.")


def test_a_doubt_under_half_a_yard_is_not_said_to_be_none() -> None:
    sure = [a_shot(f"2025-05-{day:02d}", 20 if day < 5 else 21) for day in range(1, 29) for _ in range(20)]
    moved = next(said(line) for line in the_lines(sure) if line.part == "number")
    assert moved.startswith("Moved: 56 9:00, 20 to 21: 1 longer, give or take 1 (")


def test_the_heavier_line_comes_first() -> None:
    small = the_lines([*visits([1, 2, 3], 61), *visits([6, 7, 8], 66)])
    aimed = [a_shot("2025-05-06", 43 + at % 3, mode="distance", counted=False) for at in range(9)]
    found = the_lines([*visits([1, 2, 3], 61), *visits([6, 7, 8], 66), *aimed])
    assert [line.part for line in small] == ["all", "number"]
    assert [line.part for line in found] == ["all", "middle", "number"]  # ten yards short outweighs five of change
    assert said(found[1]) == "Aim: short by 10 from 40 to 70 (9 balls to a number)."


def test_a_strike_that_comes_as_often_as_before_is_not_told() -> None:
    """Two periods say "no sign" of fat balls, 8% and 11%, though each cost more: nothing heads the card with them."""
    before = [a_shot("2025-05-01", *ball) for ball in [(57, "fat")] * 4 + [(60, "clean")] * 46]
    after = [a_shot("2025-05-06", *ball) for ball in [(43, "fat")] * 4 + [(60, "clean")] * 33]
    assert compare([*before, *after], PAIR, {CELL: 0.05}).verdicts["fat"].word == "no sign"
    assert [line.part for line in the_lines([*before, *after])] == ["all"]


@pytest.mark.parametrize(("thin_yd", "parts"), [(-12, ["all", "thin"]), (12, ["all"])])
def test_a_strike_that_flies_on_is_told_as_no_cost(thin_yd: float, parts: list[str]) -> None:
    """Thin balls that come four times as often, short of the clean ones and beyond them; our choice."""
    days = (("2025-05-01", 5, 45), ("2025-05-06", 20, 30))
    shots = [a_shot(day, *ball) for day, thin, clean in days
             for ball in [(60 + thin_yd, "thin")] * thin + [(60, "clean")] * clean]  # fmt: skip
    assert compare(shots, PAIR, {CELL: 0.05}).verdicts["thin"].word == "moved"
    assert [line.part for line in the_lines(shots)] == parts


def test_two_balls_prove_nothing() -> None:
    assert [line.part for line in the_lines([*visits([1], 61, n=2), *visits([6], 62, fat=1, n=2)])] == ["all"]


def test_certainty_is_that_of_the_normal_curve() -> None:
    assert certainty(0) == 0
    assert round(certainty(1.96), 3) == 0.95
    assert certainty(-1.96) == certainty(1.96)
