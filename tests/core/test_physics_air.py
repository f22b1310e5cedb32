"""The air's own promises: where it stops, and which way it changes."""

import pytest

from webapp.physics.air import density_kgm3, standard_air, wind_share


@pytest.mark.parametrize("altitude_m", [12_000.0, -1_000.0, float("nan")])
def test_it_refuses_a_height_outside_the_troposphere(altitude_m):
    with pytest.raises(ValueError, match="ends at 11,000 m"):
        standard_air(altitude_m)


@pytest.mark.parametrize("humidity", [-0.1, 1.1, 60.0])
def test_it_refuses_a_humidity_that_is_no_share(humidity):
    with pytest.raises(ValueError, match="share between 0 and 1"):
        density_kgm3(20.0, 101325.0, humidity)


def test_damp_warm_and_high_air_is_thinner():
    still = density_kgm3(20.0, 101325.0)
    assert density_kgm3(20.0, 101325.0, humidity=1.0) < still
    assert density_kgm3(30.0, 101325.0) < still
    assert density_kgm3(20.0, standard_air(1500.0).pressure_pa) < still


def test_a_wind_felt_at_the_ball_is_the_same_at_every_height():
    assert [wind_share(height_m, 0.0) for height_m in (0.0, 2.0, 30.0)] == [1.0, 1.0, 1.0]


def test_a_forecast_wind_grows_with_height_and_never_vanishes():
    shares = [wind_share(height_m, 0.16) for height_m in (0.0, 1.0, 5.0, 10.0, 20.0)]
    assert shares == sorted(shares)
    assert shares[0] > 0.0
    assert wind_share(-3.0, 0.16) == wind_share(3.0, 0.16)
