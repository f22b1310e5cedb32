"""The estimate's steps against analyses that were published of small data sets which many programs carry.

Status: MEMORY = from memory, data or result; what proves it stands beside it. PACKAGE = computed by another program
when the test runs.
"""

import math
import warnings

import numpy as np
import pandas as pd
import pytest
from scipy import integrate, stats
from sklearn.metrics import brier_score_loss
from sklearn.mixture import GaussianMixture
from statsmodels.regression.mixed_linear_model import MixedLM

from tests.core.estimate_groups import groups_of, unknowns_of
from webapp.estimate import learned, model
from webapp.estimate.balls import Ball
from webapp.estimate.chance import chances, tables
from webapp.estimate.forecast import Forecast, MishitParts
from webapp.estimate.joint import Solved, solve
from webapp.estimate.pool import pool
from webapp.estimate.prior import Cell
from webapp.units import YARD_M

FLAT = 1e9

# Belenky et al. 2003, J. Sleep Res. 12: reaction time [ms] of 18 drivers on days 0 to 9 of too little sleep; lme4's
# sleepstudy. MEMORY, proved by the fit below, which gives every printed digit.
SLEEP = """
249.5600 258.7047 250.8006 321.4398 356.8519 414.6901 382.2038 290.1486 430.5853 466.3535
222.7339 205.2658 202.9778 204.7070 207.7161 215.9618 213.6303 217.7272 224.2957 237.3142
199.0539 194.3322 234.3200 232.8416 229.3074 220.4579 235.4208 255.7511 261.0125 247.5153
321.5426 300.4002 283.8565 285.1330 285.7973 297.5855 280.2396 318.2613 305.3495 354.0487
287.6079 285.0000 301.8206 320.1153 316.2773 293.3187 290.0750 334.8177 293.7469 371.5811
234.8606 242.8118 272.9613 309.7688 317.4629 309.9976 454.1619 346.8311 330.3003 253.8644
283.8424 289.5550 276.7693 299.8097 297.1710 338.1665 332.0265 348.8399 333.3600 362.0428
265.4731 276.2012 243.3647 254.6723 279.0244 284.1912 305.5248 331.5229 335.7469 377.2990
241.6083 273.9472 254.4907 270.8021 251.4519 254.6362 245.4523 235.3110 235.7541 237.2466
312.3666 313.8058 291.6112 346.1222 365.7324 391.8385 404.2601 416.6923 455.8643 458.9167
236.1032 230.3167 238.9256 254.9220 250.7103 269.7744 281.5648 308.1020 336.2806 351.6451
256.2968 243.4543 256.2046 255.5271 268.9165 329.7247 379.4445 362.9184 394.4872 389.0527
250.5265 300.0576 269.8939 280.5891 271.8274 304.6336 287.7466 266.5955 321.5418 347.5655
221.6771 298.1939 326.8785 346.8555 348.7402 352.8287 354.4266 360.4326 375.6406 388.5417
271.9235 268.4369 257.2424 277.6566 314.8222 317.2135 298.1353 348.1229 340.2803 366.5131
225.2640 234.5235 238.9008 240.4730 267.5373 344.1937 281.1481 347.5855 365.1630 372.2288
269.8804 272.4428 277.8989 281.7895 279.1705 284.5120 259.2658 304.6306 350.7807 369.4692
269.4117 273.4740 297.5968 310.6316 287.1726 329.6076 334.4818 343.2199 369.1417 364.1236
"""
DRIVERS, DAYS = 18, 10


def sleep_solved(between: np.ndarray, variance: float) -> Solved:
    """Level and gain of every driver beside those of all, as the estimate holds cells beside a trend.

    The unknowns are 18 levels, 18 gains, the common level of the last day and the common trend, whose column is minus
    the age of a value [d], as the estimate has it.
    """
    y = np.array([float(text) for text in SLEEP.split()])
    driver, day = np.repeat(np.arange(DRIVERS), DAYS), np.tile(np.arange(DAYS), DRIVERS)
    one = np.eye(DRIVERS)[driver]
    of_row = np.hstack([one, one * day[:, None]])
    of_occasion = np.column_stack([np.ones(len(y)), day - (DAYS - 1.0)])
    K = np.zeros((2 * DRIVERS + 2,) * 2)
    K[: 2 * DRIVERS, : 2 * DRIVERS] = np.kron(between, np.eye(DRIVERS))
    K[-2:, -2:] = FLAT * np.eye(2)
    unknown = unknowns_of(K, of_row, of_occasion)
    omega_a2 = variance / 2  # each value is a visit of its own, whose shift is half of its noise
    P = np.full(len(y), 1 / (variance - omega_a2))
    nothing = np.zeros_like(K), np.zeros(len(K))
    return solve(groups_of(range(len(y)), range(len(y)), len(y)), unknown, K, P, y, omega_a2, nothing)


def test_the_trend_is_that_of_sleepstudy() -> None:
    """lme4's documentation: 251.405 (6.825), 10.467 (1.546); sds 24.741, 5.922, correlation .066, 25.592. MEMORY."""
    between = np.array([[24.741**2, 0.066 * 24.741 * 5.922], [0.066 * 24.741 * 5.922, 5.922**2]])
    found = sleep_solved(between, 25.592**2)
    first = np.array([1.0, -(DAYS - 1.0)])  # the level of the first day: today's less nine days' trend
    assert first @ found.z[-2:] == pytest.approx(251.405, abs=1e-3)
    assert found.z[-1] == pytest.approx(10.467, abs=1e-3)
    assert math.sqrt(first @ found.V[-2:, -2:] @ first) == pytest.approx(6.825, abs=2e-3)
    assert math.sqrt(found.V[-1, -1]) == pytest.approx(1.546, abs=1e-3)
    # The printed effects of the first three drivers.
    np.testing.assert_allclose(found.z[:3], [2.2586, -40.3986, -38.9602], atol=0.02)
    np.testing.assert_allclose(found.z[DRIVERS : DRIVERS + 3], [9.1990, -8.6197, -5.4489], atol=0.01)


def test_every_driver_is_that_of_a_mixed_model() -> None:
    """statsmodels MixedLM, REML, with its own variances. PACKAGE."""
    frame = pd.DataFrame(
        {
            "y": [float(text) for text in SLEEP.split()],
            "day": np.tile(np.arange(DAYS), DRIVERS),
            "driver": np.repeat(np.arange(DRIVERS), DAYS),
        }
    )
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # the package remarks upon its own optimiser; its answer is checked above
        fit = MixedLM.from_formula("y ~ day", frame, groups="driver", re_formula="~day").fit(reml=True)
    found = sleep_solved(np.asarray(fit.cov_re), float(fit.scale))
    theirs = np.array([np.asarray(fit.random_effects[at]) for at in range(DRIVERS)])
    np.testing.assert_allclose(found.z[:DRIVERS], theirs[:, 0], atol=1e-4)
    np.testing.assert_allclose(found.z[DRIVERS : 2 * DRIVERS], theirs[:, 1], atol=1e-4)


# Davies and Goldsmith 1972: diameters of growth [mm] of six samples on each of 24 plates; lme4's Penicillin. The sums
# of the samples are MEMORY: they are whole numbers, and give the printed mean and effects to every digit.
PENICILLIN_SUMS = np.array([604.0, 527, 598, 549, 551, 479])
PLATES = 24


def test_a_shift_that_a_visit_shares_is_taken_out_of_penicillin() -> None:
    """lme4's documentation: mean 22.9722 (.8086); sds plate .8467, sample 1.9316, rest .5499; six effects. MEMORY.

    A plate is a visit, whose common shift is summed out, and a sample a cell. In a design that crosses both, nothing of
    a sample depends on which plate had which shift, so that every plate is given the samples' means.
    """
    plate, sample, rest = 0.8467**2, 1.9316**2, 0.5499**2
    rows, visits = np.tile(np.arange(6), PLATES), np.repeat(np.arange(PLATES), 6)
    K = FLAT + sample * np.eye(6)
    groups = groups_of(rows.tolist(), visits.tolist(), 6)
    y = (PENICILLIN_SUMS / PLATES)[rows]
    unknown = unknowns_of(K, np.eye(6), np.zeros((PLATES, 0)))
    nothing = np.zeros((6, 6)), np.zeros(6)
    found = solve(groups, unknown, K, np.full(len(y), 1 / rest), y, plate, nothing)
    assert found.z.mean() == pytest.approx(22.9722, abs=1e-4)
    printed = [2.18705819, -1.01047625, 1.93789966, -0.09689498, -0.01384214, -3.00374447]
    np.testing.assert_allclose(found.z - found.z.mean(), printed, atol=1e-4)
    # The mean of the six levels has the error of the mean but for the six samples being a draw of many.
    error = math.sqrt(found.V.mean() + sample / 6)
    assert error == pytest.approx(0.8086, abs=2e-4)


# Haerdle 1991: minutes between 272 eruptions of Old Faithful. MEMORY, proved by the printed summary in the test.
WAITING_MIN = """
79 54 74 62 85 55 88 85 51 85 54 84 78 47 83 52 62 84 52 79 51 47 78 69 74 83 55 76 78 79 73 77 66 80 74 52 48 80 59 90
80 58 84 58 73 83 64 53 82 59 75 90 54 80 54 83 71 64 77 81 59 84 48 82 60 92 78 78 65 73 82 56 79 71 62 76 60 78 76 83
75 82 70 65 73 88 76 80 48 86 60 90 50 78 63 72 84 75 51 82 62 88 49 83 81 47 84 52 86 81 75 59 89 79 59 81 50 85 59 87
53 69 77 56 88 81 45 82 55 90 45 83 56 89 46 82 51 86 53 79 81 60 82 77 76 59 80 49 96 53 77 77 65 81 71 70 81 93 53 89
45 86 58 78 66 76 63 88 52 93 49 57 77 68 81 81 73 50 85 74 55 77 83 83 51 78 84 46 83 55 81 57 76 84 77 81 87 77 51 78
60 82 91 53 78 46 77 84 49 83 71 80 49 75 64 76 53 94 55 76 50 82 54 75 78 79 78 78 70 79 70 54 86 50 90 54 54 77 79 64
75 47 86 63 85 82 57 82 67 74 54 83 73 73 88 80 71 83 56 79 78 84 58 83 43 60 75 81 46 90 46 74
"""


def test_the_weights_part_old_faithful_into_its_two_kinds(monkeypatch: pytest.MonkeyPatch) -> None:
    """mixtools' documentation: 54.615 (sd 5.871) with share .361, 80.091 (5.868). MEMORY; sklearn's mixture. PACKAGE.

    The long waits are taken for clean balls and the short ones for the others, whose density is then one normal; the
    weights of learned.clean_weights are what an EM step needs, and its rounds must end where those programs do.
    """
    waiting = np.array([float(text) for text in WAITING_MIN.split()])
    assert (len(waiting), waiting.min(), np.median(waiting), waiting.max()) == (272, 43, 76, 96)
    assert (waiting.mean(), waiting.std(ddof=1)) == (pytest.approx(70.8971, abs=1e-4), pytest.approx(13.5950, abs=1e-4))
    chance, means, sds = 0.5, np.array([60.0, 75.0]), np.array([10.0, 10.0])
    contact = np.zeros(len(waiting), dtype=np.intp)
    for _ in range(400):
        monkeypatch.setattr(model, "MISHIT_DENSITY", ((1.0, means[0] - means[1], sds[0]),))
        S = np.full(len(waiting), sds[1] ** 2)
        w = learned.clean_weights(waiting - means[1], S, contact, np.array([chance]))
        both = np.array([1 - w, w])
        chance, means = float(w.mean()), both @ waiting / both.sum(axis=1)
        sds = np.sqrt((both * (waiting - means[:, None]) ** 2).sum(axis=1) / both.sum(axis=1))
    assert 1 - chance == pytest.approx(0.3609, abs=2e-4)
    np.testing.assert_allclose([*means, *sds], [54.615, 80.091, 5.871, 5.868], atol=2e-3)
    theirs = GaussianMixture(2, tol=1e-10, max_iter=2000, random_state=1).fit(waiting[:, None])
    np.testing.assert_allclose(np.sort(theirs.means_.ravel()), means, atol=1e-3)


# Cushny and Peebles 1905, in Student 1908, Biometrika 6: hours of sleep that ten patients gained more by the second of
# two drugs. MEMORY, proved by the printed mean 1.58 and sd 1.23.
MORE_SLEEP_H = np.array([1.2, 2.4, 1.3, 1.3, 0.0, 1.0, 1.8, 0.8, 4.6, 1.4])


def test_one_far_value_of_cushny_and_peebles_hardly_counts() -> None:
    """Robust locations lie near 1.3 (median 1.3, 10% trimmed mean 1.4; Staudte and Sheather 1990), not at 1.58. MEMORY.

    The ten are the balls of one cell, .09 of ln(carry) an hour, which gives the nine their usual spread of 6%.
    """
    assert (MORE_SLEEP_H.mean(), MORE_SLEEP_H.std(ddof=1)) == (pytest.approx(1.58), pytest.approx(1.23, abs=0.005))
    carries_m = 50 * YARD_M * np.exp(0.09 * MORE_SLEEP_H)
    balls = [Ball(0, float(carry_m), "", "one", 0.0, order=at) for at, carry_m in enumerate(carries_m)]
    pooled = pool([Cell("56", 56.0, 90.0)], balls)
    assert pooled.w[8] < 0.01
    assert min(np.delete(pooled.w, 8)) > 0.4
    location = float(pooled.w @ MORE_SLEEP_H / pooled.w.sum())
    assert location == pytest.approx(1.3, abs=0.1)
    trimmed = float(stats.trim_mean(MORE_SLEEP_H, 0.1))
    assert abs(location - trimmed) < abs(1.58 - trimmed)


PARTS = MishitParts(
    share=np.array([0.35, 0.20, 0.30, 0.15]),
    mean=np.array([-0.11, -0.33, -0.06, 0.15]),
    sd=np.array([0.08, 0.25, 0.10, 0.20]),
)


def forecast_of(df: float, mishit_rate: float, sd: float = 0.07) -> Forecast:
    return Forecast(np.array([math.log(60.0)]), np.array([sd]), np.array([df]), np.array([mishit_rate]), PARTS)


def crps(ahead: Forecast, y: float) -> float:
    """The integral over all limits of the Brier score of "short of the limit", for one carry; in ln(carry [m])."""
    below, above = np.linspace(y - 6, y, 60_001), np.linspace(y, y + 6, 60_001)
    short, far = ahead.below(np.exp(below)[None, :])[0], 1 - ahead.below(np.exp(above)[None, :])[0]
    return float(integrate.trapezoid(short**2, below) + integrate.trapezoid(far**2, above))


@pytest.mark.parametrize("z", [-2.0, 0.0, 0.7])
def test_the_score_of_a_clean_ball_is_the_closed_form(z: float) -> None:
    """Student t: Jordan, Krueger and Lerch 2019, J. Stat. Softw. 90. MEMORY. It tends to the normal one, which is
    (sqrt 2 - 1)/sqrt pi = .2337 at the middle (Gneiting and Raftery 2007, J. Am. Stat. Assoc. 102, eq. 21).
    """
    df, sd = 8.0, 0.07
    beta = math.gamma(0.5) * math.gamma(df - 0.5) / math.gamma(df)
    beta_half = math.gamma(0.5) * math.gamma(df / 2) / math.gamma((df + 1) / 2)
    closed = z * (2 * stats.t.cdf(z, df) - 1) + 2 * stats.t.pdf(z, df) * (df + z**2) / (df - 1)
    closed -= 2 * math.sqrt(df) / (df - 1) * beta / beta_half**2
    assert crps(forecast_of(df, 0.0), math.log(60.0) + sd * z) / sd == pytest.approx(closed, abs=1e-5)
    normal = z * (2 * stats.norm.cdf(z) - 1) + 2 * stats.norm.pdf(z) - 1 / math.sqrt(math.pi)
    assert crps(forecast_of(1e7, 0.0), math.log(60.0) + sd * z) / sd == pytest.approx(normal, abs=1e-5)
    assert z or normal == pytest.approx(0.2337, abs=5e-5)


@pytest.mark.parametrize("y", [-0.4, -0.05, 0.0, 0.2])
def test_the_score_with_mishits_is_that_of_a_mixture_of_normals(y: float) -> None:
    """Grimit et al. 2006, Q. J. R. Meteorol. Soc. 132, eq. 5. MEMORY. It sees every number of the mishits."""
    rate = 0.3
    share = np.append(1 - rate, rate * PARTS.share)
    mean, sd = np.append(0.0, PARTS.mean), np.append(0.07, PARTS.sd)

    def A(off: np.ndarray, variance: np.ndarray) -> np.ndarray:
        s = np.sqrt(variance)
        return 2 * s * stats.norm.pdf(off / s) + off * (2 * stats.norm.cdf(off / s) - 1)

    between = A(mean[:, None] - mean, sd[:, None] ** 2 + sd**2)
    closed = float(share @ A(y - mean, sd**2) - 0.5 * share @ between @ share)
    assert crps(forecast_of(1e7, rate), math.log(60.0) + y) == pytest.approx(closed, abs=1e-6)


def test_a_chance_of_landing_in_a_window_scores_as_an_honest_one() -> None:
    """An honest chance p has the mean Brier score p (1 - p), and any other scores worse by its distance squared
    (Brier 1950, Mon. Weather Rev. 78; Murphy 1973). sklearn's brier_score_loss. PACKAGE.
    """
    rng, n, rate = np.random.default_rng(8), 20_000, 0.3
    ahead = forecast_of(9.0, rate)
    part = rng.choice(4, n, p=PARTS.share)
    clean = math.log(60.0) + 0.07 * rng.standard_t(9.0, n)
    mishit = math.log(60.0) + rng.normal(PARTS.mean[part], PARTS.sd[part])
    carry_m = np.exp(np.where(rng.random(n) < rate, mishit, clean))
    (table,) = tables(ahead)
    for front_m, back_m in ((54.0, 66.0), (58.0, 80.0), (30.0, 50.0)):
        told = chances(table, front_m, back_m).inside
        came = (carry_m >= front_m) & (carry_m <= back_m)
        score = brier_score_loss(came, np.full(n, told))
        error = abs(1 - 2 * told) * math.sqrt(told * (1 - told) / n)
        assert score == pytest.approx(told * (1 - told), abs=4 * error + 1e-4)
        assert brier_score_loss(came, np.full(n, told + 0.1)) == pytest.approx(score + 0.1**2, abs=0.003)
