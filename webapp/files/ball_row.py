"""One row of a table of balls as the facts it stands for: the ball, its wedge, its visit, and the ids they go by.

Knows neither file nor book; what the book has comes in as `Known`. The columns are those of columns.py.

A text that begins with what a spreadsheet would run as a formula carries a "'" in front, which is taken off again.
"""

import math
import re
from collections import Counter
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from typing import Any
from uuid import UUID, uuid5

from ..clock import swing_deg_of
from ..delivery.readings import FIELD_OF, is_speed, to_stored
from ..facts import DELIVERY, JUDGED_BY, KINDS, LOFT_DEG_RANGE, LONGEST_CARRY_M, Problem, check_body
from ..fields import is_uuid
from ..moments import local, moment_of, text_of
from ..units import LENGTH_M, SPEED_MPS, USUAL_UNIT, from_m, to_m
from .columns import FLAGS, WORDS

_MINUTE_MS = 60_000
_YES, _NO = ("1", "true", "yes"), ("0", "false", "no")
_SHIELDED = re.compile("'+[=+\\-@＝＋－＠]")  # exporting.py puts the "'" there
# Ids made from content: any fixed UUID serves, it only keeps our names apart from others'.
_OURS = UUID("6f1d3c52-7a0e-4b8e-9a64-2d5f0c1b7e93")

Row = Mapping[str, str]
Raw = dict[str, Any]


@dataclass
class Known:
    """What the book has: wedge ids by folded name, its lengths of swing, its visits, and how it reads a bare number.

    `swings_off_deg` are lengths of swing that the player took off, which no row brings back.
    `living` gives the id that a wedge or a swing is made under: the one it would have, until that one was withdrawn.
    """

    clubs: dict[str, str] = field(default_factory=dict)
    swings_deg: set[float] = field(default_factory=set)
    swings_off_deg: set[float] = field(default_factory=set)
    buckets: set[str] = field(default_factory=set)
    unit: str = USUAL_UNIT
    judged_by: str = "markers"
    club_ids: set[str] = field(default_factory=set)
    living: Callable[[str, str], str] = lambda kind, one: one

    def has_club(self, club_id: str) -> bool:
        """Whether a wedge is in the book, also one whose name another bears now."""
        return club_id in self.club_ids or club_id in self.clubs.values()


def ball_of(line: int, row: Row, known: Known, seen_content: Counter[str]) -> Raw:
    """The fact of the row in a line; ValueError says what is wrong with it."""
    if not row.get("club"):
        raise ValueError("names no wedge")
    club_id = _club_id(row, known)
    if not known.has_club(club_id):
        check("club", club_body(row))
    made_at = _made_at(line, row)
    unit = row.get("unit", "").lower() or known.unit
    if unit not in LENGTH_M:
        raise ValueError(f"unit must be {' or '.join(LENGTH_M)}, not {unit[:20]!r}")
    body: Raw = {
        "bucket_id": _bucket_id(row, made_at, known),
        "club_id": club_id,
        "swing_deg": _swing_deg(row.get("swing", "")),
        "mode": "swing",
        "landed": "seen",
        "judged_by": row.get("judged_by", "").lower() or known.judged_by,
        **{name: row[name].lower() for name in WORDS if row.get(name)},
    }
    for name, column in (("carry_m", "carry"), ("meant_carry_m", "meant")):
        if row.get(column):
            body[name] = _length_m(column, row[column], unit)
    if row.get("roll"):
        body["roll_m"] = to_m(number_of("roll", row["roll"]), unit)
    visit, own = (row.get(name, "").lower() for name in ("visit_judged_by", "judged_by"))
    if own and visit in JUDGED_BY and visit != own:
        body["judged_apart"] = True
    if row.get("run_index"):
        body["run_index"] = _whole("run_index", row["run_index"])
    if row.get("plan_ref"):
        body["plan_ref"] = row["plan_ref"]
    body.update({name: _flag(name, row[name]) for name in FLAGS if row.get(name)})
    delivery = _delivery(row)
    if delivery:
        body["delivery"] = delivery
    if body["landed"] == "seen" and "carry_m" not in body:
        raise ValueError("has no carry, yet does not say that it was not seen")
    if body["bucket_id"] not in known.buckets:
        check("bucket", bucket_body(row, known))
    check("shot", body)
    return fact_of("shot", body, made_at, _row_id(row, body, seen_content))


def _delivery(row: Row) -> dict[str, float]:
    """The delivery numbers of a row; a speed whose unit is not said is refused, never guessed."""
    unit, measured = row.get("speed_unit", "").lower(), {}
    for column, name in FIELD_OF.items():
        if not row.get(column):
            continue
        if is_speed(column) and unit not in SPEED_MPS:
            raise ValueError(f"{column} needs a speed_unit of mph, mps or kmh, not {unit[:20]!r}")
        measured[name] = to_stored(column, number_of(column, row[column]), unit)
        wrong = DELIVERY[name].misfit(measured[name])
        if wrong:
            raise ValueError(f"{column} {wrong}, not {row[column][:20]}")
    return measured


def _made_at(line: int, row: Row) -> str:
    """When a ball was struck; of a row that tells a day alone midday by its own clock, in the order of the lines."""
    text = row.get("made_at", "")
    try:
        midday = datetime.combine(date.fromisoformat(text), time(12), UTC)
    except ValueError:
        return time_of(text)
    return in_line_order(midday - timedelta(minutes=ahead_min_of(row)), line)


def in_line_order(moment: datetime, line: int) -> str:
    """The moment of a ball whose second its row does not tell, so that such balls keep the order of their lines."""
    return text_of(moment + timedelta(milliseconds=line % _MINUTE_MS))


def ahead_min_of(row: Row) -> int:
    """How far the clock of a row was ahead of UTC [min]."""
    text, field_ = row.get("utc_offset_min"), KINDS["bucket"]["utc_offset_min"]
    minutes = _whole("utc_offset_min", text) if text else 0
    if wrong := field_.misfit(minutes):
        raise ValueError(f"{field_.label} {wrong}")
    return minutes


def _row_id(row: Row, body: Raw, seen_content: Counter[str]) -> str:
    """The row's own id, or one made from its content; equal rows are told apart by their order in the file."""
    named = row.get("id", "")
    if named:
        return named.lower() if is_uuid(named) else own_id("row", named)
    # Only what the row itself says: a default that is changed between two imports must not make a second ball of it.
    said = [row.get(name, "").lower() for name in ("bucket", "mode", "meant", "carry", "unit", "contact", "landed")]
    content = own_id("shot", time_of(row["made_at"]), folded(row["club"]), body["swing_deg"], *said)
    seen_content[content] += 1
    return content if seen_content[content] == 1 else own_id(content, seen_content[content])


def _bucket_id(row: Row, made_at: str, known: Known) -> str:
    """The visit of a row: an id the book has, or one made from its text (else its day) and the kind of ball."""
    text = row.get("bucket", "")
    if text.lower() in known.buckets or is_uuid(text):
        return text.lower()
    return own_id("bucket", text or local(made_at, ahead_min_of(row))[:10], row.get("ball", "").lower() or "range")


def _club_id(row: Row, known: Known) -> str:
    """The wedge a row names by its id, else by its name; of two with one name the one in the bag goes by the name."""
    named = row.get("club_id", "").lower()
    retired = bool(row.get("retired")) and _flag("retired", row["retired"])
    if is_uuid(named) and (retired or known.has_club(named) or folded(row["club"]) not in known.clubs):
        return named if known.has_club(named) else known.living("club", named)
    return club_id_of(row["club"], known)


def club_body(row: Row) -> Raw:
    """The wedge a row tells of; ValueError when its loft is not told."""
    name = " ".join(row["club"].split())
    body: Raw = {"name": name}
    if row.get("loft_deg"):
        body["loft_deg"] = number_of("loft_deg", row["loft_deg"])
    elif _is_loft(name):
        body["loft_deg"] = float(name)
    else:
        raise ValueError(f"wedge {name[:40]!r} is new and its loft is not told")
    if row.get("retired"):
        body["retired"] = _flag("retired", row["retired"])
    return body


def bucket_body(row: Row, known: Known) -> Raw:
    """The visit a row tells of."""
    judged_by = (row.get("visit_judged_by") or row.get("judged_by", "")).lower()
    body: Raw = {
        "place": row.get("place", ""),
        "surface": row.get("surface", "").lower() or "mat",
        "ball": row.get("ball", "").lower() or "range",
        "judged_by": judged_by or known.judged_by,
    }
    words = ("wind", "visit_wind"), ("wind_force", "visit_wind_force")
    for name, column in (*words, ("monitor_note", "monitor_note"), ("flags_checked", "flags_checked")):
        if row.get(column):
            body[name] = row[column].lower()
    for name, column in (("aside", "visit_aside"), ("indoor_counts", "indoor_counts")):
        if row.get(column):
            body[name] = _flag(column, row[column])
    if row.get("aside_reason"):
        body["aside_reason"] = row["aside_reason"]
    if row.get("temperature_c"):
        body["temperature_c"] = number_of("temperature_c", row["temperature_c"])
    if row.get("bay_offset"):
        body["bay_offset_m"] = to_m(
            number_of("bay_offset", row["bay_offset"]), row.get("unit", "").lower() or known.unit
        )
    for column in ("warm_up_balls", "utc_offset_min"):
        if row.get(column):
            body[column] = _whole(column, row[column])
    return body


def fact_of(kind: str, body: Raw, made_at: str, fact_id: str) -> Raw:
    """A first fact as it goes over the wire."""
    return {"id": fact_id, "root": fact_id, "kind": kind, "made_at": made_at, "body": body}


def unshielded(value: str) -> str:
    """A text as it was before exporting.py kept a spreadsheet from running it."""
    return value[1:] if _SHIELDED.match(value) else value


def own_id(*parts: object) -> str:
    """An id made from content: the same parts give the same id in every book and at every time."""
    return str(uuid5(_OURS, "\x1f".join(str(part) for part in parts)))


def club_id_of(name: str, known: Known) -> str:
    """The id of a wedge by its name, capital letters and spaces aside; of a new one made from the name."""
    return known.clubs.get(folded(name)) or known.living("club", own_id("club", folded(name)))


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


def _swing_deg(text: str) -> float:
    try:
        return swing_deg_of(text)
    except ValueError as error:
        raise ValueError(f"swing must be 9:00, full or degrees from 1 to 180, not {text[:20]!r}") from error


def _length_m(column: str, text: str, unit: str) -> float:
    length_m = to_m(number_of(column, text), unit)
    if not 0 <= length_m <= LONGEST_CARRY_M:
        raise ValueError(f"{column} must be from 0 to {from_m(LONGEST_CARRY_M, unit):.0f} {unit}, not {text[:20]}")
    return length_m


def number_of(column: str, text: str) -> float:
    try:
        value = float(text)
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        raise ValueError(f"{column} must be a number, not {text[:20]!r}")
    return value


def _whole(column: str, text: str) -> int:
    value = number_of(column, text)
    if not value.is_integer():
        raise ValueError(f"{column} must be a whole number, not {text[:20]!r}")
    return int(value)


def _flag(column: str, text: str) -> bool:
    if text.lower() not in (*_YES, *_NO):
        raise ValueError(f"{column} must be 1 or 0, not {text[:20]!r}")
    return text.lower() in _YES


def time_of(text: str) -> str:
    """A moment as facts write it; ValueError for a text that is no ISO 8601 time."""
    try:
        return text_of(moment_of(text))
    except (ValueError, OverflowError) as error:
        raise ValueError(f"made_at must be an ISO 8601 time, not {text[:30]!r}") from error


def _is_loft(name: str) -> bool:
    try:
        return LOFT_DEG_RANGE[0] <= float(name) <= LOFT_DEG_RANGE[1]
    except ValueError:
        return False


def check(kind: str, body: Raw) -> None:
    """ValueError with the reason where a body does not fit its kind."""
    problem = check_body(kind, body)
    if problem:
        raise ValueError(reason(kind, body, problem))
