"""What a player's eye makes of a distance, from pairs worked out by hand."""

import math

import numpy as np
import pytest
from scipy.stats import t

from webapp.trends.eye_check import LEAST_PAIRS, SURE_ERRORS, finding, words
from webapp.units import YARD_M


def pairs(*said_measured: tuple[float, float]) -> list[dict[str, float]]:
    return [{"said_m": said * YARD_M, "measured_m": measured * YARD_M} for said, measured in said_measured]


def sentence(*said_measured: tuple[float, float]) -> str:
    told = words(finding(pairs(*said_measured)), len(said_measured))
    return "".join(part if isinstance(part, str) else f"{part.length_m / YARD_M:.0f}" for part in told)


def test_ten_pairs_six_per_cent_long_are_found_so() -> None:
    found = finding(pairs(*((1.06 * at, at) for at in range(40, 90, 5))))
    assert found is not None
    assert found.bias == pytest.approx(math.log(1.06))
    assert found.error == pytest.approx(0, abs=1e-12)
    assert found.is_biased
    assert found.n == 10


def test_it_says_what_is_seen_where_with_the_spread_of_one_look() -> None:
    # ln ratios alternate between ln(55/52) + .055 and - .055: their mean is ln(55/52), their sd .055 sqrt(10/9).
    said = [55 * math.exp(0.055 if at % 2 else -0.055) for at in range(10)]
    assert sentence(*((one, 52) for one in said)) == "You see 55 where it is 52, give or take 3 (10 balls)."


def test_a_bias_that_may_be_chance_is_not_called_one() -> None:
    said = [53 * math.exp(0.1 if at % 2 else -0.1) for at in range(10)]
    assert sentence(*((one, 52) for one in said)) == "No bias shows: at 52 you say 53, give or take 6 (10 balls)."


@pytest.mark.parametrize("n", [3, 4, 5, 10, 20, 40])
def test_an_eye_without_bias_is_seldom_told_of_one_by_however_few_pairs(n: int) -> None:
    rng, tried = np.random.default_rng(7), 2000
    looks = [finding(pairs(*((50 * math.exp(off), 50) for off in rng.normal(0, 0.05, n)))) for _ in range(tried)]
    assert np.mean([found.is_biased for found in looks if found]) < 0.065  # 5 in a hundred, and 3 errors of 2000 tries


def test_how_far_off_is_sure_is_students_t_as_scipy_has_it() -> None:
    freedoms = np.arange(len(SURE_ERRORS)) + LEAST_PAIRS - 1
    assert pytest.approx(t.ppf(0.975, freedoms), abs=5e-4) == SURE_ERRORS


@pytest.mark.parametrize(("errors", "biased"), [(2.2, False), (2.3, True)])
def test_a_bias_of_ten_pairs_is_one_beyond_2_26_standard_errors(errors: float, biased: bool) -> None:
    # Ten ln ratios of b and then more or less .06: their sd is .06 sqrt(10/9), so the error of the mean is .02.
    said = [52 * math.exp(errors * 0.02 + (0.06 if at % 2 else -0.06)) for at in range(10)]
    found = finding(pairs(*((one, 52) for one in said)))
    assert found is not None
    assert found.error == pytest.approx(0.02)
    assert found.is_biased is biased


def test_a_slip_is_left_out_and_named() -> None:
    good = [(52.0, 50.0), (63.0, 60.0), (72.0, 70.0)]
    assert sentence(*good, (5.0, 50.0)).endswith("1 pair left out: one number is twice the other or more.")
    assert finding(pairs(*good, (5.0, 50.0))) is not None


def test_two_pairs_say_nothing_yet() -> None:
    assert finding(pairs((50, 50), (60, 50))) is None
    assert sentence((50, 50), (60, 50)) == "2 balls checked: three tell something, ten tell more."
    assert words(None, 0) == ()
