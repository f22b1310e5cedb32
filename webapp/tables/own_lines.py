"""A table with this program's own headings as lines of plain cells, however a spreadsheet saved it.

Knows what such a program changes: separator and encoding, the sign before decimals, and how a moment or a swing is
written. What its columns mean is in files/columns.py; nobody is asked, so what could mean two things is refused.
"""

from collections import Counter
from collections.abc import Iterator, Mapping
from datetime import UTC
from pathlib import Path

from ..files.ball_row import in_line_order
from ..moments import moment_of, text_of
from .column_number import HOLDS_NUMBERS, plain_number
from .lines import Line, every_line
from .no_table import NoTable
from .told_moment import ORDERS, orders_of, pattern, told
from .told_number import number_told
from .told_swing import as_typed

_MOMENT = "made_at"
_NUMBERS = {*HOLDS_NUMBERS, "swing", "said", "measured"}
# What tells "8,123" of spin from "54,123" of a carry, of which one has thousands and the other none.
_SPINS, _OTHERS = (100.0, 100_000.0), (-999.0, 999.0)


def own_lines(path: Path) -> Iterator[Line]:
    """Each line with its number, the headings first; numbers with a point, moments as ISO 8601, swings as typed.

    NoTable where the file is no table, or where its days can be read in two orders.
    """
    lines = every_line(path)
    first, headings = next(lines, (1, [""]))
    yield first, headings
    names = [heading.strip().lower() for heading in headings]
    order = ""
    for number, cells in lines:
        row = {name: cell.strip() for name, cell in zip(names, cells, strict=False)}
        for name in row.keys() & _NUMBERS:
            if "," in row[name]:
                row[name] = _with_a_point(name, row[name])
        if "swing" in row:
            row["swing"] = as_typed(row["swing"])
        if (moment := row.get(_MOMENT)) and not _is_iso(moment):
            order = order or _order_of_days(path, names.index(_MOMENT))
            row[_MOMENT] = _as_iso(number, row, order)
        yield number, [row[name] for name, _ in zip(names, cells, strict=False)] + cells[len(names) :]


def _with_a_point(name: str, text: str) -> str:
    try:
        return plain_number(number_told(text, *(_SPINS if name == "spin_rpm" else _OTHERS)))
    except ValueError:
        return text  # whoever makes a ball of the row says what is wrong with it


def _is_iso(text: str) -> bool:
    try:
        moment_of(text)
    except (ValueError, OverflowError):
        return False
    return True


def _as_iso(line: int, row: Mapping[str, str], order: str) -> str:
    """The moment of a row, in UTC as this program writes it; balls whose second is lost keep the order of their lines.

    A row without an id is known by its moment, which must not depend on where the row stands.
    """
    try:
        when = told(row[_MOMENT], order)
    except ValueError:
        return row[_MOMENT]
    moment = when.moment().replace(tzinfo=UTC)
    if when.clock is None:
        return when.day.isoformat()
    return text_of(moment) if when.to_the_second or not row.get("id") else in_line_order(moment, line)


def _order_of_days(path: Path, place: int) -> str:
    """The order in which the days of a column stand; NoTable where two orders are left."""
    texts = (cells[place].strip() for _, cells in every_line(path) if place < len(cells))
    days = Counter(day for text in texts if not _is_iso(text) and (day := _pattern(text)))
    orders = orders_of(days) if days else tuple(ORDERS)[:1]
    if len(orders) > 1:
        both = " or as ".join(ORDERS[order] for order in orders)
        raise NoTable(f"made_at can be read as {both}: write its days as 2025-05-01")
    return orders[0]


def _pattern(text: str) -> str:
    """As of told_moment.pattern; where points part a day no month stands before it (common practice, no source)."""
    day = pattern(text)
    return f"{day[:2]}-" if day and "." in text[:4] else day
