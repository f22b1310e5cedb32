"""What is believed of the cells before any ball: curves over loft and swing, and the carries the player states.

Knows nothing of balls.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from webapp.estimate import model
from webapp.estimate.model import FloatArray, Options


@dataclass(frozen=True)
class Cell:
    """One club at one swing, and the kind of ball it is hit with.

    Attributes
    ----------
    club : str
        The club's id; cells with the same id share the club's own part of the prior.
    loft_deg : float
        Stamped loft [deg], 36 to 70.
    swing_deg : float
        Lead-arm angle from address [deg], 1 to 180; 180 is full.
    ball : str
        Kind of ball ("" where the book knows only one kind).
    """

    club: str
    loft_deg: float
    swing_deg: float
    ball: str = ""


@dataclass(frozen=True)
class Told:
    """A carry the player states for a cell, which need not be one of the card's; `carry_m` [m] > 0."""

    cell: Cell
    carry_m: float


def believed(cells: Sequence[Cell], told: Sequence[Told], options: Options) -> tuple[FloatArray, FloatArray]:
    """Mean and covariance of ln(typical carry [m]) of the cells, given what the player states.

    Parameters
    ----------
    cells : sequence of Cell, length J
    told : sequence of Told
        Each observes its cell with error covariance TOLD_SD^2 I + TOLD_SHARED_SD^2 11' and mean TOLD_BIAS
        too long; the last one of a cell holds.
    options : Options

    Returns
    -------
    mean : (J,) array
    covariance : (J, J) array
    """
    latest = {statement.cell: statement for statement in told}
    stated = list(latest)
    every = list(cells) + stated
    mean, covariance = before(every, options)
    j = len(cells)
    if not stated:
        return mean, covariance
    doubt = model.TOLD_SD**2 * np.eye(len(stated)) + model.TOLD_SHARED_SD**2
    heard = np.log([latest[cell].carry_m for cell in stated]) - model.TOLD_BIAS
    towards = np.linalg.solve(covariance[j:, j:] + doubt, covariance[j:, :j]).T
    return mean[:j] + towards @ (heard - mean[j:]), covariance[:j, :j] - towards @ covariance[j:, :j]


def before(cells: Sequence[Cell], options: Options) -> tuple[FloatArray, FloatArray]:
    """Mean (J,) and covariance (J, J) of ln(typical carry [m]) when nothing is known of the player."""
    loft_deg = np.array([cell.loft_deg for cell in cells], dtype=float)
    swing_deg = np.array([cell.swing_deg for cell in cells], dtype=float)
    u = model.shortening(swing_deg, options)
    off_deg = loft_deg - model.REFERENCE_LOFT_DEG
    mean = np.log(model.REFERENCE_FULL_CARRY_M) + model.LOFT_SLOPE * off_deg + model.LOFT_CURVE * off_deg**2 - u

    x = off_deg / 10
    xx, uu = np.outer(x, x), np.outer(u, u)
    same_club = _same([cell.club for cell in cells])
    hours_apart = (swing_deg[:, None] - swing_deg[None, :]) / 30
    covariance = (
        model.PRIOR_LEVEL_SD**2
        + model.PRIOR_SLOPE_SD**2 * xx
        + model.PRIOR_CURVE_SD**2 * xx**2
        + model.PRIOR_SHORT_SWING_SD**2 * uu
        + model.PRIOR_SWING_SD**2 * np.exp(-0.5 * (hours_apart / model.PRIOR_SWING_REACH_H) ** 2)
        + same_club * (model.PRIOR_CLUB_SD**2 + model.PRIOR_CLUB_SHORT_SWING_SD**2 * uu)
        + same_club * (hours_apart == 0) * model.PRIOR_CELL_SD**2
    )
    kinds = [cell.ball for cell in cells]
    if len(set(kinds)) > 1:
        covariance = covariance + _same(kinds) * model.PRIOR_BALL_KIND_SD**2
    return mean, covariance


def _same(names: Sequence[str]) -> FloatArray:
    """1 where two names are equal, else 0."""
    each = np.array(names, dtype=str)
    return np.asarray(each[:, None] == each[None, :], dtype=float)
