"""What changed: a number over visits with its verdict, spread and strike over visits.

Knows rows of shots and the estimate's verdict; nothing of pages, units of length on show or drawing.
"""

import math
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import chain
from typing import Any, NamedTuple

from ..card.balls import is_clean, seen
from ..card.card_data import CellKey
from ..card.strike import Cost, strikes
from ..estimate import drift
from ..estimate.drift import Verdict
from ..estimate.pool import Pooled
from ..estimate.student import HIGH_Z
from .day_luck import ASSUMED_VARIANCE
from .verdicts import way_variance

LEAST_VISIT_BALLS = 3  # a visit's spread of fewer balls says nothing

Row = Mapping[str, Any]


class WayOut(NamedTuple):
    """How far a way of judging is out: mean of ln(noted/true) and its variance."""

    ln_m: float
    variance: float


_NOT_OUT = WayOut(0.0, 0.0)


@dataclass(frozen=True)
class VisitNumber:
    """One visit's mean clean carry [m] of a cell with its 80% interval; `n` clean balls of `n_all` counted ones."""

    visit_id: str
    struck_at: str
    local_at: str
    n: int
    n_all: int
    mean_m: float
    low_m: float
    high_m: float


@dataclass(frozen=True)
class NumberSeries:
    """A cell's number over its visits, oldest first, and the verdict on the last against all before; None too early.

    Where the player says since when it is another number (`moved_at`), only the visits since are compared.
    """

    cell: CellKey
    visits: tuple[VisitNumber, ...]
    verdict: Verdict | None
    moved_at: str = ""


@dataclass(frozen=True)
class VisitStrike:
    """One visit's spread of clean balls [m] and what its strike cost [m a ball]; None where too few balls tell."""

    visit_id: str
    local_at: str
    n: int
    spread_m: float | None
    cost: Cost | None


def number_series(
    cell: CellKey, shots: Sequence[Row], sigma: float, moved_at: str = "", ways: Mapping[str, WayOut] | None = None,
    mishits: Collection[str] = (), of_a_day: float = ASSUMED_VARIANCE,
) -> NumberSeries:  # fmt: skip
    """A cell's number over visits from its counted shots.

    Parameters
    ----------
    sigma : float
        Spread of its clean balls as a fraction of the carry, > 0.
    moved_at : str
        Since when the player says that it is another number; "" for never.
    ways : mapping, optional
        How far each way of judging is out: it is taken off before periods are compared, and what is not known of it
        widens the verdict where they were judged in different ways. The means on show stay as they were noted.
    mishits : collection of str
        Ids of balls that passed for clean ones; the verdict leaves them out, the means on show do not.
    of_a_day : float
        Variance of a day's luck, as day_luck.py finds it.

    Notes
    -----
    A visit's interval is mean x exp(+-z sigma/sqrt(n)), z the normal 90% point: what that day was, not what the cell
    is, since a day moves all its balls together.
    """
    visits, heard_by_visit = [], []
    for visit_id, own in _by_visit(shots).items():
        struck = list(filter(is_clean, own))
        clean = [shot["carry_m"] for shot in struck]
        if not clean:
            continue
        mean = sum(map(math.log, clean)) / len(clean)
        wide = HIGH_Z * sigma / math.sqrt(len(clean))
        visits.append(
            VisitNumber(
                visit_id, own[0]["struck_at"], own[0]["local_at"], len(clean), len(own),
                math.exp(mean), math.exp(mean - wide), math.exp(mean + wide),
            )
        )  # fmt: skip
        heard_by_visit.append([shot for shot in struck if shot["id"] not in mishits])
    first = sum(visit.struck_at < moved_at for visit in visits)
    at = len(visits) - 1
    found = None
    if first < at:
        found = _verdict(heard_by_visit[first:at], heard_by_visit[at:], sigma, ways or {}, of_a_day)
    return NumberSeries(cell, tuple(visits), found, moved_at)


def strike_series(shots: Sequence[Row]) -> list[VisitStrike]:
    """Spread and cost of contact of every visit, oldest first, over all its counted balls.

    A ball is held against its own cell's clean balls of the visit, so that a long and a short cell in one bucket
    widen nothing.
    """
    series = []
    for visit_id, own in _by_visit(shots).items():
        carried = list(filter(seen, own))
        if not carried:
            continue
        series.append(VisitStrike(visit_id, own[0]["local_at"], len(own), _spread_m(carried), strikes(own).cost))
    return series


def before_last(shots: Iterable[Row]) -> list[Row]:
    """A cell's counted shots without those of its last visit."""
    visits = list(_by_visit(shots).values())
    return list(chain.from_iterable(visits[:-1]))


def ways_out(pooled: Pooled) -> dict[str, WayOut]:
    """How far each way of judging in use is out, as the estimate has it."""
    variances = [float(pooled.way_V[at, at]) for at in range(len(pooled.ways))]
    return dict(zip(pooled.ways, map(WayOut, pooled.way_m.tolist(), variances), strict=True))


def way_of(shot: Row, ways: Mapping[str, WayOut]) -> WayOut:
    """How far the way in which a ball was judged is out; not at all where the estimate has none of it."""
    return ways.get(shot.get("judged_by", ""), _NOT_OUT)


def ringing(pooled: Pooled) -> list[str]:
    """What may have moved, by the chart over visits: "" for all clubs together, else a club's id."""
    return [chart.club or "" for chart in drift.charts(pooled) if chart.rung_at is not None]


def may_have_moved(series: NumberSeries, rung: Sequence[str]) -> bool:
    """Whether to ask since when a number is another one: its verdict says so, or a chart rings for it (`ringing`)."""
    if series.verdict and series.verdict.word == "moved":
        return True
    return len(series.visits) > 1 and not series.moved_at and ("" in rung or series.cell[0] in rung)


def verdict_words(series: NumberSeries) -> str:
    """The verdict in a word or two, or why there is none yet."""
    verdict, visits = series.verdict, len(series.visits)
    if verdict is None and series.moved_at and visits > 1:
        return "one visit since it moved, nothing to compare yet"
    if verdict is None:
        return ("no balls yet", "one visit, nothing to compare yet", "nothing to compare")[min(visits, 2)]
    return verdict.word


def _verdict(
    earlier: Sequence[Sequence[Row]], later: Sequence[Sequence[Row]], sigma: float, ways: Mapping[str, WayOut],
    of_a_day: float,
) -> Verdict | None:  # fmt: skip
    """The verdict on two periods of clean balls by visit, each ball as it would have been measured."""
    before_m, after_m = (
        [[shot["carry_m"] * math.exp(-way_of(shot, ways).ln_m) for shot in visit] for visit in period]
        for period in (earlier, later)
    )
    variances = {name: way.variance for name, way in ways.items()}
    doubt = way_variance(chain.from_iterable(earlier), chain.from_iterable(later), variances)
    return drift.verdict(before_m, after_m, sigma, of_a_day, doubt)


def _by_visit(shots: Iterable[Row]) -> dict[str, list[Row]]:
    """Counted shots by visit, both in the order struck."""
    visits: dict[str, list[Row]] = {}
    for shot in sorted(shots, key=lambda shot: (shot["struck_at"], shot["id"])):
        if shot["counted"]:
            visits.setdefault(shot["visit_id"], []).append(shot)
    return visits


def _spread_m(carried: Sequence[Row]) -> float | None:
    """Standard deviation [m] of clean balls within their cells, n less the number of cells; None under three such."""
    squares, freedom = 0.0, 0
    for own in _by_cell(carried).values():
        clean = [shot["carry_m"] for shot in own if is_clean(shot)]
        if len(clean) < 2:
            continue
        mean = sum(clean) / len(clean)
        squares += sum((carry - mean) ** 2 for carry in clean)
        freedom += len(clean) - 1
    return math.sqrt(squares / freedom) if freedom >= LEAST_VISIT_BALLS - 1 else None


def _by_cell(shots: Iterable[Row]) -> dict[CellKey, list[Row]]:
    cells: dict[CellKey, list[Row]] = {}
    for shot in shots:
        cells.setdefault((shot["club_id"], shot["swing_deg"]), []).append(shot)
    return cells
