"""Whether the numbers have moved."""

import math
from dataclasses import replace

import numpy as np
import pytest

from tests.core.estimate_players import bag, stated, visit
from webapp.estimate.balls import Ball, EyeCheck
from webapp.estimate.drift import charts, ewma, ewma_limit, verdict
from webapp.estimate.model import Options
from webapp.estimate.pool import pool


def book(steps: list[float], clubs: tuple[int, ...] = (9, 1), seed: int = 3):
    rng = np.random.default_rng(seed)
    balls = []
    for name, step in enumerate(steps):
        for cell, yd in zip(clubs, (50, 80), strict=False):
            carries = yd * step * np.exp(rng.normal(0, 0.05, 10))
            balls += visit(cell, carries.tolist(), name=name, age_days=7.0 * (len(steps) - name))
    return balls


def rung(balls, **options):
    return {chart.club: chart.rung_at is not None for chart in charts(pool(bag(), balls, stated(), Options(**options)))}


def test_quiet_numbers_do_not_ring():
    assert rung(book([1.0] * 20)) == {None: False, "46": False, "56": False}


def test_a_step_that_lasts_rings():
    assert rung(book([1.0] * 15 + [0.9] * 15))[None]


def test_one_club_that_moved_rings_for_that_club():
    moved = book([1.0] * 15 + [0.88] * 15, clubs=(9,)) + book([1.0] * 30, clubs=(1,))
    found = rung(moved)
    assert found["56"]
    assert not found["46"]


def test_a_marked_change_starts_the_chart_afresh():
    balls = book([1.0] * 15 + [0.9] * 15)
    assert rung(balls)[None]
    after = charts(pool(bag(), balls, stated(), Options(moved_age_days=dict.fromkeys(range(len(bag())), 7.0 * 15))))[0]
    assert len(after.levels) == 30


def by_eye_at_first(steps: list[float], visits: int, eye: float = 1.07) -> list[Ball]:
    """The first visits judged by an eye that sees too long, the others measured."""
    balls = book(steps)
    ages = sorted({ball.age_days for ball in balls}, reverse=True)[:visits]
    return [
        replace(ball, carry_m=(ball.carry_m or 0) * eye, judged_by="eye") if ball.age_days in ages else ball
        for ball in balls
    ]


def test_who_begins_to_measure_what_was_judged_by_eye_has_not_moved():
    assert rung(by_eye_at_first([1.0] * 30, 15)) == {None: False, "46": False, "56": False}


def test_a_step_after_the_eye_was_given_up_rings():
    assert rung(by_eye_at_first([1.0] * 15 + [0.9] * 15, 8))[None]


def test_eye_checks_part_a_step_from_the_eye_that_was_given_up_with_it():
    balls = by_eye_at_first([1.0] * 15 + [0.9] * 15, 15)
    checks = [EyeCheck(53.5, 50.0)] * 30
    rings = [charts(pool(bag(), balls, stated(), eye_checks=some))[0].rung_at is not None for some in ((), checks)]
    assert rings == [False, True]


def test_a_book_without_balls_has_an_empty_chart():
    (chart,) = charts(pool(bag(), []))
    assert chart.levels == ()
    assert chart.rung_at is None


def test_the_average_is_exponentially_weighted():
    assert ewma([1.0, 0.0, 0.0], 0.5) == [0.5, 0.25, 0.125]
    assert ewma_limit(1.0, 3.0) == pytest.approx(3.0)


@pytest.mark.parametrize(("later", "word"), [(50.5, "no sign"), (51.8, "perhaps"), (54.0, "moved"), (46.0, "moved")])
def test_the_verdict_weighs_visits(later, word):
    found = verdict([[50.0] * 10] * 3, [[later] * 10] * 3, 0.05)
    assert found.word == word
    assert found.change_m == pytest.approx(later - 50)
    error = math.sqrt(2 / 3 * (2 * 0.02**2 + 0.05**2 / 10))
    assert found.error_m == pytest.approx(error * math.sqrt(50 * later), rel=1e-6)


def test_one_visit_says_less_than_three():
    one, three = verdict([[50.0] * 30], [[52.0] * 30], 0.05), verdict([[50.0] * 10] * 3, [[52.0] * 10] * 3, 0.05)
    assert one.error_m > 1.5 * three.error_m


def test_a_period_without_balls_gives_no_verdict():
    assert verdict([], [[50.0]], 0.05) is None
    assert verdict([[50.0]], [[]], 0.05) is None
