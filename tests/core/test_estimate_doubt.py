"""Entries that look like a slip of the finger."""

import math
from dataclasses import replace

import pytest

from tests.core.estimate_players import bag, stated, visit
from webapp.estimate.doubt import doubtful, doubtful_balls
from webapp.estimate.pool import Pooled, pool
from webapp.units import YARD_M

GOOD = (48, 52, 44, 50, 46, 53, 43, 48, 51, 45)


@pytest.fixture
def known() -> Pooled:
    """A cell that carries 48 yd with a spread near 4 yd."""
    return pool(bag(), [ball for bucket in range(4) for ball in visit(9, GOOD, bucket=bucket)], stated())


def test_it_says_how_many_spreads_an_entry_is_away(known):
    """F9: cell 48, spread 4, entry 74 is 6.5 spreads away."""
    m, sigma = known.m.copy(), known.sigma.copy()
    m[9], sigma[9] = math.log(48 * YARD_M), 4 / 48
    example = replace(known, m=m, sigma=sigma)
    assert doubtful(example, 9, 74 * YARD_M, "yd").spreads_away == pytest.approx(6.5)
    assert doubtful(example, 9, 74 * YARD_M, "yd").suggested_m == pytest.approx(47 * YARD_M)


@pytest.mark.parametrize("entry", [74, 470])
def test_it_offers_the_number_that_was_meant(known, entry):
    doubt = doubtful(known, 9, entry * YARD_M, "yd")
    assert doubt.ring
    assert round(doubt.suggested_m / YARD_M) == 47


def test_a_missing_digit_is_put_back_where_it_fits(known):
    doubt = doubtful(known, 9, 7 * YARD_M, "yd")
    assert doubt.ring
    assert round(doubt.suggested_m / YARD_M) == 47


def test_digits_are_those_of_the_unit_the_player_reads(known):
    """48 yd is 44 m: 34 typed as 43 does not ring, 440 does."""
    assert not doubtful(known, 9, 43.0, "m").ring
    assert doubtful(known, 9, 440.0, "m").suggested_m == pytest.approx(44.0)


@pytest.mark.parametrize("entry", [40, 48, 56])
def test_ordinary_balls_get_no_ring(known, entry):
    assert doubtful(known, 9, entry * YARD_M, "yd").suggested_m is None


def test_a_far_ball_that_no_slip_explains_gets_no_ring(known):
    assert not doubtful(known, 9, 22 * YARD_M, "yd").ring


def test_a_stored_ball_is_judged_without_itself():
    balls = [*visit(9, [*GOOD, 74]), *visit(9, GOOD, bucket=1)]
    found = doubtful_balls(pool(bag(), balls, stated()), "yd")
    assert list(found) == [10]
    assert round(found[10].suggested_m / YARD_M) == 47


def test_a_book_without_balls_has_no_ring():
    assert doubtful_balls(pool(bag(), []), "yd") == {}
