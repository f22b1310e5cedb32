"""How practice went, in numbers and words: the next-visit nine, the miss at a called distance, first balls, the pull.

Knows no table and no page; shots of visits come in as rows, in any order.
"""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from ..card.balls import aimed_of, reaches, seen
from ..card.card_words import Length
from ..card.strike import STEP_M
from ..moments import days_between
from ..units import CLOSE, YARD_M
from .plan_words import Call, call_of, parse
from .plans import NINE, NINE_AFTER_DAYS

# Common practice, no source.
NINE_WITHIN_M = 5 * YARD_M
PULL_BALLS = 30
PULL_SHARE = 0.5

Row = Mapping[str, Any]
Parts = tuple[str | Length, ...]


@dataclass(frozen=True)
class Nine:
    """One next-visit nine: of `n` balls struck `within` came down within 5 yd of the number; `cold` when it counts.

    It is cold when nothing was practised in the twelve hours before it nor earlier in its bucket.
    """

    bucket_id: str
    struck_at: str
    n: int
    within: int
    cold: bool

    @property
    def whole(self) -> bool:
        """Whether all nine were struck."""
        return self.n >= NINE


@dataclass(frozen=True)
class Miss:
    """Mean distance from the called number over `n` balls: [m], and as a share of the number."""

    n: int
    miss_m: float
    share: float


@dataclass(frozen=True)
class Runs:
    """How far [m, root mean square] swing-called balls lie from their cell's mean: first of a run, and all others."""

    n_first: int
    first_m: float
    n_rest: int
    rest_m: float


@dataclass(frozen=True)
class Pull:
    """How many of `n` balls judged by eye were noted just where they were called."""

    n: int
    same: int

    @property
    def warns(self) -> bool:
        """Whether the flag seems to pull what is written down: over half, of thirty balls or more."""
        return self.n >= PULL_BALLS and self.same > PULL_SHARE * self.n


def with_nines(buckets: Sequence[Row], shots: Sequence[Row]) -> list[Row]:
    """The shots; one of a cold next-visit nine that is not set aside says so by `nine`."""
    plans = {bucket["id"]: bucket["plan"] for bucket in buckets}
    cold = {nine.bucket_id for nine in nines(buckets, shots) if nine.cold}
    return [
        {**shot, "nine": True}
        if shot["bucket_id"] in cold and not shot["aside"] and _is_nine(call_of(plans[shot["bucket_id"]], shot))
        else shot
        for shot in shots
    ]


def nines(buckets: Iterable[Row], shots: Iterable[Row]) -> list[Nine]:
    """Every next-visit nine, newest first; `buckets` need id and plan, `shots` are of all of them."""
    planned = [bucket for bucket in buckets if any(map(_is_nine, map(parse, bucket["plan"])))]
    if not planned:
        return []
    by_bucket: dict[str, list[Row]] = {}
    in_order = sorted(shots, key=lambda shot: (shot["struck_at"], shot["id"]))
    for shot in in_order:
        by_bucket.setdefault(shot["bucket_id"], []).append(shot)
    found = []
    for bucket in planned:
        own = by_bucket.get(bucket["id"], [])
        nine = [shot for shot in own if _is_nine(call_of(bucket["plan"], shot))]
        if not nine:
            continue
        begun = nine[0]["struck_at"]
        last = max((shot["struck_at"] for shot in in_order if shot["struck_at"] < begun), default=None)
        cold = last is None or days_between(last, begun) >= NINE_AFTER_DAYS
        kept = [shot for shot in nine if not shot["aside"]]
        within = sum(map(lands_within, kept))
        found.append(Nine(bucket["id"], begun, len(kept), within, cold))
    return sorted(found, key=lambda nine: nine.struck_at, reverse=True)


def nine_words(scored: Sequence[Nine]) -> Parts:
    """The newest nine against the cold one before it: "7 of 9 within 5; last time 5 of 9"; () without any."""
    if not scored:
        return ()
    newest, *earlier = scored
    said: Parts = (f"{newest.within} of {newest.n} within ", Length(NINE_WITHIN_M))
    if not newest.cold:
        return (*said, ", struck after practice, so it is not compared")
    if not newest.whole:
        return (*said, f"; {NINE - newest.n} of the nine were not struck")
    before = next((nine for nine in earlier if nine.cold and nine.whole), None)
    return (*said, f"; last time {before.within} of {before.n}") if before else (*said, "; the first one")


def miss(shots: Iterable[Row], low_m: float | None = None, high_m: float | None = None) -> Miss | None:
    """The miss at called distances in [low_m, high_m), from distance-called balls alone; None without any."""
    band = aimed_of(shots, low_m, high_m)
    if not band:
        return None
    off = [abs(_off_m(shot)) for shot in band]
    share = sum(one / shot["meant_carry_m"] for one, shot in zip(off, band, strict=True)) / len(off)
    return Miss(len(off), sum(off) / len(off), share)


def runs(shots: Iterable[Row]) -> Runs | None:
    """First balls of a run against the rest, each against its own cell's mean; None until both have two balls.

    Only counted balls with a carry and a noted place in their run; a cell with a single ball says nothing.
    """
    cells: dict[tuple[str, float], list[Row]] = {}
    for shot in shots:
        if shot["counted"] and seen(shot) and shot["run_index"]:
            cells.setdefault((shot["club_id"], shot["swing_deg"]), []).append(shot)
    first: list[float] = []
    rest: list[float] = []
    for own in cells.values():
        if len(own) < 2:
            continue
        mean_m = sum(shot["carry_m"] for shot in own) / len(own)
        for shot in own:
            (first if shot["run_index"] == 1 else rest).append(shot["carry_m"] - mean_m)
    if len(first) < 2 or len(rest) < 2:
        return None
    return Runs(len(first), _root_mean_square(first), len(rest), _root_mean_square(rest))


def pull(shots: Iterable[Row]) -> Pull:
    """Balls judged by eye whose carry is the called one, as near as the step of judging by eye can tell."""
    judged = [shot for shot in shots if shot["judged_by"] == "eye" and reaches(shot) and not shot["aside"]]
    return Pull(len(judged), sum(abs(_off_m(shot)) < STEP_M["eye"] / 2 for shot in judged))


def lands_within(shot: Row) -> bool:
    """Whether a ball came down within 5 yd of the number it was hit to."""
    return reaches(shot) and abs(_off_m(shot)) <= NINE_WITHIN_M + CLOSE


def _is_nine(call: Call | None) -> bool:
    return call is not None and call.why == "nine"


def _off_m(shot: Row) -> float:
    return float(shot["carry_m"] - shot["meant_carry_m"])


def _root_mean_square(values: Sequence[float]) -> float:
    return math.sqrt(sum(value**2 for value in values) / len(values))
