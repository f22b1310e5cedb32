"""The line between a club's cells, for drawing only: an in-between swing is never offered to the player.

Knows nothing of drawings.
"""

import numpy as np

from webapp.estimate.figures import typical_carry_m
from webapp.estimate.model import FloatArray, shortening
from webapp.estimate.pool import Pooled


def between_m(pooled: Pooled, club: str, ball: str, swing_deg: FloatArray) -> FloatArray:
    """Typical carry [m] of a club along its swings, at arm angles [deg] between its cells.

    What is left of ln(carry) after the shares of the full carry runs straight between the cells. Outside the
    cells the nearest one's remainder holds. ValueError where the club has no cell with this kind of ball.
    """
    own = [i for i, cell in enumerate(pooled.cells) if (cell.club, cell.ball) == (club, ball)]
    if not own:
        raise ValueError(f"no cell of club {club!r} with ball {ball!r}")
    own.sort(key=lambda i: pooled.cells[i].swing_deg)
    at_deg = np.array([pooled.cells[i].swing_deg for i in own])
    rest = np.log(typical_carry_m(pooled)[own]) + shortening(at_deg, pooled.options)
    return np.exp(np.interp(swing_deg, at_deg, rest) - shortening(np.asarray(swing_deg, float), pooled.options))
