"""The balls an estimate rests on, as arrays, and how much each is remembered.

Knows nothing of the prior or of what becomes of the numbers.
"""

import math
from collections.abc import Container, Hashable, Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from webapp.estimate import model
from webapp.estimate.model import FloatArray, IntArray, Options

_CONTACT_CODE = {contact: code for code, contact in enumerate(model.CONTACTS)}
_LANDED_CODE = {landed: code for code, landed in enumerate(model.LANDINGS)}


@dataclass(frozen=True)
class Ball:
    """One ball that is not set aside.

    Attributes
    ----------
    cell : int
        Index of its cell in the list given to the estimate.
    carry_m : float or None
        Carry [m]; None where it was not seen.
    contact : str
        One of model.CONTACTS; "" is not noted.
    bucket : hashable
        The visit it belongs to.
    age_days : float
        Its age at the moment of reading [d]; a negative age is read as 0.
    landed : str
        One of model.LANDINGS.
    order : int
        Grows in time.
    """

    cell: int
    carry_m: float | None
    contact: str
    bucket: Hashable
    age_days: float
    landed: str = "seen"
    order: int = 0


@dataclass(frozen=True)
class Balls:
    """Balls as arrays of one length n; make them with `from_list` or, faster, `from_columns`.

    Attributes
    ----------
    cell : (n,) int array
    carry_m : (n,) array
        Carry [m], nan where it was not seen.
    contact, landed : (n,) int arrays
        Places in model.CONTACTS and model.LANDINGS.
    bucket : (n,) int array
        Places in `bucket_names`.
    bucket_names : tuple
    age_days : (n,) array
        [d], >= 0.
    order : (n,) int array
    """

    cell: IntArray
    carry_m: FloatArray
    contact: IntArray
    bucket: IntArray
    bucket_names: tuple[Hashable, ...]
    age_days: FloatArray
    landed: IntArray
    order: NDArray[np.int64]

    @classmethod
    def from_list(cls, balls: Iterable[Ball]) -> "Balls":
        """The same balls in the same order; KeyError for an unknown contact or landing."""
        every = list(balls)
        return cls.from_columns(
            cell=[ball.cell for ball in every],
            carry_m=[ball.carry_m for ball in every],
            contact=[ball.contact for ball in every],
            bucket=[ball.bucket for ball in every],
            age_days=[ball.age_days for ball in every],
            landed=[ball.landed for ball in every],
            order=[ball.order for ball in every],
        )

    @classmethod
    def from_columns(
        cls,
        cell: Sequence[int],
        carry_m: Sequence[float | None],
        contact: Sequence[str],
        bucket: Sequence[Hashable],
        age_days: Sequence[float],
        landed: Sequence[str],
        order: Sequence[int],
    ) -> "Balls":
        """Balls from equally long columns, each as in `Ball`; KeyError for an unknown contact or landing."""
        names = {name: place for place, name in enumerate(dict.fromkeys(bucket))}
        return cls(
            cell=np.array(cell, dtype=np.intp),
            carry_m=np.array([math.nan if carry is None else carry for carry in carry_m], dtype=float),
            contact=np.array([_CONTACT_CODE[name] for name in contact], dtype=np.intp),
            bucket=np.array([names[name] for name in bucket], dtype=np.intp),
            bucket_names=tuple(names),
            age_days=np.maximum(np.array(age_days, dtype=float), 0.0),
            landed=np.array([_LANDED_CODE[name] for name in landed], dtype=np.intp),
            order=np.array(order, dtype=np.int64),
        )

    def without(self, buckets: Container[Hashable]) -> "Balls":
        """The balls of all other buckets; bucket places stay as they are."""
        gone = np.array([name in buckets for name in self.bucket_names], dtype=bool)
        keep = ~gone[self.bucket]
        return Balls(
            cell=self.cell[keep],
            carry_m=self.carry_m[keep],
            contact=self.contact[keep],
            bucket=self.bucket[keep],
            bucket_names=self.bucket_names,
            age_days=self.age_days[keep],
            landed=self.landed[keep],
            order=self.order[keep],
        )

    @property
    def counted(self) -> NDArray[np.bool_]:
        """(n,) whether the ball counts in n and in the mishit rate: all but the unseen ones."""
        unseen = self.landed == _LANDED_CODE["unseen"]
        lost = (self.landed == _LANDED_CODE["seen"]) & np.isnan(self.carry_m)
        return np.asarray(~(unseen | lost), dtype=bool)

    @property
    def measured(self) -> NDArray[np.bool_]:
        """(n,) whether the ball can speak for the typical carry: a seen carry above 0, and no shank."""
        seen = self.landed == _LANDED_CODE["seen"]
        with np.errstate(invalid="ignore"):
            flown = self.carry_m > 0
        return np.asarray(seen & flown & (self.contact != _CONTACT_CODE["shank"]), dtype=bool)


def memory(cell: IntArray, order: NDArray[np.int64], age_days: FloatArray, options: Options) -> FloatArray:
    """How much each ball is remembered, in (0, 1]: 2^-min(age/fresh_days, later balls of its cell/10).

    A ball fades only when it is both old and superseded, so one ball alone never fades.
    All arguments are (n,) arrays; ages in days.
    """
    n = len(cell)
    if n == 0:
        return np.zeros(0)
    by_time = np.argsort(order, kind="stable")
    # Cells are few; as small integers they are sorted by counting.
    in_turn = by_time.take(np.argsort(cell.take(by_time).astype(np.int16), kind="stable"))
    ends = np.cumsum(np.bincount(cell))
    later = np.empty(n)
    later[in_turn] = ends.take(cell.take(in_turn)) - np.arange(1, n + 1)
    kept = np.exp2(-np.minimum(age_days / options.fresh_days, later / model.FADE_BALLS))
    return np.where(before_the_move(cell, age_days, options), kept * options.older_weight, kept)


def before_the_move(cell: IntArray, age_days: FloatArray, options: Options) -> NDArray[np.bool_]:
    """(n,) whether each ball is from before its cell moved, as far as the player says that it did."""
    ages = np.full(int(cell.max(initial=-1)) + 1, np.inf)
    for place, moved_age_days in options.moved_age_days.items():
        ages[place : place + 1] = moved_age_days
    return np.asarray(age_days > ages.take(cell), dtype=bool)
