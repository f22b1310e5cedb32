"""Which wedge in the bag a withdrawn one is: what a phone without signal struck with that one is a ball of this one.

Knows wedges and balls of a book; why a wedge was withdrawn is known to bring_back.py and to the page of the bag.
"""

from collections.abc import Iterable
from dataclasses import replace
from typing import Any

from ..card.rows import heirs_of
from ..files.ball_row import folded
from ..store import reading
from ..store.book import Book
from . import make_facts


def same_in_bag(book: Book, outside: Iterable[reading.Club]) -> dict[str, str]:
    """By the id of each of these wedges the one in the bag with its name and loft, where there is exactly one."""
    bag: dict[tuple[str, float], list[str]] = {}
    for club in reading.clubs(book):
        bag.setdefault(_name_and_loft(club), []).append(club.id)
    found = {club.id: bag.get(_name_and_loft(club), []) for club in outside}
    return {club_id: same[0] for club_id, same in found.items() if len(same) == 1}


def in_their_places(book: Book) -> dict[str, str]:
    """For each wedge that was ever named the one in the bag that is in its place today: itself, its heir, its like."""
    withdrawn = reading.withdrawn_clubs(book)
    return heirs_of(reading.clubs(book, retired=True)) | same_in_bag(book, withdrawn.values())


def in_the_end(book: Book) -> dict[str, str]:
    """For each wedge the one that is in its place today, or that was in it last where this left the bag too."""
    clubs = reading.clubs(book, retired=True)
    followed = {club.follows for club in clubs}
    last = [replace(club, retired=club.retired and club.id in followed) for club in clubs]
    return heirs_of(last) | in_their_places(book)


def named_anew(book: Book) -> list[dict[str, Any]]:
    """Corrections by which the balls of each withdrawn wedge are those of the one in the bag that it is.

    A wedge that was replaced was not withdrawn: its balls stay its own, and a ball struck before the one in the bag
    came is one of those. What was corrected names no withdrawn wedge any more, so nothing is corrected twice. Each is
    made just after what was said last of its ball: what the phone said later and sends next still holds.
    """
    withdrawn = reading.withdrawn_clubs(book)
    kept = [club for club in reading.clubs(book, retired=True) if club.id not in withdrawn]
    return [
        make_facts.changed(book, "shot", shot["id"], shot["made_at"], club_id=_then(shot, heir, kept))
        for club_id, heir in same_in_bag(book, withdrawn.values()).items()
        for shot in reading.shots_of_club(book, club_id, most=-1)
    ]


def _then(shot: dict[str, Any], heir: str, kept: Iterable[reading.Club]) -> str:
    """Of the wedges like the one in the bag the latest that there was when a ball was struck, else that one itself."""
    like = next(_name_and_loft(club) for club in kept if club.id == heir)
    before = [club for club in kept if _name_and_loft(club) == like and club.made_at <= shot["made_at"]]
    return max(before, key=lambda club: club.made_at).id if before else heir


def _name_and_loft(club: reading.Club) -> tuple[str, float]:
    return folded(club.name), club.loft_deg
