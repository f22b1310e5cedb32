"""How rows of a table of balls become facts, and which rows do not.

Knows neither book nor file; what the book has comes in as `Known`, and the caller puts the facts in.

| column | meaning | when it is left out or empty |
|---|---|---|
| made_at | when it was struck, ISO 8601 | the row is refused |
| club | the wedge's name | the row is refused |
| swing | 9:00, full, or degrees of the lead arm | the row is refused |
| carry | where it landed, in `unit` | the row is refused unless `landed` says it was not seen |
| id | names the row for good | made from the row's content |
| bucket | the visit; the same text is the same visit | one visit a day |
| loft_deg | stamped loft of a wedge not known yet | its name, when that is a loft |
| mode | swing or distance | swing |
| meant | meant carry, in `unit` | none |
| unit | yd or m | the book's unit |
| contact | fat, heavy, clean, thin, bladed, shank | not noted |
| landed | seen, unseen, under, over | seen |
| judged_by | eye, markers, laser, monitor | the book's way |
| surface, ball, place | of the visit, from its first row | mat, range, not said |
| run_index | the ball's place among equal calls in a row | not known |
"""

import csv
import io
import math
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any
from uuid import UUID, uuid5

from .clock import DEFAULT_SWINGS_DEG, swing_deg_of
from .facts import KINDS, LOFT_DEG_RANGE, LONGEST_CARRY_M, Problem, check_body
from .fields import is_uuid
from .moments import moment_of, text_of
from .units import LENGTH_M, from_m, to_m

NEEDED = ("made_at", "club", "swing", "carry")
COLUMNS = (
    *("id", "made_at", "bucket", "club", "loft_deg", "swing", "mode", "meant", "carry", "unit", "contact", "landed"),
    *("judged_by", "surface", "ball", "place", "run_index"),
)
_WORDS = ("mode", "contact", "landed")
# Ids made from content: any fixed UUID serves, it only keeps our names apart from others'.
_OURS = UUID("6f1d3c52-7a0e-4b8e-9a64-2d5f0c1b7e93")

Row = Mapping[str, str]
Raw = dict[str, Any]


class Unreadable(ValueError):
    """A table of which no row could be read; the text says why."""


@dataclass
class Known:
    """What the book has: wedge ids by folded name, its lengths of swing, its visits, and how it reads a bare number."""

    clubs: dict[str, str] = field(default_factory=dict)
    swings_deg: set[float] = field(default_factory=set)
    buckets: set[str] = field(default_factory=set)
    unit: str = "yd"
    judged_by: str = "markers"


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


def read_csv(text: str, known: Known) -> Reading:
    """Read a CSV text (RFC 4180, with a header, columns in any order); Unreadable when it has no usable header."""
    refused: list[Refused] = []
    lines = csv.reader(io.StringIO(text, newline=""), strict=True)
    try:
        header = [name.strip().lower() for name in next(lines, [])]
    except csv.Error as error:
        raise Unreadable(f"the first line cannot be read as CSV ({error})") from error
    missing = [name for name in NEEDED if name not in header]
    if missing:
        raise Unreadable(f"the first line must name the columns {', '.join(NEEDED)}; not there: {', '.join(missing)}")
    twice = [name for name, times in Counter(header).items() if times > 1 and name in COLUMNS]
    if twice:
        raise Unreadable(f"the first line names a column twice: {', '.join(twice)}")
    reading = read_rows(_rows(lines, header, refused), known)
    reading.refused = sorted(reading.refused + refused, key=lambda one: one.line)
    reading.ignored = [name or "(no name)" for name in header if name not in COLUMNS]
    return reading


def read_rows(rows: Iterable[tuple[int, Row]], known: Known) -> Reading:
    """Make facts of rows, each with its line; wedges, swings and visits the book lacks are made before the balls."""
    reading = Reading()
    first_import = not known.clubs
    clubs, buckets, shots = {}, {}, []
    seen_content: Counter[str] = Counter()
    swings_deg: set[float] = set()
    for line, row in rows:
        try:
            ball = _ball(row, known, seen_content)
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
        if club_id not in known.clubs.values():
            club = clubs.setdefault(club_id, _fact("club", _club_body(row), ball["made_at"], club_id))
            club["made_at"] = min(club["made_at"], ball["made_at"])
        if bucket_id not in known.buckets:
            bucket = buckets.setdefault(
                bucket_id, _fact("bucket", _bucket_body(row, known), ball["made_at"], bucket_id)
            )
            bucket["made_at"] = min(bucket["made_at"], ball["made_at"])
            bucket["body"]["ended_at"] = max(bucket["body"].get("ended_at", ""), ball["made_at"])
    reading.facts = [*clubs.values(), *_swings(swings_deg, known, first_import, shots), *buckets.values(), *shots]
    return reading


def own_id(*parts: object) -> str:
    """An id made from content: the same parts give the same id in every book and at every time."""
    return str(uuid5(_OURS, "\x1f".join(str(part) for part in parts)))


def club_id_of(name: str, known: Known) -> str:
    """The id of a wedge by its name, capital letters and spaces aside; of a new one made from the name."""
    return known.clubs.get(folded(name)) or own_id("club", folded(name))


def folded(name: str) -> str:
    """A name as names are compared."""
    return " ".join(name.split()).casefold()


def reason(kind: str, body: Raw, problem: Problem) -> str:
    """A problem of a body in words that fit a table."""
    field_ = KINDS[kind].get(problem.field)
    if field_ is None:
        return problem.message
    if problem.field not in body:
        return f"{field_.label} is missing"
    wrong = field_.misfit(body[problem.field])
    return f"{field_.label} {wrong}" if wrong else problem.message


def _rows(lines: Iterator[list[str]], header: list[str], refused: list[Refused]) -> Iterator[tuple[int, Row]]:
    before = 1
    while True:
        try:
            values = next(lines, None)
        except csv.Error as error:
            refused.append(Refused(before + 1, f"cannot be read as CSV ({error}); nothing after it was read"))
            return
        if values is None:
            return
        line, before = before + 1, lines.line_num  # type: ignore[attr-defined]
        if not any(value.strip() for value in values):
            continue
        if len(values) > len(header):
            refused.append(Refused(line, f"holds {len(values)} values where the first line names {len(header)}"))
            continue
        yield line, {name: value.strip() for name, value in zip(header, values, strict=False)}


def _ball(row: Row, known: Known, seen_content: Counter[str]) -> Raw:
    """The fact of one row; ValueError says what is wrong with it."""
    if not row.get("club"):
        raise ValueError("no club is named")
    if folded(row["club"]) not in known.clubs:
        _check("club", _club_body(row))
    made_at = _time(row.get("made_at", ""))
    unit = row.get("unit", "").lower() or known.unit
    if unit not in LENGTH_M:
        raise ValueError(f"unit must be yd or m, not {unit[:20]!r}")
    body: Raw = {
        "bucket_id": _bucket_id(row, made_at, known),
        "club_id": club_id_of(row["club"], known),
        "swing_deg": _swing_deg(row.get("swing", "")),
        "mode": "swing",
        "landed": "seen",
        "judged_by": row.get("judged_by", "").lower() or known.judged_by,
        **{name: row[name].lower() for name in _WORDS if row.get(name)},
    }
    for name, column in (("carry_m", "carry"), ("meant_carry_m", "meant")):
        if row.get(column):
            body[name] = _length_m(column, row[column], unit)
    if row.get("run_index"):
        body["run_index"] = int(_number("run_index", row["run_index"]))
    if body["landed"] == "seen" and "carry_m" not in body:
        raise ValueError("has no carry, yet does not say that it was not seen")
    if body["bucket_id"] not in known.buckets:
        _check("bucket", _bucket_body(row, known))
    _check("shot", body)
    return _fact("shot", body, made_at, _row_id(row, made_at, body, seen_content))


def _row_id(row: Row, made_at: str, body: Raw, seen_content: Counter[str]) -> str:
    """The row's own id, or one made from its content; equal rows are told apart by their order in the file."""
    named = row.get("id", "")
    if named:
        return named.lower() if is_uuid(named) else own_id("row", named)
    # Only what the row itself says: a default that is changed between two imports must not make a second ball of it.
    said = [row.get(name, "").lower() for name in ("bucket", "mode", "meant", "carry", "unit", "contact", "landed")]
    content = own_id("shot", made_at, folded(row["club"]), body["swing_deg"], *said)
    seen_content[content] += 1
    return content if seen_content[content] == 1 else own_id(content, seen_content[content])


def _bucket_id(row: Row, made_at: str, known: Known) -> str:
    """The visit of a row: an id the book has, or one made from its text (else its day) and the kind of ball."""
    text = row.get("bucket", "")
    if text.lower() in known.buckets:
        return text.lower()
    return own_id("bucket", text or made_at[:10], row.get("ball", "").lower() or "range")


def _club_body(row: Row) -> Raw:
    name = " ".join(row["club"].split())
    body: Raw = {"name": name}
    if row.get("loft_deg"):
        body["loft_deg"] = _number("loft_deg", row["loft_deg"])
    elif _is_loft(name):
        body["loft_deg"] = float(name)
    else:
        raise ValueError(f"club {name[:40]!r} is new and its loft is not told")
    return body


def _bucket_body(row: Row, known: Known) -> Raw:
    return {
        "place": row.get("place", ""),
        "surface": row.get("surface", "").lower() or "mat",
        "ball": row.get("ball", "").lower() or "range",
        "judged_by": row.get("judged_by", "").lower() or known.judged_by,
    }


def _swings(swings_deg: set[float], known: Known, first_import: bool, shots: list[Raw]) -> list[Raw]:
    """The swings to make: those the book lacks; a book that had nothing is given the file's and no others."""
    lacking = swings_deg - (known.swings_deg or set(DEFAULT_SWINGS_DEG))
    if not lacking:
        return []
    if not known.swings_deg and not first_import:
        lacking |= set(DEFAULT_SWINGS_DEG)  # naming one's own swings would otherwise hide the usual four
    elif not known.swings_deg:
        lacking = swings_deg
    earliest = min(shot["made_at"] for shot in shots)
    return [
        _fact("swing", {"swing_deg": swing_deg}, earliest, own_id("swing", swing_deg)) for swing_deg in sorted(lacking)
    ]


def _swing_deg(text: str) -> float:
    try:
        return swing_deg_of(text)
    except ValueError as error:
        raise ValueError(f"swing must be 9:00, full or degrees from 1 to 180, not {text[:20]!r}") from error


def _length_m(column: str, text: str, unit: str) -> float:
    length_m = to_m(_number(column, text), unit)
    if not 0 <= length_m <= LONGEST_CARRY_M:
        raise ValueError(f"{column} must be from 0 to {from_m(LONGEST_CARRY_M, unit):.0f} {unit}, not {text[:20]}")
    return length_m


def _number(column: str, text: str) -> float:
    try:
        value = float(text)
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        raise ValueError(f"{column} must be a number, not {text[:20]!r}")
    return value


def _time(text: str) -> str:
    try:
        return text_of(moment_of(text))
    except (ValueError, OverflowError) as error:
        raise ValueError(f"made_at must be an ISO 8601 time, not {text[:30]!r}") from error


def _is_loft(name: str) -> bool:
    try:
        return LOFT_DEG_RANGE[0] <= float(name) <= LOFT_DEG_RANGE[1]
    except ValueError:
        return False


def _check(kind: str, body: Raw) -> None:
    problem = check_body(kind, body)
    if problem:
        raise ValueError(reason(kind, body, problem))


def _fact(kind: str, body: Raw, made_at: str, fact_id: str) -> Raw:
    return {"id": fact_id, "root": fact_id, "kind": kind, "made_at": made_at, "body": body}
