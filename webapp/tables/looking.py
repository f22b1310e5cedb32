"""What a table shows before anybody has said what it means: its headings, first rows, and what stands in each column.

Knows lines of cells; what a column may be is suggested by suggesting.py, and taken by nobody but the player.
"""

import hashlib
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import chain

from .lines import Line
from .no_table import NoTable
from .told_moment import orders_of, pattern, says_time
from .told_number import number_told, shows

MOST_WORDS = 60  # different texts of a column that can be asked for one by one
MOST_HEADING_LINES = 30
NO_HEADINGS = -1  # in place of the line of the headings, where every line is a row
_FIRST_ROWS = 8
_SAMPLE = 500  # rows whose numbers are looked at
_LONGEST = 60
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


def look_through(lines: Iterable[Line], heading_line: int = 0, named: Sequence[str] = ()) -> Look:
    """Read a table to its end. Its headings stand in `heading_line`, else where all of `named` do, else are looked for.

    NoTable where `heading_line` is none of its first lines, and where no row follows.
    """
    rest = iter(lines)
    top = _first(rest, MOST_HEADING_LINES)
    at = _place_of_headings(top, heading_line, named)
    line, headings = (NO_HEADINGS, _no_headings(top)) if at is None else top[at]
    below = chain(top[0 if at is None else at + 1 :], rest)
    columns = [Column(*both) for both in zip(names_of(headings), headings, strict=True)]
    words: list[Counter[str]] = [Counter() for _ in columns]
    days: list[Counter[str]] = [Counter() for _ in columns]
    n_times = [0 for _ in columns]
    first: list[Line] = []
    digest, n_rows = hashlib.sha256(repr(headings).encode()), 0
    for number, cells in below:
        digest.update(repr(cells).encode())
        n_rows += 1
        if len(first) < _FIRST_ROWS:
            first.append((number, cells))
        if is_total(cells):
            continue
        for at, (column, seen, dated, cell) in enumerate(zip(columns, words, days, cells, strict=False)):
            if not cell:
                continue
            column.n += 1
            if len(seen) <= MOST_WORDS:
                seen[cell[:_LONGEST]] += 1
            if day := pattern(cell):
                dated[day] += 1
            n_times[at] += says_time(cell)
            if n_rows <= _SAMPLE:
                _count_number(column, cell)
    if not n_rows:
        raise NoTable(f"no row stands below its headings in line {line}")
    for column, seen, dated, timed in zip(columns, words, days, n_times, strict=True):
        column.words = dict(seen) if len(seen) <= MOST_WORDS else {}
        column.holds_days = dated.total() * 2 > column.n
        column.holds_times = timed * 2 > column.n
        column.orders = orders_of(dated) if dated else ()
    plain = "\x1f".join(" ".join(heading.split()).casefold() for heading in headings)
    return Look(line, columns, first, top, n_rows, digest.hexdigest(), hashlib.sha256(plain.encode()).hexdigest())


def below_headings(lines: Iterable[Line], heading_line: int) -> Iterator[Line]:
    """The rows below the headings."""
    return (line for line in lines if line[0] > heading_line)


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


def names_of(headings: Sequence[str]) -> list[str]:
    """What each column is called: its heading, with its place where it has none or shares it."""
    folded = Counter(heading.casefold() for heading in headings)
    return [
        heading[:_LONGEST]
        if heading and folded[heading.casefold()] == 1
        else f"{heading[:_LONGEST]} (column {place})".strip()
        for place, heading in enumerate(headings, 1)
    ]


def _first(lines: Iterator[Line], most: int) -> list[Line]:
    found = []
    for line in lines:
        found.append(line)
        if len(found) == most:
            break
    return found


def _no_headings(top: Sequence[Line]) -> list[str]:
    return [""] * max(len(cells) for _, cells in top)


def _place_of_headings(top: Sequence[Line], heading_line: int, named: Sequence[str]) -> int | None:
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
    for at, (_, cells) in enumerate(top):
        said = [cell for cell in cells if cell]
        if len(said) * 2 > width and len(said) > 1 and not any(_is_value(cell) for cell in said):
            return at
    # Headings that are taken for a ball are left out and told; a ball that is taken for headings is lost unsaid.
    return None if any(_is_value(cell) for cell in top[0][1] if cell) else 0


def _is_value(cell: str) -> bool:
    try:
        number_told(cell)
    except ValueError as error:
        return bool(pattern(cell)) or "can be" in str(error)
    return True


def _count_number(column: Column, cell: str) -> None:
    sign = shows(cell)
    if sign not in column.signs:
        column.signs += sign
    try:
        value = number_told(cell)
    except ValueError:
        return  # no number, or one of two
    column.low = min(column.low, value) if column.n_numbers else value
    column.high = max(column.high, value) if column.n_numbers else value
    column.n_numbers += 1
