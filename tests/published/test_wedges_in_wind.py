"""Wedges under their own launch in wind and other air, against figures computed beforehand by separate programs."""

import pytest

from webapp.conditions.day import Conditions
from webapp.conditions.launches import launch_of_loft
from webapp.conditions.rungs import CORNERS, OWN, Number, flown_m, ladder
from webapp.physics.flight import fly
from webapp.physics.motion import Launch
from webapp.units import MPH_MPS, YARD_M


@pytest.mark.parametrize(
    ("speed", "angle", "spin", "wind_mph", "wind_at", "temperature_c", "carry_yd"),
    [
        (20.6, 32, 250, 0, "forecast", 15, 40.6794),
        (20.6, 32, 250, -10, "forecast", 15, 40.0879),
        (31.2, 31, 250, -10, "forecast", 15, 72.9814),
        (36.3, 26, 205, 0, "forecast", 15, 101.0691),
        (36.3, 26, 205, -10, "forecast", 15, 92.2384),
        (36.3, 26, 205, 10, "forecast", 15, 105.9714),
        (36.3, 26, 205, -15, "forecast", 15, 85.9275),
        (36.3, 26, 205, 0, "forecast", 25, 102.2741),
        (42.0, 26, 205, -5, "ball", 15, 113.0307),
    ],
)
def test_a_wedge_flies_in_wind_as_computed_twice(speed, angle, spin, wind_mph, wind_at, temperature_c, carry_yd):
    # Computed beforehand by two programs (a Runge-Kutta scheme, and DOP853 at rtol 1e-10) that agree to 1e-4 yd.
    sky = Conditions(temperature_c, 0.0, wind_mph * MPH_MPS, wind_at).sky
    flight = fly(Launch(speed, angle, spin * speed), sky)
    assert flight.carry_m / YARD_M == pytest.approx(carry_yd, abs=1e-3)


@pytest.mark.parametrize(
    ("carry_yd", "loft", "today", "change_yd", "low_yd", "high_yd"),
    [
        (40, 58, Conditions(tail_mps=-10 * MPH_MPS), -0.5, -1.3, 0.1),
        (60, 56, Conditions(tail_mps=-10 * MPH_MPS), -2.6, -4.2, -1.1),
        (80, 52, Conditions(tail_mps=-10 * MPH_MPS), -5.5, -8.2, -3.1),
        (100, 46, Conditions(tail_mps=-10 * MPH_MPS), -8.5, -12.3, -5.1),
        (120, 46, Conditions(tail_mps=-10 * MPH_MPS), -15.6, -21.5, -10.6),
        (60, 56, Conditions(temperature_c=25.0), 0.4, 0.2, 0.5),
        (80, 52, Conditions(temperature_c=25.0), 0.7, 0.5, 1.0),
        (100, 46, Conditions(temperature_c=25.0), 1.2, 0.8, 1.5),
        (60, 56, Conditions(target_up_m=5 * YARD_M), -6.3, -7.9, -5.2),
        (80, 52, Conditions(target_up_m=5 * YARD_M), -5.6, -7.0, -4.6),
        (100, 46, Conditions(target_up_m=5 * YARD_M), -5.3, -6.8, -4.3),
    ],
)
def test_each_wedge_changes_as_a_second_implementation_says(carry_yd, loft, today, change_yd, low_yd, high_yd):
    # Computed beforehand by a separate implementation, rounded to a tenth of a yard; the low and high are the corners.
    rungs = ladder([Number("it", carry_yd * YARD_M, launch_of_loft(loft))], Conditions())
    flown = flown_m(rungs, today)[-1] / YARD_M - carry_yd
    assert flown[OWN] == pytest.approx(change_yd, abs=0.06)
    assert flown[list(CORNERS)].min() == pytest.approx(low_yd, abs=0.06)
    assert flown[list(CORNERS)].max() == pytest.approx(high_yd, abs=0.06)


@pytest.mark.parametrize(
    ("carry_yd", "loft", "changes_yd"),
    [
        (40, 58, (-0.2, -0.5, -1.1, 0.1, 0.1, 0.1)),
        (60, 56, (-1.1, -2.6, -4.7, 0.7, 1.1, 1.4)),
        (80, 52, (-2.4, -5.5, -9.7, 1.7, 2.9, 3.6)),
        (100, 46, (-3.7, -8.5, -14.6, 2.7, 4.7, 6.0)),
        (120, 46, (-7.1, -15.6, -25.8, 5.8, 10.3, 13.9)),
    ],
)
def test_each_wedge_meets_every_wind_as_a_second_implementation_says(carry_yd, loft, changes_yd):
    # Computed beforehand by a separate implementation, rounded to a tenth of a yard.
    rungs = ladder([Number("it", carry_yd * YARD_M, launch_of_loft(loft))], Conditions())
    for wind_mph, change_yd in zip((-5, -10, -15, 5, 10, 15), changes_yd, strict=True):
        flown_yd = flown_m(rungs, Conditions(tail_mps=wind_mph * MPH_MPS))[-1, OWN] / YARD_M
        assert flown_yd - carry_yd == pytest.approx(change_yd, abs=0.06)
