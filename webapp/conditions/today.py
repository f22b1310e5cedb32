"""What a day's air, wind and target height do to a card, as a range, or why nothing can be said.

Knows nothing of pages, shots or the lock for rounds; pages/conditions.py decides when these sums may be shown.
conditions/words.py puts them into sentences, and static/rules/conditions.js answers alike without signal.

Every number of the card is flown under its own launch, at home and today; a target is then found on the ladder of
what the numbers carry today. No launch has to make up a distance that no swing of the player has. The ball's own
temperature is left out, so answers for colder days are "at least".

| constant | value | source |
|---|---|---|
| OPEN_SHARE | 0.40 of what headwind and air take or give, either way | judgement: published coefficients differ |
| LEAST_GAIN | a yard more on the card must bring 0.6 of one today | ours |
| WIDEST_SHARE | the wind may leave open 12% of the carry | ours |
| COLD_BALL_DEGC | from 5 degrees colder a cold ball is felt | from memory |
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from statistics import fmean

import numpy as np

from webapp.conditions.day import Conditions, one_by_one
from webapp.conditions.rungs import CORNERS, MORE, MORE_M, OWN, Floats, Rung, flown_m

OPEN_SHARE = 0.40
LEAST_GAIN = 0.6
WIDEST_SHARE = 0.12
COLD_BALL_DEGC = 5.0

# Why there is no carry.
NO_CARD, TOO_LONG, TOO_SHORT, TOO_STEEP, NO_GAIN, TOO_WIDE = "no card", "long", "short", "steep", "no gain", "wide"
OUTSIDE = "outside"  # what these sums can work with (day.py)


@dataclass(frozen=True)
class Part:
    """How much one cause ("temperature", "altitude", "wind" or "height") adds to the carry [m]."""

    cause: str
    change_m: float


@dataclass(frozen=True)
class Answer:
    """A carry under conditions.

    `carry_m`, `low_m`, `high_m` [m] are None where nothing can be said, and `refused` names why; `at_least` marks a
    correction that a cold ball makes larger; `parts` add up to the correction; `reach_m` [m] is the longest carry
    of the card that day, and `open_m` [m] the width that the wind leaves open.
    """

    carry_m: float | None = None
    low_m: float | None = None
    high_m: float | None = None
    at_least: bool = False
    parts: tuple[Part, ...] = ()
    refused: str = ""
    reach_m: float = 0.0
    open_m: float = 0.0


@dataclass(frozen=True)
class Day:
    """A card's ladder flown at home and on one day, one cause after the other.

    Attributes
    ----------
    rungs : the ladder, short to long.
    causes : what differs from home, in order.
    carries_m : what each flight carries [m], shape (1 + causes, rungs, 6); the first is home, the last the day.
    tail_mps, at_least : the wind along the shot [m/s], and whether a cold ball would be felt.
    """

    rungs: tuple[Rung, ...]
    causes: tuple[str, ...]
    carries_m: Floats
    tail_mps: float
    at_least: bool


def day_of(rungs: Sequence[Rung], home: Conditions, today: Conditions) -> Day:
    """Fly a ladder on a day; `today` has passed `doubts` (conditions/day.py), of `home` only the air counts."""
    steps = one_by_one(home.still, today)
    cards = np.array([rung.card_m for rung in rungs])
    at_home = np.repeat(cards[:, None], MORE + 1, axis=1)
    at_home[:, MORE] += MORE_M
    flown = [flown_m(rungs, here) for _, here in steps] if rungs else []
    cold = home.temperature_c - today.temperature_c >= COLD_BALL_DEGC
    return Day(tuple(rungs), tuple(cause for cause, _ in steps), np.array([at_home, *flown]), today.tail_mps, cold)


def plays(day: Day, target_m: float) -> Answer:
    """The carry of the card to play for a target.

    Parameters
    ----------
    day : Day
        The card's ladder on the day.
    target_m : float
        Level distance to where the ball shall come down [m].

    Returns
    -------
    Answer
        The carry of the card [m] that meets the target today, on a straight line between two neighbouring rungs.
        Refused beyond the longest number of today and below the shortest rung, where a launch that the player may
        have rises to the target from no rung, where a yard more on the card brings too little, and where the wind
        leaves too much open.
    """
    if not day.rungs:
        return Answer(refused=NO_CARD)
    line = _line(day, day.carries_m[-1, :, OWN])
    reach_m = max((today_m for _, today_m in line), default=0.0)
    if not line or target_m < line[0][1]:
        steep = bool(np.isnan(day.carries_m[-1, 0, OWN]))
        return Answer(refused=TOO_STEEP if steep else TOO_SHORT, reach_m=reach_m)
    if target_m > reach_m:
        return Answer(refused=TOO_LONG, reach_m=reach_m)
    launches = (day.carries_m[-1, :, corner] for corner in CORNERS)
    if any(np.isnan(values).all() for values in (*launches, _gains(day))):
        return Answer(refused=TOO_STEEP, reach_m=reach_m)
    played_m = _read_back_m(day, -1, OWN, target_m)
    if _at_card(day, _gains(day), played_m) < LEAST_GAIN:
        return Answer(refused=NO_GAIN, reach_m=reach_m)
    open_m = _spread(_at_card(day, change_m, played_m) for change_m in _wind_m(day))
    return _answer(day, target_m, open_m, lambda step, flight: _read_back_m(day, step, flight, target_m))


def flies(day: Day, place: int) -> Answer:
    """What the number on rung `place` of the ladder becomes today; refused for a target it does not rise to."""
    if np.isnan(day.carries_m[-1, place]).any():
        return Answer(refused=TOO_STEEP)
    carries_m, open_m = day.carries_m[:, place], _spread(float(change_m[place]) for change_m in _wind_m(day))
    return _answer(day, day.rungs[place].card_m, open_m, lambda step, flight: float(carries_m[step, flight]))


def _answer(day: Day, asked_m: float, open_m: float, carry_m: Callable[[int, int], float]) -> Answer:
    """The range round a carry; `carry_m(step, flight)` gives it for one flight of the ladder after so many causes."""
    if open_m > WIDEST_SHARE * asked_m:
        return Answer(refused=TOO_WIDE, open_m=open_m)
    own_m = [carry_m(step, OWN) for step in range(len(day.carries_m))]
    parts = tuple(
        Part(cause, after - before) for cause, (before, after) in zip(day.causes, pairwise(own_m), strict=True)
    )
    # Coefficients of drag and lift differ between sources, which widens what air and headwind do beyond the corners.
    air_m = OPEN_SHARE * sum(abs(part.change_m) for part in parts if _is_air(part.cause, day.tail_mps))
    edges = [carry_m(-1, flight) for flight in (OWN, *CORNERS)]
    low_m, high_m = min(*edges, own_m[-1] - air_m), max(*edges, own_m[-1] + air_m)
    return Answer(own_m[-1], low_m, high_m, day.at_least, parts, open_m=open_m)


def _is_air(cause: str, tail_mps: float) -> bool:
    return cause in ("temperature", "altitude") or (cause == "wind" and tail_mps < 0.0)


def _wind_m(day: Day) -> list[Floats]:
    """What the wind does to every rung [m] under each corner launch; nothing without wind."""
    if "wind" not in day.causes:
        return []
    after = day.causes.index("wind") + 1
    return [day.carries_m[after, :, corner] - day.carries_m[after - 1, :, corner] for corner in CORNERS]


def _gains(day: Day) -> Floats:
    """How many yards a yard more on the card brings today, for every rung."""
    gains: Floats = (day.carries_m[-1, :, MORE] - day.carries_m[-1, :, OWN]) / MORE_M
    return gains


def _spread(changes_m: Iterable[float]) -> float:
    known = list(changes_m)
    return max(known) - min(known) if known else 0.0


def _at_card(day: Day, values: Floats, card_m: float) -> float:
    """A value of every rung, at any carry of the card on a straight line between two of them."""
    return float(np.interp(card_m, *np.array(_line(day, values)).T))


def _read_back_m(day: Day, step: int, flight: int, target_m: float) -> float:
    """The carry of the card [m] whose `flight` meets the target after `step` causes.

    Beyond the ends, where only a corner launch or a cause in mid-order can lie, the line goes on: a yard for a yard
    below, and above as the last rung gains.
    """
    line = _line(day, day.carries_m[step, :, flight])
    for (card_m, today_m), (longer_m, longer_today_m) in pairwise(line):
        if today_m <= target_m <= longer_today_m and longer_today_m > today_m:
            return card_m + (longer_m - card_m) * (target_m - today_m) / (longer_today_m - today_m)
    (first_m, first_today_m), (last_m, last_today_m) = line[0], line[-1]
    if target_m < first_today_m:
        return first_m - (first_today_m - target_m)
    gain = float(day.carries_m[step, -1, MORE] - day.carries_m[step, -1, OWN]) / MORE_M
    return last_m + (target_m - last_today_m) / max(LEAST_GAIN, gain)


def _line(day: Day, values: Floats) -> list[tuple[float, float]]:
    """Each rung's carry on the card with its value, short to long; rungs less than a yard apart count as their mean.

    Two wedges that carry alike at home differ in the wind, and no line leads back through both. Rungs that do not
    come down at the target's height are left out.
    """
    groups: list[list[tuple[float, float]]] = []
    for rung, value in zip(day.rungs, values, strict=True):
        if np.isnan(value):
            continue
        if groups and rung.card_m - groups[-1][0][0] < MORE_M:
            groups[-1].append((rung.card_m, float(value)))
        else:
            groups.append([(rung.card_m, float(value))])
    return [(fmean(card_m for card_m, _ in group), fmean(value for _, value in group)) for group in groups]
