"""How far a cell's number may be trusted, in one word.

Knows nothing of carries.
"""

from webapp.estimate.model import EARLY_BELOW_BALLS, EARLY_BELOW_VISITS, OLD_BELOW_BALLS


def trust(n: int, visits: int, n_fresh: int, told: bool) -> str:
    """The first that holds of guess, told, old, early, settled.

    Parameters
    ----------
    n, visits : int
        Counted balls of the cell and the visits they came in.
    n_fresh : int
        Those of the last 60 days (a junior's 45).
    told : bool
        Whether the player states a carry for the cell.
    """
    if n == 0:
        return "told" if told else "guess"
    was_settled = n >= EARLY_BELOW_BALLS and visits >= EARLY_BELOW_VISITS
    if was_settled:
        return "old" if n_fresh < OLD_BELOW_BALLS else "settled"
    return "early"
