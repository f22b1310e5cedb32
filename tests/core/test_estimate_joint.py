"""The algebra of a round against one dense Gaussian over every ball, written out here without a thought for speed.

Source: mean and covariance of a joint normal distribution given part of it.
"""

import math

import numpy as np
import pytest

from tests.core.estimate_players import bag, stated
from webapp.estimate import eye, model
from webapp.estimate.balls import Ball, Balls, EyeCheck
from webapp.estimate.change import Clock
from webapp.estimate.groups import grouped
from webapp.estimate.joint import precision, solve, with_own_shift, without_itself
from webapp.estimate.model import Options
from webapp.estimate.prior import believed
from webapp.estimate.unknowns import unknowns

EXACT = 1e-12
OMEGA_A2, TREND_VARIANCE = 0.031**2, 0.04**2
CHECKS = [EyeCheck(52.0, 50.0), EyeCheck(61.0, 60.0, "laser"), EyeCheck(33.0, 30.0)]


class Book:
    """Seven cells, five visits in 400 days, three ways of judging, a move, a pause: everything the model knows."""

    def __init__(self) -> None:
        rng = np.random.default_rng(8)
        self.cells = bag(lofts=(50.0, 56.0))[:7]
        ages_days, ways = (45.0, 52.0, 90.0, 260.0, 400.0), ("monitor", "eye", "eye", "markers", "eye")
        self.options = Options(moved_age_days={1: 80.0, 2: 80.0, 5: 300.0})
        balls = []
        for visit, (age_days, way) in enumerate(zip(ages_days, ways, strict=True)):
            for cell in rng.choice(7, 6, replace=False).tolist():
                for ball in range(int(rng.integers(1, 4))):
                    judged = "laser" if visit == 2 and ball else way
                    balls.append(
                        Ball(cell, 40 * math.exp(rng.normal(0, 0.3)), "clean", visit, age_days, judged_by=judged)
                    )
        self.balls = Balls.from_list(balls)
        self.mean, self.covariance = believed(self.cells, stated((105, 80), (50.0, 56.0)), self.options)
        self.groups = grouped(self.balls, 7, self.options)
        self.unknown = unknowns(self.groups, self.covariance, Clock.since(45.0), eye.ways_of(CHECKS))
        self.K = self.unknown.with_trend(TREND_VARIANCE)
        self.w = rng.uniform(0.05, 1, len(balls))
        self.s2 = rng.uniform(0.04, 0.08, 7) ** 2
        self.o = rng.uniform(0.01, 0.05, len(self.groups.row)) ** 2
        self.y = self.groups.y - self.mean[self.groups.cell]

    def x(self) -> np.ndarray:
        """(n, p) what each ball observes of the unknowns, from the ball itself and not from any table of groups."""
        u, x = self.unknown, np.zeros((len(self.y), len(self.K)))
        n_knots = u.trend - 7 - 2 - 3
        knots = np.array(model.WALK_KNOTS_DAYS[:n_knots]) / 365
        for i in range(len(self.y)):
            cell, age_days = int(self.balls.cell[i]), float(self.balls.age_days[i])
            years = (age_days - 15.0) / 365
            x[i, cell] = 1
            moved = self.options.moved_age_days.get(cell)
            if moved is not None and age_days > moved:
                x[i, 7 + (moved == 300.0)] = 1
                x[i, 9 + [1, 2, 5].index(cell)] = 1
            x[i, 12 : u.trend] = [np.interp(years, [0, *knots], [0, *hat]) for hat in np.eye(n_knots)]
            x[i, u.trend] = -years
            x[i, u.trend + 1 + list(u.ways).index(self.balls.judged_by[i])] = 1
        return x

    def dense(self, keep: np.ndarray) -> dict[str, np.ndarray]:
        """Everything from the balls in `keep` and the eye checks alone."""
        x, groups = self.x(), self.groups
        visit, group = groups.visit_of[groups.group], groups.group
        G = np.eye(len(self.o))[group]
        A = np.eye(visit.max() + 1)[visit]
        prior = np.zeros((x.shape[1] + A.shape[1] + G.shape[1],) * 2)
        p, q = x.shape[1], x.shape[1] + A.shape[1]
        prior[:p, :p], prior[p:q, p:q], prior[q:, q:] = self.K, OMEGA_A2 * np.eye(q - p), np.diag(self.o)
        rows = np.hstack([x, A, G])
        pairs = np.zeros((len(CHECKS), len(prior)))
        for i, check in enumerate(CHECKS):
            pairs[i, self.unknown.place_of_way("eye")] = 1
            pairs[i, self.unknown.place_of_way(check.measured_by)] = -1
        seen = np.vstack([rows[keep], pairs])
        noise = np.concatenate([(self.s2[groups.cell] / self.w)[keep], np.full(len(CHECKS), model.EYE_CHECK_SD**2)])
        heard = np.concatenate([self.y[keep], [math.log(c.said_m / c.measured_m) for c in CHECKS]])
        spread = seen @ prior @ seen.T + np.diag(noise)
        gain = np.linalg.solve(spread, seen @ prior).T
        m, V = gain @ heard, prior - gain @ seen @ prior
        log_likelihood = -0.5 * (
            heard @ np.linalg.solve(spread, heard) + np.linalg.slogdet(spread)[1] + len(heard) * math.log(2 * math.pi)
        )
        return {
            "z": m[:p], "V": V[:p, :p], "a": m[p:q], "var_a": np.diag(V)[p:q], "b": m[q:], "var_b": np.diag(V)[q:],
            "level": rows @ m, "C": np.diag(rows @ V @ rows.T), "log_likelihood": np.array(log_likelihood),
        }  # fmt: skip

    def solved(self):
        groups = self.groups
        N = groups.by_group(self.w)
        r = groups.by_group(self.w * self.y) / N
        s2 = self.s2[groups.cell_of]
        P = precision(N, self.o, s2)
        checks = eye.heard(CHECKS, self.unknown)
        found = solve(groups, self.unknown, self.K, P, r, OMEGA_A2, checks)
        return found, N, r, s2, P


@pytest.fixture(scope="module")
def book() -> Book:
    return Book()


@pytest.fixture(scope="module")
def dense(book: Book) -> dict[str, np.ndarray]:
    return book.dense(np.arange(len(book.y)))


def test_the_book_holds_all_that_the_model_knows(book: Book) -> None:
    assert set(book.unknown.ways) == {model.WAYS.index(way) for way in ("eye", "markers", "laser", "monitor")}
    assert len(book.groups.moved_cells) == 3
    assert set(book.groups.row) >= {7, 8, 9}
    assert len(book.groups.visit) == 6  # the third visit was judged in two ways


def test_unknowns_and_shifts_of_visits(book: Book, dense: dict[str, np.ndarray]) -> None:
    found, *_ = book.solved()
    np.testing.assert_allclose(found.z, dense["z"], atol=EXACT)
    np.testing.assert_allclose(found.V, dense["V"], atol=EXACT)
    np.testing.assert_allclose(found.a, dense["a"], atol=EXACT)
    np.testing.assert_allclose(found.var_a, dense["var_a"], atol=EXACT)


def test_shifts_of_cells_and_levels_of_balls(book: Book, dense: dict[str, np.ndarray]) -> None:
    found, N, r, s2, _ = book.solved()
    b, var_b, C = with_own_shift(found, N, r, book.o, s2)
    np.testing.assert_allclose(b, dense["b"], atol=EXACT)
    np.testing.assert_allclose(var_b, dense["var_b"], atol=EXACT)
    np.testing.assert_allclose((found.level + b)[book.groups.group], dense["level"], atol=EXACT)
    np.testing.assert_allclose(C[book.groups.group], dense["C"], atol=EXACT)


def test_the_log_likelihood_of_the_balls(book: Book, dense: dict[str, np.ndarray]) -> None:
    """What is left of the balls once H and h are known: a constant, two determinants and one quadratic form."""
    found, N, r, s2, P = book.solved()
    visit_of = book.groups.visit_of
    r_v = np.bincount(visit_of, P * r) / found.S
    within = np.sum(book.w / book.s2[book.groups.cell] * (book.y - r[book.groups.group]) ** 2)
    checks = np.log([check.said_m / check.measured_m for check in CHECKS])
    squares = within + P @ r**2 - found.S @ r_v**2 + np.sum(checks**2) / model.EYE_CHECK_SD**2 - found.h @ found.z
    logs = (
        np.sum(np.log(2 * math.pi * book.s2[book.groups.cell] / book.w))
        + np.sum(np.log(N / s2 / P))
        + np.sum(np.log(found.S * OMEGA_A2))
        + len(CHECKS) * math.log(2 * math.pi * model.EYE_CHECK_SD**2)
        + np.linalg.slogdet(np.eye(len(book.K)) + book.K @ found.H)[1]
    )
    assert -0.5 * (squares + logs) == pytest.approx(float(dense["log_likelihood"]), rel=EXACT)


def test_each_ball_is_judged_as_if_it_had_not_been_hit(book: Book) -> None:
    found, N, r, s2, _ = book.solved()
    b, _, C = with_own_shift(found, N, r, book.o, s2)
    group, own_s2 = book.groups.group, book.s2[book.groups.cell]
    apart, S = without_itself(book.y - (found.level + b)[group], C[group], own_s2, book.w, 0.98)
    everyone = np.arange(len(book.y))
    for i in everyone:
        without = book.dense(np.delete(everyone, i))
        assert apart[i] == pytest.approx(book.y[i] - without["level"][i], abs=EXACT)
        assert S[i] == pytest.approx(without["C"][i] + own_s2[i], abs=EXACT)
