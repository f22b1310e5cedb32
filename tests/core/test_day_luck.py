"""How much a day moves numbers, out of the visits of each period."""

import numpy as np
import pytest

from tests.core.test_period import CELL, a_shot
from webapp.trends.day_luck import ASSUMED_VARIANCE, ASSUMED_WORTH, day_variance

BALLS = 200


def visits(days: dict[int, float], **more: object) -> list[dict[str, object]]:
    """A visit of many balls on each of these days of May, each ball at this carry [yd]."""
    return [
        a_shot(f"2025-05-{day:02d}", carry_yd, id=f"{day} {at} {more}", **more)
        for day, carry_yd in days.items()
        for at in range(BALLS)
    ]


def test_of_days_and_balls_it_is_the_variance_of_days() -> None:
    """Source: the variance of the means by numpy, less what balls of 5% add to means of so many."""
    days = {1: 58.0, 2: 61.0, 3: 60.0, 4: 64.0, 5: 59.5}
    sample = float(np.var(np.log(list(days.values())), ddof=1)) - 0.05**2 / BALLS
    expected = (ASSUMED_WORTH * ASSUMED_VARIANCE + 4 * sample) / (ASSUMED_WORTH + 4)
    assert day_variance([visits(days)], {CELL: 0.05}) == pytest.approx(expected)


def test_what_changed_between_periods_is_no_luck_of_days() -> None:
    before, after = visits({1: 60.0, 2: 60.0}), visits({3: 80.0, 4: 80.0})
    assert day_variance([before, after], {CELL: 0.05}) < ASSUMED_VARIANCE
    assert day_variance([before + after], {CELL: 0.05}) > 4 * ASSUMED_VARIANCE


@pytest.mark.parametrize("days", [{}, {1: 60.0}])
def test_one_day_tells_nothing_of_days(days: dict[int, float]) -> None:
    assert day_variance([visits(days)], {CELL: 0.05}) == ASSUMED_VARIANCE


def test_mishits_and_numbers_that_the_card_lacks_say_nothing() -> None:
    days = visits({1: 58.0, 2: 61.0})
    other = visits({1: 30.0, 2: 90.0}, swing_deg=135.0)
    mishit = [a_shot("2025-05-01", 20, id="mishit")]
    told = day_variance([days], {CELL: 0.05})
    assert day_variance([days + other], {CELL: 0.05}) == told
    assert day_variance([days + mishit], {CELL: 0.05}, {"mishit"}) == told
    assert day_variance([days + mishit], {CELL: 0.05}) != told
