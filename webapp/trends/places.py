"""Whether balls fly farther or shorter at one place than at the others: other range balls, ground or height.

Knows rows of shots and what the estimate learned of visits; nothing of pages or of units of length.
"""

import math
from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from ..card.balls import clean_of
from ..estimate.drift import MOVED_ERRORS
from ..estimate.pool import Pooled
from .series import WayOut, way_of
from .verdicts import way_variance

LEAST_VISITS = 3  # on either side; the luck of one or two days is no place's

Row = Mapping[str, Any]


@dataclass(frozen=True)
class PlaceApart:
    """A place whose balls carry otherwise than those of all other places together.

    `change` is a share of the carry, below 0 where they carry shorter, and `error` its standard error; so many
    `visits` were there and so many `elsewhere`.
    """

    place: str
    change: float
    error: float
    visits: int
    elsewhere: int


def place_apart(
    shots: Iterable[Row], pooled: Pooled, ways: Mapping[str, WayOut], mishits: Collection[str] = ()
) -> PlaceApart | None:
    """The place that differs most surely from all others together; None where none differs by more than MOVED_ERRORS.

    `ways` tells how far each way of judging is out, `mishits` the ids of balls that only passed for clean ones. Balls
    without a place say nothing.
    """
    balls = [shot for shot in clean_of(shots) if shot["place"] and shot["id"] not in mishits]
    visits = {(ball["visit_id"], ball["place"]) for ball in balls}
    found = []
    for place in sorted({place for _, place in visits}):
        there = sum(name == place for _, name in visits)
        if min(there, len(visits) - there) >= LEAST_VISITS:
            change, error = _difference(balls, place, pooled, ways)
            found.append(PlaceApart(place, math.expm1(change), error, there, len(visits) - there))
    surest = max(found, key=_certainty, default=None)
    return surest if surest and abs(surest.change) > MOVED_ERRORS * surest.error else None


def _certainty(one: PlaceApart) -> tuple[float, int, float]:
    """Of two places each differs from the other as surely: the one seen less often is named, else the shorter."""
    return round(abs(math.log1p(one.change)) / one.error, 6), -one.visits, -one.change


def _difference(balls: Sequence[Row], place: str, pooled: Pooled, ways: Mapping[str, WayOut]) -> tuple[float, float]:
    """How much ln(carry) is more at the place, and the standard error of that.

    Generalised least squares (Aitken 1935) over the means of each number on each visit, with a level of each number
    and one difference of the place; a visit moves all its means by omega_a and each by omega_b more.
    """
    means: dict[tuple[str, str], dict[tuple[str, float], list[float]]] = defaultdict(lambda: defaultdict(list))
    for ball in balls:
        as_measured = math.log(ball["carry_m"]) - way_of(ball, ways).ln_m
        means[ball["visit_id"], ball["place"]][ball["club_id"], ball["swing_deg"]].append(as_measured)
    levels = {cell: at for at, cell in enumerate(dict.fromkeys(cell for visit in means.values() for cell in visit))}
    size, variance = len(levels) + 1, float(np.mean(pooled.sigma**2))
    precision, told = np.zeros((size, size)), np.zeros(size)
    for (_, name), visit in means.items():
        X = np.zeros((len(visit), size))
        X[range(len(visit)), [levels[cell] for cell in visit]] = 1
        X[:, -1] = name == place
        V = pooled.omega_a2 + np.diag([pooled.omega_b2 + variance / len(own) for own in visit.values()])
        heard = np.linalg.solve(V, X)
        precision += heard.T @ X
        told += heard.T @ np.array([np.mean(own) for own in visit.values()])
    known = np.linalg.pinv(precision)
    here, elsewhere = ([ball for ball in balls if (ball["place"] == place) == at] for at in (True, False))
    doubt = way_variance(elsewhere, here, {name: way.variance for name, way in ways.items()})
    return float(known[-1] @ told), math.sqrt(known[-1, -1] + doubt)
