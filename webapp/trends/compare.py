"""Plain figures of two periods side by side: every number of each cell, the strike and the aim, and the verdict.

Knows rows of shots and the drift rule; never the card's own estimate of a number, only its spread for the verdict.
"""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from statistics import fmean, stdev
from typing import Any

from ..card.card_data import CellKey
from ..card.strike import Bias, Cost, Shares, bias_of, shares_of, strikes
from ..estimate import drift
from ..estimate.drift import Verdict
from .period import Pair, Period

_RANK = {"moved": 0, "perhaps": 1, "no sign": 2}

Row = Mapping[str, Any]


@dataclass(frozen=True)
class CellSide:
    """One cell in one period: `n` counted balls in `visits`, of them `n_clean` clean ones that were seen to land.

    `mean_m`, `error_m` (of the mean) and `sd_m` [m] are of the clean ones; None where too few balls tell.
    """

    n: int
    visits: int
    n_clean: int
    mean_m: float | None
    error_m: float | None
    sd_m: float | None


@dataclass(frozen=True)
class CellChange:
    """One cell before and after; None on a side without a counted ball, and no verdict unless both sides have some."""

    cell: CellKey
    before: CellSide | None
    after: CellSide | None
    verdict: Verdict | None


@dataclass(frozen=True)
class Side:
    """One period: of `n_struck` balls `n` pass the filters; these are `n_counted`, `n_aimed` and `n_out` together.

    Counted balls build the card, aimed ones were hit to a number, the others are left out.
    """

    n_struck: int
    n: int
    n_counted: int
    n_aimed: int
    n_out: int
    visits: int
    contacts: Shares
    cost: Cost | None
    aim: Bias | None


@dataclass(frozen=True)
class Comparison:
    """Two periods: their sides, and the cells with a verdict (the surest change first) before those without."""

    before: Side
    after: Side
    told: tuple[CellChange, ...]
    untold: tuple[CellChange, ...]


def compare(
    shots: Sequence[Row], pair: Pair, sigma: Mapping[CellKey, float], margin_m: float | None = None
) -> Comparison:
    """Compare two periods.

    Parameters
    ----------
    shots : every shot of the book, any order.
    sigma : spread of clean balls of each cell of the card as a fraction of its carry; cells that the card lacks come
        after it, without a verdict.
    margin_m : what the player calls "in" [m]; None for the usual share.
    """
    parts = [_cells(pair.before.of(shots)), _cells(pair.after.of(shots))]
    every = [*sigma, *sorted({*parts[0], *parts[1]} - set(sigma))]
    changes = [_change(cell, parts[0].get(cell, []), parts[1].get(cell, []), sigma.get(cell)) for cell in every]
    told = [change for change in changes if change.verdict]
    return Comparison(
        side_of(shots, pair.before, margin_m),
        side_of(shots, pair.after, margin_m),
        tuple(sorted(told, key=_surest)),
        tuple(change for change in changes if not change.verdict),
    )


def side_of(shots: Sequence[Row], period: Period, margin_m: float | None = None) -> Side:
    """One period's plain figures."""
    own = period.of(shots)
    counted = [shot for shot in own if shot["counted"]]
    aimed = aimed_of(own)
    return Side(
        n_struck=sum(map(period.covers, shots)),
        n=len(own),
        n_counted=len(counted),
        n_aimed=len(aimed),
        n_out=len(own) - len(counted) - len(aimed),
        visits=len({shot["visit_id"] for shot in own}),
        contacts=shares_of(struck_of(own)),
        cost=strikes(counted).cost,
        aim=bias_of(aimed, None, None, margin_m),
    )


def aimed_of(shots: Iterable[Row]) -> list[Row]:
    """The balls hit to a number whose miss can be told: seen to land, meant somewhere, set aside by nobody."""
    return [
        shot for shot in shots
        if shot["mode"] == "distance" and shot["landed"] == "seen" and shot["carry_m"] is not None
        and shot["meant_carry_m"] and not (shot["aside"] or shot["bucket_aside"] or shot["course"])
    ]  # fmt: skip


def struck_of(shots: Iterable[Row]) -> list[Row]:
    """The balls whose strike says something: from a level lie, no course notes, set aside by nobody."""
    return [
        shot for shot in shots
        if shot["lie"] == "level" and not (shot["aside"] or shot["bucket_aside"] or shot["course"])
    ]  # fmt: skip


def clean_of(shots: Iterable[Row]) -> list[Row]:
    """The counted balls called clean, or with no strike noted, that were seen to land."""
    return [
        shot for shot in shots
        if shot["counted"] and shot["landed"] == "seen" and shot["carry_m"] and shot["contact"] in ("clean", "")
    ]  # fmt: skip


def _change(cell: CellKey, before: Sequence[Row], after: Sequence[Row], sigma: float | None) -> CellChange:
    verdict = drift.verdict(_by_visit(before), _by_visit(after), sigma) if sigma and before and after else None
    return CellChange(cell, _cell_side(before), _cell_side(after), verdict)


def _cell_side(shots: Sequence[Row]) -> CellSide | None:
    if not shots:
        return None
    clean_m = [shot["carry_m"] for shot in clean_of(shots)]
    sd_m = stdev(clean_m) if len(clean_m) > 1 else None
    return CellSide(
        n=len(shots),
        visits=len({shot["visit_id"] for shot in shots}),
        n_clean=len(clean_m),
        mean_m=fmean(clean_m) if clean_m else None,
        error_m=None if sd_m is None else sd_m / math.sqrt(len(clean_m)),
        sd_m=sd_m,
    )


def _cells(shots: Iterable[Row]) -> dict[CellKey, list[Row]]:
    cells: dict[CellKey, list[Row]] = {}
    for shot in shots:
        if shot["counted"]:
            cells.setdefault((shot["club_id"], shot["swing_deg"]), []).append(shot)
    return cells


def _by_visit(shots: Iterable[Row]) -> list[list[float]]:
    visits: dict[str, list[float]] = {}
    for shot in clean_of(shots):
        visits.setdefault(shot["visit_id"], []).append(shot["carry_m"])
    return list(visits.values())


def _surest(change: CellChange) -> tuple[int, float]:
    assert change.verdict is not None
    return _RANK.get(change.verdict.word, len(_RANK)), -abs(change.verdict.change_m)
