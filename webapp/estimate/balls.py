"""The balls and eye checks an estimate rests on.

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
_WAY_CODE = {way: code for code, way in enumerate(model.WAYS)}


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
    visit : hashable
        The visit it belongs to.
    age_days : float
        Its age at the moment of reading [d]; a negative age is read as 0.
    landed : str
        One of model.LANDINGS.
    order : int
        Grows in time.
    judged_by : str
        One of model.WAYS: how its carry was judged.
    """

    cell: int
    carry_m: float | None
    contact: str
    visit: Hashable
    age_days: float
    landed: str = "seen"
    order: int = 0
    judged_by: str = "monitor"


@dataclass(frozen=True)
class EyeCheck:
    """One ball whose carry was said by eye and then measured; it is no ball of any cell.

    Attributes
    ----------
    said_m, measured_m : float
        [m]; a pair in which either is not above 0 tells nothing.
    measured_by : str
        One of model.WAYS.
    """

    said_m: float
    measured_m: float
    measured_by: str = "monitor"


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
    visit : (n,) int array
        Places in `visit_names`.
    visit_names : tuple
    age_days : (n,) array
        [d], >= 0.
    order : (n,) int array
    judged_by : (n,) int array
        Places in model.WAYS.
    """

    cell: IntArray
    carry_m: FloatArray
    contact: IntArray
    visit: IntArray
    visit_names: tuple[Hashable, ...]
    age_days: FloatArray
    landed: IntArray
    order: NDArray[np.int64]
    judged_by: IntArray

    @classmethod
    def from_list(cls, balls: Iterable[Ball]) -> "Balls":
        """The same balls in the same order; KeyError for an unknown contact, landing or way."""
        every = list(balls)
        return cls.from_columns(
            cell=[ball.cell for ball in every],
            carry_m=[ball.carry_m for ball in every],
            contact=[ball.contact for ball in every],
            visit=[ball.visit for ball in every],
            age_days=[ball.age_days for ball in every],
            landed=[ball.landed for ball in every],
            order=[ball.order for ball in every],
            judged_by=[ball.judged_by for ball in every],
        )

    @classmethod
    def from_columns(
        cls,
        cell: Sequence[int],
        carry_m: Sequence[float | None],
        contact: Sequence[str],
        visit: Sequence[Hashable],
        age_days: Sequence[float],
        landed: Sequence[str],
        order: Sequence[int],
        judged_by: Sequence[str],
    ) -> "Balls":
        """Balls from equally long columns, each as in `Ball`; KeyError for an unknown contact, landing or way."""
        names = {name: place for place, name in enumerate(dict.fromkeys(visit))}
        return cls(
            cell=np.array(cell, dtype=np.intp),
            carry_m=np.array([math.nan if carry is None else carry for carry in carry_m], dtype=float),
            contact=np.array([_CONTACT_CODE[name] for name in contact], dtype=np.intp),
            visit=np.array([names[name] for name in visit], dtype=np.intp),
            visit_names=tuple(names),
            age_days=np.maximum(np.array(age_days, dtype=float), 0.0),
            landed=np.array([_LANDED_CODE[name] for name in landed], dtype=np.intp),
            order=np.array(order, dtype=np.int64),
            judged_by=np.array([_WAY_CODE[name] for name in judged_by], dtype=np.intp),
        )

    def without(self, visits: Container[Hashable], cells: int) -> "Balls":
        """All balls but those of the first `cells` cells on these visits; visit places stay as they are."""
        gone = np.array([name in visits for name in self.visit_names], dtype=bool)
        keep = ~gone[self.visit] | (self.cell >= cells)
        return Balls(
            cell=self.cell[keep],
            carry_m=self.carry_m[keep],
            contact=self.contact[keep],
            visit=self.visit[keep],
            visit_names=self.visit_names,
            age_days=self.age_days[keep],
            landed=self.landed[keep],
            order=self.order[keep],
            judged_by=self.judged_by[keep],
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


def before_the_move(cell: IntArray, age_days: FloatArray, options: Options) -> NDArray[np.bool_]:
    """(n,) whether each ball is from before its cell moved, as far as the player says that it did."""
    ages = np.full(int(cell.max(initial=-1)) + 1, np.inf)
    for place, moved_age_days in options.moved_age_days.items():
        ages[place : place + 1] = moved_age_days
    return np.asarray(age_days > ages.take(cell), dtype=bool)
