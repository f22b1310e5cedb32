"""The rows of tests/bench/changing.py in a short form, with fixed seeds; the bench prints the full table.

The bands are wider than the bench's, because a dozen players vary more than two hundred.
"""

import pytest

from tests.bench import changing
from tests.bench.changing import Seen

ROWS = {row.name: row for row in changing.ROWS}


def measured(name: str) -> tuple[Seen, Seen, list[float]]:
    return changing.measured(ROWS[name], 14, 41)


@pytest.mark.parametrize(("name", "most"), [("steady, 12 in 3 visits", 1.08), ("+10% in 180 days", 0.70)])
def test_who_stays_loses_nothing_and_who_gains_is_followed(name: str, most: float) -> None:
    before, now, _ = measured(name)
    assert now.figures[0] <= most * before.figures[0]
    assert now.figures[1] >= 0.70


def test_an_eye_that_sees_too_long_is_found_out_by_ten_checks() -> None:
    before, now, eyes = measured("eye +6%, ten checks")
    assert before.figures[1] < 0.3
    assert now.figures[1] >= 0.72
    assert abs(sum(eyes) / len(eyes) - 0.058) <= 0.02
    assert now.figures[3] <= 0.09
