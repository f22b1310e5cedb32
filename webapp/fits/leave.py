"""What to leave: for every whole yard or metre the card's best shot, its chance to land in and its miss on average.

Knows no page, book or clock, and no words: those are in leave_words.py. It asks of every distance what fitting.py asks
of one, all at once, and a test holds the two together; static/rules/leave.js says the same without signal.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median
from typing import NamedTuple

import numpy as np

from ..card.strike import LEAST_MARGIN_M, Margin
from ..estimate.chance import Chances, percents
from ..estimate.every_table import every_table
from ..estimate.model import FloatArray
from ..facts import LONGEST_CARRY_M
from ..units import CLOSE, LENGTH_M, from_m, to_m, whole
from .fitting import FEWEST_IN, Candidate, Question, answer, guards, question

AS_LOW = 0.02  # of chance: a distance this near to a valley's bottom belongs to it
MOST_PEAKS = 3  # named and listed; the line shows them all
LAY_UP_TIMES = 2  # as likely, since to lay up costs a ball; our choice, no source
LEAST_LAY_UP_M = LEAST_MARGIN_M  # a ball this near to where it is meant counts as there: to move it by less is no shot


@dataclass(frozen=True)
class Ahead:
    """The flag as it lies now, with roll and trouble as in `fitting.question`: all [m], from the ball's place."""

    flag_m: float
    roll_m: float = 0.0
    front_m: float | None = None
    back_m: float | None = None
    must_carry: bool = False


class Distance(NamedTuple):
    """One distance that may be left and what its best shot does.

    Attributes
    ----------
    left_m, carry_m : float
        What is left to the flag, and the carry it asks for: less the roll.
    best : Candidate
        What fitting.answer puts first, or calls the closest where nothing fits.
    chance : float
        Its chance to land in, 0 to 1.
    in_100 : int
        The same in whole per cent, as fitting.py rounds it together with the chances to be short and long.
    miss_m : float
        How far its balls end from `carry_m` on average, in length, mishits included.
    clears : bool
        Whether nine in ten of its balls carry the trouble that must be carried; True where none must.
    """

    left_m: float
    carry_m: float
    best: Candidate
    chance: float
    in_100: int
    miss_m: float
    clears: bool

    @property
    def standing(self) -> float:
        """What distances are set against each other by: the chance, those that clear before those that do not."""
        return self.chance - (not self.clears)

    @property
    def guess(self) -> bool:
        """Whether the best shot's number is a guess: no ball of it, and no carry stated."""
        return self.best.trust == "guess"


@dataclass(frozen=True)
class Valley:
    """A distance that the card answers worse than those round it, and the stretch [m] that is no better."""

    at: Distance
    low_m: float
    high_m: float


@dataclass(frozen=True)
class Leave:
    """Every distance within reach, shortest first, those that stand out above the others, and those that fall below.

    A peak is likelier than every distance as far off as the margin and than the median distance, and lands in one time
    in four; a valley is the opposite of the first two.
    """

    distances: tuple[Distance, ...]
    peaks: tuple[Distance, ...]
    valleys: tuple[Valley, ...]

    @property
    def by_chance(self) -> tuple[Distance, ...]:
        """What to leave, the likeliest first: the peaks, or the best distance where there is none."""
        ranked = sorted(self.peaks or self.distances, key=lambda one: -one.standing)
        return tuple(ranked) if self.peaks else tuple(ranked[:1])


def leave(among: Sequence[Candidate], margin: Margin, unit: str, ahead: Ahead | None = None) -> Leave:
    """Every whole `unit` from the shortest to the longest number of a card, or what of it may be left of `ahead`.

    With `ahead` also those up or down to the flag where something fits it, or where the longest number leaves less than
    a shot to it. NoQuestion, as of fitting.question, where the parts of `ahead` cannot be true together.
    """
    asked = _asked(ahead, margin) if ahead else None
    left_m = _within_reach(among, unit, ahead, asked)
    if not len(left_m):
        return Leave((), (), ())
    carry_m = left_m - (ahead.roll_m if ahead else 0.0)
    wide_m = np.maximum(margin.share * carry_m, margin.least_m)
    distances = _distances(among, left_m, carry_m, wide_m, ahead)
    standing = [one.standing for one in distances]
    reach = np.maximum(1, wide_m / LENGTH_M[unit]).astype(int).tolist()
    middle = median(standing)
    peaks = [at for at in _tops(standing, reach) if standing[at] > middle and distances[at].chance >= FEWEST_IN]
    valleys = [at for at in _tops([-one for one in standing], reach) if standing[at] < middle]
    stretches = tuple(_valley(distances, at, min(standing[at] + AS_LOW, middle)) for at in valleys)
    return Leave(distances, tuple(distances[at] for at in peaks), stretches)


def at_flag(found: Leave, flag_m: float, unit: str) -> Distance | None:
    """The flag's own distance, where it is among those that were asked about."""
    last = found.distances[-1]
    return last if _before(flag_m, unit) == whole(last.left_m, unit) else None


def in_reach(found: Leave, flag_m: float, unit: str) -> Distance | None:
    """The same, unless trouble shuts it and not the best."""
    here = at_flag(found, flag_m, unit)
    return here if here and here.clears >= _best(found, flag_m, unit).clears else None


def lay_up(found: Leave, flag_m: float, unit: str) -> Distance | None:
    """The likeliest distance to leave; None where the flag is in reach and to lay up is not worth its ball."""
    best, here = _best(found, flag_m, unit), in_reach(found, flag_m, unit)
    return None if here and best.chance <= LAY_UP_TIMES * here.chance else best


def listed(found: Leave, flag_m: float | None, unit: str) -> list[Distance]:
    """What the answer and the sentence name: the flag's own distance in reach or what to leave, then the likeliest."""
    likeliest = found.by_chance[:MOST_PEAKS]
    if flag_m is None or not found.distances:
        return list(likeliest)
    first = in_reach(found, flag_m, unit) or _best(found, flag_m, unit)
    return [first, *(one for one in likeliest if one.left_m != first.left_m)]


def plain(found: Leave, has_flag: bool = False) -> dict[str, object]:
    """All of it as JSON's own types: chances as fractions, lengths in metres; with a flag also what is left to it."""
    return {
        "distances": [
            {
                **({"left_m": one.left_m} if has_flag else {}),
                "carry_m": one.carry_m,
                "best": {"club": one.best.club, "swing_deg": one.best.swing_deg},
                "chance": one.chance,
                "miss_m": one.miss_m,
                "guess": one.guess,
            }
            for one in found.distances
        ],
        "peaks_m": [one.left_m for one in found.peaks],
        "valleys_m": [one.at.left_m for one in found.valleys],
    }


def _asked(ahead: Ahead, margin: Margin) -> Question:
    return question(ahead.flag_m, margin, ahead.roll_m, ahead.front_m, ahead.back_m, ahead.must_carry)


def _best(found: Leave, flag_m: float, unit: str) -> Distance:
    """The likeliest of the flag's own distance and those a shot away from it."""
    here = at_flag(found, flag_m, unit)
    if here is None:
        return found.by_chance[0]
    apart = (one for one in found.by_chance if one.left_m == here.left_m or _is_shot(flag_m - one.left_m))
    return next(apart, here)


def _is_shot(hit_m: float) -> bool:
    return hit_m >= LEAST_LAY_UP_M - CLOSE


def _before(flag_m: float, unit: str) -> int:
    """The last whole `unit` up to a flag: its own distance."""
    return math.floor(from_m(flag_m, unit) + CLOSE)


def _within_reach(among: Sequence[Candidate], unit: str, ahead: Ahead | None, asked: Question | None) -> FloatArray:
    """The distances [m] to be asked about: from where the shortest number leads to where the longest one does."""
    if not among:
        return np.array([])
    roll_m, most_m = (ahead.roll_m, ahead.flag_m) if ahead else (0.0, math.inf)
    carries_m = [one.carry_m for one in among]
    low, high = (whole(carry_m + roll_m, unit) for carry_m in (min(carries_m), max(carries_m)))
    beyond_m = most_m - to_m(high, unit)
    # Something fits a flag that lies a little nearer or further, or the longest number leaves less than a shot to it.
    if asked and (answer(asked, among).ranked or (beyond_m >= 0 and not _is_shot(beyond_m))):
        low, high = min(low, _before(most_m, unit)), max(high, _before(most_m, unit))
    every_m = np.arange(max(1.0, low), high + 1) * LENGTH_M[unit]
    return every_m[(every_m > roll_m) & (every_m <= most_m) & (every_m - roll_m <= LONGEST_CARRY_M)]


def _distances(
    among: Sequence[Candidate], left_m: FloatArray, carry_m: FloatArray, wide_m: FloatArray, ahead: Ahead | None
) -> tuple[Distance, ...]:
    """fitting.answer for every distance at once: candidates stand in rows, distances in columns.

    Flag, trouble and roll stay where they are; the ball has come nearer to them.
    """
    front_m, back_m, must_m = np.maximum(carry_m - wide_m, 0.0), carry_m + wide_m, np.full(len(left_m), -math.inf)
    if ahead and ahead.front_m is not None:
        trouble_m = left_m - ahead.flag_m + ahead.front_m
        front_m = trouble_m if guards(ahead.flag_m - ahead.roll_m, ahead.front_m) else front_m
        must_m = trouble_m if ahead.must_carry else must_m
    if ahead and ahead.back_m is not None and guards(ahead.flag_m - ahead.roll_m, ahead.back_m):
        back_m = left_m - ahead.flag_m + ahead.back_m
    typical_m, nine_m = np.array([[(one.carry_m, one.nine_in_ten_carry_m)] for one in among]).transpose(2, 0, 1)
    tables, every = every_table([one.table for one in among]), np.arange(len(among))[:, None]
    short, reached = tables.below_at(every, front_m), tables.below_at(every, back_m)
    inside, worse = reached - short, np.maximum(short, 1 - reached)

    fits = (inside.max(axis=0) >= FEWEST_IN) | ((front_m <= typical_m) & (typical_m <= back_m)).any(axis=0)
    off_m = np.abs(typical_m - carry_m)
    may = fits | (off_m == off_m.min(axis=0))  # where nothing fits the closest may be told, of two the likelier
    clears = nine_m >= must_m
    may &= clears | ~(may & clears).any(axis=0)
    first = np.where(may, inside, -1.0)
    best = np.where(first == first.max(axis=0), worse, math.inf).argmin(axis=0)

    at = best, np.arange(len(best))
    told = left_m, carry_m, best, inside[at], tables.miss_m(best, carry_m), clears[at]
    left, carry, cells, chances, misses_m, sure = (values.tolist() for values in told)
    whole_chances = map(Chances, short[at].tolist(), chances, (1 - reached[at]).tolist())
    in_100 = (percents(one)[1] for one in whole_chances)
    return tuple(map(Distance, left, carry, (among[cell] for cell in cells), chances, in_100, misses_m, sure))


def _tops(values: Sequence[float], reach: Sequence[int]) -> list[int]:
    """Where nothing as far off as the margin is higher; of equals the first."""
    beside = [-math.inf, *values, -math.inf]
    turns = [at for at, value in enumerate(values) if beside[at] < value >= beside[at + 2]]
    return [
        at
        for at in turns
        if values[at] > max(values[max(0, at - reach[at]) : at], default=-math.inf)
        and values[at] >= max(values[at : at + reach[at] + 1])
    ]


def _valley(distances: Sequence[Distance], at: int, below: float) -> Valley:
    low = high = at
    while low > 0 and distances[low - 1].standing < below:
        low -= 1
    while high < len(distances) - 1 and distances[high + 1].standing < below:
        high += 1
    return Valley(distances[at], distances[low].left_m, distances[high].left_m)
