"""The one-cell rule: how a phone without signal moves a cell's number by the balls of its open buckets.

Knows nothing of other cells; static/rules/cell.js holds the same rule for the phone.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from webapp.estimate import model
from webapp.estimate.pool import Pooled


@dataclass(frozen=True)
class OneCell:
    """A cell as it stood without the open buckets.

    Attributes
    ----------
    m0, v0 : float
        Mean and variance of ln(typical carry [m]).
    s2 : float
        Variance of clean balls of one day.
    omega2 : float
        Variance of the shift a day's balls share.
    pi : dict of str to float
        Chance that a ball of this contact was clean, by model.CONTACTS without "shank".
    """

    m0: float
    v0: float
    s2: float
    omega2: float
    pi: dict[str, float]


@dataclass(frozen=True)
class Replayed:
    """The cell after the open buckets: mean `m` and variance `v` of ln(carry [m]), and each ball's weight."""

    m: float
    v: float
    weights: tuple[tuple[float, ...], ...]


def one_cell(pooled_without_open: Pooled, cell: int) -> OneCell:
    """The state of cell number `cell`; the estimate must be made without the open buckets (Balls.without)."""
    chances = zip(model.CONTACTS, pooled_without_open.clean_chance, strict=True)
    return OneCell(
        m0=float(pooled_without_open.m[cell]),
        v0=float(pooled_without_open.V[cell, cell]),
        s2=float(pooled_without_open.sigma[cell] ** 2),
        omega2=pooled_without_open.shift_variance,
        pi={contact: float(chance) for contact, chance in chances if contact != "shank"},
    )


def replay(state: OneCell, buckets: Sequence[Sequence[tuple[float | None, str]]]) -> Replayed:
    """The cell after the balls (carry [m] or None, contact) of each open bucket, in the order they were hit.

    A ball without a carry above 0 and a shank move nothing and get weight 0. One bucket after the other is
    exact for fixed weights; all balls as one bucket would share one day's shift.
    """
    m, v = state.m0, state.v0
    weights = []
    for balls in buckets:
        mt, vt = m, v + state.omega2
        bucket_weights = []
        for carry_m, contact in balls:
            if carry_m is None or carry_m <= 0 or contact not in state.pi:
                bucket_weights.append(0.0)
                continue
            chance = state.pi[contact]
            r, S = math.log(carry_m) - mt, vt + state.s2
            clean = chance * math.exp(-r * r / (2 * S)) / math.sqrt(2 * math.pi * S)
            w = clean / (clean + (1 - chance) * _mishit_density(r))
            k = w * vt / (w * vt + state.s2)
            mt += k * r
            vt *= 1 - k
            bucket_weights.append(w)
        part = v / (v + state.omega2)
        m, v = m + part * (mt - m), v * (1 - part) + part * part * vt
        weights.append(tuple(bucket_weights))
    return Replayed(m, v, tuple(weights))


def _mishit_density(r: float) -> float:
    return sum(
        share * math.exp(-0.5 * ((r - mean) / sd) ** 2) / (sd * math.sqrt(2 * math.pi))
        for share, mean, sd in model.MISHIT_DENSITY
    )
