"""Balls and cells in a few words, for the tests of the estimate; carries in yards."""

from collections.abc import Sequence

from webapp.estimate.balls import Ball
from webapp.estimate.prior import Cell, Told
from webapp.units import YARD_M

SWINGS_DEG = (45.0, 90.0, 135.0, 180.0)
LOFTS_DEG = (46.0, 51.0, 56.0, 60.0)
FULL_YD = (112, 99, 85, 72)


def bag(
    lofts: Sequence[float] = LOFTS_DEG, swings: Sequence[float] = SWINGS_DEG, kinds: Sequence[str] = ("",)
) -> list[Cell]:
    """Every club at every swing with every kind of ball."""
    return [Cell(f"{loft:.0f}", loft, swing, kind) for kind in kinds for loft in lofts for swing in swings]


def stated(full_yd: Sequence[float] = FULL_YD, lofts: Sequence[float] = LOFTS_DEG) -> list[Told]:
    """The full carries the player states."""
    return [Told(Cell(f"{loft:.0f}", loft, 180.0), yd * YARD_M) for loft, yd in zip(lofts, full_yd, strict=True)]


def visit(
    cell: int,
    carries_yd: Sequence[float | None],
    contacts: Sequence[str] | str = "clean",
    name: int = 0,
    age_days: float = 1.0,
    judged_by: str = "monitor",
) -> list[Ball]:
    """The balls of one cell on one visit."""
    each = [contacts] * len(carries_yd) if isinstance(contacts, str) else contacts
    return [
        Ball(cell, None if yd is None else yd * YARD_M, contact, name, age_days, "seen", 1000 * name + i, judged_by)
        for i, (yd, contact) in enumerate(zip(carries_yd, each, strict=True))
    ]
