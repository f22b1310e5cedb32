"""The year: twelve months of balls, what the strike cost in each, and each number at its start and now.

Knows rows of shots and the verdict of a comparison; the player's clock comes in as an argument.
"""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from itertools import chain
from typing import Any

from ..card.balls import clean_of
from ..card.card_data import CellKey
from ..card.strike import Cost, strikes
from .compare import CellChange, change_of
from .day_luck import day_variance
from .period import Filters, Period
from .since import LEAST_MOVED_BALLS

MONTHS = 12
MOST_VISITS = 3  # of a number that stand for its start, and as many for now, as where three visits face those before

Row = Mapping[str, Any]


@dataclass(frozen=True)
class Month:
    """A month by its first day: its visits and balls of every kind, and what the strike cost the counted ones."""

    first: date
    visits: int
    balls: int
    cost: Cost | None


@dataclass(frozen=True)
class Year:
    """Twelve months, the last one still running; `changes` hold every cell of the card in its order.

    A number's start are the clean balls of the first visits of the year that have one, now those of the last: of three,
    or of half of them. With one visit alone it has no start. Where none was clean the sides hold what there is.
    """

    months: tuple[Month, ...]
    visits: int
    balls: int
    counted: int
    changes: tuple[CellChange, ...]


def year_of(
    shots: Iterable[Row], clock: str, ball: str, sigma: Mapping[CellKey, float], mishits: Collection[str] = ()
) -> Year:
    """The twelve months up to the player's `clock`.

    Parameters
    ----------
    shots : of the book, any order.
    ball : the kind of ball that numbers and costs are of.
    sigma : spread of clean balls of each cell of the card as a fraction of its carry.
    mishits : ids of balls that passed for clean ones, which no number holds.
    """
    first_days = _first_days(date.fromisoformat(clock[:10]))
    struck = Period(first_days[0].isoformat()).of(shots)
    own = sorted(Period(filters=Filters(ball=ball)).of(struck), key=lambda shot: (shot["local_at"], shot["id"]))
    counted = [shot for shot in own if shot["counted"]]
    months = []
    for first, end in zip(first_days, [*(day.isoformat() for day in first_days[1:]), ""], strict=True):
        month = Period(first.isoformat(), end)
        some = month.of(struck)
        months.append(Month(first, _visits(some), len(some), strikes(month.of(counted)).cost))
    told = [shot for shot in counted if shot["id"] not in mishits]
    halves = {
        cell: _start_and_now([shot for shot in told if (shot["club_id"], shot["swing_deg"]) == cell]) for cell in sigma
    }
    of_a_day = day_variance(map(chain.from_iterable, zip(*halves.values(), strict=True)), sigma)
    changes = [_sure_enough(change_of(cell, *halves[cell], sigma[cell], of_a_day)) for cell in sigma]
    return Year(tuple(months), _visits(struck), len(struck), len(counted), tuple(changes))


def _first_days(today: date) -> list[date]:
    """The first days of the twelve months that end with this one."""
    this = today.year * 12 + today.month - 1
    return [date(month // 12, month % 12 + 1, 1) for month in range(this - MONTHS + 1, this + 1)]


def _start_and_now(balls: Sequence[Row]) -> tuple[list[Row], list[Row]]:
    own = clean_of(balls) or balls
    visits = list(dict.fromkeys(shot["visit_id"] for shot in own))
    some = min(MOST_VISITS, len(visits) // 2)
    start, now = set(visits[:some]), set(visits[-max(some, 1) :])
    return [shot for shot in own if shot["visit_id"] in start], [shot for shot in own if shot["visit_id"] in now]


def _sure_enough(change: CellChange) -> CellChange:
    """The change, that of a lone ball no more than perhaps one, as where a period's lines are told."""
    verdict, sides = change.verdict, (change.before, change.after)
    if verdict and verdict.word == "moved" and any(side and side.n_clean < LEAST_MOVED_BALLS for side in sides):
        return replace(change, verdict=replace(verdict, word="perhaps"))
    return change


def _visits(shots: Iterable[Row]) -> int:
    return len({shot["visit_id"] for shot in shots})
