"""A book's balls and facts as files that other programs read and that importing brings back without loss.

Knows the files' form; where they go is the caller's business.
"""

import csv
import io
import json
import re
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from ..delivery.readings import FIELD_OF, is_speed
from ..facts import DELIVERY, KINDS, SETTINGS
from ..units import from_m, to_m
from . import eye_check_row
from .ball_row import COLUMNS

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
_DELIVERY_UNITS = {
    "club_speed": "in the row's speed_unit",
    "attack_deg": "degrees, + up",
    "path_deg": "degrees, + right of the target for either hand",
    "face_deg": "degrees, + right of the target for either hand",
    "dynamic_loft_deg": "degrees",
    "launch_deg": "degrees, + up",
    "spin_rpm": "revolutions a minute",
    "ball_speed": "in the row's speed_unit",
}
NOTES = {
    "id": "names the ball for good (UUID)",
    "made_at": "when it was struck, UTC, ISO 8601",
    "bucket": "the visit (UUID)",
    "club": "the wedge's name",
    "loft_deg": "stamped loft in degrees",
    "swing": "lead-arm angle from address in degrees: 90 is 9:00, 180 is full",
    "mode": "swing: make the swing, see where it lands; distance: hit the number",
    "meant": "meant carry, in the row's unit",
    "carry": "where it landed, not where it stopped, in the row's unit; empty when it was not seen",
    "unit": "yd or m",
    "contact": "fat, heavy, clean, thin, bladed, shank, or empty when not noted",
    "landed": "seen, unseen, under or over (off the scale)",
    "judged_by": "eye, markers, laser or monitor",
    "surface": "mat or grass",
    "ball": "range or own",
    "place": "where the visit was",
    "run_index": "the ball's place among equal calls in a row",
    "aside": "1 when the ball was set aside: kept, not counted",
    "direction": "left, straight or right of the aim, or empty when not noted",
    "swing_check": "whether the swing was longer, right or shorter than called, or empty when not noted",
    "wind": "calm, into, down, left or right where the ball's differed from the visit's",
    "wind_force": "light or strong where the ball's differed from the visit's",
    "lie": "level, rough, bare, wet, sand, uphill or downhill",
    "flight": "grip-down, low or high; empty for the usual one",
    "coarse": "1 when noted on the rain patch, whose steps are wider",
    "course": "1 for a note from the course, which does not count",
    "roll": "roll after landing, in the row's unit",
    "plan_ref": "the place in a plan that the ball belonged to",
    **{column: f"{DELIVERY[name].label}; {_DELIVERY_UNITS[column]}" for column, name in FIELD_OF.items()},
    "speed_unit": "of club_speed and ball_speed: mph, mps (metres a second) or kmh; written as mps",
    "visit_judged_by": "how carries were judged on that visit",
    "visit_wind": "calm, into, down, left or right on that visit",
    "visit_wind_force": "light or strong on that visit",
    "visit_aside": "1 when the whole visit was set aside",
    "aside_reason": "why the visit was set aside",
    "temperature_c": "temperature of the visit in degrees Celsius",
    "bay_offset": "what the visit's carries are off by, in the row's unit; the card adds it",
    "monitor_note": "outdoor, indoor or corrected: what the launch monitor showed",
    "indoor_counts": "1 when the bucket's indoor estimates count for the card",
    "flags_checked": "laser, monitor, paces or unchecked: how the range's flags were checked",
    "utc_offset_min": "minutes the player's clock was ahead of UTC; empty where it is not known and UTC is shown",
    "warm_up_balls": "balls struck before the first that counted",
    "club_id": "the wedge (UUID): two may have borne one name",
    "retired": "1 when the wedge had left the bag",
}


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
    return length_m if length_m is None or unit == "m" else round(from_m(length_m, unit), 9)


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
