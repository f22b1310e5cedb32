"""Brings a whole book back: takes every fact of an exported book into this one, or none.

Knows the file's form and books; files/exporting.py writes such a file.
"""

import json
from collections.abc import Callable, Sequence
from typing import Any

from ..files.ball_row import folded
from ..store import reading
from ..store.book import Book, NotWhole
from . import guarded, make_facts


def bring_back(
    book: Book,
    text: str,
    now: str,
    most_bytes: int = 0,
    tell: Callable[[float], None] = lambda share: None,
    seen: bool = False,
) -> tuple[int, int]:
    """How many facts of a book's JSON came, and how many were there already; NotWhole, and nothing taken, if one fails.

    Who starts a book anew and brings the old one back means the same wedges, so those begun anew are withdrawn.
    TooLarge as of `Book.add_whole`; `tell(share)` is called with the share done. Unless a junior's guardian has
    `seen` to it, what a guardian is asked for is refused.
    """
    facts = _facts_of(text)
    clubs = reading.clubs(book)
    withdrawn: list[Any] = []

    def withdraw() -> list[Any]:
        withdrawn[:] = _doubles(book, clubs, now)  # asked anew when another host was first
        return withdrawn

    try:
        done = book.add_whole(
            facts,
            None,
            now,
            most_bytes,
            lambda n_done: tell(n_done / len(facts)),
            withdraw,
            (lambda raw: None) if seen else guarded.barring(book),
        )
    except NotWhole as error:
        known = ((place, one.get("id")) for place, one in enumerate(facts, 1) if isinstance(one, dict))
        places = {told: place for place, told in known if isinstance(told, str)}
        raise NotWhole(
            [
                {"message": f"Entry {places.get(one['id'], '?')}: {make_facts.without_phone(one['message'])}."}
                for one in error.refused
            ]
        ) from error
    came = done.n_new - len(withdrawn)
    return came, len(facts) - came


def _doubles(book: Book, before: Sequence[reading.Club], now: str) -> list[Any]:
    """Withdrawals of the wedges of `before` that have no ball and whose name a wedge that came since bears too.

    A full carry that was stated for one goes to the wedge that came, where the file states none.
    """
    old = {club.id for club in before}
    came = {folded(club.name): club.id for club in reading.clubs(book) if club.id not in old}
    doubles = [club for club in before if folded(club.name) in came and not reading.shots_of_club(book, club.id, 1)]
    stated_m = reading.full_carries(book)
    heirs = [(came[folded(club.name)], stated_m[club.id]) for club in doubles if club.id in stated_m]
    return [
        *(make_facts.correction(book, "club", club.id, None, now) for club in doubles),
        *(
            make_facts.fact("full_carry", {"club_id": heir, "carry_m": carry_m}, now)
            for heir, carry_m in heirs
            if heir not in stated_m
        ),
    ]


def _facts_of(text: str) -> list[Any]:
    """The facts of a book as JSON; NotWhole when it is none."""
    try:
        told = json.loads(text)
    except (ValueError, RecursionError):
        told = None
    facts = told.get("facts") if isinstance(told, dict) else None
    if not isinstance(facts, list):
        raise NotWhole(
            [{"message": "The file begins like JSON, but it is not a whole book as this page gives it out."}]
        )
    return facts
