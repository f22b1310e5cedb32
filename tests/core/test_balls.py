"""Which balls say something of the strike and of the aim: one rule, whoever asks."""

from typing import Any

import pytest

from tests.core.test_strike import a_row
from webapp.card.balls import aimed_of, clean_of, struck_of
from webapp.card.strike import strikes
from webapp.practice import scores
from webapp.trends.side import figures_of
from webapp.units import YARD_M

LEFT_OUT: list[dict[str, Any]] = [{"course": True}, {"aside": True}, {"bucket_aside": 1}, {"lie": "rough"}]


def to_60(carry_yd: float | None, **more: Any) -> dict[str, Any]:
    return a_row(carry_yd, mode="distance", counted=False, meant_carry_m=60 * YARD_M, **more)


@pytest.mark.parametrize("left_out", LEFT_OUT)
def test_course_notes_odd_lies_and_what_is_set_aside_say_nothing(left_out: dict[str, Any]) -> None:
    rows = [a_row(54), a_row(30, "fat", **left_out)]
    assert struck_of(rows) == struck_of(rows, "range") == rows[:1]
    balls = [to_60(56), to_60(30, **left_out)]
    assert aimed_of(balls) == balls[:1]


def test_a_kind_of_ball_can_be_asked_for() -> None:
    for ask, make in ((struck_of, a_row), (aimed_of, to_60)):
        rows = [make(54), make(54, ball="own")]
        assert ask(rows) == rows
        assert ask(rows, ball="own") == rows[1:]


def test_a_ball_hit_to_a_number_has_one_and_came_down_in_sight() -> None:
    assert aimed_of([a_row(54), to_60(None), {**to_60(54), "meant_carry_m": None}]) == []


def test_a_band_holds_its_lower_end_alone() -> None:
    balls = [to_60(56)]
    assert aimed_of(balls, 60 * YARD_M, 70 * YARD_M) == balls
    assert aimed_of(balls, 40 * YARD_M, 60 * YARD_M) == []


def test_a_ball_without_a_strike_noted_passes_for_clean_and_one_of_no_length_does_not() -> None:
    noted, heavy, whiff = a_row(54, ""), a_row(50, "heavy"), a_row(0)
    assert clean_of([noted, heavy, whiff, a_row(None), to_60(54)]) == [noted]


def test_the_aim_is_of_the_same_balls_for_the_card_a_period_and_the_miss() -> None:
    balls = [*(to_60(56) for _ in range(6)), *(to_60(30, **more) for more in LEFT_OUT)]
    overall, side, miss = strikes(balls).overall, figures_of(balls, len(balls)), scores.miss(balls)
    assert overall
    assert side.aim
    assert miss
    assert (overall.n, side.n_aimed, side.aim.n, side.n_out, miss.n) == (6, 6, 6, 4, 6)
