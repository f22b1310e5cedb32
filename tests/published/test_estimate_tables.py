"""Printed tables and stored data sets that the plain figures, Student's t, the intervals and the chart must meet.

Status: READ = the values were read in a stored copy of the source; MEMORY = from memory; PACKAGE = computed by
another program when the test runs.
"""

import math

import numpy as np
import pytest
from scipy import stats

from webapp.estimate.drift import ewma, ewma_limit
from webapp.estimate.plain import plain
from webapp.estimate.student import normal_below, normal_density, t_below, t_density, t_point

# NIST StRD, univariate, Michelso: speed of light in millions of metres a second; here the digits after 299.
# The data are from memory and proved by the certified mean and sd below (READ).
MICHELSO = """
850 740 900 1070 930 850 950 980 980 880 1000 980 930 650 760 810 1000 1000 960 960
960 940 960 940 880 800 850 880 900 840 830 790 810 880 880 830 800 790 760 800
880 880 880 860 720 720 620 860 970 950 880 910 850 870 840 840 850 840 840 840
890 810 810 820 800 770 760 740 750 760 910 920 890 860 880 720 840 850 850 780
890 840 780 810 760 810 790 810 820 850 870 870 810 740 810 940 950 800 810 870
"""


def test_michelso_mean_and_spread():
    """NIST StRD Michelso, certified values. READ."""
    found = plain([299 + int(text) / 1000 for text in MICHELSO.split()])
    assert found.n == 100
    assert found.mean_m == pytest.approx(299.852400000000, abs=1e-11)
    assert found.sd_m == pytest.approx(0.0790105478190518, rel=1e-9)


@pytest.mark.parametrize(("middle", "digits"), [(1.2, 1e-13), (1000000.2, 1e-8), (10000000.2, 1e-7)])
def test_sums_keep_their_digits(middle, digits):
    """NIST StRD NumAcc2, NumAcc3, NumAcc4: mean as given, sd exactly .1. READ.

    The tolerance is what a double leaves of .1 beside a number of that size.
    """
    found = plain([middle, *[middle - 0.1, middle + 0.1] * 500])
    assert found.n == 1001
    assert found.mean_m == pytest.approx(middle, rel=1e-14)
    assert found.sd_m == pytest.approx(0.1, rel=digits)


def test_three_large_numbers():
    """NIST StRD NumAcc1: mean 10000002, sd 1. READ."""
    found = plain([10000001, 10000003, 10000002])
    assert (found.mean_m, found.sd_m) == (10000002, 1.0)


@pytest.mark.parametrize(("df", "point"), [(1, 12.706), (2, 4.303), (5, 2.571), (10, 2.228), (30, 2.042)])
def test_student_t_table(df, point):
    """The .975 points of the printed tables. MEMORY."""
    assert t_point(0.975, np.array([float(df)]))[0] == pytest.approx(point, abs=5e-4)


@pytest.mark.parametrize(("n", "factor"), [(5, 3.04), (10, 2.37), (20, 2.14)])
def test_factor_for_one_future_observation(n, factor):
    """95%, two-sided, t sqrt(1 + 1/n); Hahn 1969, J. Qual. Technol. 1. MEMORY."""
    t = t_point(0.975, np.array([n - 1.0]))[0]
    assert t * math.sqrt(1 + 1 / n) == pytest.approx(factor, abs=5e-3)


def test_student_t_against_another_program():
    """scipy.stats.t. PACKAGE."""
    t = np.concatenate([-np.logspace(-4, 2, 40), [0.0], np.logspace(-4, 2, 40)])
    for df in (1.0, 2.5, 6.0, 7.3, 17.9, 120.4, 2000.0):
        np.testing.assert_allclose(t_below(t, np.array(df)), stats.t.cdf(t, df), rtol=1e-9, atol=1e-13)
        np.testing.assert_allclose(t_density(t, np.array(df)), stats.t.pdf(t, df), rtol=1e-9)
    df = np.array([1.0, 1.5, 6.0, 6.7, 23.4, 400.0])
    for chance in (0.01, 0.1, 0.5, 0.9, 0.975):
        np.testing.assert_allclose(t_point(chance, df), stats.t.ppf(chance, df), rtol=1e-9, atol=1e-12)


def test_a_cell_without_degrees_of_freedom_spoils_no_other() -> None:
    with np.errstate(all="ignore"):
        below = t_below(np.array([1.0, 1.0]), np.array([np.nan, 3.0]))
    np.testing.assert_allclose(below, [np.nan, stats.t.cdf(1.0, 3.0)])


def test_normal_against_another_program():
    """scipy.stats.norm. PACKAGE."""
    z = np.linspace(-8, 8, 161)
    np.testing.assert_allclose(normal_below(z), stats.norm.cdf(z), atol=1e-15)
    np.testing.assert_allclose(normal_density(z), stats.norm.pdf(z), rtol=1e-12)


def run_length(weight: float, sds: float, shift: float, runs: int, seed: int) -> tuple[float, float]:
    """Mean number of values until the chart rings, and its standard error."""
    rng, limit, lengths = np.random.default_rng(seed), ewma_limit(weight, sds), []
    for _ in range(runs):
        level, length = 0.0, 0
        while True:
            levels = np.array(ewma(rng.normal(shift, 1, 400).tolist(), weight))
            levels += level * (1 - weight) ** np.arange(1, 401)
            rung = np.flatnonzero(np.abs(levels) > limit)
            if len(rung):
                lengths.append(length + rung[0] + 1)
                break
            level, length = levels[-1], length + 400
    return float(np.mean(lengths)), float(np.std(lengths) / math.sqrt(runs))


@pytest.mark.parametrize(("shift", "published"), [(0.0, 127.53), (0.25, 43.94), (0.5, 18.97)])
def test_run_lengths_of_the_chart(shift, published):
    """Crowder 1987, Technometrics 29, lambda .05, L 2; shifts in standard deviations. READ.

    Four standard errors of 3000 runs. Solving Crowder's integral equation with 200 Gauss-Legendre nodes gives
    127.528, 43.942 and 18.968 at these shifts.
    """
    found, error = run_length(0.05, 2.0, shift, 3000, 5)
    assert found == pytest.approx(published, abs=4 * error)


@pytest.mark.parametrize(("weight", "sds"), [(0.05, 2.32), (0.10, 2.55), (0.15, 2.65), (0.20, 2.72), (0.25, 2.76)])
def test_limits_for_a_run_length_of_250(weight, sds):
    """Crowder 1989, J. Qual. Technol. 21. READ. Four standard errors of 1500 runs and 2% for the printed digits."""
    found, error = run_length(weight, sds, 0.0, 1500, 6)
    assert found == pytest.approx(250, abs=4 * error + 5)
