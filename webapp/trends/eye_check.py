"""What a player's eye makes of a distance: its bias and its spread, from distances said and then measured.

Knows no table, page or unit of length on show.
"""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from statistics import fmean, stdev
from typing import Any

import numpy as np

from ..card.card_words import Length, count
from ..estimate.student import t_point

LEAST_PAIRS = 3  # of fewer nothing is said
LEAST_SPREAD_M = 0.5  # the least that is said: a few lucky pairs do not make an eye that never errs (our choice)
SLIP_RATIO = 2.0  # said twice or half of what was measured: a typing slip, no judgement; our choice
# A bias within so many standard errors may be chance, of three pairs, four and so on; the last holds for all beyond.
SURE_ERRORS = tuple(round(float(t), 3) for t in t_point(0.975, np.arange(LEAST_PAIRS - 1.0, 30.0)))


@dataclass(frozen=True)
class EyeFinding:
    """What `n` pairs say: `said_m` is seen where it is `measured_m` [m], single looks scatter by `spread_m` [m].

    Attributes
    ----------
    bias : mean of ln(said/measured); 0 for an eye that is right on average.
    error : standard error of the bias.
    slips : pairs left out, since they differ by a factor of two or more.
    """

    n: int
    slips: int
    bias: float
    error: float
    said_m: float
    measured_m: float
    spread_m: float

    @property
    def is_biased(self) -> bool:
        """Whether the bias is more than chance would bring."""
        return abs(self.bias) > SURE_ERRORS[min(self.n - LEAST_PAIRS, len(SURE_ERRORS) - 1)] * self.error


def finding(pairs: Iterable[Mapping[str, Any]]) -> EyeFinding | None:
    """The finding from rows with said_m and measured_m [m, > 0]; None under three pairs that are no slips."""
    every = [(pair["said_m"], pair["measured_m"]) for pair in pairs]
    kept = [(said, measured) for said, measured in every if abs(math.log(said / measured)) < math.log(SLIP_RATIO)]
    if len(kept) < LEAST_PAIRS:
        return None
    ratios = [math.log(said / measured) for said, measured in kept]
    bias, sd = fmean(ratios), stdev(ratios)
    measured_m = math.exp(fmean(math.log(measured) for _, measured in kept))
    said_m = measured_m * math.exp(bias)
    return EyeFinding(
        n=len(kept), slips=len(every) - len(kept), bias=bias, error=sd / math.sqrt(len(kept)), said_m=said_m,
        measured_m=measured_m, spread_m=said_m * sd,
    )  # fmt: skip


def words(found: EyeFinding | None, n: int) -> Sequence[str | Length]:
    """The finding in a sentence: "You see 55 where it is 52, give or take 3 (10 balls)."; `n` pairs there are."""
    if found is None:
        return (f"{count(n, 'ball')} checked: three tell something, ten tell more.",) if n else ()
    rest = (", give or take ", Length(max(found.spread_m, LEAST_SPREAD_M)), f" ({count(found.n, 'ball')}).")
    slips = (f" {count(found.slips, 'pair')} left out: one number is twice the other or more.",) if found.slips else ()
    if found.is_biased:
        return ("You see ", Length(found.said_m), " where it is ", Length(found.measured_m), *rest, *slips)
    return ("No bias shows: at ", Length(found.measured_m), " you say ", Length(found.said_m), *rest, *slips)
