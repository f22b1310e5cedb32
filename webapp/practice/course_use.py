"""How much the course asks for each cell of a card, by the carries that were meant there.

Knows a card and carries, and not where the carries were noted.
"""

import math
from collections.abc import Sequence

from ..card.card_data import Card, CellKey
from ..units import YARD_M

NEAR_M = 5 * YARD_M  # a carry further off than this is played with another cell
EVEN_CARRIES = 20  # meant carries; so many weigh as much as an even use of all cells; our choice
OFTEN = 2.0


def course_use(card: Card, course_m: Sequence[float]) -> dict[CellKey, float]:
    """How much the course asks for each cell, 1 being as much as for the usual one.

    A meant carry [m] asks alike for every shown cell within NEAR_M of it; one that no cell carries asks for none. The
    square root is given, because the uncertainty it weighs is squared (estimate/next_cell.py).
    """
    return {at: math.sqrt(share) for at, share in _shares(card, course_m).items()}


def often_needed(card: Card, course_m: Sequence[float]) -> frozenset[CellKey]:
    """The cells that the course asks for at least OFTEN times as much as for the usual one."""
    return frozenset(at for at, share in _shares(card, course_m).items() if share >= OFTEN)


def _shares(card: Card, course_m: Sequence[float]) -> dict[CellKey, float]:
    """Each cell's share of what is asked, over the mean share."""
    shares = {at: EVEN_CARRIES / len(card.cells) for at in card.cells}
    for carry_m in course_m:
        near = [
            at for at, cell in card.cells.items()
            if cell.key not in card.hidden and abs(cell.shown_carry_m - carry_m) <= NEAR_M
        ]  # fmt: skip
        for at in near:
            shares[at] += 1 / len(near)
    mean = sum(shares.values()) / max(len(shares), 1)
    return {at: share / mean for at, share in shares.items()}
