"""One ball and a grid of balls fly by the same rule, and a ball that cannot get there is said so."""

import math

import numpy as np
import pytest

from webapp.physics.flight import fly, fly_grid
from webapp.physics.motion import Launch, Sky

PITCH = Launch(22.0, 32.0, 5000.0)


@pytest.mark.parametrize("sky", [Sky(), Sky(1.0, -5.0, 2.0), Sky(1.2, 6.0, -3.0, wind_exponent=0.16)])
def test_a_grid_of_balls_lands_where_single_balls_land(sky):
    speeds, rises = np.meshgrid(np.linspace(8.0, 48.0, 9), [-3.0, 0.0, 3.0])
    grid = fly_grid(Launch(speeds, 31.0, 240.0 * speeds, 1.0, 4.0), sky, rises)
    for index in np.ndindex(speeds.shape):
        one = fly(Launch(speeds[index], 31.0, 240.0 * speeds[index], 1.0, 4.0), sky, rises[index])
        if one is None:
            assert all(math.isnan(field[index]) for field in grid)
        else:
            assert [field[index] for field in grid] == pytest.approx(list(one), abs=1e-7)


def test_a_target_above_the_top_of_the_flight_is_not_reached():
    apex_m = fly(PITCH).apex_m
    assert fly(PITCH, target_up_m=apex_m + 0.001) is None
    assert math.isnan(fly_grid(PITCH, target_up_m=np.array([apex_m + 0.001])).carry_m[0])


def test_a_target_just_under_the_top_is_reached_at_the_top():
    # A flat parabola leaves little room there: a millimetre of height is some 15 ms of flight.
    top = fly(PITCH, target_up_m=fly(PITCH).apex_m - 0.001)
    assert 0.0 < top.descent_deg < 1.0


def test_a_ball_without_speed_lands_where_it_lies():
    assert fly(Launch(0.0, 30.0, 0.0)).carry_m == pytest.approx(0.0, abs=1e-9)


def test_a_ball_that_stays_up_a_minute_is_given_up():
    floating = Sky(gravity_mps2=0.0, density_kgm3=0.0)
    assert fly(PITCH, floating) is None
    assert math.isnan(fly_grid(Launch(np.array([22.0]), 32.0, 5000.0), floating).carry_m[0])


def test_headwind_and_thick_air_shorten_and_tailwind_and_depth_lengthen():
    usual = fly(PITCH).carry_m
    assert fly(PITCH, Sky(tail_mps=-4.0)).carry_m < usual < fly(PITCH, Sky(tail_mps=4.0)).carry_m
    assert fly(PITCH, Sky(density_kgm3=1.35)).carry_m < usual
    assert fly(PITCH, target_up_m=2.0).carry_m < usual < fly(PITCH, target_up_m=-2.0).carry_m


def test_a_tilt_to_the_right_and_a_wind_from_the_left_take_the_ball_right():
    assert fly(PITCH._replace(tilt_deg=8.0)).side_m > 0.5
    assert fly(PITCH, Sky(cross_mps=4.0)).side_m > 0.5
    assert fly(PITCH._replace(azimuth_deg=3.0)).side_m > 0.5


def test_half_the_step_moves_a_landing_by_less_than_a_millimetre():
    for sky in (Sky(tail_mps=-5.0), Sky(tail_mps=-5.0, wind_exponent=0.16)):
        assert fly(PITCH, sky, step_s=0.05).carry_m == pytest.approx(fly(PITCH, sky).carry_m, abs=1e-3)
