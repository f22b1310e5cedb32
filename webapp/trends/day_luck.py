"""How much a day moves a player's numbers, as the visits of a period show it when they are set beside each other.

Knows rows of shots; nothing of periods' names, of verdicts or of pages.
"""

import math
from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from typing import Any

import numpy as np

from ..card.balls import clean_of
from ..card.card_data import CellKey
from ..estimate.model import CELL_SHIFT_SD, VISIT_SHIFT_SD

ASSUMED_VARIANCE = VISIT_SHIFT_SD**2 + CELL_SHIFT_SD**2
ASSUMED_WORTH = 4.0  # visits that what is assumed counts as; our choice between 2 and 6 by invented players

Row = Mapping[str, Any]


def day_variance(
    periods: Iterable[Iterable[Row]], sigma: Mapping[CellKey, float], mishits: Collection[str] = ()
) -> float:
    """Variance of the shift of ln(carry) that the clean balls of one number share on one visit.

    `sigma` is the spread of clean balls of each cell as a fraction of its carry, `mishits` are ids of balls that only
    passed for clean ones. A number's visits are held against each other within a period alone, so that what changed
    between two periods is no luck of days. Each number's variance comes of its visits' means by moments (as of groups
    in a one-way layout: Cochran 1954, from memory), together with ASSUMED_VARIANCE by their visits.
    """
    squares, freedom, visits = 0.0, 0, 0
    for shots in periods:
        numbers: dict[CellKey, dict[str, list[float]]] = defaultdict(lambda: defaultdict(list))
        for shot in clean_of(shots):
            if shot["id"] not in mishits:
                numbers[shot["club_id"], shot["swing_deg"]][shot["visit_id"]].append(math.log(shot["carry_m"]))
        visits += max(len({visit for number in numbers.values() for visit in number}) - 1, 0)
        for cell, number in numbers.items():
            if cell in sigma:
                means = np.array([np.mean(own) for own in number.values()])
                noise = sigma[cell] ** 2 * sum(1 / len(own) for own in number.values())
                squares += float(np.sum((means - means.mean()) ** 2)) - noise * (1 - 1 / len(means))
                freedom += len(means) - 1
    if not freedom:
        return ASSUMED_VARIANCE
    return (ASSUMED_WORTH * ASSUMED_VARIANCE + visits * max(squares / freedom, 0.0)) / (ASSUMED_WORTH + visits)
