"""The kinds of value a fact's body may hold, each with its range and its plain sentence when a value does not fit.

Knows no particular fact; which field belongs to which kind of fact is said in facts.py.
"""

import json
import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from .units import LENGTH_M, within

TIME_FORMAT = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}:[0-9]{2}\.[0-9]{3}Z")
_UUID = re.compile(r"[0-9a-fA-F]{8}(?:-[0-9a-fA-F]{4}){3}-[0-9a-fA-F]{12}")
MOST_LEVELS = 100  # what reads JSON goes one call deeper a level, and Python ends at a thousand
LAST_YEAR = 9998  # a correction is made later than what it corrects, so the calendar's last year is not taken
# Half of a surrogate pair, which JSON can say and UTF-8 cannot, is no text either.
_MARKUP = re.compile(r"[<>\x00-\x1f\x7f\ud800-\udfff]")


@dataclass(frozen=True)
class Field:
    """One named value of a body: `misfit` says in plain words what is wrong with a value, or "" when it fits."""

    label: str
    misfit: Callable[[Any], str]
    required: bool = False
    default: Any = None
    low: float | None = None
    high: float | None = None
    choices: tuple[str, ...] = ()


def number(label: str, low: float, high: float, unit: str = "", required: bool = False) -> Field:
    """A finite number from `low` to `high`; null is allowed unless required."""
    return _ranged(label, low, high, f"{low:g} to {high:g}{' ' + unit if unit else ''}", required)


def length(label: str, low_m: float, high_m: float, required: bool = False) -> Field:
    """A length in metres; its sentence names the range in every unit, since a fact knows no reader's unit."""
    usual, *others = ((*within(low_m, high_m, unit), unit) for unit in LENGTH_M)
    low, high, unit = usual
    told = (f"{also} {name}" if low == least else f"{least} to {also} {name}" for least, also, name in others)
    return _ranged(label, low_m, high_m, f"{low} to {high} {unit} ({', '.join(told)})", required)


def whole(label: str, low: int, high: int, required: bool = False) -> Field:
    """A whole number from `low` to `high`."""

    def misfit(value: Any) -> str:
        fits = isinstance(value, int) and not isinstance(value, bool) and low <= value <= high
        return "" if fits else f"must be a whole number from {low} to {high}"

    return Field(label, _or_null(misfit, required), required, None, low, high)


def text(label: str, longest: int = 40, required: bool = False) -> Field:
    """Plain text without markup or control characters, at most `longest` characters."""

    def misfit(value: Any) -> str:
        if not isinstance(value, str):
            return "must be text"
        if required and not value.strip():
            return "must not be empty"
        if len(value) > longest:
            return f"must be at most {longest} characters"
        return "must not hold < or > or control characters" if _MARKUP.search(value) else ""

    return Field(label, misfit, required, "", high=longest)


def choice(label: str, choices: tuple[str, ...], default: str = "", required: bool = False) -> Field:
    """One of a few words; the default counts as one of them."""
    allowed = tuple(dict.fromkeys((*choices, default))) if not required else choices

    def misfit(value: Any) -> str:
        fits = isinstance(value, str) and value in allowed
        return "" if fits else f"must be one of: {', '.join(word or '(empty)' for word in allowed)}"

    return Field(label, misfit, required, default, choices=allowed)


def flag(label: str, default: bool | None = False) -> Field:
    """True or false."""
    return Field(label, lambda value: "" if isinstance(value, bool) else "must be true or false", False, default)


def identity(label: str, required: bool = True) -> Field:
    """A UUID as text; empty text is allowed where it is not required."""

    def misfit(value: Any) -> str:
        if value == "" and not required:
            return ""
        return "" if is_uuid(value) else "must be the id of a fact (a UUID)"

    return Field(label, misfit, required, "")


def moment(label: str, required: bool = False) -> Field:
    """A time as UTC ISO 8601 with milliseconds and Z."""

    def misfit(value: Any) -> str:
        return "" if is_moment(value) else "must be a UTC time such as 2025-05-01T09:30:00.000Z"

    return Field(label, _or_null(misfit, required), required)


def day(label: str) -> Field:
    """A day of the calendar as 2025-05-01, or empty text."""
    return Field(
        label, lambda value: "" if value == "" or is_day(value) else "must be a day such as 2025-05-01", False, ""
    )


def plain(label: str, longest: int) -> Field:
    """Any object of JSON whose text has at most `longest` bytes of UTF-8, as it is kept, few levels deep."""

    def misfit(value: Any) -> str:
        if not isinstance(value, dict):
            return "must be an object"
        if _is_deeper(value, MOST_LEVELS):
            return f"must be at most {MOST_LEVELS} levels deep"
        try:
            said = json.dumps(value, ensure_ascii=False, allow_nan=False).encode()
        except ValueError:
            return "must hold finite numbers and whole characters"
        return "" if len(said) <= longest else f"must be at most {longest} bytes of JSON"

    return Field(label, _or_null(misfit, False))


def _is_deeper(value: Any, levels: int) -> bool:
    """Whether lists and objects lie in each other more than so many levels deep."""
    if not isinstance(value, (dict, list)):
        return False
    inside = value.values() if isinstance(value, dict) else value
    return not levels or any(_is_deeper(one, levels - 1) for one in inside)


def words(label: str, longest: int, most: int, required: bool = False) -> Field:
    """A list of at most `most` plain texts of at most `longest` characters each."""
    one = text(label, longest).misfit

    def misfit(value: Any) -> str:
        fits = isinstance(value, list) and len(value) <= most and not any(one(entry) for entry in value)
        return "" if fits else f"must be a list of at most {most} short texts"

    return Field(label, misfit, required, [])


def group(label: str, fields: dict[str, Field]) -> Field:
    """A small object of named values, none required, such as a shot's delivery numbers."""

    def misfit(value: Any) -> str:
        if not isinstance(value, dict):
            return "must be a group of named values"
        for name, entry in value.items():
            if name not in fields:
                return f"holds {name!r}, which is not known here"
            wrong = fields[name].misfit(entry)
            if wrong:
                return f"{fields[name].label} {wrong}"
        return ""

    return Field(label, misfit, False, {})


def is_uuid(value: Any) -> bool:
    """Whether a value is a UUID written as text in the usual form."""
    return isinstance(value, str) and _UUID.fullmatch(value) is not None


def is_moment(value: Any) -> bool:
    """Whether a value is a time of the calendar as UTC ISO 8601 text with milliseconds and Z."""
    if not isinstance(value, str) or not TIME_FORMAT.fullmatch(value):
        return False
    try:
        return datetime.fromisoformat(value).year <= LAST_YEAR
    except ValueError:
        return False


def is_day(value: Any) -> bool:
    """Whether a value is a day of the calendar as text: 2025-05-01."""
    return isinstance(value, str) and is_moment(f"{value}T00:00:00.000Z")


def is_plain(value: Any, longest: int) -> bool:
    """Whether a value is text of at most `longest` characters without markup or control characters."""
    return isinstance(value, str) and len(value) <= longest and not _MARKUP.search(value)


def _ranged(label: str, low: float, high: float, words: str, required: bool) -> Field:
    def misfit(value: Any) -> str:
        is_number = isinstance(value, (int, float)) and not isinstance(value, bool)
        return "" if is_number and low <= value <= high else f"must be a number from {words.replace('-', '−')}"

    return Field(label, _or_null(misfit, required), required, None, low, high)


def _or_null(misfit: Callable[[Any], str], required: bool) -> Callable[[Any], str]:
    return misfit if required else lambda value: "" if value is None else misfit(value)
