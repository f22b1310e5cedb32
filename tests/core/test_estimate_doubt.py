"""Entries that look like a slip of the finger; every strike, unit and edge stands in the shared cases.

F9 is a worked example of the project's design: a cell of 48 yards with a spread of 4.
"""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.estimate.doubt import likelier_m, one_slip_from, whole_tens_from
from webapp.units import YARD_M, whole

M, SD = math.log(48 * YARD_M), 4 / 48


@pytest.mark.parametrize("entry", [74, 470, 7])
def test_f9_a_swapped_doubled_or_missing_digit_is_put_back(entry: int) -> None:
    found = likelier_m(entry * YARD_M, "clean", True, M, SD, "yd")
    assert found is not None
    assert whole(found, "yd") == 47


@given(st.floats(33, 70), st.booleans(), st.sampled_from(["yd", "m"]))
def test_within_four_spreads_nothing_is_asked(carry_yd: float, typed: bool, unit: str) -> None:
    if abs(math.log(carry_yd / 48)) <= 4 * SD:
        assert likelier_m(carry_yd * YARD_M, "clean", typed, M, SD, unit) is None


@given(st.integers(1, 400))
def test_every_number_is_one_slip_away_from_its_slips(number: int) -> None:
    assert number not in one_slip_from(number)
    assert all(number in one_slip_from(other) for other in one_slip_from(number) if str(other)[0] != "0" and other > 9)


@given(st.integers(1, 400))
def test_a_touch_is_never_doubted_by_less_than_ten(number: int) -> None:
    assert all(abs(other - number) % 10 == 0 and other != number for other in whole_tens_from(number))
