"""The headings of a table from anywhere: in which of its first lines they stand, and what each column is called.

Knows lines of cells; a line of values is none of headings.
"""

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from itertools import islice
from typing import NamedTuple

from .lines import Line
from .no_table import NoTable
from .told_length import unit_named
from .told_moment import pattern, says_time
from .told_number import number_told, parted

MOST_HEADING_LINES = 30
NO_HEADINGS = -1  # in place of the line of the headings, where every line is a row
LONGEST_TEXT = 60  # of a heading and of a word that are shown


class Headings(NamedTuple):
    """The headings of a table: their line, NO_HEADINGS for none; what stands there; its first lines; those below them.

    A table without headings has empty ones.
    """

    line: int
    texts: list[str]
    top: list[Line]
    below: list[Line]


def headings_in(lines: Iterator[Line], heading_line: int = 0, named: Sequence[str] = ()) -> Headings:
    """The headings in `heading_line`, else where all of `named` stand, else where they are found; reads no further.

    NoTable where `heading_line` is none of the first lines.
    """
    top = list(islice(lines, MOST_HEADING_LINES))
    at = _place(top, heading_line, named)
    if at is None:
        return Headings(NO_HEADINGS, [""] * max(len(cells) for _, cells in top), top, top)
    return Headings(*top[at], top, top[at + 1 :])


def below_headings(lines: Iterable[Line], heading_line: int) -> Iterator[Line]:
    """The rows below the headings."""
    return (line for line in lines if line[0] > heading_line)


def names_of(headings: Sequence[str]) -> list[str]:
    """What each column is called: its heading, with its place where it has none or shares it."""
    folded = Counter(heading.casefold() for heading in headings)
    return [
        heading[:LONGEST_TEXT]
        if heading and folded[heading.casefold()] == 1
        else f"{heading[:LONGEST_TEXT]} (column {place})".strip()
        for place, heading in enumerate(headings, 1)
    ]


def _place(top: Sequence[Line], heading_line: int, named: Sequence[str]) -> int | None:
    if not top:
        raise NoTable("it holds no row")
    if heading_line == NO_HEADINGS:
        return None
    if heading_line:
        found = next((at for at, (number, _) in enumerate(top) if number == heading_line), None)
        if found is None:
            raise NoTable(f"line {heading_line} is none of its first {MOST_HEADING_LINES} rows")
        return found
    if named:
        wanted = {" ".join(name.split()).casefold() for name in named}
        for at, (_, cells) in enumerate(top):
            if wanted <= {" ".join(cell.split()).casefold() for cell in cells}:
                return at
    width = max(len([cell for cell in cells if cell]) for _, cells in top)
    above: set[tuple[int, str]] = set()
    for at, (_, cells) in enumerate(top):
        n_said = len([cell for cell in cells if cell])
        if n_said * 2 > width and n_said > 1:
            values = _values([cells])
            if not values:
                below = _values(cells for _, cells in top[at + 1 :])
                # A title above headings may hold a value too; a ball does where the balls below have theirs.
                return None if above and (not below or above & below) else at
            above |= values
    # Headings that are taken for a ball are left out and told; a ball that is taken for headings is lost unsaid.
    return None if _values([top[0][1]]) else 0


def _values(lines: Iterable[Sequence[str]]) -> set[tuple[int, str]]:
    """The places at which lines of cells hold a value, each with what kind of value it is."""
    return {(place, kind) for cells in lines for place, cell in enumerate(cells) if (kind := _kind(cell))}


def _kind(cell: str) -> str:
    """What kind of value a cell is: a number, with a unit of length or without, a day, or a place on a clock.

    "" is none. A ball that was lost may hold no other value than its swing or its time of day.
    """
    number, unit = parted(cell)
    try:
        number_told(number if unit_named(unit) else cell)
    except ValueError as error:
        if "can be" in str(error):
            return "number"
        return "day" if pattern(cell) else "clock" if says_time(cell) else ""
    return "number"
