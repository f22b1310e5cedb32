"""How a day is written for a reader."""

import pytest

from webapp.days import end_of

NOW = "2025-05-01T09:30:00.000Z"


@pytest.mark.parametrize(
    ("end", "written"),
    [
        ("2025-05-01T15:30:00.000Z", "1 May 2025, 15:30"),
        ("2025-05-03T09:29:59.000Z", "3 May 2025, 09:29"),
        ("2025-05-03T09:30:00.000Z", "3 May 2025"),
        ("2025-05-01T23:30:00.000", "1 May 2025, 23:30"),
    ],
)
def test_what_ends_within_two_days_is_told_to_the_minute(end: str, written: str) -> None:
    assert end_of(end, NOW) == written
