"""Moments as they stand in facts."""

from datetime import UTC, datetime, timedelta, timezone

import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.fields import is_moment
from webapp.moments import days_between, just_after, local, moment_of, moved, text_of

moments = st.datetimes(datetime(1, 1, 2), datetime(9998, 12, 31)).map(lambda moment: moment.replace(tzinfo=UTC))


def test_a_moment_is_written_in_utc_with_milliseconds() -> None:
    at = datetime(2025, 5, 1, 11, 30, 0, 123_999, timezone(timedelta(hours=2)))
    assert text_of(at) == "2025-05-01T09:30:00.123Z"


@pytest.mark.parametrize("text", ["2025-05-01T09:30:00.000Z", "2025-05-01 09:30", "2025-05-01T11:30:00+02:00"])
def test_a_moment_is_read_from_iso_8601_and_without_an_offset_as_utc(text: str) -> None:
    assert moment_of(text) == datetime(2025, 5, 1, 9, 30, tzinfo=UTC)


@pytest.mark.parametrize("text", ["", "yesterday", "2025-02-30", "9:00"])
def test_what_is_no_moment_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match=r"\w"):
        moment_of(text)


@given(moments)
def test_what_is_written_is_a_facts_moment_and_read_back_to_the_millisecond(moment: datetime) -> None:
    text = text_of(moment)
    assert is_moment(text)
    assert timedelta() <= moment - moment_of(text) < timedelta(milliseconds=1)


@given(moments)
def test_just_after_is_later_also_as_text(moment: datetime) -> None:
    text = text_of(moment)
    assert just_after(text) > text
    assert moment_of(just_after(text)) - moment_of(text) == timedelta(milliseconds=1)


@given(moments, moments)
def test_texts_are_ordered_as_their_moments_are(one: datetime, other: datetime) -> None:
    first, second = text_of(one), text_of(other)
    assert (first < second) == (moment_of(first) < moment_of(second))


def test_days_are_counted_and_never_below_nothing() -> None:
    assert days_between("2025-05-01T00:00:00.000Z", "2025-07-01T12:00:00.000Z") == 61.5
    assert days_between("2099-01-01T00:00:00.000Z", "2025-07-01T12:00:00.000Z") == 0


def test_a_moment_is_moved_by_days_and_minutes() -> None:
    assert moved("2024-02-28T23:59:00.000Z", days=1, minutes=2) == "2024-03-01T00:01:00.000Z"


@pytest.mark.parametrize(
    ("ahead_min", "shows"),
    [
        (None, "2025-05-02T01:30:00.000"),
        (0, "2025-05-02T01:30:00.000"),
        (-420, "2025-05-01T18:30:00.000"),
        (345, "2025-05-02T07:15:00.000"),
    ],
)
def test_it_reads_a_moment_on_the_players_clock(ahead_min: int | None, shows: str) -> None:
    assert local("2025-05-02T01:30:00.000Z", ahead_min) == shows


def test_where_the_calendar_ends_the_moments_own_clock_stands() -> None:
    assert local("9999-12-31T23:30:00.000Z", 780) == "9999-12-31T23:30:00.000"
    assert local("0001-01-01T00:30:00.000Z", -480) == "0001-01-01T00:30:00.000"
