"""The rule by which a phone without signal moves its numbers; its shared cases are run by test_rule_twins.py."""

import math

import numpy as np
import pytest

from tests.core.estimate_players import bag, stated, visit
from webapp.estimate.phone import Heard, Replayed, packed, plain, read, replay, state_of, unpacked
from webapp.estimate.pool import pool
from webapp.units import YARD_M

CLOSED = [ball for name in range(3) for cell, yd in ((1, 80), (9, 50)) for ball in visit(cell, [yd] * 5, name=name)]
STRUCK = [(52, "clean"), (55, "clean"), (41, "fat"), (60, "thin"), (54, "")]


def after(struck: list[tuple[float | None, str]], judged_by: str = "monitor") -> Replayed:
    state = state_of(pool(bag(), CLOSED, stated()), 16)
    return replay(state, [[Heard(9, None if yd is None else yd * YARD_M, how, judged_by) for yd, how in struck]])


def test_it_stays_close_to_the_full_answer_in_every_cell() -> None:
    opened = visit(9, [yd for yd, _ in STRUCK], [how for _, how in STRUCK], name=7, age_days=0.0)
    full = pool(bag(), CLOSED + opened, stated())
    np.testing.assert_allclose(np.exp(after(STRUCK).m), np.exp(full.m), atol=0.3 * YARD_M)
    np.testing.assert_allclose(after(STRUCK).v, np.diag(full.V), rtol=0.25)


def test_it_is_the_dense_gaussian_answer_for_the_weights_found() -> None:
    """Source: the conditional mean and covariance of a joint normal distribution, written out here."""
    state = state_of(pool(bag(), CLOSED, stated()), 16)
    found = after(STRUCK)
    w = np.array(found.weights[0])
    y = np.log([yd * YARD_M for yd, _ in STRUCK])
    at = [9, 16]  # the cell and the monitor, the one way in use
    shared = state.omega_a2 + state.omega_b2
    spread = state.V[np.ix_(at, at)].sum() + shared + np.diag(state.s2[9] / w)
    gain = np.linalg.solve(spread, np.tile(state.V[:16, at].sum(axis=1), (len(y), 1))).T
    np.testing.assert_allclose(found.m, state.m[:16] + gain @ (y - state.m[at].sum()), atol=1e-12)
    left = np.diag(state.V)[:16] - gain.sum(axis=1) * state.V[:16, at].sum(axis=1)
    np.testing.assert_allclose(found.v, left, atol=1e-12)


def test_one_ball_moves_every_cell() -> None:
    state = state_of(pool(bag(), CLOSED, stated()), 16)
    assert np.all(np.abs(after([(58, "clean")]).m - state.m[:16]) > 1e-5)


def test_no_open_visit_leaves_the_numbers_as_they_were() -> None:
    state = state_of(pool(bag(), CLOSED, stated()), 16)
    np.testing.assert_array_equal(replay(state, []).m, state.m[:16])
    assert after([(None, "clean"), (20, "shank")]).weights == ((0.0, 0.0),)


def test_a_ball_by_eye_tells_less() -> None:
    measured, by_eye = after([(58, "clean")]), after([(58, "clean")], "eye")
    assert measured.m[9] > by_eye.m[9] + 0.001


def test_the_state_survives_the_way_to_the_phone() -> None:
    state = state_of(pool(bag(), CLOSED, stated()), 16)
    again = read(plain(state))
    np.testing.assert_array_equal(again.V, state.V)
    np.testing.assert_array_equal(again.m, state.m)
    assert (again.ways, again.omega_a2, again.omega_b2, again.pi) == (
        state.ways,
        state.omega_a2,
        state.omega_b2,
        state.pi,
    )


@pytest.mark.parametrize(("cells", "most"), [(16, 612 * 4 / 3 + 4), (50, 5304 * 4 / 3 + 4)])
def test_the_triangle_is_small(cells: int, most: float) -> None:
    V = np.diag(np.full(cells + 1, 0.02**2))
    assert len(packed(V)) <= most
    np.testing.assert_allclose(unpacked(packed(V), cells + 1), V, rtol=1e-7)
    assert math.isclose(unpacked(packed(V), cells + 1)[3, 3], 0.0004, rel_tol=1e-7)
