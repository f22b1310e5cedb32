"""What a table's columns may be, by what stands in them and by a unit in their headings; never taken by itself.

Knows no other program's headings: a heading's own word means nothing here.
"""

from collections.abc import Callable, Sequence

from .chosen import CHOICES
from .looking import Column, Look
from .told_length import unit_in
from .told_swing import names_a_swing

# A column whose numbers lie here, with a unit of length in its heading, may be a carry: common practice, no source.
_CARRIES = (30.0, 120.0)
_MOSTLY = 0.8


def suggestions(
    look: Look, is_wedge: Callable[[str], bool], is_swing: Callable[[str], bool] = names_a_swing
) -> dict[str, int]:
    """For each word of chosen.ASKED the place of the one column that may be it; a column is suggested once.

    `is_wedge` says whether a text stands for a wedge of the player's, `is_swing` whether it names a swing.
    """

    def names_swings(column: Column) -> bool:
        return _mostly(column, is_swing)

    tests: dict[str, Callable[[Column], bool]] = {
        "carry": _may_be_a_carry,
        "club": lambda column: _mostly(column, is_wedge),
        **_when(look.columns, names_swings),
        "swing": names_swings,
        **{word: _holds_choices(choices) for word, choices in CHOICES.items()},
    }
    found: dict[str, int] = {}
    for word, test in tests.items():
        fitting = [at for at, column in enumerate(look.columns) if at not in found.values() and test(column)]
        if fitting:
            found[word] = fitting[0]
    return found


def _when(columns: Sequence[Column], names_swings: Callable[[Column], bool]) -> dict[str, Callable[[Column], bool]]:
    """When a ball was struck: in one column, or the day in one and the time of day in another."""
    together = any(column.holds_days and column.holds_times for column in columns)
    of_swings = [column for column in columns if names_swings(column) and not _is_to_the_second(column)]

    def is_time(column: Column) -> bool:
        # A place on the clock looks like a time of day; but it is said again and again, and a time hardly ever.
        differs = not column.words or len(column.words) * 2 > column.n
        return column.holds_times and not column.holds_days and differs and of_swings != [column]

    if not together and any(map(is_time, columns)):
        return {"date": lambda column: column.holds_days, "time": is_time}
    return {"made_at": lambda column: column.holds_days and (column.holds_times or not together)}


def suggested_unit(look: Look, place: int) -> str:
    """The unit that the heading of a column names; "" where it names none."""
    return unit_in(look.columns[place].name)


def suggested_decimal(look: Look) -> str:
    """The sign before decimals that the table's numbers show, where some can mean two; "" where they do not agree."""
    shown = {sign for column in look.columns for sign in column.signs}
    return "".join(shown - {"?"}) if "?" in shown and len(shown) == 2 else ""


def _may_be_a_carry(column: Column) -> bool:
    is_number = column.n_numbers > 0 and _CARRIES[0] <= column.low and column.high <= _CARRIES[1]
    return is_number and bool(unit_in(column.name))


def _is_to_the_second(column: Column) -> bool:
    """Whether a column's clocks say seconds, as a workbook's do, be it a place on the clock or a time of day."""
    return any(text.count(":") == 2 for text in column.words)


def _mostly(column: Column, fits: Callable[[str], bool]) -> bool:
    fitting = sum(times for text, times in column.words.items() if fits(text))
    return bool(column.words) and fitting >= _MOSTLY * column.n


def _holds_choices(choices: Sequence[str]) -> Callable[[Column], bool]:
    return lambda column: _mostly(column, lambda text: text.lower() in choices)
