"""Plain figures of a handful of balls, as anyone would work them out on paper, and the cost of each contact.

Knows nothing of the estimate behind the card.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np


@dataclass(frozen=True)
class Plain:
    """Plain figures of n carries [m].

    Attributes
    ----------
    n : int
    mean_m, median_m : float
    sd_m : float or None
        Sample standard deviation (n - 1); None for one ball.
    two_in_three_low_m, two_in_three_high_m : float
        The 1/6 and 5/6 points, by linear interpolation.
    nine_in_ten_m : float
        The 1/10 point, by the same interpolation.
    """

    n: int
    mean_m: float
    median_m: float
    sd_m: float | None
    two_in_three_low_m: float
    two_in_three_high_m: float
    nine_in_ten_m: float


def plain(carries_m: Sequence[float]) -> Plain | None:
    """The plain figures of some carries [m]; None without any."""
    if len(carries_m) == 0:
        return None
    values = np.asarray(carries_m, dtype=float)
    low, high, nine = np.quantile(values, [1 / 6, 5 / 6, 0.1])
    return Plain(
        n=len(values),
        mean_m=float(values.mean()),
        median_m=float(np.median(values)),
        sd_m=float(values.std(ddof=1)) if len(values) > 1 else None,
        two_in_three_low_m=float(low),
        two_in_three_high_m=float(high),
        nine_in_ten_m=float(nine),
    )


def cost_of_contact(carries_m: Sequence[float], contacts: Sequence[str]) -> dict[str, float]:
    """Metres per ball of one cell lost (negative) or won to each contact that is not clean.

    Each is the sum of carry less the mean clean carry over the balls of that contact, divided by all balls,
    so the values add up to the mean of all less the mean of the clean ones. Balls with no contact noted are
    left out. Empty where no ball is clean or nothing was seen.
    """
    noted = [(carry_m, contact) for carry_m, contact in zip(carries_m, contacts, strict=True) if contact]
    clean = [carry_m for carry_m, contact in noted if contact == "clean"]
    if not clean:
        return {}
    clean_m = sum(clean) / len(clean)
    cost: dict[str, float] = {}
    for carry_m, contact in noted:
        if contact != "clean":
            cost[contact] = cost.get(contact, 0.0) + (carry_m - clean_m) / len(noted)
    return cost
