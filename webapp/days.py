"""How a day is written for a reader.

Knows moments and no page; a coach's page, which shows weeks, writes its own.
"""

from .moments import days_between, moment_of

SOON_DAYS = 2  # what ends sooner is used by the hour, as a tablet for one lesson


def day(moment: str) -> str:
    """A moment's day: "1 May 2025"."""
    at = moment_of(moment)
    return f"{at.day} {at:%B %Y}" if len(f"{at:%B}") <= 4 else f"{at.day} {at:%b %Y}"


def minute(moment: str) -> str:
    """A moment's day and minute: "1 May 2025, 14:20"."""
    return f"{day(moment)}, {moment_of(moment):%H:%M}"


def end_of(end: str, now: str) -> str:
    """When something ends: "8 May 2025", and within two days with its minute, "1 May 2025, 14:20"."""
    return minute(end) if days_between(now, end) < SOON_DAYS else day(end)


def day_in(moment: str, now: str) -> str:
    """A moment's day in a narrow column: "22 Nov", with its year when that is not the year of `now`."""
    at = moment_of(moment)
    return day_and_month(moment) if at.year == moment_of(now).year else f"{at.day} {at:%b %Y}"


def day_and_month(moment: str) -> str:
    """A moment's day without its year: "22 Nov"."""
    at = moment_of(moment)
    return f"{at.day} {at:%b}"


def weekday(day: str) -> str:
    """A day of the calendar (2026-11-29) with its weekday: "Sunday 29 November"."""
    at = moment_of(f"{day}T00:00:00.000Z")
    return f"{at:%A} {at.day} {at:%B}"
