"""Books that no honest player has: the numbers stay finite and their ranges honest."""

import numpy as np
import pytest

from tests.core.estimate_players import bag, stated, visit
from webapp.estimate.balls import Ball
from webapp.estimate.figures import figures
from webapp.estimate.pool import Pooled, pool

NINE = 9


def sound(pooled: Pooled) -> bool:
    """Every number is finite, every range holds its number, every variance lies above 0."""
    numbers = [value for cell in figures(pooled) for value in vars(cell).values() if isinstance(value, float)]
    held = all(cell.typical_low_m <= cell.typical_carry_m <= cell.typical_high_m for cell in figures(pooled))
    return bool(np.all(np.isfinite(numbers)) and held and np.all(np.diag(pooled.V) > 0) and np.isfinite(pooled.trend))


def pooled_of(balls: list[Ball]) -> Pooled:
    return pool(bag(), balls, stated())


BOOKS = {
    "a thousand visits": [b for v in range(1000) for b in visit(v % 16, [50 + v % 7], name=v, age_days=1000.0 - v)],
    "one ball a visit for eight years": [b for v in range(100) for b in visit(NINE, [50], name=v, age_days=29.0 * v)],
    "all from the future": [b for v in range(4) for b in visit(NINE, [50] * 5, name=v, age_days=-900.0 + v)],
    "thirty years old": [b for v in range(4) for b in visit(NINE, [50] * 5, name=v, age_days=11000.0 + v)],
    "all mishits": [b for v in range(4) for b in visit(NINE, [20, 31, 12, 44, 27], "fat", name=v)],
    "all shanks": [b for v in range(4) for b in visit(NINE, [20] * 5, "shank", name=v)],
    "all by eye": [b for v in range(4) for b in visit(NINE, [50] * 5, name=v, judged_by="eye")],
    "all unseen": [b for v in range(4) for b in visit(NINE, [None] * 5, name=v)],
    "one carry for every swing": [b for v in range(3) for c in range(16) for b in visit(c, [60] * 4, name=v)],
    "carries from 1 to 400": [b for v in range(3) for b in visit(NINE, [1, 400, 3, 250, 1], name=v)],
    "a carry of a thousandth of a millimetre": visit(NINE, [50, 54, 1e-6, 52]),
    "the smallest number for a carry": visit(NINE, [50, 54, 1e-320, 52]),
    "fifty balls alike": [b for v in range(5) for b in visit(NINE, [50] * 10, name=v)],
}


@pytest.mark.parametrize("book", list(BOOKS))
def test_every_number_is_finite_and_in_its_range(book: str) -> None:
    assert sound(pooled_of(BOOKS[book]))


def test_a_number_by_eye_alone_is_wider_than_a_measured_one() -> None:
    by_eye, measured = figures(pooled_of(BOOKS["all by eye"])), figures(pooled_of(BOOKS["fifty balls alike"]))
    assert by_eye[NINE].half_width_m > 1.5 * measured[NINE].half_width_m


def test_an_age_of_thirty_years_leaves_a_wide_range() -> None:
    old, young = figures(pooled_of(BOOKS["thirty years old"])), figures(pooled_of(BOOKS["fifty balls alike"]))
    assert old[NINE].trust == "old"
    assert old[NINE].half_width_m > 3 * young[NINE].half_width_m
