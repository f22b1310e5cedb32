"""The joint estimate against published analyses and other programs that solve the same algebra.

Status: READ = the values were read in a stored copy of the source; PACKAGE = computed by another program when the
test runs.
"""

import warnings

import numpy as np
import pandas as pd
import pytest
from sklearn.gaussian_process import GaussianProcessRegressor
from sklearn.gaussian_process.kernels import RBF, ConstantKernel, DotProduct, Exponentiation, Kernel
from statsmodels.regression.mixed_linear_model import MixedLM

from tests.bench.generator import player
from tests.core.estimate_groups import groups_of, heard, unknowns_of
from webapp.estimate.joint import precision, solve
from webapp.estimate.model import Options, shortening
from webapp.estimate.prior import Cell, before

# Davies 1947, yield of dyestuff, five samples of each of six batches; as printed with the lme4 documentation. READ.
DYESTUFF = np.array(
    [
        [1545, 1440, 1440, 1520, 1580],
        [1540, 1555, 1490, 1560, 1495],
        [1595, 1550, 1605, 1510, 1560],
        [1445, 1440, 1595, 1465, 1545],
        [1595, 1630, 1515, 1635, 1625],
        [1520, 1455, 1450, 1480, 1445],
    ],
    dtype=float,
)
FLAT = 1e9


def dyestuff_levels(batch_variance: float, variance: float) -> tuple[float, np.ndarray]:
    """Typical yield and the level of each batch, the batches taken as the visits of one cell."""
    K, N, r = np.array([[FLAT]]), np.full(6, 5.0), DYESTUFF.mean(axis=1) - 1500.0
    P = precision(N, np.zeros(6), np.full(6, variance))
    unknown = unknowns_of(K, np.eye(1), np.zeros((6, 0)))
    found = solve(groups_of([0] * 6, range(6), 1), unknown, K, P, r, batch_variance, (np.zeros((1, 1)), np.zeros(1)))
    return 1500 + float(found.z[0]), 1500 + found.level


def test_dyestuff_mean_with_the_published_spreads():
    """lme4 documentation: mean 1527.5, sd between batches 42.00, within 49.51. READ."""
    m, level = dyestuff_levels(42.00**2, 49.51**2)
    assert m == pytest.approx(1527.5, abs=1e-3)
    assert np.mean(level) == pytest.approx(1527.5, abs=1e-3)


def test_dyestuff_batches_are_those_of_a_mixed_model():
    """statsmodels MixedLM, REML. PACKAGE. Its own variances are used, which it finds to about 1e-4."""
    frame = pd.DataFrame({"y": DYESTUFF.ravel(), "batch": np.repeat(list("ABCDEF"), 5)})
    fit = MixedLM(frame["y"], np.ones((30, 1)), groups=frame["batch"]).fit(reml=True)
    day_variance = float(np.asarray(fit.cov_re)[0, 0])
    assert np.sqrt(day_variance) == pytest.approx(42.00, abs=0.01)
    assert np.sqrt(fit.scale) == pytest.approx(49.51, abs=0.01)
    _, level = dyestuff_levels(day_variance, float(fit.scale))
    theirs = [1527.5 + float(np.asarray(fit.random_effects[batch])[0]) for batch in "ABCDEF"]
    np.testing.assert_allclose(level, theirs, atol=1e-4)


def test_cells_are_those_of_a_crossed_mixed_model():
    """statsmodels MixedLM with crossed club and swing on a generated player. PACKAGE."""
    rng = np.random.default_rng(3)
    someone = player(rng, clubs=5)
    rows = [(cell.club, cell.swing_deg, level) for cell, level in zip(someone.cells, someone.level, strict=True)]
    frame = pd.DataFrame([row for row in rows for _ in range(6)], columns=["club", "swing", "level"])
    frame["y"] = 100 * (frame["level"] + rng.normal(0, 0.06, len(frame)))
    model = MixedLM.from_formula(
        "y ~ 1",
        frame,
        groups=np.ones(len(frame)),
        re_formula="0",
        vc_formula={"club": "0 + C(club)", "swing": "0 + C(swing)"},
    )
    with warnings.catch_warnings():
        # One group holds everything here, which the package remarks upon; the fit itself is checked below.
        warnings.simplefilter("ignore")
        fit = model.fit(reml=True)
    assert fit.converged
    between = dict(zip(model.exog_vc.names, fit.vcomp, strict=True))
    club = np.array([cell.club for cell in someone.cells])
    swing = np.array([cell.swing_deg for cell in someone.cells])
    K = FLAT + between["club"] * (club[:, None] == club) + between["swing"] * (swing[:, None] == swing)
    means = frame.groupby(["club", "swing"], sort=False)["y"].mean().to_numpy()
    m = heard(K, range(20), means, np.full(20, fit.scale / 6)).z
    effects = fit.random_effects[1.0]
    theirs = [
        float(fit.fe_params.iloc[0])
        + float(effects[f"club[C(club)[{cell.club}]]"])
        + float(effects[f"swing[C(swing)[{cell.swing_deg}]]"])
        for cell in someone.cells
    ]
    np.testing.assert_allclose(m, theirs, atol=2e-3)


# Rubin 1981, J. Educ. Stat. 6: effect of coaching in eight schools and its standard error. READ.
SCHOOLS = np.array([28.0, 8, -3, 7, -1, 1, 18, 12])
ERRORS = np.array([15.0, 10, 16, 11, 9, 11, 10, 18])


def test_eight_schools_pooled_completely():
    """Gelman et al., Bayesian Data Analysis: pooled mean 7.7, variance 16.6. READ."""
    found = heard(np.full((8, 8), FLAT), range(8), SCHOOLS, ERRORS**2)
    assert found.z[0] == pytest.approx(7.7, abs=0.05)
    assert found.V[0, 0] == pytest.approx(16.6, abs=0.05)


def test_eight_schools_pooled_in_part():
    """posteriordb, eight schools: mean of mu 4.4105, tau 3.6021, theta1 6.1505. READ.

    Priors mu ~ N(0, 5), tau ~ half Cauchy(0, 5). The level mu is a ninth cell without balls; tau is summed over a
    fine grid. The published means come from 10,000 draws, so .1 is three of their standard errors.
    """
    taus = np.linspace(0.02, 120, 1500)
    evidence, schools = np.empty(len(taus)), np.empty((len(taus), 9))
    for i, tau in enumerate(taus):
        K = 25.0 + np.diag(np.append(np.full(8, tau**2), 0.0))
        schools[i] = heard(K, range(8), SCHOOLS, ERRORS**2).z
        spread = K[:8, :8] + np.diag(ERRORS**2)
        _, log_size = np.linalg.slogdet(spread)
        evidence[i] = -0.5 * (log_size + SCHOOLS @ np.linalg.solve(spread, SCHOOLS)) - np.log1p((tau / 5) ** 2)
    weight = np.exp(evidence - evidence.max())
    weight /= weight.sum()
    assert weight @ schools[:, 8] == pytest.approx(4.4105, abs=0.1)
    assert weight @ taus == pytest.approx(3.6021, abs=0.1)
    assert weight @ schools[:, 0] == pytest.approx(6.1505, abs=0.1)


class On(Kernel):
    """Another kernel that sees only some columns."""

    def __init__(self, kernel, columns):
        self.kernel, self.columns = kernel, columns

    def __call__(self, X, Y=None, eval_gradient=False):
        return self.kernel(X[:, self.columns], None if Y is None else Y[:, self.columns])

    def diag(self, X):
        return self.kernel.diag(X[:, self.columns])

    def is_stationary(self):
        return False


def fixed(sd):
    return ConstantKernel(sd**2, "fixed")


def same(columns):
    """1 for equal columns, 0 for columns a whole number apart."""
    return On(RBF(1e-2, "fixed"), columns)


def product(columns):
    return On(DotProduct(0.0, "fixed"), columns)


def test_a_gaussian_process_of_another_program_gives_the_same_card():
    """scikit-learn GaussianProcessRegressor with the kernel written out here from its parts. PACKAGE.

    Columns: x = (loft - 52)/10, u = -ln(share of full), hour, club and ball kind as numbers, angle [deg].
    """
    cells = [
        Cell(f"{loft}", loft, swing, kind)
        for kind in ("own", "range")
        for loft in (46.0, 51.0, 56.0, 60.0)
        for swing in (45.0, 90.0, 135.0, 180.0)
    ]
    x = np.array([(cell.loft_deg - 52) / 10 for cell in cells])
    angle = np.array([cell.swing_deg for cell in cells])
    u = shortening(angle, Options())
    club = np.array([cell.loft_deg for cell in cells])
    kind = np.array([float(cell.ball == "range") for cell in cells])
    X = np.column_stack([x, u, 6 + angle / 30, club, kind, angle])
    kernel = (
        fixed(0.22)
        + fixed(0.07) * product([0])
        + fixed(0.05) * Exponentiation(product([0]), 2)
        + fixed(0.03) * same([3])
        + fixed(0.20) * product([1])
        + fixed(0.04) * On(RBF(1.5, "fixed"), [2])
        + fixed(0.06) * same([3]) * product([1])
        + fixed(0.045) * same([3, 5])
        + fixed(0.03) * same([4])
    )
    rng = np.random.default_rng(2)
    hit = rng.choice(32, 14, replace=False)
    values, variance = rng.normal(0, 0.2, 14), rng.uniform(0.01, 0.08, 14) ** 2
    theirs = GaussianProcessRegressor(kernel, alpha=variance, optimizer=None).fit(X[hit], values)
    their_m, their_V = theirs.predict(X, return_cov=True)

    _, K = before(cells, Options())
    found = heard(K, hit, values, variance)
    np.testing.assert_allclose(found.z, their_m, atol=1e-9)
    np.testing.assert_allclose(found.V, their_V, atol=1e-9)
