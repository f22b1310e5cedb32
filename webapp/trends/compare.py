"""Plain figures of two periods side by side: every number of each cell, the strike and the aim, and the verdict.

Knows rows of shots and the drift rule; never the card's own estimate of a number, only its spread for the verdict.
"""

import math
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from statistics import fmean
from typing import Any

from ..card.balls import aimed_of, clean_of
from ..card.card_data import CellKey
from ..card.strike import losses_m
from ..estimate import drift
from ..estimate.drift import Verdict
from . import verdicts
from .day_luck import day_variance
from .period import Pair
from .side import Side, figures_of
from .verdicts import Found, sd

_RANK = {"moved": 0, "perhaps": 1, "no sign": 2}

Row = Mapping[str, Any]


@dataclass(frozen=True)
class CellSide:
    """One cell in one period: `n` counted balls in `visits`, of them `n_clean` clean ones that were seen to land.

    `mean_m`, `error_m` (of the mean) and `sd_m` [m] are of the clean ones; None where too few balls, or balls all noted
    alike, tell.
    """

    n: int
    visits: int
    n_clean: int
    mean_m: float | None
    error_m: float | None
    sd_m: float | None


@dataclass(frozen=True)
class CellChange:
    """One cell before and after; None on a side without a counted ball, and no verdict unless both sides have some.

    `verdict` is on the carry, `spread` on how single balls scatter (None under three clean balls a side).
    """

    cell: CellKey
    before: CellSide | None
    after: CellSide | None
    verdict: Verdict | None
    spread: Found | None = None


@dataclass(frozen=True)
class Comparison:
    """Two periods: their sides, and the cells with a verdict (the surest change first) before those without.

    `verdicts` are on what is no cell's own, by name: a contact's share, "cost", "aim", "in", "nine".
    """

    before: Side
    after: Side
    told: tuple[CellChange, ...]
    untold: tuple[CellChange, ...]
    verdicts: Mapping[str, Found]


def compare(
    shots: Sequence[Row], pair: Pair, sigma: Mapping[CellKey, float], margin_m: float | None = None,
    mishits: Collection[str] = (),
) -> Comparison:  # fmt: skip
    """Compare two periods.

    Parameters
    ----------
    shots : every shot of the book, any order.
    sigma : spread of clean balls of each cell of the card as a fraction of its carry; cells that the card lacks come
        after it, without a verdict.
    margin_m : what the player calls "in" [m]; None for the usual share.
    mishits : ids of balls that the verdicts on numbers leave out, as in `change_of`.
    """
    periods = (pair.before, pair.after)
    struck = [period.struck_in(shots) for period in periods]
    earlier, later = (list(filter(period.filters.holds, own)) for period, own in zip(periods, struck, strict=True))
    old, new = _cells(earlier), _cells(later)
    every = [*sigma, *sorted({*old, *new} - set(sigma))]
    of_a_day = day_variance((earlier, later), sigma, mishits)
    changes = [
        change_of(cell, old.get(cell, []), new.get(cell, []), sigma.get(cell), of_a_day, mishits) for cell in every
    ]
    told = [change for change in changes if change.verdict]
    before, after = (figures_of(own, len(of), margin_m) for own, of in zip((earlier, later), struck, strict=True))
    return Comparison(
        before,
        after,
        tuple(sorted(told, key=_surest)),
        tuple(change for change in changes if not change.verdict),
        _verdicts(before, after, earlier, later),
    )


def change_of(
    cell: CellKey, before: Sequence[Row], after: Sequence[Row], sigma: float | None, of_a_day: float,
    mishits: Collection[str] = (),
) -> CellChange:  # fmt: skip
    """One cell's counted balls before and after; `sigma` as in `compare`, None for a cell that the card lacks.

    `of_a_day` is the variance of a day's luck, as day_luck.py finds it.

    Its verdicts leave out `mishits`, ids of balls that passed for clean ones: `sigma` is the spread of truly clean
    balls, and one fat ball called clean looks like a number that moved or spread. The plain figures hold every ball.
    """
    clean = clean_of(before), clean_of(after)
    earlier, later = heard = [[shot for shot in side if shot["id"] not in mishits] for side in clean]
    verdict = None
    if sigma and all(heard):
        doubt = verdicts.way_variance(earlier, later)
        verdict = drift.verdict(by_visit(earlier), by_visit(later), sigma, of_a_day, doubt)
    carries_m = [[shot["carry_m"] for shot in side] for side in heard]
    return CellChange(cell, _cell_side(before), _cell_side(after), verdict, verdicts.of_spread(*carries_m))


def _verdicts(before: Side, after: Side, earlier: Sequence[Row], later: Sequence[Row]) -> dict[str, Found]:
    """Every verdict on what is no cell's own for which both periods have balls enough."""
    sides = before.contacts, after.contacts
    found = {
        contact: verdicts.of_shares(*((shares.counts.get(contact, 0), shares.n) for shares in sides))
        for contact in {**before.contacts.counts, **after.contacts.counts}
    }
    if before.cost and after.cost:
        counted = ([shot for shot in shots if shot["counted"]] for shots in (earlier, later))
        lost = [losses_m(shots, side.cost) for shots, side in zip(counted, (before, after), strict=True) if side.cost]
        found["cost"] = verdicts.of_means(*([-loss_m for loss_m in side] for side in lost))  # what is lost is the cost
    if before.aim and after.aim:
        found["aim"] = verdicts.of_aim(aimed_of(earlier), aimed_of(later))
        found["in"] = verdicts.of_shares((before.aim.within, before.aim.n), (after.aim.within, after.aim.n))
    found["nine"] = verdicts.of_shares((before.n_within, before.n_nine), (after.n_within, after.n_nine))
    return {name: one for name, one in found.items() if one is not None}


def _cell_side(shots: Sequence[Row]) -> CellSide | None:
    if not shots:
        return None
    clean_m = [shot["carry_m"] for shot in clean_of(shots)]
    sd_m = (sd(clean_m) or None) if len(clean_m) > 1 else None  # noted alike, balls tell the step they were judged by
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


def by_visit(shots: Iterable[Row]) -> list[list[float]]:
    """The carries [m] of each visit, as the drift rule takes them."""
    visits: dict[str, list[float]] = {}
    for shot in shots:
        visits.setdefault(shot["visit_id"], []).append(shot["carry_m"])
    return list(visits.values())


def _surest(change: CellChange) -> tuple[int, float]:
    assert change.verdict is not None
    return _RANK[change.verdict.word], -abs(change.verdict.change_m)
