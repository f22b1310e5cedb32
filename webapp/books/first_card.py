"""The card of a book that is not begun yet: what lofts and perhaps one full carry let us guess.

Knows no file: the same rows that a new book would give are made of the answers.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from ..card.build import build
from ..card.card_data import Card
from ..card.rows import Rows
from ..clock import DEFAULT_SWINGS_DEG
from ..facts import SETTINGS


@dataclass(frozen=True)
class _Wedge:
    id: str
    name: str
    loft_deg: float
    retired: bool = False
    follows: str = ""


@dataclass(frozen=True)
class _Swing:
    swing_deg: float
    name: str = ""


def first_card(lofts_deg: Sequence[float], known: tuple[float, float] | None, now: str, mirrored: bool) -> Card:
    """The guesses for some lofts [deg]; `known` is one of them with its full carry [m]."""
    wedges = [_Wedge(f"{loft:g}", f"{loft:g}", loft) for loft in lofts_deg]
    rows = Rows(
        clubs=wedges,
        swings=[_Swing(deg) for deg in DEFAULT_SWINGS_DEG],
        full_carries={f"{known[0]:g}": known[1]} if known else {},
        balls=[],
        strikes=[],
        settings={name: field.default for name, field in SETTINGS.items()},
    )
    return build(rows, now, mirrored)
