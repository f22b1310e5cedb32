"""Carries scaled to the day: the promised sizes, the sentences, and a plain answer to whatever cannot be worked out."""

import math

import pytest

from webapp.conditions.today import (
    Conditions,
    carry_to_play,
    carry_today,
    doubts,
    plays_first_order_m,
    reference_flight,
    reference_speed_mps,
)
from webapp.units import MPH_MPS, YARD_M

HOME = Conditions(temperature_c=20.0)


def yards(length_m):
    return length_m / YARD_M


def test_the_same_conditions_leave_every_number_alone():
    for answer in (carry_to_play(60 * YARD_M, HOME, HOME), carry_today(60 * YARD_M, HOME, HOME)):
        assert answer.carry_m == answer.low_m == answer.high_m == 60 * YARD_M
        assert answer.parts == ()
        assert "nothing differs" in answer.sentence


def test_wind_named_without_wind_changes_nothing():
    assert carry_to_play(60 * YARD_M, HOME, Conditions(20.0, wind_at="ball")).parts == ()


def test_a_cold_day_costs_what_the_card_note_says():
    # Common practice, no source: made at 20, now 4: 2-4 yd less at 100, under 1 at 50; cold balls cost more.
    long, short = (carry_today(carry * YARD_M, HOME, Conditions(temperature_c=4.0)) for carry in (100, 50))
    assert 2.0 <= 100 - yards(long.carry_m) <= 4.0
    assert 0.0 < 50 - yards(short.carry_m) < 1.0
    assert long.at_least
    assert long.sentence == (
        "100 yards flies 97 to 98 or less: colder air takes off 2; a cold ball, not counted here, costs more."
    )


def test_a_warm_day_is_not_called_at_least():
    answer = carry_to_play(90 * YARD_M, HOME, Conditions(temperature_c=35.0))
    assert not answer.at_least
    assert answer.carry_m < 90 * YARD_M


def test_mountains_add_little_to_a_pitch_and_some_to_a_full_wedge():
    # Common practice, no source: 1500 m adds 4 to 8 at 100 yards, 0 to 2 at 50.
    long, short = (carry_today(carry * YARD_M, HOME, Conditions(20.0, 1500.0)) for carry in (100, 50))
    assert 4.0 <= yards(long.carry_m) - 100 <= 8.0
    assert 0.0 <= yards(short.carry_m) - 50 <= 2.0


def test_a_range_is_a_quarter_of_the_correction_either_way():
    answer = carry_to_play(80 * YARD_M, HOME, Conditions(20.0, tail_mps=-10 * MPH_MPS))
    change_m = answer.carry_m - 80 * YARD_M
    assert answer.low_m == pytest.approx(80 * YARD_M + 0.75 * change_m)
    assert answer.high_m == pytest.approx(80 * YARD_M + 1.25 * change_m)


def test_the_range_stays_in_order_when_the_correction_is_downwards():
    answer = carry_to_play(80 * YARD_M, HOME, Conditions(20.0, tail_mps=10 * MPH_MPS))
    assert answer.low_m < answer.carry_m < answer.high_m < 80 * YARD_M


def test_the_parts_add_up_to_the_whole():
    today = Conditions(4.0, 800.0, -8 * MPH_MPS, "forecast", 3 * YARD_M)
    answer = carry_to_play(70 * YARD_M, HOME, today)
    assert [part.cause for part in answer.parts] == ["temperature", "altitude", "wind", "height"]
    assert sum(part.change_m for part in answer.parts) == pytest.approx(answer.carry_m - 70 * YARD_M)


def test_playing_what_it_says_lands_on_the_target():
    today = Conditions(8.0, 300.0, -6 * MPH_MPS, "forecast", 2 * YARD_M)
    play = carry_to_play(75 * YARD_M, HOME, today)
    assert carry_today(play.carry_m, HOME, today).carry_m == pytest.approx(75 * YARD_M, abs=1e-3)


def test_its_sentence_names_each_cause_with_its_size():
    today = Conditions(20.0, tail_mps=-10 * MPH_MPS, target_up_m=3 * YARD_M)
    assert carry_to_play(60 * YARD_M, HOME, today).sentence == (
        "60 yards plays 64 to 67: wind against adds 2, the target up adds 3."
    )


def test_its_sentence_speaks_metres_to_a_reader_of_metres():
    sentence = carry_to_play(60.0, HOME, Conditions(20.0, target_up_m=-3.0), "m").sentence
    assert sentence.startswith("60 metres plays 5")
    assert "the target down takes off 3" in sentence


def test_wind_at_the_ball_counts_more_than_a_forecast():
    forecast, ball = (
        carry_to_play(60 * YARD_M, HOME, Conditions(20.0, tail_mps=-10 * MPH_MPS, wind_at=wind_at)).carry_m
        for wind_at in ("forecast", "ball")
    )
    assert 60 * YARD_M < forecast < ball


@pytest.mark.parametrize(("up_yd", "descent_deg", "plays_yd"), [(3, 45.0, 63.0), (3, 38.0, 63.8), (-2, 45.0, 58.0)])
def test_the_straight_line_gives_the_worked_examples(up_yd, descent_deg, plays_yd):
    # Closed form: target + up/tan(descent).
    plays_m = plays_first_order_m(60 * YARD_M, up_yd * YARD_M, descent_deg)
    assert yards(plays_m) == pytest.approx(plays_yd, abs=0.05)


@pytest.mark.parametrize("carry_yd", [80, 100, 120])
@pytest.mark.parametrize("up_yd", [-5, -2, 2, 5])
def test_the_straight_line_is_near_the_solver_from_eighty_yards(carry_yd, up_yd):
    descent_deg = reference_flight(reference_speed_mps(carry_yd * YARD_M, HOME), HOME).descent_deg
    line_m = plays_first_order_m(carry_yd * YARD_M, up_yd * YARD_M, descent_deg)
    solved_m = carry_to_play(carry_yd * YARD_M, HOME, Conditions(20.0, target_up_m=up_yd * YARD_M)).carry_m
    assert line_m == pytest.approx(solved_m, rel=0.04)


def test_a_short_raised_target_plays_longer_than_the_straight_line_says():
    descent_deg = reference_flight(reference_speed_mps(40 * YARD_M, HOME), HOME).descent_deg
    line_m = plays_first_order_m(40 * YARD_M, 4 * YARD_M, descent_deg)
    assert carry_to_play(40 * YARD_M, HOME, Conditions(20.0, target_up_m=4 * YARD_M)).carry_m > line_m + 0.1


@pytest.mark.parametrize("descent_deg", [0.0, 90.0, -10.0])
def test_the_straight_line_refuses_a_descent_that_is_none(descent_deg):
    with pytest.raises(ValueError, match="comes down between"):
        plays_first_order_m(60.0, 3.0, descent_deg)


@pytest.mark.parametrize(
    ("today", "words"),
    [
        (Conditions(tail_mps=200 * MPH_MPS), "A wind of 200 mph behind is outside"),
        (Conditions(tail_mps=-200 * MPH_MPS), "A wind of 200 mph against is outside"),
        (Conditions(temperature_c=-60.0), "A temperature of -60 °C is outside -20 °C to 50 °C"),
        (Conditions(altitude_m=12_000.0), "An altitude of 12,000 m is outside"),
        (Conditions(target_up_m=40 * YARD_M), "A target height of 40 yards is outside"),
        (Conditions(target_up_m=math.nan), "A target height has to be a number"),
        (Conditions(tail_mps=math.inf), "A wind has to be a number"),
        (Conditions(wind_at="aloft"), "The wind is either a forecast or felt at the ball"),
    ],
)
def test_a_value_it_cannot_work_with_gets_a_plain_sentence(today, words):
    for answer in (carry_to_play(60 * YARD_M, HOME, today), carry_today(60 * YARD_M, HOME, today)):
        assert answer.carry_m is None
        assert words in answer.sentence
        assert answer.sentence.endswith("your carries are unchanged.")
    assert len(doubts(today)) == 1


def test_a_home_it_cannot_work_with_is_said_once():
    far = Conditions(altitude_m=12_000.0)
    assert carry_to_play(60 * YARD_M, far, far).sentence.count("12,000 m") == 1


def test_wind_and_height_of_home_do_not_count():
    odd_home = Conditions(20.0, tail_mps=90.0, target_up_m=50.0)
    assert carry_to_play(60 * YARD_M, odd_home, HOME).carry_m == 60 * YARD_M


@pytest.mark.parametrize("carry_m", [0.0, 2.0, 500.0, math.nan])
def test_a_carry_outside_wedges_gets_a_plain_sentence(carry_m):
    answer = carry_to_play(carry_m, HOME, Conditions(4.0))
    assert answer.carry_m is None
    assert answer.sentence == "These sums hold from 5 yards to 140 yards; your carries are unchanged."


def test_a_target_above_the_flight_cannot_be_got_to():
    answer = carry_to_play(20 * YARD_M, HOME, Conditions(20.0, target_up_m=8 * YARD_M))
    assert answer.carry_m is None
    assert answer.sentence == (
        "Cannot get there: a ball launched near 30 degrees does not come down at 20 yards on a target 8 yards up. "
        "It takes a higher shot; no carry is given."
    )
    assert carry_today(20 * YARD_M, HOME, Conditions(20.0, target_up_m=8 * YARD_M)).carry_m is None


def test_a_carry_the_model_cannot_reach_is_not_given():
    answer = carry_to_play(125 * YARD_M, HOME, Conditions(20.0, tail_mps=-20 * MPH_MPS))
    assert answer.carry_m is None
    assert answer.parts == ()
    assert answer.sentence.startswith("No carry is given: with this wind and air, 125 yards is out of reach")


def test_it_says_where_the_model_stands_on_thin_ground():
    today = Conditions(4.0)
    assert "hardly matter" in carry_to_play(15 * YARD_M, HOME, today).note
    assert carry_to_play(50 * YARD_M, HOME, today).note == ""
    assert "trust it less" in carry_to_play(100 * YARD_M, HOME, today).note


def test_no_speed_is_made_up_for_a_carry_out_of_reach():
    assert reference_speed_mps(400.0, HOME) is None
