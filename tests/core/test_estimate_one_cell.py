"""The rule by which a phone without signal moves a cell, and its shared cases."""

import json
import math

import numpy as np
import pytest

from tests.core.estimate_players import bag, stated, visit
from tests.vectors import HERE, read
from webapp.estimate.balls import Balls
from webapp.estimate.one_cell import OneCell, one_cell, replay
from webapp.estimate.pool import pool
from webapp.units import YARD_M

BY_NAME = {case["name"]: case["args"] for case in read(HERE / "cell" / "replay.json").cases}


def answer(name):
    state, buckets = BY_NAME[name]
    return replay(OneCell(**state), [[(ball["carry_m"], ball["contact"]) for ball in balls] for balls in buckets])


@pytest.mark.parametrize(
    ("name", "carry_yd", "sd_percent", "weights"),
    [
        ("one clean ball", 50.4954, 2.7344, [0.9905]),
        ("one clean ball far short", 49.8042, 2.9785, [0.0587]),
        ("one fat ball", 49.9263, 2.9453, [0.1550]),
        (
            "ten balls of one bucket",
            51.6980,
            2.2700,
            [0.9888, 0.9912, 0.9593, 0.9906, 0.9899, 0.9866, 0.0003, 0.9904, 0.6562, 0.9872],
        ),
    ],
)
def test_it_gives_the_figures_worked_out_beforehand(name, carry_yd, sd_percent, weights):
    """Source: worked out with the design of the rule, before this code."""
    found = answer(name)
    assert math.exp(found.m) / YARD_M == pytest.approx(carry_yd, abs=5e-5)
    assert 100 * math.sqrt(found.v) == pytest.approx(sd_percent, abs=5e-5)
    assert list(found.weights[0]) == pytest.approx(weights, abs=5e-5)


def test_several_buckets_are_exact_for_the_weights_found():
    """Source: the dense Gaussian answer for one level, a shift per bucket and the same weights, written out here."""
    name = "the same ten balls in three buckets"
    told, buckets = BY_NAME[name]
    found, state = answer(name), OneCell(**told)
    y = np.log([ball["carry_m"] for balls in buckets for ball in balls])
    w = np.array([weight for weights in found.weights for weight in weights])
    bucket = np.repeat([0, 1, 2], [len(balls) for balls in buckets])
    covariance = state.v0 + state.omega2 * (bucket[:, None] == bucket) + np.diag(state.s2 / w)
    gain = np.linalg.solve(covariance, np.full(len(y), state.v0))
    assert found.m == pytest.approx(state.m0 + gain @ (y - state.m0), abs=1e-12)
    assert found.v == pytest.approx(state.v0 - state.v0 * gain.sum(), abs=1e-12)


def test_no_open_bucket_leaves_the_cell_as_it_was():
    name = "no open bucket"
    state, _ = BY_NAME[name]
    assert answer(name).m == state["m0"]
    assert answer(name).v == state["v0"]


def test_it_stays_close_to_the_full_answer():
    closed = [ball for b in range(3) for ball in visit(9, [47, 49, 46, 50, 48, 30], ["clean"] * 5 + ["fat"], name=b)]
    opened = visit(9, [50, 51, 38, 49], ["clean", "clean", "heavy", ""], name=7)
    balls = Balls.from_list(closed + opened)
    state = one_cell(pool(bag(), balls.without({7}), stated()), 9)
    rule = replay(state, [[(ball.carry_m, ball.contact) for ball in opened]])
    full = pool(bag(), balls, stated())
    assert math.exp(rule.m) == pytest.approx(math.exp(full.m[9]), abs=0.5 * YARD_M)
    assert rule.v == pytest.approx(full.V[9, 9], rel=0.25)


def test_the_state_of_a_cell_is_plain_numbers():
    state = one_cell(pool(bag(), visit(9, [48] * 3), stated()), 9)
    assert set(state.pi) == {"clean", "heavy", "thin", "fat", "bladed", ""}
    assert json.loads(json.dumps(vars(state))) == vars(state)
