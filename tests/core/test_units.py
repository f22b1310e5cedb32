"""Lengths in yards and metres (F5 of the worked examples), temperatures and altitudes.

The shared cases of tests/vectors/lengths/ and tests/vectors/readings/ hold the phone to the same.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp import units


@pytest.mark.parametrize(("yards", "metres"), [(50, 46), (15, 14), (54, 49), (0, 0)])
def test_it_shows_yards_as_whole_metres(yards: int, metres: int) -> None:
    assert units.whole(units.to_m(yards, "yd"), "m") == metres


def test_fifty_yards_are_exactly_45_72_metres() -> None:
    # International yard and pound agreement, 1959: 1 yd = 0.9144 m exactly.
    assert units.to_m(50, "yd") == pytest.approx(45.72, abs=1e-12)


@given(st.integers(0, 400), st.sampled_from(["yd", "m"]))
def test_it_gives_a_whole_length_back_as_it_was_typed(length: int, unit: str) -> None:
    assert units.whole(units.to_m(length, unit), unit) == length


@given(st.integers(0, 400))
def test_looking_in_metres_and_back_changes_no_yard(yards: int) -> None:
    stored_m = units.to_m(yards, "yd")
    units.whole(stored_m, "m")
    assert units.whole(stored_m, "yd") == yards


@given(st.integers(0, 8000))
def test_halves_go_up_in_both_units(half_lengths: int) -> None:
    length = half_lengths / 2
    expected = int(length) if half_lengths % 2 == 0 else int(length) + 1
    assert units.whole(units.to_m(length, "yd"), "yd") == expected
    assert units.whole(length, "m") == expected


@given(st.integers(0, 4000))
def test_tenths_come_back_as_they_were_typed(tenths: int) -> None:
    assert units.tenths(units.to_m(tenths / 10, "yd"), "yd") == tenths / 10


@given(st.floats(0, 400), st.floats(0, 400))
def test_a_longer_ball_is_never_shown_shorter(one_m: float, other_m: float) -> None:
    short_m, long_m = sorted((one_m, other_m))
    assert units.whole(short_m, "yd") <= units.whole(long_m, "yd")


def test_it_knows_no_third_unit() -> None:
    with pytest.raises(KeyError):
        units.to_m(1, "ft")


def test_speeds_and_temperature_rest_on_the_exact_definitions() -> None:
    # NIST Special Publication 811, appendix B: 1 mi/h = 0.44704 m/s exactly; 0 degC = 273.15 K exactly (from memory).
    assert pytest.approx(0.44704, abs=1e-15) == units.MPH_MPS
    assert pytest.approx(1 / 3.6, abs=1e-15) == units.KMH_MPS
    assert units.KELVIN_AT_0_DEGC == 273.15
    assert pytest.approx(units.YARD_M, abs=1e-15) == units.FOOT_M * 3


@given(st.integers(-40, 1220))
def test_tenths_of_a_degree_fahrenheit_come_back_as_they_were_typed(tenths: int) -> None:
    assert units.temperature_shown(units.to_degc(tenths / 10, "f"), "f") == f"{tenths / 10:g}"


@given(st.integers(-328, 13_123))
def test_whole_feet_come_back_as_they_were_typed(feet: int) -> None:
    assert units.altitude_shown(units.to_altitude_m(feet, "ft"), "ft") == str(feet)


def test_a_length_is_told_in_every_unit_for_a_sentence_that_stands() -> None:
    assert units.in_every_unit(2.286) == "2.5 yd (2.3 m)"  # 2.5 x 0.9144
