"""The strike's own promises: signs, limits and what it refuses."""

import pytest

from webapp.physics.impact import Strike, launch_of, launch_share

PITCH = Strike(23.0, -5.0, 45.0)


def test_a_face_right_of_the_path_starts_right_and_tilts_right():
    launch = launch_of(PITCH._replace(face_deg=3.0))
    assert 0.0 < launch.azimuth_deg < 3.0
    assert launch.tilt_deg > 0.0


def test_a_straight_strike_flies_straight():
    launch = launch_of(PITCH)
    assert (launch.azimuth_deg, launch.tilt_deg) == pytest.approx((0.0, 0.0), abs=1e-9)


def test_turning_path_and_face_together_only_turns_the_shot():
    turned = launch_of(PITCH._replace(path_deg=6.0, face_deg=6.0))
    straight = launch_of(PITCH)
    assert turned[:3] == pytest.approx(straight[:3], abs=1e-9)
    assert turned.azimuth_deg == pytest.approx(6.0, abs=1e-9)
    assert turned.tilt_deg == pytest.approx(0.0, abs=1e-9)


def test_a_head_on_strike_has_no_spin():
    launch = launch_of(Strike(20.0, 10.0, 10.0))
    assert launch.spin_rpm == pytest.approx(0.0, abs=1e-3)
    assert launch.launch_deg == pytest.approx(10.0, abs=1e-6)


def test_a_faster_club_gives_a_faster_ball_with_more_spin():
    slow, fast = launch_of(PITCH), launch_of(PITCH._replace(club_speed_mps=28.0))
    assert fast.speed_mps > slow.speed_mps
    assert fast.spin_rpm > slow.spin_rpm


@pytest.mark.parametrize("strike", [Strike(0.0, -5.0, 45.0), Strike(-3.0, -5.0, 45.0), Strike(20.0, -50.0, 45.0)])
def test_it_refuses_a_club_that_does_not_meet_the_ball(strike):
    with pytest.raises(ValueError, match="towards the ball"):
        launch_of(strike)


def test_it_refuses_a_share_between_equal_angles():
    with pytest.raises(ValueError, match="same angle"):
        launch_share(30.0, 30.0, 30.0)
