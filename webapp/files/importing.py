"""How a table of balls, or of eye checks, becomes facts in an order a book can take, and which rows do not.

Knows neither book nor file; how one row is read is in ball_row.py, and the caller puts the facts in.
"""

import math
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace

from ..clock import DEFAULT_SWINGS_DEG
from . import eye_check_row
from .ball_row import Known, Raw, Row, ball_of, bucket_body, club_body, fact_of, own_id, unshielded
from .columns import COLUMNS, NEEDED

_LONGEST_NAME = 40

Numbered = tuple[int, list[str]]  # a line's number in its file, and its cells


class Unreadable(ValueError):
    """A table of which no row could be read; the text says why."""


@dataclass(frozen=True)
class Refused:
    """A row that was left out: its line in the file and the reason in plain words."""

    line: int
    reason: str


@dataclass
class Reading:
    """What a table gives: facts in an order a book can take, and what was left out.

    `line_of` says which line a ball came from, `named` which balls brought their own id.
    """

    facts: list[Raw] = field(default_factory=list)
    line_of: dict[str, int] = field(default_factory=dict)
    named: set[str] = field(default_factory=set)
    refused: list[Refused] = field(default_factory=list)
    ignored: list[str] = field(default_factory=list)


def read_table(rows: Iterable[Numbered], known: Known, most_refused: float = math.inf) -> Reading:
    """Read a table's lines of cells, the headings first; Unreadable when they are none that can be used.

    Once `most_refused` rows were left out the rest is not read: who takes all or nothing reads no further, and a
    hostile file would fill the memory.
    """
    return _read(rows, NEEDED, COLUMNS, lambda below: read_rows(below, known, most_refused), most_refused)


def read_table_of_eye_checks(rows: Iterable[Numbered], unit: str) -> Reading:
    """Read lines of distances said by eye and then measured; `unit` is that of rows which name none."""
    return _read(rows, eye_check_row.NEEDED, eye_check_row.COLUMNS, lambda below: _eye_checks(below, unit))


def read_rows(rows: Iterable[tuple[int, Row]], known: Known, most_refused: float = math.inf) -> Reading:
    """Make facts of rows, each with its line; wedges, swings and visits the book lacks are made before the balls."""
    reading = Reading()
    first_import = not known.clubs
    known = replace(known, club_ids=set(known.club_ids))  # a wedge whose loft one row tells is known to those below
    clubs: dict[str, Raw] = {}
    buckets: dict[str, Raw] = {}
    shots: list[Raw] = []
    seen_content: Counter[str] = Counter()
    swings_deg: set[float] = set()
    for line, row in rows:
        if len(reading.refused) >= most_refused:
            break
        try:
            ball = ball_of(line, row, known, seen_content)
        except ValueError as error:
            reading.refused.append(Refused(line, str(error)))
            continue
        if ball["id"] in reading.line_of:
            reading.refused.append(Refused(line, f"the id stands in line {reading.line_of[ball['id']]} already"))
            continue
        reading.line_of[ball["id"]] = line
        shots.append(ball)
        if row.get("id"):
            reading.named.add(ball["id"])
        swings_deg.add(ball["body"]["swing_deg"])
        club_id, bucket_id = ball["body"]["club_id"], ball["body"]["bucket_id"]
        if club_id in clubs or not known.has_club(club_id):
            known.club_ids.add(club_id)
            club = clubs.get(club_id) or fact_of("club", club_body(row), ball["made_at"], club_id)
            clubs[club_id] = club
            club["made_at"] = min(club["made_at"], ball["made_at"])
        if bucket_id not in known.buckets:
            bucket = buckets.setdefault(
                bucket_id, fact_of("bucket", bucket_body(row, known), ball["made_at"], bucket_id)
            )
            bucket["made_at"] = min(bucket["made_at"], ball["made_at"])
            bucket["body"]["ended_at"] = max(bucket["body"].get("ended_at", ""), ball["made_at"])
    reading.facts = [*clubs.values(), *_swings(swings_deg, known, first_import, shots), *buckets.values(), *shots]
    return reading


def _read(
    table: Iterable[Numbered],
    needed: Sequence[str],
    columns: Sequence[str],
    read: Callable[[Iterator[tuple[int, Row]]], Reading],
    most_refused: float = math.inf,
) -> Reading:
    """Read the header, then hand the rows to `read`; Unreadable when the header does not do."""
    refused: list[Refused] = []
    rows = iter(table)
    _, headings = next(rows, (1, []))
    header = [name.strip().lower() for name in headings]
    missing = [name for name in needed if name not in header]
    if missing:
        lacks = f"; not there: {', '.join(missing)}" if len(missing) < len(needed) else ""
        raise Unreadable(f"the first line must name the columns {', '.join(needed)}{lacks}")
    twice = [name for name, times in Counter(header).items() if times > 1 and name in columns]
    if twice:
        raise Unreadable(f"the first line names a column twice: {', '.join(twice)}")
    reading = read(_rows(rows, header, refused, most_refused))
    reading.refused = sorted(reading.refused + refused, key=lambda one: one.line)
    reading.ignored = [_printable(name) or "(no name)" for name in header if name not in columns]
    return reading


def _eye_checks(rows: Iterable[tuple[int, Row]], unit: str) -> Reading:
    reading, seen_content = Reading(), Counter[str]()
    for line, row in rows:
        try:
            check = eye_check_row.eye_check_of(row, unit, seen_content)
        except ValueError as error:
            reading.refused.append(Refused(line, str(error)))
            continue
        reading.line_of[check["id"]] = line
        reading.facts.append(check)
    return reading


def _rows(
    rows: Iterator[Numbered], header: list[str], refused: list[Refused], most_refused: float
) -> Iterator[tuple[int, Row]]:
    for line, values in rows:
        if len(refused) >= most_refused:
            return
        if not any(value.strip() for value in values):
            continue
        if len(values) > len(header):
            refused.append(Refused(line, f"holds {len(values)} values where the first line names {len(header)}"))
            continue
        yield line, {name: unshielded(value.strip()) for name, value in zip(header, values, strict=False)}


def _printable(name: str) -> str:
    """A name out of a file as a terminal may show it: a file must not move the cursor or change colours there."""
    return "".join(sign if sign.isprintable() else "?" for sign in name[:_LONGEST_NAME])


def _swings(swings_deg: set[float], known: Known, first_import: bool, shots: list[Raw]) -> list[Raw]:
    """The swings to make: those the book lacks; a book that had nothing is given the file's and no others.

    One that the player took off stays off, whatever balls come.
    """
    wanted = swings_deg - known.swings_off_deg
    lacking = wanted - (known.swings_deg or set(DEFAULT_SWINGS_DEG))
    if not lacking:
        return []
    if not known.swings_deg and not first_import:
        lacking |= set(DEFAULT_SWINGS_DEG)  # naming one's own swings would otherwise hide the usual four
    elif not known.swings_deg:
        lacking = wanted
    earliest = min(shot["made_at"] for shot in shots)
    return [
        fact_of("swing", {"swing_deg": swing_deg}, earliest, known.living("swing", own_id("swing", swing_deg)))
        for swing_deg in sorted(lacking)
    ]
