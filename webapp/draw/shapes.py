"""What the drawings of a card are made from: lanes, arms and carries as plain values.

Knows no Card: views/card_view.py makes these shapes out of one.
"""

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True)
class Lane:
    """One wedge: its id, its short name or loft, such as "56", and the same with a degree where it is a loft."""

    id: str
    tab: str
    tab_with_degree: str


@dataclass(frozen=True)
class Arm:
    """One length of swing: the lead arm's angle from address [deg, 1 to 180], the name that is read, whether chosen."""

    swing_deg: float
    name: str
    chosen: bool = False


@dataclass(frozen=True)
class Carry:
    """One number of a face, in metres, unrounded.

    `low_m` and `high_m` are the ends of its bar on the yard pole; `key` names the cell on the page; `trust` is the
    word that card.css turns into marks; `href` is the page of the shots behind it, or ""; `chosen` is the one number
    that its reader looks at.
    """

    lane_id: str
    swing_deg: float
    key: str
    carry_m: float
    low_m: float
    high_m: float
    trust: str
    href: str = ""
    chosen: bool = False

    @property
    def half_m(self) -> float:
        """Half the length of the bar, the number behind "±"."""
        return (self.high_m - self.low_m) / 2


@dataclass(frozen=True)
class Face:
    """One side of a card: lanes strongest first, arms short to long, and the stretches [m] that no shot carries.

    `twins` are pairs of keys of carries that are one distance.
    """

    lanes: tuple[Lane, ...]
    arms: tuple[Arm, ...]
    carries: Mapping[tuple[str, float], Carry]
    uncovered: tuple[tuple[float, float], ...] = ()
    twins: frozenset[frozenset[str]] = frozenset()
