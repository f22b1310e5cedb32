"""How the next ball of a cell will fly: the clean ball, and the mishits by contact, as one distribution.

Knows nothing of cards or windows to land in.
"""

from dataclasses import dataclass

import numpy as np

from webapp.estimate import model
from webapp.estimate.model import FloatArray
from webapp.estimate.pool import Pooled
from webapp.estimate.student import normal_below, normal_density, t_below, t_density

_PARTS = tuple(model.MISHIT_PARTS)
_PART_CODES = tuple(model.CONTACTS.index(contact) for contact in _PARTS)
_REACH, _MOST_STEPS, _CLOSE = 4.0, 60, 1e-6


@dataclass(frozen=True)
class MishitParts:
    """How the player's mishits fly, one part per contact of model.MISHIT_PARTS: (4,) arrays.

    `share` adds to 1; `mean` and `sd` are of ln(carry) - ln(typical carry).
    """

    share: FloatArray
    mean: FloatArray
    sd: FloatArray


@dataclass(frozen=True)
class Forecast:
    """The next ball of J cells; (J,) arrays of ln(carry [m]), degrees of freedom and mishits, and their parts.

    A clean ball, chance 1 - `mishit_rate`, is m + sd T_df; a mishit of part k is N(m + mean_k, sd_k^2).
    """

    m: FloatArray
    sd: FloatArray
    df: FloatArray
    mishit_rate: FloatArray
    parts: MishitParts

    def below(self, carry_m: FloatArray) -> FloatArray:
        """Chance that the ball carries less than `carry_m` [m, > 0]; shape (J, ...) or broadcast to it."""
        carry = np.asarray(carry_m, dtype=float)
        more = (1,) * max(0, carry.ndim - 1)
        m, sd, df, q = (values.reshape(values.shape + more) for values in (self.m, self.sd, self.df, self.mishit_rate))
        off = np.log(carry) - m
        mishit = self.parts.share @ normal_below(self._off_parts(off)).reshape(len(_PARTS), -1)
        return np.asarray((1 - q) * t_below(off / sd, df) + q * mishit.reshape(off.shape))

    def point_m(self, chance: float) -> FloatArray:
        """Carry [m] that the ball stays below with this chance, per cell: the nine-in-ten carry at .1.

        Newton's steps on ln(carry), halved into a bracket whenever one would leave it. The error left is of the square
        of the last step.
        """
        low, high = self.m - _REACH, self.m + _REACH
        at = self.m - self.sd
        for _ in range(_MOST_STEPS):
            off = self.below(np.exp(at)) - chance
            low, high = np.where(off < 0, at, low), np.where(off < 0, high, at)
            to = at - off / self._density(at)
            to = np.where((to >= low) & (to <= high), to, 0.5 * (low + high))
            step, at = np.max(np.abs(to - at), initial=0.0), to
            if step < _CLOSE:
                break
        return np.exp(at)

    def _density(self, y: FloatArray) -> FloatArray:
        """Density of ln(carry [m]) at y, (J,)."""
        off = y - self.m
        mishit = (self.parts.share / self.parts.sd) @ normal_density(self._off_parts(off))
        clean = t_density(off / self.sd, self.df) / self.sd
        return (1 - self.mishit_rate) * clean + self.mishit_rate * mishit

    def _off_parts(self, off: FloatArray) -> FloatArray:
        """How many of its own sd each part's middle lies from ln(carry) - m; (4, ...) of off's shape."""
        mean, sd = (values.reshape(-1, *[1] * off.ndim) for values in (self.parts.mean, self.parts.sd))
        return (off - mean) / sd


def forecast(pooled: Pooled) -> Forecast:
    """The next ball of every cell, on a new day."""
    return Forecast(pooled.m, np.sqrt(pooled.next_variance), pooled.df, pooled.swing_mishit_rate, mishit_parts(pooled))


def mishit_parts(pooled: Pooled) -> MishitParts:
    """How the player's mishits fly, learned from the player's own.

    Each part starts as model.MISHIT_PARTS says, its mean and sd worth MISHIT_PART_BALLS of the player's own,
    the shares worth MISHIT_SHARE_BALLS. A measured ball counts by the chance that it was a mishit and no slip
    of entry, in the part of its contact; where the contact is clean or not noted, in all parts as they fit its
    carry. A shank or a ball "under" without such a contact counts as fat, one "over" as bladed, an unseen one
    by its contact.
    """
    share, mean, sd = np.array(list(model.MISHIT_PARTS.values())).T
    balls = pooled.balls
    known = balls.contact[:, None] == np.array(_PART_CODES)
    without_part = ~known.any(axis=1)

    measured = np.flatnonzero(balls.measured)
    off = np.log(balls.carry_m[measured]) - pooled.m[balls.cell[measured]]
    fits = np.exp(-0.5 * ((off[:, None] - mean) / sd) ** 2) / sd
    fits = np.where(without_part[measured, None], share * fits, known[measured] * fits)
    slip = model.SLIP_SHARE * np.exp(-0.5 * (off / model.SLIP_SD) ** 2) / model.SLIP_SD
    total = (1 - model.SLIP_SHARE) * fits.sum(axis=1)
    weight = (1 - pooled.w[measured]) * total / np.maximum(total + slip, 1e-300)
    weight = weight[:, None] * fits / np.maximum(fits.sum(axis=1, keepdims=True), 1e-300)

    n = weight.sum(axis=0)
    own_mean = (model.MISHIT_PART_BALLS * mean + off @ weight) / (model.MISHIT_PART_BALLS + n)
    squares = model.MISHIT_PART_BALLS * (sd**2 + (mean - own_mean) ** 2)
    squares = squares + ((off[:, None] - own_mean) ** 2 * weight).sum(axis=0)
    own_sd = np.sqrt(squares / (model.MISHIT_PART_BALLS + n))

    unmeasured = ~balls.measured
    over = balls.landed == model.LANDINGS.index("over")
    short = (balls.landed == model.LANDINGS.index("under")) | (balls.contact == model.CONTACTS.index("shank"))
    extra = known[unmeasured].sum(axis=0).astype(float)
    extra[_PARTS.index("bladed")] += np.sum(unmeasured & without_part & over)
    extra[_PARTS.index("fat")] += np.sum(unmeasured & without_part & short & ~over)
    own_share = model.MISHIT_SHARE_BALLS * share + n + extra
    return MishitParts(own_share / own_share.sum(), own_mean, own_sd)
