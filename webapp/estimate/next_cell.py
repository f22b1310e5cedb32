"""Which cell to practise next, so that a given number of balls sharpens the card most.

Knows nothing of buckets, plans or how tired a player is.
"""

from collections.abc import Sequence

import numpy as np

from webapp.estimate.pool import Pooled


def next_cells(pooled: Pooled, use: Sequence[float], block: int, blocks: int) -> list[int]:
    """The cells of the next `blocks` blocks of `block` balls each, chosen one after the other.

    Each block goes to the cell c that takes the most from the uncertainty of all cells j the player uses,
    sum_j use_j^2 V_jc^2/(V_cc + omega^2 + sigma_c^2/(block (1 - q))); V is then as if it had been hit.

    Parameters
    ----------
    use : sequence of float, length J
        How much the player uses each cell, >= 0.
    block, blocks : int
        >= 1 and >= 0.
    """
    V = pooled.V.copy()
    weight = np.asarray(use, dtype=float) ** 2
    noise = pooled.shift_variance + pooled.sigma**2 / (block * (1 - pooled.mishit_rate))
    chosen = []
    for _ in range(blocks):
        cell = int(np.argmax(weight @ V**2 / (np.diag(V) + noise)))
        V = V - np.outer(V[:, cell], V[cell]) / (V[cell, cell] + noise[cell])
        chosen.append(cell)
    return chosen
