"""Delivery numbers: what is computed, how it is said for either hand, and what is asked about but never refused."""

import math
from dataclasses import replace

import pytest

from webapp.delivery.findings import (
    Delivery,
    curve_words,
    deloft_deg,
    divot_words,
    estimate,
    face_to_path_deg,
    launch_share,
    path_words,
    questions,
    reference_bars,
    reference_words,
    spin_loft_deg,
    trend_words,
)
from webapp.units import MPH_MPS, YARD_M

# Common practice, no source: a 50-yard pitch with a 58-degree wedge.
PITCH = Delivery(club_speed_mps=51 * MPH_MPS, attack_deg=-5.0, path_deg=3.4, face_deg=0.0, dynamic_loft_deg=45.0)
MODELLED = estimate(PITCH)
LOFT_DEG = 58.0
FIFTY_M = 50 * YARD_M


def bars(delivery, hand="right", loft_deg=LOFT_DEG, meant_m=FIFTY_M):
    return {bar.name: bar for bar in reference_bars(delivery, hand, loft_deg, meant_m)}


@pytest.mark.parametrize(("attack", "loft", "expected"), [(-5.4, 45.4, 50.8), (2.0, 30.0, 28.0), (-5.0, 45.0, 50.0)])
def test_spin_loft_is_the_difference(attack, loft, expected):
    assert spin_loft_deg(Delivery(attack_deg=attack, dynamic_loft_deg=loft)) == pytest.approx(expected)


def test_a_missing_number_leaves_everything_made_of_it_blank():
    alone = Delivery(dynamic_loft_deg=45.0)
    assert spin_loft_deg(alone) is None
    assert face_to_path_deg(alone) is None
    assert launch_share(alone) is None
    assert deloft_deg(Delivery(), LOFT_DEG) is None
    assert (curve_words(alone, "right"), path_words(alone, "right"), divot_words(alone)) == ("", "", "")
    assert reference_bars(Delivery(), "right", LOFT_DEG, FIFTY_M) == ()
    assert questions(Delivery(), LOFT_DEG, FIFTY_M) == ()
    assert estimate(alone).why_not.startswith("No estimate without")


def test_the_usual_pitch_gives_the_usual_angles():
    # Common practice, no source.
    assert spin_loft_deg(PITCH) == pytest.approx(50.0)
    assert deloft_deg(PITCH, LOFT_DEG) == pytest.approx(13.0)
    assert face_to_path_deg(PITCH) == pytest.approx(-3.4)
    assert questions(PITCH, LOFT_DEG, 47 * YARD_M) == ()


def test_launch_share_is_measured_from_attack_to_dynamic_loft():
    assert launch_share(Delivery(attack_deg=-5.0, dynamic_loft_deg=45.0, launch_deg=35.0)) == pytest.approx(0.8)
    assert launch_share(Delivery(attack_deg=5.0, dynamic_loft_deg=5.0, launch_deg=5.0)) is None


def test_the_same_signs_are_a_draw_to_one_hand_and_a_fade_to_the_other():
    assert curve_words(PITCH, "right") == "Curves left of its start line: a touch of draw."
    assert curve_words(PITCH, "left") == "Curves left of its start line: a touch of fade."


def test_mirror_twins_play_the_same_shape():
    twin = Delivery(path_deg=-3.4, face_deg=0.0)
    assert curve_words(twin, "left") == "Curves right of its start line: a touch of draw."
    assert path_words(twin, "left") == path_words(PITCH, "right") == "The path runs 3.4 degrees in-to-out."
    assert path_words(PITCH, "left") == "The path runs 3.4 degrees out-to-in."


def test_face_and_path_together_curve_little_and_far_apart_curve_more():
    assert curve_words(Delivery(path_deg=3.0, face_deg=3.5), "right") == "Little curve: face and path agree."
    assert curve_words(Delivery(path_deg=-5.0, face_deg=4.0), "right") == "Curves right of its start line: a fade."
    assert path_words(Delivery(path_deg=0.0), "right") == "The path runs straight at the target."


def test_the_brush_of_grass_is_told_only_with_a_downward_attack():
    # Common practice, no source: 5 to 7 mm at -5 by arc geometry.
    assert (
        divot_words(PITCH)
        == "At −5 degrees a good strike runs about 5 to 7 mm deep: it brushes the grass, no big divot."
    )
    assert divot_words(Delivery(attack_deg=-12.0)).endswith("it digs.")
    assert divot_words(Delivery(attack_deg=2.0)) == ""


def test_readings_stand_as_positions_on_the_reference_bars():
    inside, above = bars(Delivery(launch_deg=31.0))["launch_deg"], bars(Delivery(launch_deg=36.0))["launch_deg"]
    assert (inside.place, inside.position) == ("in", pytest.approx(0.5))
    assert above.place == "over"
    assert 0.75 < above.position < 1.0
    assert bars(Delivery(launch_deg=20.0))["launch_deg"].place == "under"


def test_a_reading_far_off_stops_at_the_end_of_its_bar():
    assert bars(Delivery(launch_deg=80.0))["launch_deg"].position == 1.0
    assert bars(Delivery(launch_deg=-9.0))["launch_deg"].position == 0.0


def test_bars_show_only_what_was_measured_and_what_follows_from_it():
    assert set(bars(Delivery(attack_deg=-5.0, launch_deg=30.0))) == {"attack_deg", "launch_deg"}
    assert set(bars(PITCH)) == {"attack_deg", "path_deg", "face_deg", "dynamic_loft_deg", "spin_loft_deg"}
    assert all(bar.place == "in" for bar in bars(PITCH).values())


def test_the_path_bar_turns_round_for_a_left_hander():
    right, left = bars(PITCH)["path_deg"], bars(Delivery(path_deg=-3.4), "left")["path_deg"]
    assert (right.low, right.high, left.low, left.high) == (-1.0, 5.0, -5.0, 1.0)
    assert right.position == pytest.approx(1.0 - left.position)
    assert bars(PITCH, "left")["path_deg"].place == "over"


def test_the_face_belongs_between_straight_and_the_path():
    assert bars(Delivery(path_deg=4.0, face_deg=2.0))["face_deg"].place == "in"
    assert bars(Delivery(path_deg=4.0, face_deg=5.0))["face_deg"].place == "over"
    assert bars(Delivery(path_deg=-4.0, face_deg=-2.0), "left")["face_deg"].place == "in"
    assert "face_deg" not in bars(Delivery(face_deg=2.0))


@pytest.mark.parametrize(("loft_deg", "meant_yd"), [(58, 70), (58, 30), (46, 50)])
def test_away_from_the_reference_shot_there_are_no_bars(loft_deg, meant_yd):
    assert bars(Delivery(launch_deg=33.0), loft_deg=loft_deg, meant_m=meant_yd * YARD_M) == {}
    assert "your own trend counts" in reference_words(loft_deg, meant_yd * YARD_M)


def test_the_words_beside_the_bars_never_call_it_right():
    assert reference_words(LOFT_DEG, FIFTY_M) == (
        "Reference for a pitch of 45 to 55 yards with 54 to 60 degrees: common practice, not right or wrong."
    )
    assert "Longer shots usually launch higher" in reference_words(LOFT_DEG, 70 * YARD_M)
    assert "Shorter shots usually launch lower" in reference_words(LOFT_DEG, 30 * YARD_M)


def test_the_players_own_trend_is_told_with_what_is_expected():
    carries_m = [yd * YARD_M for yd in (30, 35, 40, 45, 50, 55, 60, 65)]
    rising = [27.0, 28.0, 28.0, 29.0, 30.0, 30.5, 31.0, 32.0]
    assert trend_words("launch", carries_m, rising) == (
        "Over 8 shots your launch is 1.4 degrees higher for each 10 yards more; expected for longer shots: higher."
    )
    assert "degrees lower for each" in trend_words("launch", carries_m, rising[::-1], expected="level")
    assert "no clear trend" in trend_words("launch", carries_m, [30.0, 28.0, 31.0, 29.0, 30.0, 28.0, 31.0, 29.0])


def test_few_or_equal_shots_have_no_trend():
    assert trend_words("launch", [30.0, 40.0, 50.0], [27.0, 28.0, 29.0]) == ""
    assert trend_words("launch", [45.0] * 9, [30.0] * 9) == ""


def test_the_model_estimates_from_the_club_or_from_the_ball():
    by_club, by_ball = estimate(PITCH), estimate(Delivery(launch_deg=32.0, spin_rpm=5000.0, ball_speed_mps=22.0))
    assert by_club.carry_m / YARD_M == pytest.approx(47.0, abs=5.0)
    assert by_ball.launch.speed_mps == 22.0
    assert by_ball.carry_m / YARD_M == pytest.approx(46.0, abs=5.0)


def test_a_ball_of_little_spin_gets_no_estimate_and_the_reason():
    estimated = estimate(Delivery(launch_deg=25.0, spin_rpm=2400.0, ball_speed_mps=20.0))
    assert (estimated.launch, estimated.carry_m) == (None, None)
    assert estimated.why_not.startswith("No estimate, because")
    assert estimated.why_not.endswith("your numbers are kept.")


def test_a_ball_that_does_not_get_up_gets_no_estimate():
    assert "does not get up" in estimate(Delivery(launch_deg=-2.0, spin_rpm=5000.0, ball_speed_mps=22.0)).why_not
    assert "does not get up" in estimate(Delivery(launch_deg=30.0, spin_rpm=5000.0, ball_speed_mps=0.0)).why_not


def asked(delivery, carry_m=None):
    return [question.field for question in questions(delivery, LOFT_DEG, carry_m)]


def test_dynamic_loft_above_the_stamped_loft_is_asked_about():
    assert asked(Delivery(dynamic_loft_deg=60.0)) == ["dynamic_loft_deg"]
    assert asked(Delivery(dynamic_loft_deg=58.0)) == []


def test_launch_outside_attack_and_dynamic_loft_is_asked_about_once():
    found = questions(Delivery(PITCH.club_speed_mps, -5.0, None, None, 45.0, launch_deg=50.0), LOFT_DEG)
    assert [question.field for question in found] == ["launch_deg"]
    assert found[0].text == "Launch 50.0 is above the dynamic loft 45.0. Is it right?"
    assert asked(Delivery(attack_deg=-5.0, launch_deg=-8.0)) == ["launch_deg"]


def test_two_digits_turned_round_are_asked_about():
    assert asked(Delivery(PITCH.club_speed_mps, -5.0, None, None, 45.0, spin_rpm=1500.0)) == ["spin_rpm"]
    assert asked(Delivery(PITCH.club_speed_mps, -5.0, None, None, 45.0, ball_speed_mps=32.0)) == ["ball_speed_mps"]
    assert asked(Delivery(PITCH.club_speed_mps, -5.0, None, None, 45.0, launch_deg=29.0)) == ["launch_deg"]


def test_a_carry_the_numbers_cannot_give_is_asked_about():
    assert asked(PITCH, 74 * YARD_M) == ["carry_m"]
    assert asked(PITCH, 30 * YARD_M) == ["carry_m"]
    assert asked(PITCH, 49 * YARD_M) == []


@pytest.mark.parametrize(
    ("field", "of_model", "inside", "outside"),
    [
        ("ball_speed_mps", MODELLED.launch.speed_mps, (0.935, 1.065), (0.925, 1.075)),
        ("spin_rpm", MODELLED.launch.spin_rpm, (0.66, 1.29), (0.64, 1.31)),
        ("carry_m", MODELLED.carry_m, (0.89, 1.11), (0.87, 1.13)),
    ],
    ids=["ball speed", "spin", "carry"],
)
def test_a_reading_is_asked_about_beyond_a_share_of_the_model(field, of_model, inside, outside):
    # Our choice of how far the model itself may be out, no source.
    def asked_of(share):
        told = {field: share * of_model}
        carry_m = told.pop("carry_m", None)
        return field in asked(replace(PITCH, **told), carry_m)

    assert [asked_of(share) for share in (*inside, *outside)] == [False, False, True, True]


@pytest.mark.parametrize(("off_deg", "is_asked"), [(-3.1, True), (-2.9, False), (3.9, False), (4.1, True)])
def test_a_launch_is_asked_about_three_degrees_under_the_model_and_four_over_it(off_deg, is_asked):
    # Our choice, no source.
    launch_deg = MODELLED.launch.launch_deg + off_deg
    assert (asked(replace(PITCH, launch_deg=launch_deg)) == ["launch_deg"]) is is_asked


@pytest.mark.parametrize(("bend_deg", "words"), [(0.9, "Little curve"), (-0.9, "Little curve"), (1.1, "Curves right"),
                                                 (-1.1, "Curves left")])  # fmt: skip
def test_under_a_degree_of_face_to_path_is_little_curve(bend_deg, words):
    # Common practice, no source.
    assert curve_words(Delivery(path_deg=2.0, face_deg=2.0 + bend_deg), "right").startswith(words)


@pytest.mark.parametrize(("errors", "found"), [(1.9, "no clear trend"), (2.1, "higher"), (-1.9, "no clear trend"),
                                               (-2.1, "lower")])  # fmt: skip
def test_a_trend_is_told_of_a_slope_of_more_than_two_standard_errors(errors, found):
    """Two errors are common practice, no source; the error of a slope is that of least squares, from memory.

    Off the line the angles lie by 1, -1, -1, 1 twice, which has no mean and no slope of its own: over 8 shots at
    -7 to 7 of 5 m each the slope's error is sqrt(8/6 / (25 * 168)) degrees a metre.
    """
    places = range(-7, 8, 2)
    slope = errors * math.sqrt(8 / 6 / (25 * 168))
    carries_m = [50 + 5 * place for place in places]
    angles = [30 + slope * 5 * place + off for place, off in zip(places, (1, -1, -1, 1, 1, -1, -1, 1), strict=True)]
    assert found in trend_words("launch", carries_m, angles, expected="level")


@pytest.mark.parametrize(("bend_deg", "words"), [(-4.9, "a touch of draw"), (-5.1, "a draw"), (5.1, "a fade")])
def test_up_to_five_degrees_of_face_to_path_are_a_touch(bend_deg, words):
    # Common practice, no source.
    assert curve_words(Delivery(path_deg=2.0, face_deg=2.0 + bend_deg), "right").endswith(f": {words}.")


def test_a_carry_that_its_ball_speed_cannot_reach_without_air_is_asked():
    # Closed form: v^2/g at 45 degrees; 20 m/s reach 40.8 m.
    slow = Delivery(ball_speed_mps=20.0)
    assert asked(slow, 41.0) == ["carry_m"]
    assert "even without air" in questions(slow, LOFT_DEG, 41.0)[0].text
    assert asked(slow, 40.5) == []


@pytest.mark.parametrize(
    "delivery",
    [
        Delivery(spin_rpm=float("nan")),
        Delivery(attack_deg=float("inf")),
        Delivery(club_speed_mps=-3.0),
        Delivery(face_deg=120.0),
    ],
)
def test_a_number_no_club_can_have_is_asked_about(delivery):
    found = questions(delivery, LOFT_DEG, FIFTY_M)
    assert len(found) == 1
    assert found[0].text == "That is no number a ball or club can have. Is it right?"


def test_strange_but_possible_numbers_never_raise():
    for attack, loft, speed in ((-20.0, 89.0, 23.0), (10.0, 5.0, 23.0), (0.0, 0.0, 23.0), (-5.0, 45.0, 0.0)):
        delivery = Delivery(speed, attack, 30.0, -30.0, loft, 30.0, 9000.0, 20.0)
        questions(delivery, LOFT_DEG, FIFTY_M)
        assert estimate(delivery).carry_m is None or estimate(delivery).carry_m > 0.0
