"""What a player said the columns of a table mean, and the rows of our own table of balls that this makes of its lines.

Knows the words of files/columns.py and no book: which wedge a word stands for comes in as an answer. Nothing is
guessed: what a cell does not say plainly leaves its row out, with the reason.
"""

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass, field
from datetime import UTC
from functools import lru_cache
from typing import Any, NamedTuple

from ..delivery.readings import FIELD_OF, is_speed
from ..facts import DELIVERY, KINDS
from ..files.ball_row import Row, folded, in_line_order
from ..files.columns import MEANINGS
from ..moments import text_of
from ..units import LENGTH_UNITS, SPEED_MPS, SPEED_NAMES, from_m, from_mps
from .lines import Line
from .looking import Look, is_total
from .told_moment import Told, told
from .told_number import number_told
from .told_swing import as_typed

LEAVE_OUT = "-"  # the answer for a word whose rows are not wanted
SAME_WORD = {"bucket": "visit"}
# What a column may be said to be, in the order it is asked for; the rest as files/columns.py has it.
_FIRST = {
    "carry": "where it landed, not where it stopped",
    "club": "the wedge, by its name or loft",
    "made_at": "when it was struck, in one column",
    "date": "in a column of its own",
    "time": "in a column of its own",
    "swing": "9:00, full, degrees, or any words: each is asked for",
    "contact": MEANINGS["contact"],
    "visit": "such as a number or a name; one a day unless told",
    "surface": MEANINGS["surface"],
}
_NOT_ASKED = ("id", "bucket", "club_id", "retired")
ASKED: dict[str, str] = {
    **_FIRST,
    **{name: meaning for name, meaning in MEANINGS.items() if name not in (*_FIRST, *_NOT_ASKED)},
}
NEEDED = ("carry", "club")
_LENGTHS = {
    "carry": ("shot", "carry_m"),
    "meant": ("shot", "meant_carry_m"),
    "roll": ("shot", "roll_m"),
    "bay_offset": ("bucket", "bay_offset_m"),
}
_NUMBERS = {
    "loft_deg": "club",
    "run_index": "shot",
    "temperature_c": "bucket",
    "warm_up_balls": "bucket",
    "utc_offset_min": "bucket",
}
HOLDS_NUMBERS = {*_LENGTHS, *_NUMBERS, *FIELD_OF}
_UNIT_WORDS = {
    word: unit
    for unit, one in LENGTH_UNITS.items()
    for word in (
        unit,
        f"{unit}s",
        one.name,
        one.name[:-1],
        one.name.replace("re", "er"),
        one.name[:-1].replace("re", "er"),
    )
}
_WITH_UNIT = re.compile(r"(.*[0-9.,])\s*([^0-9.,\s]{1,8})")


@dataclass(frozen=True)
class Chosen:
    """What a table's columns mean: `columns` tells for each word of ASKED the place of its column, from 0.

    `unit` is that of lengths ("" where a column tells it); `dates` an order of told_moment.ORDERS, `decimal` the sign
    before decimals ("" where each cell shows its own), `day` the day of rows that tell none. `answers` say for each
    word what a text of its column stands for, `of_all` what holds of every row.
    """

    columns: dict[str, int]
    unit: str = ""
    dates: str = ""
    decimal: str = ""
    day: str = ""
    answers: dict[str, dict[str, str]] = field(default_factory=dict)
    of_all: dict[str, str] = field(default_factory=dict)

    def plain(self) -> dict[str, Any]:
        """As JSON can say it."""
        return asdict(self)

    @classmethod
    def of(cls, told: Any) -> "Chosen | None":
        """What `plain` gave; None for anything else, since a fact may say whatever a phone sent."""
        try:
            found = cls(**told)
        except TypeError:
            return None
        texts = (found.unit, found.dates, found.decimal, found.day)
        are_texts = all(isinstance(text, str) for text in texts) and _is_of_texts(found.of_all)
        are_places = isinstance(found.columns, dict) and all(type(at) is int for at in found.columns.values())
        are_answers = isinstance(found.answers, dict) and all(map(_is_of_texts, found.answers.values()))
        return found if are_texts and are_places and are_answers else None

    @property
    def tells_when(self) -> bool:
        """Whether a column says on which day a ball was struck."""
        return bool(self.when_column)

    @property
    def when_column(self) -> str:
        """The word of the column that holds the day; "" where none does."""
        return next((word for word in ("made_at", "date", "time") if word in self.columns), "")


def _is_of_texts(told: Any) -> bool:
    return isinstance(told, dict) and all(isinstance(text, str) for text in told.values())


class Wedge(NamedTuple):
    """The wedge that a word of a table stands for; its loft as text where it is a new one."""

    id: str
    name: str
    loft_deg: str = ""


class Left(NamedTuple):
    """A row that is left out: its line and the reason in plain words."""

    line: int
    reason: str


class Read(NamedTuple):
    """A row as our own table has it, its visit, and what makes it the ball it is, whatever else is said of it.

    A row that tells no time of day says what other balls of its day may say too.
    """

    line: int
    row: Row
    visit: str
    essence: tuple[str, ...]
    tells_time: bool


def read_lines(
    lines: Iterable[Line], look: Look, chosen: Chosen, wedges: Mapping[str, Wedge | None]
) -> Iterator[Read | Left]:
    """Every line below the headings as a row or as left out; `wedges` by folded word, None for one to be left out."""
    width = len(look.columns)
    for line, cells in lines:
        try:
            yield _read(line, cells, width, look, chosen, wedges)
        except ValueError as error:
            yield Left(line, str(error))


def _read(
    line: int, cells: Sequence[str], width: int, look: Look, chosen: Chosen, wedges: Mapping[str, Wedge | None]
) -> Read:
    if is_total(cells):
        raise ValueError("sums up other rows and is no ball")
    if len(cells) > width:
        raise ValueError(f"holds {len(cells)} values where the headings name {width}")
    said = {word: cells[at] for word, at in chosen.columns.items() if at < len(cells) and cells[at]}
    for word, text in said.items():
        if text.startswith("="):
            raise ValueError(f"{word} begins with = and is no value")
    row = {**chosen.of_all, **said}
    unit = _unit(row.get("unit", ""), chosen.unit)
    for word, answers in chosen.answers.items():
        answer = answers.get(folded(said.get(word, ""))) if word != "club" else None
        if answer == LEAVE_OUT:
            raise ValueError(f"{word} {said.get(word, '(empty)')[:40]!r} was to be left out")
        if answer is not None:
            row[word] = answer
    for word in row.keys() & HOLDS_NUMBERS:
        row[word] = _number(word, row[word], unit, row.get("speed_unit", "").lower(), chosen.decimal)
    row["unit"] = unit
    if "swing" in row:
        row["swing"] = as_typed(row["swing"])
    if not said.get("club"):
        raise ValueError("names no club" + (": it may sum up other rows" if said.get("carry") else ""))
    wedge = wedges.get(folded(said["club"]), Wedge("", " ".join(said["club"].split())))
    if wedge is None:
        raise ValueError(f"club {said['club'][:40]!r} was to be left out")
    row["club"], row["club_id"] = wedge.name, wedge.id
    if wedge.loft_deg:
        row["loft_deg"] = wedge.loft_deg
    when = _when(said, chosen)
    row["made_at"], named = _made_at(when, line), row.pop("visit", "")
    if when.ahead_min is not None:
        row.setdefault("utc_offset_min", str(when.ahead_min))
    # Rows that tell no day are told from equal ones of other tables by the table that they stand in.
    struck = when.moment().isoformat() if chosen.tells_when else look.digest
    essence = (struck, folded(said["club"]), named, row.get("carry", ""), row.get("landed", "").lower())
    for word in ("date", "time"):
        row.pop(word, None)
    return Read(line, row, f"{when.day.isoformat()} {named}", essence, when.clock is not None)


def _when(said: Row, chosen: Chosen) -> Told:
    word = chosen.when_column
    if not word:
        return told(chosen.day, "ymd", said.get("time", ""))
    if not said.get(word):
        raise ValueError(f"{word} is empty")
    try:
        return told(said[word], chosen.dates or "ymd", said.get("time", "") if word == "date" else "")
    except ValueError as error:
        raise ValueError(f"{word} {error}") from error


def _made_at(when: Told, line: int) -> str:
    """The moment of a fact; balls whose second is not told keep the order of their lines."""
    moment = when.moment().replace(tzinfo=UTC)
    return text_of(moment) if when.to_the_second else in_line_order(moment, line)


def _unit(text: str, usual: str) -> str:
    unit = _UNIT_WORDS.get(text.lower().strip("()[]. "), "") if text else usual
    if not unit:
        raise ValueError(f"unit must be {' or '.join(LENGTH_UNITS)}, not {text[:20]!r}")
    return unit


def unit_in(text: str) -> str:
    """The unit of length that a heading names in its last word or in brackets; "" where it names none."""
    words = re.split(r"[\s()\[\]/,]+", text.lower().strip("()[]. "))
    return _UNIT_WORDS.get(words[-1], "") if len(words) > 1 else ""


def _number(word: str, text: str, unit: str, speed_unit: str, decimal: str) -> str:
    low, high = _bounds(word, unit, speed_unit)
    parts = None if text[-1:].isdecimal() else _WITH_UNIT.fullmatch(text)
    if parts and _is_unit_of(word, parts[2], unit, speed_unit):
        text = parts[1]
    try:
        value = number_told(text, low, high, decimal)
    except ValueError as error:
        raise ValueError(f"{word} {error}") from error
    return plain_number(value)


def plain_number(value: float) -> str:
    """A number as a cell of our own table has it."""
    return str(int(value)) if value.is_integer() else repr(value)


def _is_unit_of(word: str, text: str, unit: str, speed_unit: str) -> bool:
    said = text.lower().rstrip(".")
    if word in _LENGTHS:
        named = _UNIT_WORDS.get(said)
        if named and named != unit:
            raise ValueError(f"{word} is in {named}, where {unit} was said")
        return named == unit
    if word in FIELD_OF and is_speed(word):
        return said in (speed_unit, SPEED_NAMES.get(speed_unit))
    return said in ("°", "deg", "rpm", "°c")


@lru_cache
def _bounds(word: str, unit: str, speed_unit: str) -> tuple[float, float]:
    if word in _LENGTHS:
        kind, name = _LENGTHS[word]
        low, high = _ends(KINDS[kind][name])
        return from_m(low, unit), from_m(high, unit)
    if word in _NUMBERS:
        return _ends(KINDS[_NUMBERS[word]][word])
    low, high = _ends(DELIVERY[FIELD_OF[word]])
    if is_speed(word) and speed_unit in SPEED_MPS:
        return from_mps(low, speed_unit), from_mps(high, speed_unit)
    return low, high


def _ends(bounds: Any) -> tuple[float, float]:
    return float(bounds.low), float(bounds.high)
