"""How pages call a wedge, a length of swing and a number: by the player's own names, also of what is used no more.

Knows no book; books/known_names.py tells what a book named, books/coach_book.py the same under a link's keys.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Protocol

from ..clock import clock_name
from .card_data import CellKey

NAMELESS = "a wedge"  # one that was never in the book


class Wedge(Protocol):
    """A wedge by its id and its name."""

    @property
    def id(self) -> str: ...
    @property
    def name(self) -> str: ...


class Swing(Protocol):
    """A length of swing: the lead arm's angle [deg] and the name that its player gave it, or ""."""

    @property
    def swing_deg(self) -> float: ...
    @property
    def name(self) -> str: ...


@dataclass(frozen=True)
class Names:
    """Names of wedges by id, own names of swings by their degrees, and whether clock hours are read mirrored."""

    clubs: Mapping[str, str]
    swings: Mapping[float, str]
    mirrored: bool

    def club(self, club_id: str) -> str:
        """A wedge's name."""
        return self.clubs.get(club_id, NAMELESS)

    def swing(self, swing_deg: float) -> str:
        """The own name of a swing, else its place on the clock."""
        return self.swings.get(swing_deg) or clock_name(swing_deg, self.mirrored)

    def cell(self, cell: CellKey) -> str:
        """A wedge with a swing: "56 9:00"."""
        return f"{self.club(cell[0])} {self.swing(cell[1])}"


def given_names(clubs: Iterable[Wedge], swings: Iterable[Swing], mirrored: bool = False) -> Names:
    """The names that were given to these wedges and swings."""
    return Names({club.id: club.name for club in clubs}, {swing.swing_deg: swing.name for swing in swings}, mirrored)
