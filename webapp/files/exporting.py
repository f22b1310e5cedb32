"""A book's balls and facts as files that other programs read and that importing brings back without loss.

Knows the files' form; pages/leaving.py sends them.
"""

import csv
import io
import json
import re
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from ..delivery.readings import FIELD_OF, is_speed
from ..facts import DELIVERY, KINDS, SETTINGS
from ..units import LENGTH_M, from_m, to_m
from . import eye_check_row
from .columns import COLUMNS

# What a spreadsheet runs as a formula, in a full-width script too (OWASP, "CSV injection", from memory).
_FORMULA = re.compile("'*[=+\\-@＝＋－＠]")
_LENGTHS = {"meant": "meant_carry_m", "carry": "raw_carry_m", "roll": "roll_m", "bay_offset": "bay_offset_m"}
_OF_VISIT = {
    "surface": "surface",
    "place": "place",
    "visit_judged_by": "judged_by",
    "visit_wind": "wind",
    "visit_wind_force": "wind_force",
    "visit_aside": "aside",
    "aside_reason": "aside_reason",
    "temperature_c": "temperature_c",
    "monitor_note": "monitor_note",
    "indoor_counts": "indoor_counts",
    "flags_checked": "flags_checked",
    "utc_offset_min": "utc_offset_min",
    "warm_up_balls": "warm_up_balls",
}
_SPEED_UNIT = "mps"  # speeds are stored so: any other unit could cost a last digit on the way back


def shots_csv(
    shots: Iterable[dict[str, Any]], clubs: Mapping[str, Any], buckets: Mapping[str, dict[str, Any]], unit: str
) -> Iterator[str]:
    """Every ball as lines of CSV (RFC 4180) with a header; what a spreadsheet would run as a formula gets a "'".

    `shots`, `clubs` (by id) and `buckets` (by id) are rows of store/reading.py. A row whose lengths would not come
    back exactly from `unit` is written in metres.
    """
    yield _line(COLUMNS)
    for shot in shots:
        row = _row(shot, clubs.get(shot["club_id"]), buckets.get(shot["bucket_id"], {}), unit)
        yield _line([_cell(row[name]) for name in COLUMNS])


def eye_checks_csv(pairs: Iterable[Mapping[str, Any]], unit: str) -> Iterator[str]:
    """Every pair of an eye check as lines of the CSV that `clockyard eye-check` reads; rows of store/reading.py."""
    yield _line(eye_check_row.COLUMNS)
    for pair in pairs:
        lengths_m = pair["said_m"], pair["measured_m"]
        written = unit if all(_comes_back(length_m, unit) for length_m in lengths_m) else "m"
        lengths = [_cell(_length(length_m, written)) for length_m in lengths_m]
        yield _line([*lengths, written, pair["by"], pair["made_at"]])


def book_json(facts: Iterable[dict[str, Any]], now: str) -> Iterator[str]:
    """The whole book as pieces of JSON: what every field means, then every fact with its id."""
    yield _indented({"made_by": "clockyard", "made_at": now, "fields": _fields()}).removesuffix("\n}")
    yield ',\n "facts": ['
    between = "\n  "
    for fact in facts:
        plain = {name: value for name, value in fact.items() if name != "seq"}
        yield between + _indented(plain).replace("\n", "\n  ")
        between = ",\n  "
    yield "\n ]\n}"


def _indented(value: dict[str, Any]) -> str:
    return json.dumps(value, ensure_ascii=False, indent=1)


def _line(values: Iterable[Any]) -> str:
    out = io.StringIO()
    csv.writer(out, lineterminator="\r\n").writerow(values)
    return out.getvalue()


def _row(shot: dict[str, Any], club: Any, bucket: dict[str, Any], unit: str) -> dict[str, Any]:
    row = {name: shot.get(name, "") for name in COLUMNS}
    lengths_m = {name: shot[of_shot] for name, of_shot in _LENGTHS.items()}
    if not all(_comes_back(length_m, unit) for length_m in lengths_m.values()):
        unit = "m"
    row.update({name: bucket.get(of_visit) for name, of_visit in _OF_VISIT.items()})
    row.update({name: _length(length_m, unit) for name, length_m in lengths_m.items()})
    row.update({column: shot["delivery"].get(name) for column, name in FIELD_OF.items()})
    if any(is_speed(column) and row[column] is not None for column in FIELD_OF):
        row["speed_unit"] = _SPEED_UNIT
    row.update(
        bucket=shot["bucket_id"],
        club=club.name if club else shot["club_id"],
        loft_deg=club.loft_deg if club else "",
        swing=shot["swing_deg"],
        retired=bool(club and club.retired),
        unit=unit,
    )
    return row


def _length(length_m: float | None, unit: str) -> float | None:
    """A length as it is written; the tiny error of a way through metres is left out, so that 54 yards stay 54."""
    return length_m if length_m is None or LENGTH_M[unit] == 1.0 else round(from_m(length_m, unit), 9)


def _comes_back(length_m: float | None, unit: str) -> bool:
    written = _length(length_m, unit)
    return written is None or to_m(written, unit) == length_m


def _cell(value: Any) -> Any:
    if isinstance(value, str) and _FORMULA.match(value):
        return f"'{value}"
    if isinstance(value, bool):
        return int(value)
    if isinstance(value, float) and value.is_integer():
        return int(value)
    return "" if value is None else value


def _fields() -> dict[str, Any]:
    kinds = {kind: {name: field.label for name, field in body.items()} for kind, body in KINDS.items()}
    kinds["shot"]["delivery"] = {name: field.label for name, field in DELIVERY.items()}  # type: ignore[assignment]
    return {
        "fact": "id names it; root is the id of the fact it corrects (its own at first); body null withdraws the root",
        "units": "names end in their unit: _m metres, _deg degrees, _mps metres a second, _c degrees Celsius",
        "kinds": kinds,
        "settings": {name: field.label for name, field in SETTINGS.items()},
    }
