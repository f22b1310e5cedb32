"""Whether two periods differ by more than chance: the spread, a share of balls, what the strike costs, the aim.

Knows balls and counts of two periods; the word for a difference is the drift rule's.
"""

import math
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from statistics import NormalDist, fmean
from typing import Any

import numpy as np

from ..estimate import drift
from ..estimate.model import WAY_SDS
from ..units import tenths

WAY_VARIANCES = {way: sd**2 for way, sd in WAY_SDS.items()}
LEAST_EXPECTED = 5
LEAST_BALLS = 5  # a side, before shares or means are set against each other; our choice

Row = Mapping[str, Any]


@dataclass(frozen=True)
class Found:
    """A difference, later less earlier, with its standard error: of shares, of lengths [m], or of ln(spread).

    `chance` is that of such a difference where nothing changed, where counts are too small for the error to tell it.
    """

    change: float
    error: float
    chance: float | None = None

    @property
    def errors(self) -> float:
        """How many standard errors it is, either way; for a chance as many as have that chance."""
        if self.chance is not None:
            return -NormalDist().inv_cdf(self.chance / 2)
        return abs(self.change) / self.error if self.error else math.inf if self.change else 0.0

    @property
    def word(self) -> str:
        """ "no sign", "perhaps" or "moved", by the same limits as a carry's verdict."""
        return drift.word_of(self.errors, 1.0)

    @property
    def certainty(self) -> float:
        """How sure it is no chance, from 0 to 1."""
        return certainty(self.errors)


def certainty(z: float) -> float:
    """How sure a difference of `z` standard errors is no chance: 2 Phi(|z|) - 1, from 0 to 1."""
    return 2 * NormalDist().cdf(abs(z)) - 1


def by_visits(verdict: drift.Verdict, unit: str) -> tuple[str, str, str]:
    """What a carry's verdict is on: "87.1", "80.0" and "−7.1 ± 3.9"; the doubt is that of the change."""
    before, after = (tenths(length_m, unit) for length_m in (verdict.before_m, verdict.after_m))
    change = f"{after - before:+.1f}".replace("-", "−") if after != before else "0.0"
    return f"{before:.1f}", f"{after:.1f}", f"{change} ± {tenths(verdict.error_m, unit):.1f}"


def sd(values: Sequence[float]) -> float:
    """Standard deviation of two values or more, by n - 1; exactly 0 where all are the same."""
    return float(np.std(values, ddof=1)) if min(values) < max(values) else 0.0


def of_spread(before_m: Sequence[float], after_m: Sequence[float]) -> Found | None:
    """Whether single balls scatter more or less, as a change of ln(sd); None under three balls a side.

    The variance of ln(sd) of v + 1 normal values is a quarter of the trigamma function at v/2, whose series begins
    1/(2v) + 1/(2v^2) (Abramowitz & Stegun 6.4.12).
    """
    if min(len(before_m), len(after_m)) < 3:
        return None
    before_sd_m, after_sd_m = sd(before_m), sd(after_m)
    if not (before_sd_m and after_sd_m):
        return None
    freedoms = [len(side) - 1 for side in (before_m, after_m)]
    error = math.sqrt(sum(1 / (2 * v) + 1 / (2 * v**2) for v in freedoms))
    return Found(math.log(after_sd_m / before_sd_m), error)


def of_shares(before: tuple[int, int], after: tuple[int, int]) -> Found | None:
    """Whether a share changed, of counts (so many of n); the usual z of two shares with their common error.

    Where one of the four counts is expected to be under five (Cochran 1954, from memory), by its exact chance.
    """
    if min(before[1], after[1]) < LEAST_BALLS:
        return None
    together = (before[0] + after[0]) / (before[1] + after[1])
    error = math.sqrt(together * (1 - together) * (1 / before[1] + 1 / after[1]))
    is_small = min(together, 1 - together) * min(before[1], after[1]) < LEAST_EXPECTED
    return Found(after[0] / after[1] - before[0] / before[1], error, _chance(before, after) if is_small else None)


def _chance(before: tuple[int, int], after: tuple[int, int]) -> float:
    """The chance of shares that lie as far apart: twice the smaller tail, as a z has two (Fisher 1935, from memory)."""
    hits, n = before[0] + after[0], before[1] + after[1]
    can_be = range(max(0, hits - before[1]), min(hits, after[1]) + 1)
    ways = {k: math.comb(after[1], k) * math.comb(before[1], hits - k) for k in can_be}
    tails = [sum(ways[k] for k in ways if side * k <= side * after[0]) for side in (1, -1)]
    return min(1.0, 2 * min(tails) / math.comb(n, hits))


def of_means(before: Sequence[float], after: Sequence[float]) -> Found | None:
    """Whether the mean of single balls changed, each side with its own scatter (Welch 1947)."""
    if min(len(before), len(after)) < LEAST_BALLS:
        return None
    error = math.sqrt(sum(sd(side) ** 2 / len(side) for side in (before, after)))
    return Found(fmean(after) - fmean(before), error)


def of_aim(before: Iterable[Row], after: Iterable[Row]) -> Found | None:
    """Whether balls hit to a number [m] end elsewhere than they did; by visits, since a day moves all its balls.

    The drift rule is asked about carry / meant carry, on the scale of the mean meant carry.
    """
    sides = [[ball for ball in side if ball["carry_m"] > 0] for side in (before, after)]
    every = [ball for side in sides for ball in side]
    if min(map(len, sides)) < LEAST_BALLS:
        return None
    meant_m = fmean(ball["meant_carry_m"] for ball in every)
    sigma = sd([math.log(ball["carry_m"] / ball["meant_carry_m"]) for ball in every])
    by_visit: list[dict[str, list[float]]] = [{}, {}]
    for visits, balls in zip(by_visit, sides, strict=True):
        for ball in balls:
            scaled_m = meant_m * ball["carry_m"] / ball["meant_carry_m"]
            visits.setdefault(ball["visit_id"], []).append(scaled_m)
    earlier_m, later_m = (list(visits.values()) for visits in by_visit)
    told = drift.verdict(earlier_m, later_m, sigma, way_variance=way_variance(sides[0], sides[1]))
    return Found(told.change_m, told.error_m) if told else None


def way_variance(before: Iterable[Row], after: Iterable[Row], variances: Mapping[str, float] = WAY_VARIANCES) -> float:
    """Variance of ln(later/earlier) that comes of judging the two periods' balls in other ways, each out by itself.

    `variances` says how far each way may be out, by its name; unless told, what is assumed before any ball is known. A
    way that both periods used alike cancels out.
    """
    ways = [Counter(ball.get("judged_by", "") for ball in side) for side in (before, after)]
    shares = [{way: n / side.total() for way, n in side.items()} for side in ways]
    apart = {way: shares[1].get(way, 0.0) - shares[0].get(way, 0.0) for way in {*shares[0], *shares[1]}}
    return sum(share**2 * variances.get(way, 0.0) for way, share in apart.items())
