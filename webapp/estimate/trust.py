"""How far a cell's number may be trusted, in one word.

Knows nothing of carries.
"""

from webapp.estimate.model import (
    EARLY_BELOW_BALLS,
    EARLY_BELOW_VISITS,
    OLD_BELOW_BALLS,
    SETTLED_HALF_WIDTH_M,
)


def trust(n: int, visits: int, n_recent: int, told: bool, half_width_m: float) -> str:
    """The first that holds of guess, told, old, early, settled.

    Parameters
    ----------
    n, visits : int
        Counted balls of the cell and the visits they came in.
    n_recent : int
        Those of the last 60 days (a junior's 45).
    told : bool
        Whether the player states a carry for the cell.
    half_width_m : float
        Half the width [m] of the 80% interval of its typical carry. It decides between early and settled only:
        a number that rests on enough balls and visits is old whatever its width.
    """
    if n == 0:
        return "told" if told else "guess"
    if n < EARLY_BELOW_BALLS or visits < EARLY_BELOW_VISITS:
        return "early"
    if n_recent < OLD_BELOW_BALLS:
        return "old"
    return "settled" if half_width_m <= SETTLED_HALF_WIDTH_M else "early"
