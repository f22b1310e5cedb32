"""A day and a time of day in a table from anywhere, in one of three orders, which are asked for when in doubt.

Knows no clock and no column; what is told without an offset from UTC is the player's own clock.
"""

import re
from collections.abc import Mapping
from datetime import date, datetime, time, timedelta
from functools import lru_cache
from typing import NamedTuple
from unicodedata import normalize

ORDERS = {"ymd": "year, month, day", "dmy": "day, month, year", "mdy": "month, day, year"}
# How the names of the months begin in English, German, Spanish, French, Italian, Portuguese and Dutch, without accents.
_MONTHS = (
    ("jan", "ene", "gen"), ("feb", "fev"), ("mar", "maa", "mrt", "mrz"), ("apr", "abr", "avr"),
    ("may", "mai", "mei", "mag"), ("jun", "juin", "giu"), ("jul", "juil", "lug"), ("aug", "ago", "aou"),
    ("sep", "set"), ("oct", "okt", "ott", "out"), ("nov",), ("dec", "dez", "dic"),
)  # fmt: skip
_PLACES = {"ymd": (0, 1, 2), "dmy": (2, 1, 0), "mdy": (2, 0, 1)}  # where year, month and day stand
_NUMBERS = re.compile(r"([0-9]{1,4})([-/. ])([0-9]{1,2})\2([0-9]{1,4})")
_NAMED = re.compile(
    r"(?:([0-9]{1,2})[-/. ]{0,2}(?:de )?([^\W\d_]{3,10})|([^\W\d_]{3,10})\.? ([0-9]{1,2}))"
    r"(?: de |[-/,. ]{1,2})([0-9]{4}|[0-9]{2})"
)
_DAY_AND_CLOCK = re.compile(r"(.+?)(?:[T, ]+([0-9]{1,2}:[0-9]{2}.*))?")
_CLOCK = re.compile(
    r"([0-9]{1,2}):([0-9]{2})(?::([0-9]{2})(?:[.,]([0-9]{1,9}))?)?\s*([AaPp])?\.?(?:[Mm]\.?)?\s*(Z|[+-][0-9]{2}:?[0-9]{2})?"
)
_SHORTEST, _LONGEST = 6, 60
_CENTURY = 2000  # of a year of two digits


class Told(NamedTuple):
    """What a cell says of when: a day, a time of day or none, minutes ahead of UTC or none, whether to the second."""

    day: date
    clock: time | None
    ahead_min: int | None
    to_the_second: bool

    def moment(self) -> datetime:
        """The moment in UTC as a plain datetime; midday where no time of day is told.

        Midday, since midnight would join a day's balls to those of the evening before. ValueError where no calendar
        goes so far.
        """
        clock = datetime.combine(self.day, self.clock or time(12))
        try:
            return clock - timedelta(minutes=self.ahead_min or 0)
        except OverflowError as error:
            raise ValueError("its time is beyond the calendar") from error


def told(text: str, order: str, clock: str = "") -> Told:
    """What a cell says in an order of ORDERS; `clock` is a cell of its own for the time of day.

    A year of four digits that comes first, or a month by its name, needs no order. ValueError with what is wrong.
    """
    parts = _DAY_AND_CLOCK.fullmatch(text.strip()) if len(text) <= _LONGEST else None
    day = day_told(parts[1], order) if parts else None
    if day is None:
        raise ValueError(f"must be a day, such as 2025-05-01, not {text[:30]!r}")
    hours = clock.strip() or (parts[2] if parts else "")
    if not hours:
        return Told(day, None, None, False)
    return Told(day, *_clock(hours))


def pattern(text: str) -> str:
    """How a day's text reads in the orders of ORDERS, a sign each: the same sign is the same day, "-" none.

    "" is no day; 05/06/2025 is "-01", 13/06/2025 "-0-", and 2025-06-05 "000".
    """
    parts = _DAY_AND_CLOCK.fullmatch(text.strip()) if _SHORTEST <= len(text) <= _LONGEST else None
    return _pattern_of_day(parts[1]) if parts else ""


def says_time(text: str) -> bool:
    """Whether a text is a time of day, or a day with one."""
    if ":" not in text or len(text) > _LONGEST:
        return False
    parts = _DAY_AND_CLOCK.fullmatch(text.strip())
    return bool(_CLOCK.fullmatch(text.strip()) or (parts and parts[2] and _pattern_of_day(parts[1])))


def orders_of(patterns: Mapping[str, int]) -> tuple[str, ...]:
    """The order of a column's days, from its patterns and how often each stands; several where they are in doubt.

    It is the one in which the most cells are days; of several that say the same of every cell, any will do.
    """
    read = {
        order: sum(times for pattern, times in patterns.items() if pattern[at] != "-")
        for at, order in enumerate(ORDERS)
    }
    most = max(read.values())
    best = [at for at, times in enumerate(read.values()) if times == most]
    in_doubt = any(len({pattern[at] for at in best}) > 1 for pattern in patterns)
    return tuple(tuple(ORDERS)[at] for at in (best if in_doubt else best[:1]))


@lru_cache(4096)
def day_told(text: str, order: str) -> date | None:
    """The day that a text says in an order; None where it says none."""
    if named := _NAMED.fullmatch(text):
        name = normalize("NFKD", (named[2] or named[3]).lower()).encode("ascii", "ignore").decode()
        month = next((at for at, begun in enumerate(_MONTHS, 1) if name.startswith(begun)), 0)
        return _day(named[5], month, int(named[1] or named[4]))
    numbers = _NUMBERS.fullmatch(text)
    if not numbers:
        return None
    parts = (numbers[1], numbers[3], numbers[4])
    if len(parts[0]) > 2:
        order = "ymd"
    year, in_year, in_month = (parts[place] for place in _PLACES[order])
    if len(in_month) > 2 or len(in_year) > 2:
        return None
    return _day(year, int(in_year), int(in_month))


@lru_cache(4096)
def _pattern_of_day(text: str) -> str:
    days = [day_told(text, order) for order in ORDERS]
    told = list(dict.fromkeys(day for day in days if day))
    return "".join(str(told.index(day)) if day else "-" for day in days) if told else ""


def _day(year: str, month: int, day: int) -> date | None:
    if len(year) not in (2, 4):
        return None
    try:
        return date(int(year) + (_CENTURY if len(year) == 2 else 0), month, day)
    except ValueError:
        return None


def _clock(text: str) -> tuple[time, int | None, bool]:
    found = _CLOCK.fullmatch(text.strip())
    try:
        if not found:
            raise ValueError
        hour, half = int(found[1]), (found[5] or "").lower()
        if half:
            if not 1 <= hour <= 12:
                raise ValueError
            hour = hour % 12 + (12 if half == "p" else 0)
        clock = time(hour, int(found[2]), int(found[3] or 0), int((found[4] or "0")[:6].ljust(6, "0")))
    except ValueError as error:
        raise ValueError(f"must be a time of day, such as 9:30 or 14:05:30, not {text[:20]!r}") from error
    return clock, _ahead_min(found[6] or ""), found[3] is not None


def _ahead_min(text: str) -> int | None:
    if not text:
        return None
    if text == "Z":
        return 0
    minutes = int(text[1:3]) * 60 + int(text[-2:])
    return -minutes if text[0] == "-" else minutes
