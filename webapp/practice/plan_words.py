"""The words a plan is written in: one short text a call, as it stands in a bucket, and which call is next.

Knows no card and no page; static/rules/plan.js does the same on the phone, and tests/vectors/plan/ holds both to it.
"""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from ..facts import LONGEST_CARRY_M, MODES
from ..fields import is_uuid

MOST_CALLS = 300  # as many as a bucket's plan may hold
WHY = {
    "nine": "has it lasted?",
    "guess": "a guess, no ball yet",
    "told": "as you stated it, no ball yet",
    "old": "old, hardly a ball of late",
    "order": "out of order with another swing",
    "early": "early, it wants more balls or visits",
    "wide": "its range is wide",
    "near": "sharpens its neighbours too",
    "mixed": "another call each time",
    "task": "the first task",
    "lesson": "set by your coach",
}
# What was planned about the call; the other reasons are about its number, and go with the balls that are struck.
LASTING_WHY = ("nine", "mixed", "task", "lesson")
NO_BALL_YET = ("guess", "told")
_NUMBER = re.compile(r"\d{1,3}(\.\d{1,2})?", re.ASCII)
_PLACE = re.compile(r"[1-9]\d{0,2}", re.ASCII)
_HOMEWORK_REF = re.compile(r"[0-9a-f]{8}\.[1-9]\d{0,2}", re.ASCII)


@dataclass(frozen=True)
class Call:
    """What one ball of a plan is to be: club and swing, make the swing or hit the number, and why it is there.

    `meant_carry_m` is None where the card's typical carry is meant; `why` is a key of WHY, or "". `homework_ref` names
    the place of a homework that the ball is struck for, as homework.py writes it, or is "".
    """

    club_id: str
    swing_deg: float
    mode: str
    meant_carry_m: float | None = None
    why: str = ""
    homework_ref: str = ""


def parse(word: str) -> Call | None:
    """The call of a word such as "<club id>:90:distance:49.38:mixed"; None for a word that is none.

    Carry [m], reason and place of a homework may be missing, as in "<club id>:90:swing"; unknown ones are read as none.
    """
    club_id, _, rest = word.partition(":")
    swing_text, mode, carry_text, why, ref = [*rest.split(":"), "", "", "", ""][:5]
    swing_deg = float(swing_text) if _NUMBER.fullmatch(swing_text) else 0.0
    meant_carry_m = float(carry_text) if _NUMBER.fullmatch(carry_text) else None
    sound = is_uuid(club_id) and 1 <= swing_deg <= 180 and mode in MODES
    if not sound or (carry_text and meant_carry_m is None) or (meant_carry_m or 0) > LONGEST_CARRY_M:
        return None
    homework_ref = ref if _HOMEWORK_REF.fullmatch(ref) else ""
    return Call(club_id, swing_deg, mode, meant_carry_m, why if why in WHY else "", homework_ref)


def written(call: Call) -> str:
    """The word of a call; what is missing at its end is left out."""
    carry = "" if call.meant_carry_m is None else f"{call.meant_carry_m:.2f}"
    return ":".join((call.club_id, f"{call.swing_deg:g}", call.mode, carry, call.why, call.homework_ref)).rstrip(":")


def done(shots: Iterable[Mapping[str, Any]]) -> int:
    """How many places of a plan are behind: the last place that any of the bucket's shots was struck for."""
    return max((place_of(shot) for shot in shots), default=0)


def struck(shots: Iterable[Mapping[str, Any]]) -> set[int]:
    """The places of a plan that were struck; one whose shot is set aside is still to come."""
    return {place_of(shot) for shot in shots if not shot["aside"]} - {0}


def place_of(shot: Mapping[str, Any]) -> int:
    """The place in the plan, from 1, that a shot was struck for; 0 for a shot of the player's own choice."""
    named = str(shot["plan_ref"] or "")
    return int(named) if _PLACE.fullmatch(named) else 0


def call_of(plan: Sequence[str], shot: Mapping[str, Any]) -> Call | None:
    """The call that a shot was struck for, or None."""
    place = place_of(shot)
    return parse(plan[place - 1]) if 0 < place <= len(plan) else None


def rest(plan: Sequence[str], shots: Iterable[Mapping[str, Any]]) -> list[str]:
    """The words of a plan that are still to be struck."""
    behind = struck(shots)
    return [word for place, word in enumerate(plan, 1) if place not in behind]


def changed(plan: Sequence[str], shots: Iterable[Mapping[str, Any]], words: Sequence[str]) -> list[str]:
    """A plan whose rest is dropped for other words; what was struck keeps its places."""
    return [*plan[: done(shots)], *words][:MOST_CALLS]
