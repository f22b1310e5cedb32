"""A book's balls and facts as files that other programs read and that importing brings back without loss.

Knows the files' form; where they go is the caller's business.
"""

import csv
import io
from collections.abc import Iterable
from typing import Any

from .facts import KINDS, SETTINGS
from .importing import COLUMNS
from .units import from_m

_FORMULA_SIGNS = ("=", "+", "-", "@", "\t", "\r")
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
}


def shots_csv(shots: Iterable[dict[str, Any]], clubs: dict[str, Any], unit: str) -> str:
    """Every ball as CSV (RFC 4180) with a header; text that a spreadsheet would run as a formula is put in quotes."""
    out = io.StringIO()
    writer = csv.DictWriter(out, COLUMNS, extrasaction="ignore", lineterminator="\r\n")
    writer.writeheader()
    for shot in shots:
        writer.writerow({name: _cell(value) for name, value in _row(shot, clubs, unit).items()})
    return out.getvalue()


def book_json(facts: Iterable[dict[str, Any]], now: str) -> dict[str, Any]:
    """The whole book: every fact with its id, and what every field means."""
    plain = [{name: value for name, value in fact.items() if name != "seq"} for fact in facts]
    return {"made_by": "clockyard", "made_at": now, "fields": _fields(), "facts": plain}


def _row(shot: dict[str, Any], clubs: dict[str, Any], unit: str) -> dict[str, Any]:
    club = clubs.get(shot["club_id"])
    row = {name: shot.get(name, "") for name in COLUMNS}
    row.update(
        bucket=shot["bucket_id"],
        club=club.name if club else shot["club_id"],
        loft_deg=f"{club.loft_deg:g}" if club else "",
        swing=f"{shot['swing_deg']:g}",
        meant=_length(shot["meant_carry_m"], unit),
        carry=_length(shot["raw_carry_m"], unit),
        unit=unit,
        aside=int(shot["aside"]),
    )
    return row


def _length(length_m: float | None, unit: str) -> str:
    """Digits enough that the metres come back exactly."""
    return "" if length_m is None else repr(round(from_m(length_m, unit), 10))


def _cell(value: Any) -> Any:
    if isinstance(value, str) and value.startswith(_FORMULA_SIGNS):
        return f"'{value}"
    return "" if value is None else value


def _fields() -> dict[str, Any]:
    kinds = {kind: {name: field.label for name, field in body.items()} for kind, body in KINDS.items()}
    return {
        "fact": "id names it; root is the id of the fact it corrects (its own at first); body null withdraws the root",
        "units": "names end in their unit: _m metres, _deg degrees, _mps metres a second, _c degrees Celsius",
        "kinds": kinds,
        "settings": {name: field.label for name, field in SETTINGS.items()},
    }
