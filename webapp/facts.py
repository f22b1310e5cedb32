"""What a book is made of: the kinds of fact with their fields and ranges, their check, and the fold to what is shown.

Knows no table, page or clock, and nothing of labels, lists or estimates.
"""

import json
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any, Protocol, TypeVar

from . import fields
from .units import LENGTH_M, USUAL_UNIT, YARD_M

LONGEST_CARRY_M = 400 * YARD_M
LOFT_DEG_RANGE = (36.0, 70.0)
NAME_LENGTH = 40
FOCUS_LENGTH = 80
REMARK_LENGTH = 200
MOST_FACTS_A_BATCH = 500

CONTACTS = ("fat", "heavy", "clean", "thin", "bladed", "shank")
MODES = ("swing", "distance")
LANDED = ("seen", "unseen", "under", "over")
LANDED_WORDS = dict(zip(LANDED, ("seen", "lost sight", "way short", "way over"), strict=True))
JUDGED_BY = ("eye", "markers", "laser", "monitor")
SURFACES = ("mat", "grass")
BALLS = ("range", "own")
WINDS = ("calm", "into", "down", "left", "right")
WIND_FORCES = ("light", "strong")
LIES = ("level", "rough", "bare", "wet", "sand", "uphill", "downhill")
FLIGHTS = ("grip-down", "low", "high")
DIRECTIONS = ("left", "straight", "right")
SWING_CHECKS = ("longer", "right", "shorter")
EYE_CHECKED_BY = ("laser", "markers", "monitor", "paces")
MONITOR_NOTES = ("outdoor", "indoor", "corrected")
FLAG_CHECKS = ("laser", "monitor", "paces", "unchecked")
BALL_LIMIT_RANGE = (5, 500)
TEMPERATURE_C_RANGE = (-20, 50)
ALTITUDE_M_RANGE = (-100, 4000)
UTC_OFFSET_MIN_RANGE = (-12 * 60, 14 * 60)  # of the clocks people live by (IANA time zones, from memory)

DELIVERY = {
    "club_speed_mps": fields.number("club speed", 0, 70, "m/s"),
    "attack_deg": fields.number("attack", -25, 15, "degrees"),
    "path_deg": fields.number("path", -30, 30, "degrees"),
    "face_deg": fields.number("face", -30, 30, "degrees"),
    "dynamic_loft_deg": fields.number("dynamic loft", 0, 90, "degrees"),
    "launch_deg": fields.number("launch", -10, 90, "degrees"),
    "spin_rpm": fields.number("spin", 0, 20000, "rpm"),
    "ball_speed_mps": fields.number("ball speed", 0, 100, "m/s"),
}

SETTINGS = {
    "hand": fields.choice("hand", ("right", "left"), "right"),
    "seen_from": fields.choice("clock seen from", ("front", "self"), "front"),
    "unit": fields.choice("unit", tuple(LENGTH_M), USUAL_UNIT),
    "junior": fields.flag("junior"),
    "judged_by": fields.choice("judged by", JUDGED_BY, "markers"),
    "thumb": fields.choice("thumb side", ("left", "right"), ""),
    "nickname": fields.text("nickname", NAME_LENGTH),
    "ball": fields.choice("ball on the card", BALLS, "range"),
    "hidden_cells": fields.words("cells not shown", 60, 200),
    "moved_cells": fields.words("numbers that moved", 80, 200),
    "gap_limit_m": fields.length("gap limit", 1, 60),
    "ball_limit": fields.whole("ball limit", *BALL_LIMIT_RANGE),
    "margin_m": fields.length("margin", 1, 60),
    "home_temperature_c": fields.number("home temperature", *TEMPERATURE_C_RANGE, "degC"),
    "home_altitude_m": fields.number("home altitude", *ALTITUDE_M_RANGE, "m"),
}

KINDS: dict[str, dict[str, fields.Field]] = {
    "bucket": {
        "place": fields.text("place", NAME_LENGTH),
        "surface": fields.choice("surface", SURFACES, required=True),
        "ball": fields.choice("ball", BALLS, required=True),
        "judged_by": fields.choice("judged by", JUDGED_BY, required=True),
        "judged_was": fields.choice("judged before it was put right", JUDGED_BY, ""),
        "wind": fields.choice("wind", WINDS, "calm"),
        "wind_force": fields.choice("wind force", WIND_FORCES, "light"),
        "temperature_c": fields.number("temperature", *TEMPERATURE_C_RANGE, "degC"),
        "bay_offset_m": fields.length("bay offset", -50, 50),
        "monitor_note": fields.choice("monitor shows", MONITOR_NOTES),
        "indoor_counts": fields.flag("indoor estimates count"),
        "flags_checked": fields.choice("flags checked by", FLAG_CHECKS),
        "utc_offset_min": fields.whole("minutes ahead of UTC", *UTC_OFFSET_MIN_RANGE),
        "warm_up_balls": fields.whole("warm-up balls", 0, 500),
        "ended_at": fields.moment("ended at"),
        "aside": fields.flag("visit set aside"),
        "aside_reason": fields.text("reason", NAME_LENGTH),
        "plan": fields.words("plan", 80, 300),
        "table_id": fields.identity("table it came with", required=False),
    },
    "shot": {
        "bucket_id": fields.identity("bucket"),
        "club_id": fields.identity("club"),
        "swing_deg": fields.number("swing", 1, 180, "degrees", required=True),
        "mode": fields.choice("mode", MODES, required=True),
        "meant_carry_m": fields.length("meant carry", 0, LONGEST_CARRY_M),
        "carry_m": fields.length("carry", 0, LONGEST_CARRY_M),
        "landed": fields.choice("landed", LANDED, "seen"),
        "contact": fields.choice("contact", CONTACTS, ""),
        "aside": fields.flag("set aside"),
        "run_index": fields.whole("place in its run", 1, 10000),
        "judged_by": fields.choice("judged by", JUDGED_BY, required=True),
        "judged_apart": fields.flag("judged otherwise than its bucket", default=None),
        "plan_ref": fields.text("plan", 60),
        "direction": fields.choice("direction", DIRECTIONS, ""),
        "swing_check": fields.choice("swing check", SWING_CHECKS, ""),
        "wind": fields.choice("wind", WINDS, ""),
        "wind_force": fields.choice("wind force", WIND_FORCES, ""),
        "lie": fields.choice("lie", LIES, "level"),
        "flight": fields.choice("grip or flight", FLIGHTS, ""),
        "coarse": fields.flag("noted on the rain patch"),
        "course": fields.flag("course note"),
        "roll_m": fields.length("roll", -30, 100),
        "delivery": fields.group("delivery numbers", DELIVERY),
    },
    "club": {
        "name": fields.text("name", NAME_LENGTH, required=True),
        "loft_deg": fields.number("loft", *LOFT_DEG_RANGE, "degrees", required=True),
        "sole_note": fields.text("bounce and sole", 200),
        "retired": fields.flag("no longer in the bag"),
        "follows": fields.identity("replaces", required=False),
    },
    "swing": {
        "swing_deg": fields.number("swing", 1, 180, "degrees", required=True),
        "name": fields.text("name", NAME_LENGTH),
    },
    "full_carry": {
        "club_id": fields.identity("club"),
        "carry_m": fields.length("full carry", 0, LONGEST_CARRY_M, required=True),
    },
    "setting": {
        "name": fields.choice("setting", tuple(SETTINGS), required=True),
        "value": fields.Field("value", lambda value: "", required=True),
    },
    "mark": {
        "what": fields.choice("mark", ("lesson", "new club", "other"), required=True),
        "words": fields.text("words", 200),
        "on": fields.moment("on", required=True),
        "bucket_id": fields.identity("bucket", required=False),
        "shot_id": fields.identity("ball", required=False),
    },
    "note": {
        "words": fields.text("words", 400),
        "about": fields.text("about", 80),
    },
    "eye_check": {
        "said_m": fields.length("said by eye", 1, LONGEST_CARRY_M, required=True),
        "measured_m": fields.length("measured", 1, LONGEST_CARRY_M, required=True),
        "by": fields.choice("measured by", EYE_CHECKED_BY, required=True),
    },
    "homework": {
        "plan": fields.words("plan", 80, 300, required=True),
        "nine_by": fields.day("next-visit nine by"),
        "focus": fields.text("focus", FOCUS_LENGTH),
        "aside": fields.flag("set aside"),
    },
    "remark": {
        "words": fields.text("words", REMARK_LENGTH, required=True),
        "about": fields.text("about", 80),
        "club_id": fields.identity("club", required=False),
        "swing_deg": fields.number("swing", 1, 180, "degrees"),
        "shot_id": fields.identity("ball", required=False),
        "aside": fields.flag("set aside"),
    },
    "table": {
        "name": fields.text("file’s name", NAME_LENGTH),
        "headings": fields.text("digest of its headings", 64),
        "chosen": fields.plain("what its columns mean", 30_000),
        "made": fields.words("wedges and swings made for it", 36, 100),
    },
}
ENVELOPE = ("id", "root", "kind", "made_at", "body")
_DEFAULTS = {kind: {name: field.default for name, field in body.items()} for kind, body in KINDS.items()}
_REQUIRED = {kind: [name for name, field in body.items() if field.required] for kind, body in KINDS.items()}
_OF_CORRECTIONS = str(fields.LAST_YEAR)  # nothing begins in the last year, so that whatever did can be corrected
# Made once: json.dumps would make an encoder for every body.
_CANONICAL = json.JSONEncoder(sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False)


@dataclass(frozen=True)
class Problem:
    """Why a fact is refused: the field, a short stable code, and a sentence for its owner."""

    field: str
    code: str
    message: str


class Version(Protocol):
    """What tells the facts of one root apart; its id may be any that is ordered as its text is."""

    @property
    def id(self) -> Any:
        """Settles which of two of one moment is shown."""

    @property
    def made_at(self) -> str:
        """When it was made."""

    @property
    def body(self) -> dict[str, Any] | None:
        """What it says; None voids its root."""


One = TypeVar("One", bound=Version)


@dataclass(frozen=True)
class Fact:
    """One thing noted: `root` is the first fact's id (its own for a first fact); a body of None voids it for good."""

    id: str
    root: str
    kind: str
    made_at: str
    body: dict[str, Any] | None

    @classmethod
    def of(cls, raw: dict[str, Any]) -> "Fact":
        """A sound fact as it came over the wire; its identities in lower case, as the book gives them out."""
        return cls(raw["id"].lower(), raw["root"].lower(), raw["kind"], raw["made_at"], raw["body"])

    def filled(self) -> dict[str, Any]:
        """The body with every field of its kind, defaults where nothing was said; of a void {}."""
        if self.body is None:
            return {}
        return _DEFAULTS[self.kind] | self.body


def check(raw: Any) -> Problem | None:
    """The first thing wrong with a fact as it came over the wire, or None when it can be taken.

    Only what the fact itself shows is looked at; store/placing.py checks that its club and bucket exist.
    """
    if not isinstance(raw, dict):
        return _refusal("", "not_a_fact", "is not an object with an id and a kind")
    for name in ("id", "root"):
        if not fields.is_uuid(raw.get(name)):
            return _refusal(name, "bad_id", f"has no valid {name}")
    kind = raw.get("kind")
    if not isinstance(kind, str) or kind not in KINDS:
        named = f" ({kind[:20]!r})" if isinstance(kind, str) else ""
        return _refusal("kind", "unknown_kind", f"is of a kind not known here{named}")
    begins = raw["id"].lower() == raw["root"].lower()
    if not fields.is_moment(raw.get("made_at")) or (begins and raw["made_at"] >= _OF_CORRECTIONS):
        return _refusal("made_at", "bad_time", "has no valid time")
    if strange := raw.keys() - ENVELOPE:
        return _refusal("", "unknown_field", f"holds {min(strange)[:20]!r}, not known here")
    if "body" not in raw or (raw["body"] is None and begins):
        return _refusal("body", "bad_body", "says nothing")
    return None if raw["body"] is None else check_body(raw["kind"], raw["body"])


def check_body(kind: str, body: Any) -> Problem | None:
    """The first field of a body that does not fit its kind, or None."""
    if not isinstance(body, dict):
        return _refusal("body", "bad_body", "has no readable content")
    known = KINDS[kind]
    for name, value in body.items():
        if name not in known:
            return _refusal(name, "unknown_field", f"holds {name[:20]!r}, which a {kind} does not have")
        if wrong := known[name].misfit(value):
            return _refusal(name, "out_of_range", f"was not taken: {known[name].label} {wrong}", joined=False)
    for name in _REQUIRED[kind]:
        if name not in body:
            return _refusal(name, "missing", f"lacks its {known[name].label}")
    return _check_together(kind, body)


def fold(facts: Iterable[Fact]) -> dict[str, Fact]:
    """What is shown: for each root the fact made last (then the larger id); a void hides its root for good.

    The order of `facts` does not matter, and a correction may come without its root.
    """
    roots: dict[str, list[Fact]] = {}
    for fact in facts:
        roots.setdefault(fact.root, []).append(fact)
    return {root: shown for root, some in roots.items() if (shown := latest(some)) is not None}


def latest(facts: Iterable[One]) -> One | None:
    """What is shown of the facts of one root, None when it was withdrawn; ValueError without a fact."""
    last = max(facts, key=_rank)
    return None if last.body is None else last


def canonical(body: dict[str, Any] | None) -> str:
    """The one JSON text of a body: sorted names, no spaces, so equal contents are equal texts."""
    return _CANONICAL.encode(body)


def _rank(fact: Version) -> tuple[bool, str, Any]:
    return fact.body is None, fact.made_at, fact.id


def _check_together(kind: str, body: dict[str, Any]) -> Problem | None:
    if kind == "shot" and body.get("landed", "seen") == "seen" and body.get("carry_m") is None:
        return _refusal("carry_m", "missing", "has no carry, yet says that its landing was seen")
    if kind == "homework" and not body["plan"]:
        return _refusal("plan", "missing", "asks for no ball")
    if kind == "setting":
        wrong = SETTINGS[body["name"]].misfit(body["value"])
        if wrong:
            label = SETTINGS[body["name"]].label
            return _refusal("value", "out_of_range", f"was not taken: {label} {wrong}", joined=False)
    return None


def _refusal(field: str, code: str, what: str, joined: bool = True) -> Problem:
    tail = ", so it was not taken" if joined else ""
    return Problem(field, code, f"This entry {what}{tail}. It stays on the phone until it is mended.")
