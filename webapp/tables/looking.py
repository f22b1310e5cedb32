"""What a table shows before anybody has said what it means: its headings, first rows, and what stands in each column.

Knows lines of cells; what a column may be is suggested by suggesting.py, and taken by nobody but the player.
"""

import hashlib
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from itertools import chain

from .headings import LONGEST_TEXT, headings_in, names_of
from .lines import Line
from .no_table import NoTable
from .told_moment import orders_of, pattern, says_time
from .told_number import number_told, shows

MOST_WORDS = 60  # different texts of a column that can be asked for one by one
_FIRST_ROWS = 8
_SAMPLE = 500  # rows whose numbers are looked at
# Of rows that sum others up: plain words of the trade's arithmetic, no source.
_TOTALS = ("total", "totals", "sum", "average", "averages", "avg", "mean", "median", "std dev", "standard deviation")


@dataclass
class Column:
    """One column: its name as it is shown, its heading as it stands, how many rows say something, and what.

    `words` are its different texts with how often each stands, {} where there are more than MOST_WORDS; `low` and
    `high` bound its numbers, of which the first rows hold `n_numbers`; `signs` are those before decimals that they
    show, with "?" where one can mean two numbers; `orders` are those that its days can stand in. A day may hold a time.
    """

    name: str
    heading: str = ""
    n: int = 0
    words: dict[str, int] = field(default_factory=dict)
    n_numbers: int = 0
    low: float = 0.0
    high: float = 0.0
    signs: str = ""
    orders: tuple[str, ...] = ()
    holds_days: bool = False
    holds_times: bool = False


@dataclass
class Look:
    """A table as it was looked through: the line of its headings, its columns, first rows, and how many rows it has.

    `heading_line` is NO_HEADINGS where it has none: its columns then have their places for names.
    `digest` is the same for the same rows under the same headings, whatever the file; `headings` for the same headings.
    """

    heading_line: int
    columns: list[Column]
    first: list[Line]
    top: list[Line]
    n_rows: int
    digest: str
    headings: str


class _Heard:
    """A column while its cells come by, one after the other."""

    def __init__(self, name: str, heading: str) -> None:
        self.column = Column(name, heading)
        self.words, self.days = Counter[str](), Counter[str]()
        self.n_times = 0

    def hear(self, cell: str, counts_numbers: bool) -> None:
        """Take in a cell that says something."""
        self.column.n += 1
        if len(self.words) <= MOST_WORDS:
            self.words[cell[:LONGEST_TEXT]] += 1
        if day := pattern(cell):
            self.days[day] += 1
        self.n_times += says_time(cell)
        if counts_numbers:
            self._count_number(cell)

    def told(self) -> Column:
        """The column, once the last cell was heard."""
        column = self.column
        column.words = dict(self.words) if len(self.words) <= MOST_WORDS else {}
        column.holds_days = self.days.total() * 2 > column.n
        column.holds_times = self.n_times * 2 > column.n
        column.orders = orders_of(self.days) if self.days else ()
        return column

    def _count_number(self, cell: str) -> None:
        column, sign = self.column, shows(cell)
        if sign not in column.signs:
            column.signs += sign
        try:
            value = number_told(cell)
        except ValueError:
            return  # no number, or one of two
        column.low = min(column.low, value) if column.n_numbers else value
        column.high = max(column.high, value) if column.n_numbers else value
        column.n_numbers += 1


def look_through(lines: Iterable[Line], heading_line: int = 0, named: Sequence[str] = ()) -> Look:
    """Read a table to its end, its headings as of `headings_in`; NoTable as there and where no row follows."""
    rest = iter(lines)
    line, headings, top, below = headings_in(rest, heading_line, named)
    heard = [_Heard(*both) for both in zip(names_of(headings), headings, strict=True)]
    first: list[Line] = []
    digest, n_rows = hashlib.sha256(repr(headings).encode()), 0
    for number, cells in chain(below, rest):
        digest.update(repr(cells).encode())
        n_rows += 1
        if n_rows <= _FIRST_ROWS:
            first.append((number, cells))
        if is_total(cells):
            continue
        for one, cell in zip(heard, cells, strict=False):
            if cell:
                one.hear(cell, n_rows <= _SAMPLE)
    if not n_rows:
        raise NoTable(f"no row stands below its headings in line {line}")
    plain = "\x1f".join(" ".join(heading.split()).casefold() for heading in headings)
    of_headings = hashlib.sha256(plain.encode()).hexdigest()
    return Look(line, [one.told() for one in heard], first, top, n_rows, digest.hexdigest(), of_headings)


def place_of(columns: Sequence[Column], named: str) -> int:
    """The place, from 0, of the column that a heading or a place such as "#3" names; NoTable for none or two."""
    wanted = " ".join(named.split())
    if wanted in {f"#{place}" for place in range(1, len(columns) + 1)}:
        return int(wanted[1:]) - 1
    headings = [" ".join(column.heading.split()) for column in columns]
    found = [at for at, heading in enumerate(headings) if heading == wanted]
    found = found or [at for at, heading in enumerate(headings) if heading.casefold() == wanted.casefold()]
    if len(found) > 1:
        raise NoTable(f"{len(found)} columns are called {named!r}: name one by its place, such as #{found[0] + 1}")
    if not found:
        raise NoTable(f"no column is called {named[:40]!r}; there are: {', '.join(column.name for column in columns)}")
    return found[0]


def is_total(cells: Sequence[str]) -> bool:
    """Whether a row sums others up, by the first word in it."""
    first = next((cell for cell in cells if cell), "")
    return first[:1].isalpha() and first.rstrip(" :.").casefold() in _TOTALS
