"""A line of a table from anywhere as a row of our own table of balls, by what its player said of the columns.

Knows the words of files/columns.py and no book: which wedge a word stands for comes in as an answer. Nothing is
guessed: what a cell does not say plainly leaves its row out, with the reason.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from datetime import UTC
from typing import NamedTuple

from ..files.ball_row import Row, ahead_min_of, folded, in_line_order
from ..moments import text_of
from .chosen import LEAVE_OUT, Chosen
from .column_number import HOLDS_NUMBERS, number_in
from .lines import Line
from .looking import Look, is_total
from .told_length import unit_told
from .told_moment import Told, told
from .told_swing import as_typed

_TOLD_OTHERWISE = ("visit", "date", "time")  # words that our own table has under others
_NAMED_LINES = 5

# How far the clock of a row's bucket is ahead of UTC [min], by its visit, its kind of ball and what the row tells.
AheadOf = Callable[[str, str, int | None], int]


class Wedge(NamedTuple):
    """The wedge that a word of a table stands for; its loft as text where it is a new one."""

    id: str
    name: str
    loft_deg: str = ""


class Left(NamedTuple):
    """A row that is left out: its line and the reason in plain words."""

    line: int
    reason: str


class LeftAlike(NamedTuple):
    """Rows that are left out for one reason: how many they are and the first of their lines."""

    reason: str
    n: int
    first: list[int]


class Read(NamedTuple):
    """A row as our own table has it, its visit and kind of ball, and what makes it the ball it is, whatever else is
    said of it: by the clock as it was told, however far that was ahead of UTC.

    A row that tells no time of day says what other balls of its day may say too.
    """

    line: int
    row: Row
    visit: str
    kind: str
    essence: tuple[str, ...]
    tells_time: bool


def by_reason(left: Iterable[Left]) -> list[LeftAlike]:
    """Rows left out, put together by their reason in the order of their lines."""
    lines_of: dict[str, list[int]] = {}
    for line, reason in sorted(left):
        lines_of.setdefault(reason, []).append(line)
    return [LeftAlike(reason, len(lines), lines[:_NAMED_LINES]) for reason, lines in lines_of.items()]


def read_lines(
    lines: Iterable[Line],
    look: Look,
    chosen: Chosen,
    wedges: Mapping[str, Wedge | None],
    ahead_of: AheadOf = lambda visit, kind, told: told or 0,
) -> Iterator[Read | Left]:
    """Every line below the headings as a row or as left out; `wedges` by folded word, None for one to be left out.

    A row that tells no offset from UTC goes by the clock of its bucket.
    """
    for line, cells in lines:
        try:
            yield _read(line, _said(cells, len(look.columns), chosen), look, chosen, wedges, ahead_of)
        except ValueError as error:
            yield Left(line, str(error))


def _read(
    line: int, said: Row, look: Look, chosen: Chosen, wedges: Mapping[str, Wedge | None], ahead_of: AheadOf
) -> Read:
    """A row of what a line says. Of all that raises ValueError here the first is the reason to leave the line out."""
    of_row = {**chosen.of_all, **said}
    unit = unit_told(of_row.get("unit", ""), chosen.unit)
    answered = {**of_row, **_answers(said, chosen)}
    row = {**answered, **_numbers(answered, unit, chosen.decimal)}
    wedge = _wedge(said, wedges)
    when = _when(said, chosen)
    visit, kind = row.get("visit", ""), row.get("ball", "").lower() or "range"
    of_day = f"{when.day.isoformat()} {visit}"
    told_min = ahead_min_of(row) if row.get("utc_offset_min") else when.ahead_min
    bucket_min = ahead_of(of_day, kind, told_min)
    ahead_min = bucket_min if told_min is None else told_min
    ours = {
        **({} if told_min is None and not ahead_min else {"utc_offset_min": str(ahead_min)}),
        **{word: text for word, text in row.items() if word not in _TOLD_OTHERWISE},
        **_swing(row),
        **_named(wedge),
        "unit": unit,
        "made_at": _made_at(when if when.ahead_min is not None else when._replace(ahead_min=ahead_min), line),
    }
    # Rows that tell no day are told from equal ones of other tables by the table that they stand in.
    struck = when.moment().isoformat() if chosen.tells_when else look.digest
    essence = (struck, folded(said["club"]), visit, row.get("carry", ""), row.get("landed", "").lower())
    return Read(line, ours, of_day, kind, essence, when.clock is not None)


def _said(cells: Sequence[str], width: int, chosen: Chosen) -> Row:
    """What a line's cells say under the words of ours; ValueError where it can be no ball."""
    if is_total(cells):
        raise ValueError("sums up other rows and is no ball")
    if len(cells) > width:
        raise ValueError(f"holds {len(cells)} values where the headings name {width}")
    said = {word: cells[at] for word, at in chosen.columns.items() if at < len(cells) and cells[at]}
    for word, text in said.items():
        if text.startswith("="):
            raise ValueError(f"{word} begins with = and is no value")
    return said


def _answers(said: Row, chosen: Chosen) -> Row:
    """What was answered for the texts of a row, its wedge aside; ValueError for one that is to be left out."""
    found = {}
    for word, answers in chosen.answers.items():
        answer = answers.get(folded(said.get(word, ""))) if word != "club" else None
        if answer == LEAVE_OUT:
            raise ValueError(f"{word} {said.get(word, '(empty)')[:40]!r} was to be left out")
        if answer is not None:
            found[word] = answer
    return found


def _numbers(row: Row, unit: str, decimal: str) -> Row:
    """The numbers of a row as our own table has them."""
    speed_unit = row.get("speed_unit", "").lower()
    return {
        word: number_in(word, text, unit, speed_unit, decimal) for word, text in row.items() if word in HOLDS_NUMBERS
    }


def _swing(row: Row) -> Row:
    return {"swing": as_typed(row["swing"])} if "swing" in row else {}


def _wedge(said: Row, wedges: Mapping[str, Wedge | None]) -> Wedge:
    """The wedge that a row names, which goes by that name where no answer stands for it."""
    if not said.get("club"):
        raise ValueError("names no wedge" + (": it may sum up other rows" if said.get("carry") else ""))
    wedge = wedges.get(folded(said["club"]), Wedge("", " ".join(said["club"].split())))
    if wedge is None:
        raise ValueError(f"wedge {said['club'][:40]!r} was to be left out")
    return wedge


def _named(wedge: Wedge) -> Row:
    """A wedge as our own table names it; its loft where it is a new one."""
    loft = {"loft_deg": wedge.loft_deg} if wedge.loft_deg else {}
    return {"club": wedge.name, "club_id": wedge.id, **loft}


def _when(said: Row, chosen: Chosen) -> Told:
    """When the ball of a row was struck."""
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
