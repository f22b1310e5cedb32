"""Moments in time as they stand in facts: UTC, ISO 8601, milliseconds, Z.

Reads no clock; the present comes in as an argument.
"""

from collections.abc import Iterable
from datetime import UTC, datetime, timedelta


def text_of(moment: datetime) -> str:
    """The text of an aware moment, such as 2025-05-01T09:30:00.000Z."""
    return moment.astimezone(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


def moment_of(text: str) -> datetime:
    """The aware moment of an ISO 8601 text; a text without an offset is read as UTC; ValueError when it is none."""
    moment = datetime.fromisoformat(text)
    return moment if moment.tzinfo else moment.replace(tzinfo=UTC)


def days_between(earlier: str, later: str) -> float:
    """Days [d] from one moment's text to another's, never below 0: a clock that runs ahead makes nothing younger."""
    return max(0.0, (moment_of(later) - moment_of(earlier)) / timedelta(days=1))


def ages_days(texts: Iterable[str], now: str) -> list[float]:
    """What `days_between` says of each of many moments and the present."""
    end, day = moment_of(now), timedelta(days=1)
    return [max(0.0, (end - moment_of(text)) / day) for text in texts]


def moved(text: str, **by: float) -> str:
    """A moment's text moved by `timedelta` arguments, such as days=14."""
    return text_of(moment_of(text) + timedelta(**by))


def local(text: str, utc_offset_min: int | None) -> str:
    """What the player's own clock showed at a moment, such as 2025-05-01T02:30:00.000.

    `utc_offset_min` None counts as 0, and where the calendar ends the moment's own clock stands. The text has no Z,
    since it is no moment; such texts compare as their clocks do.
    """
    try:
        return (moved(text, minutes=utc_offset_min) if utc_offset_min else text).removesuffix("Z")
    except OverflowError:
        return text.removesuffix("Z")


def just_after(text: str) -> str:
    """The next millisecond."""
    return moved(text, milliseconds=1)
