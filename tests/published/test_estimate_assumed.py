"""Every assumed number as the functions use it, against the model written out here with other programs' distributions.

A fault planted in a share, a shift, the mishits' mixture, the trend or the clock of a pause fails here. PACKAGE: scipy.
"""

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy import integrate, stats

from tests.core.estimate_groups import unknowns_of
from tests.core.estimate_players import bag, visit
from webapp.estimate import eye, learned, model
from webapp.estimate.balls import EyeCheck
from webapp.estimate.change import Clock, knots, walk_covariance, walk_weights
from webapp.estimate.model import Options, shortening
from webapp.estimate.pool import pool


@pytest.mark.parametrize(
    ("swing_deg", "share"), [(0, 0.20), (45, 0.50), (90, 0.72), (135, 0.86), (150, 0.91), (180, 1)]
)
def test_shares_of_the_full_carry(swing_deg: float, share: float) -> None:
    assert math.exp(-shortening(np.array([swing_deg]), Options())[0]) == pytest.approx(share)


def test_the_density_of_mishits() -> None:
    """scipy.stats.norm. PACKAGE."""
    r = np.linspace(-3, 3, 601)
    parts = ((0.55, -0.11, 0.08), (0.37, -0.33, 0.25), (0.08, 0.0, 1.0))
    wanted = sum(share * stats.norm.pdf(r, mean, sd) for share, mean, sd in parts)
    np.testing.assert_allclose(learned.mishit_density(r), wanted, rtol=1e-9)
    assert integrate.trapezoid(learned.mishit_density(np.linspace(-9, 9, 18001)), dx=0.001) == pytest.approx(
        1, abs=1e-6
    )


def test_shifts_before_there_are_three_visits_and_with_shifts_of_a_known_size() -> None:
    """Two visits leave what is assumed; many visits of a known size are found by the fixed point."""
    two = pool(bag(), [ball for name in range(2) for ball in visit(9, [50, 55], name=name)])
    assert (two.omega_a2, two.omega_b2) == (pytest.approx(0.02**2), pytest.approx(0.02**2))
    a = np.random.default_rng(6).normal(0, 0.05, 4000)
    found = 0.02**2
    for _ in range(50):
        found = learned.visit_shift(found, a, np.zeros(4000), np.ones(4000))
    assert math.sqrt(found) == pytest.approx(np.std(a), rel=0.01)


def test_the_trend_is_student_t() -> None:
    """A normal prior of variance tau^2 has the slope of log t at beta: scipy.stats.t. PACKAGE."""
    for beta in (0.0, 0.03, 0.1, 0.3):
        step = 1e-6
        slope = (stats.t.logpdf(beta + step, 4, 0, 0.05) - stats.t.logpdf(beta - step, 4, 0, 0.05)) / (2 * step)
        assert -beta / learned.trend_variance(beta, 0.0) == pytest.approx(slope, abs=1e-5)


def test_the_walk_between_its_knots() -> None:
    at_years = knots(1.0)
    assert at_years[-1] == 1.0
    W = walk_weights(np.array([0.0, 2 / 365, 1.0, 9.0]), at_years)
    walk = W @ walk_covariance(at_years) @ W.T
    variance = np.diag(walk)
    assert walk[1, 2] == pytest.approx(0.04**2 * 2 / 365)  # it was on its way already when the nearer visit came
    np.testing.assert_allclose(variance, [0, 0.04**2 * 4 / 365 / 4, 0.04**2, 0.04**2], rtol=1e-12)


def test_an_eye_check_tells_how_far_the_eye_is_from_what_measured() -> None:
    """One pair of 55 and 50 observes c_eye - c_monitor with sd .08: Bayes' rule by hand."""
    ways = np.array([model.WAYS.index("eye"), model.WAYS.index("monitor")])
    variances = np.array([0.05**2, 0.003**2])
    unknown = replace(unknowns_of(np.diag(variances), np.eye(1), np.zeros((1, 1))), ways=ways)
    H, h = eye.heard([EyeCheck(55.0, 50.0)], unknown)
    V = np.linalg.inv(np.diag(1 / variances) + H)
    noise = variances.sum() + 0.08**2
    np.testing.assert_allclose(V @ h, variances * [1, -1] * math.log(1.1) / noise, rtol=1e-9)
    np.testing.assert_allclose(V[0, 1], variances.prod() / noise, rtol=1e-9)


def test_the_clock_of_a_pause() -> None:
    clock = Clock.since(395.0)
    assert clock.pause_days == 365
    assert clock.years(np.array([395.0, 760.0])).tolist() == pytest.approx([30 / 365, 395 / 365])
    assert clock.doubt == pytest.approx(0.02**2)
    assert Clock.since(30.0).doubt == 0


def test_the_ranges_of_a_number_and_of_the_next_ball_hold_all_that_may_move_them() -> None:
    """Hit 395 days ago: the cell drifted by itself for 30 days of the player's clock and through a pause of a year."""
    found = pool(bag(), visit(9, [50, 55, 52], age_days=395.0))
    level = np.diag(found.V)[9] + 0.02**2 * (1 + 30 / 365)
    assert found.level_variance[9] == pytest.approx(level)
    assert found.next_variance[9] == pytest.approx(level + 0.02**2 + 0.02**2 + found.sigma[9] ** 2)


def test_the_sizes_that_are_assumed_of_ways_of_judging_and_moves() -> None:
    sds = {"eye": 0.05, "markers": 0.015, "laser": 0.01, "monitor": 0.003, "paces": 0.02}
    assert sds == model.WAY_SDS
    assert (model.EYE_CHECK_SD, model.MOVE_SHARED_SD, model.MOVE_CELL_SD) == (0.08, 0.05, 0.05)
    assert (model.WRONG_DAY_CHANCE, model.WRONG_DAY_SD, model.PRIOR_LEVEL_SD) == (0.03, 0.15, 0.22)
