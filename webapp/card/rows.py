"""The plain rows of a book that its card is made of, and what they say of wedges and numbers that became others.

Knows no table, estimate or clock; books/read_card.py fills a Rows, card/inputs.py and card/build.py read it.
"""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Protocol

from ..fields import is_moment
from .names import Swing, Wedge

Row = Mapping[str, Any]


class ClubRow(Wedge, Protocol):
    """What a club's row must tell besides: stamped loft [deg], whether it left the bag, and what it replaced."""

    @property
    def loft_deg(self) -> float: ...
    @property
    def retired(self) -> bool: ...
    @property
    def follows(self) -> str: ...


@dataclass(frozen=True)
class Rows:
    """A book as the card needs it.

    Attributes
    ----------
    clubs : all clubs, those that left the bag too; swings : those in use.
    full_carries : stated full carry [m] by club id.
    balls : the latest counted swing-called balls of every cell and kind of ball, oldest first, with id, ball,
        club_id, swing_deg, carry_m [m], landed, contact, bucket_id, visit_id, struck_at; and at_most, how many of its
        cell and visit are among them where that has more, else 0 or nothing.
    strikes : the latest balls of any call and kind, as strike.py reads them.
    settings : every setting by name.
    open_buckets : ids of all buckets of the visit that is not over.
    eye_checks : distances said by eye and then measured, with said_m, measured_m [m] and by.
    utc_offset_min : how far the player's clock is ahead of UTC [min].
    most_balls, most_strikes : how many `balls` of a cell and how many `strikes` were read at most; 0 where all were.
    """

    clubs: Sequence[ClubRow]
    swings: Sequence[Swing]
    full_carries: Mapping[str, float]
    balls: Sequence[Row]
    strikes: Sequence[Row]
    settings: Mapping[str, Any]
    open_buckets: Sequence[str] = ()
    utc_offset_min: int = 0
    eye_checks: Sequence[Row] = ()
    most_balls: int = 0
    most_strikes: int = 0


def heirs_of(clubs: Collection[ClubRow]) -> dict[str, str]:
    """For each club the one in the bag that its balls speak for: itself, or what replaced it in the end."""
    replaced_by = {club.follows: club.id for club in clubs if club.follows}
    retired = {club.id for club in clubs if club.retired}
    heirs = {}
    for club in clubs:
        heir, passed = club.id, {club.id}
        while heir in retired and replaced_by.get(heir, heir) not in passed:
            heir = replaced_by[heir]
            passed.add(heir)
        if heir not in retired:
            heirs[club.id] = heir
    return heirs


def moves_told(settings: Mapping[str, Any]) -> dict[str, str]:
    """Since when a number is another one, as the player says: a moment by the cell's key.

    The setting holds "<cell's key> <moment>"; an entry that is no such thing is passed over.
    """
    entries = (entry.rpartition(" ") for entry in settings["moved_cells"])
    return {key: moment for key, _, moment in entries if is_moment(moment)}
