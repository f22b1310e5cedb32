"""The shots behind one number: which count, what they come to in plain figures, and how the others differ.

Knows no table and no page; rows of one cell's shots come in, newest first.
"""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from statistics import median
from typing import Any

from ..estimate.plain import Plain, plain
from .balls import seen
from .noted import FLIGHT_WORDS, LEAST_ROLL_M
from .strike import Cost, Shares, cost_of

Row = Mapping[str, Any]
TO_A_NUMBER = "hit to a number"
LEAST_ROLLS = 5  # balls with a roll, before it is said how far they usually roll
_NOT_MEASURED = ("eye", "markers")


@dataclass(frozen=True)
class Roll:
    """How far `n` balls rolled once they had landed: the median [m], below zero where they spun back."""

    n: int
    median_m: float

    @property
    def is_told(self) -> bool:
        """Whether it is long enough for a number."""
        return abs(self.median_m) >= LEAST_ROLL_M


@dataclass(frozen=True)
class Figures:
    """Plain figures of some carries [m] and their mean distance from the meant carry (None: nothing was meant)."""

    plain: Plain
    against_meant_m: float | None


@dataclass(frozen=True)
class Visit:
    """The shots of one visit, in the order struck, and the player's clock at the last of them."""

    visit_id: str
    local_at: str
    place: str
    shots: tuple[Row, ...]


@dataclass(frozen=True)
class Behind:
    """Everything behind one number; `all` and `clean` are None without a carry, `off_scale` and `unseen` have none.

    `roll` is None before enough balls have one. `judging_adds`: some carries were not measured, so that judging them
    adds to their spread. `latest`: of how many latest shots all of it is; 0 where of every one.
    """

    all: Figures | None
    clean: Figures | None
    cost: Cost | None
    contacts: Shares
    off_scale: int
    unseen: int
    directions: Shares
    swing_checks: Shares
    visits: tuple[Visit, ...]
    roll: Roll | None
    judging_adds: bool
    latest: int = 0


def behind(shots: Sequence[Row], ball: str, most: int = 0) -> Behind:
    """What lies behind the number of one kind of ball; shots that do not count are listed, not reckoned.

    `most` is how many shots were read at most; 0 where all were.
    """
    counted = [shot for shot in shots if shot["counted"] and shot["ball"] == ball]
    carried = list(filter(seen, counted))
    kept = [shot for shot in shots if not shot["aside"]]
    return Behind(
        all=_figures(carried),
        clean=_figures([shot for shot in carried if shot["contact"] == "clean"]),
        cost=cost_of(counted),
        contacts=_counts(counted, "contact"),
        off_scale=sum(shot["landed"] in ("under", "over") for shot in counted),
        unseen=sum(shot["landed"] == "unseen" for shot in counted),
        directions=_counts(kept, "direction"),
        swing_checks=_counts(kept, "swing_check"),
        visits=_visits(shots),
        roll=_roll(counted),
        judging_adds=any(shot["judged_by"] in _NOT_MEASURED for shot in carried),
        latest=most if len(shots) == most else 0,
    )


def why_not(shot: Row, ball: str) -> str:
    """Why a shot does not count for the card, in a few words; "" when it does."""
    reason = reason_not(shot, ball)
    return FLIGHT_WORDS.get(reason, reason)


def reason_not(shot: Row, ball: str) -> str:
    """The same, as short as the phone says it beside a call: a flight as it is chosen there."""
    reasons = (
        (shot["aside"], "set aside"),
        (bool(shot["bucket_aside"]), "bucket set aside"),
        (shot["course"], "course note"),
        (shot["mode"] == "distance", TO_A_NUMBER),
        (shot["lie"] != "level", f"{shot['lie']} lie"),
        (bool(shot["flight"]), shot["flight"]),
        (not shot["ball"], "bucket taken back"),
        (shot["ball"] != ball, f"{shot['ball']} ball"),
        (shot["monitor_note"] == "indoor" and not shot["indoor_counts"], "indoor estimate"),
        (shot["strong_wind"], "strong wind"),
    )
    return next((words for holds, words in reasons if holds), "")


def _figures(shots: Sequence[Row]) -> Figures | None:
    figures = plain([shot["carry_m"] for shot in shots])
    if figures is None:
        return None
    off = [shot["carry_m"] - shot["meant_carry_m"] for shot in shots if shot["meant_carry_m"]]
    return Figures(figures, sum(off) / len(off) if off else None)


def _roll(shots: Sequence[Row]) -> Roll | None:
    rolls_m = [shot["roll_m"] for shot in shots if shot["roll_m"] is not None]
    return Roll(len(rolls_m), median(rolls_m)) if len(rolls_m) >= LEAST_ROLLS else None


def _counts(shots: Sequence[Row], name: str) -> Shares:
    counts = Counter(shot[name] for shot in shots if shot[name])
    return Shares(counts.total(), dict(counts.most_common()))


def _visits(shots: Sequence[Row]) -> tuple[Visit, ...]:
    by_visit: dict[str, list[Row]] = {}
    for shot in shots:
        by_visit.setdefault(shot["visit_id"], []).append(shot)
    return tuple(
        Visit(visit_id, rows[0]["local_at"], rows[0]["place"] or "", tuple(reversed(rows)))
        for visit_id, rows in by_visit.items()
    )
