"""What was said of one shot, and by each correction, in words.

Knows facts; nothing of pages or of who said it.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from ..facts import DELIVERY, KINDS, LANDED_WORDS
from ..fields import Field
from ..moments import local
from ..units import SPEED_BESIDE, SPEED_NAMES, from_mps, tenths, whole
from .card_words import Length
from .noted import noted

_NOTHING = "not noted"
_UNITS = {"_deg": "°", "_rpm": " rpm"}


@dataclass(frozen=True)
class Said:
    """One entry of a shot's history: when it was made, also by the player's clock, and what it says.

    `shown` is True for the one that holds now.
    """

    made_at: str
    local_at: str
    words: str
    shown: bool


def said(
    history: Sequence[Mapping[str, Any]], clubs: Mapping[str, str], unit: str, ahead_min: int | None
) -> list[Said]:
    """The history of one shot, newest first.

    Parameters
    ----------
    history : sequence of mapping
        Its facts in the order made, none of them a void; the last one is what is shown.
    clubs : mapping
        Names of wedges by id.
    unit : str
        A name of units.LENGTH_UNITS.
    ahead_min : int or None
        How far the player's clock is ahead of UTC [min]; None where that is not known.
    """
    entries, before = [], None
    for fact in history:
        now = {name: fact["body"].get(name, field.default) for name, field in KINDS["shot"].items()}
        words = _first(now, unit) if before is None else _changes(before, now, clubs, unit)
        entries.append(Said(fact["made_at"], local(fact["made_at"], ahead_min), words, fact is history[-1]))
        before = now
    return entries[::-1]


def _first(now: Mapping[str, Any], unit: str) -> str:
    carry = f"carry {_value('carry_m', now['carry_m'], unit)}"
    landing = carry if now["landed"] == "seen" else LANDED_WORDS[now["landed"]]
    also = ("".join(_said(part, unit) for part in parts) for parts in noted(now, {}))
    return ", ".join((landing, now["contact"] or "contact not noted", *also))


def _said(part: str | Length, unit: str) -> str:
    return part if isinstance(part, str) else str(whole(part.length_m, unit))


def _changes(before: Mapping[str, Any], now: Mapping[str, Any], clubs: Mapping[str, str], unit: str) -> str:
    found = []
    for name, field in KINDS["shot"].items():
        if before[name] == now[name] or (name == "judged_by" and before["judged_apart"] != now["judged_apart"]):
            continue
        if name == "aside":
            found.append("set aside" if now[name] else "restored")
        elif name == "judged_apart":
            apart = f"judged apart from its bucket, by {now['judged_by']}"
            found.append(apart if now[name] else "judged as its bucket is")
        elif name == "bucket_id":
            found.append("moved to another visit")
        elif name == "club_id":
            found.append(f"wedge {clubs.get(before[name], '?')} → {clubs.get(now[name], '?')}")
        elif name == "delivery":
            found += _differing(DELIVERY, before[name], now[name], unit)
        else:
            found += _differing({name: field}, before, now, unit)
    return ", ".join(found) or "said again, unchanged"


def _differing(named: Mapping[str, Field], before: Mapping[str, Any], now: Mapping[str, Any], unit: str) -> list[str]:
    return [
        f"{field.label} {_value(name, before.get(name), unit)} → {_value(name, now.get(name), unit)}"
        for name, field in named.items()
        if before.get(name) != now.get(name)
    ]


def _value(name: str, value: Any, unit: str) -> str:
    if value is None or value == "":
        return _NOTHING
    if isinstance(value, str):
        return LANDED_WORDS.get(value, value)
    if name.endswith("_mps"):
        speed_unit = SPEED_BESIDE[unit]
        return f"{from_mps(value, speed_unit):.1f} {SPEED_NAMES[speed_unit]}"
    of = next((words for ending, words in _UNITS.items() if name.endswith(ending)), "")
    return f"{tenths(value, unit) if name.endswith('_m') else value:g}{of}".replace("-", "−")
