"""Brings a whole book back: takes every fact of an exported book into this one, or none.

Knows the file's form and books; files/exporting.py writes such a file.
"""

import json
import re
from collections.abc import Callable, Sequence
from typing import Any

from ..facts import Fact, check, fold
from ..files.ball_row import folded
from ..store import reading, tables
from ..store.book import Barred, Book, NotWhole
from . import guarded, make_facts, same_wedge
from .make_facts import without_phone
from .name_ball import name_ball, offsets_of


def bring_back(
    book: Book,
    text: str,
    now: str,
    most_bytes: int = 0,
    tell: Callable[[float], None] = lambda share: None,
    seen: bool = False,
) -> tuple[int, int]:
    """How many facts of a book's JSON came, and how many were there already; NotWhole, and nothing taken, if one fails.

    Who starts a book anew and brings the old one back means the same wedges, so those begun anew are withdrawn, and
    what names them names the ones that came.
    TooLarge as of `Book.add_whole`; `tell(share)` is called with the share done. Unless a junior's guardian has
    `seen` to it, what a guardian is asked for is refused.
    """
    told = _facts_of(text)
    facts, clubs = _not_begun(book, told), reading.clubs(book)
    barred = (lambda raw: None) if seen else guarded.barring(book)
    joined: list[Any] = []

    def join() -> list[Any]:
        joined[:] = _joined(book, clubs, now, barred)  # asked anew when another host was first
        return joined

    try:
        done = book.add_whole(
            facts, None, now, most_bytes, lambda n_done: tell(n_done / max(len(facts), 1)), join, barred
        )
    except NotWhole as error:
        raise NotWhole(_in_words(book, told, error.refused)) from error
    # `join` withdrew wedges that were begun anew. Only after that can balls that waited be given to the bag's own.
    book.add_whole(same_wedge.named_anew(book), None, now)
    came = done.n_new - len(joined)
    return came, len(told) - came


def _not_begun(book: Book, told: Sequence[Any]) -> list[Any]:
    """The entries of a file but those whose thing began in this book as the same one, whatever was said of it then.

    A ball that came as a row of a table is the ball of the book, although that row did not say all that the book says.
    """
    first = [check(one) is None and one["id"].lower() == one["root"].lower() for one in told]
    begun = tables.begun(book, (one["id"] for one, is_first in zip(told, first, strict=True) if is_first))
    return [
        one
        for one, is_first in zip(told, first, strict=True)
        if not (is_first and begun.get(one["id"].lower()) == one["kind"])
    ]


def _joined(book: Book, before: Sequence[reading.Club], now: str, barred: Barred) -> list[Any]:
    """What makes one of each wedge of `before` and one that came since under its name: all goes to the one that came.

    A wedge that has balls is the same one only if its loft is the same too. A full carry that was stated for one goes
    to the wedge that came, where the file states none.
    """
    old = {club.id for club in before}
    came = {folded(club.name): club for club in reading.clubs(book) if club.id not in old}
    heirs = {
        club.id: heir.id
        for club in before
        if (heir := came.get(folded(club.name)))
        and (heir.loft_deg == club.loft_deg or not reading.shots_of_club(book, club.id, 1))
    }
    stated_m = reading.full_carries(book)
    renamed = (
        _renamed(book, kind, root, club_id, heir, now)
        for club_id, heir in heirs.items()
        for kind, root in tables.naming(book, club_id)
        if kind != "full_carry"
    )
    return [
        *(one for one in renamed if one and barred(one) is None),
        *(
            make_facts.fact("full_carry", {"club_id": heir, "carry_m": stated_m[club_id]}, now)
            for club_id, heir in heirs.items()
            if club_id in stated_m and heir not in stated_m
        ),
        *(make_facts.withdrawn(book, "club", club_id, now) for club_id in heirs),
    ]


def _renamed(book: Book, kind: str, root: str, club_id: str, heir: str, now: str) -> dict[str, Any] | None:
    """A correction by which a thing names the heir of a wedge; None for what was withdrawn or names it no longer."""
    shown = fold(map(Fact.of, book.history(root))).get(root)
    said = json.dumps(shown.body) if shown else ""
    now_said = re.sub(club_id, heir, said, flags=re.IGNORECASE)
    return make_facts.correction(book, kind, root, json.loads(now_said), now) if now_said != said else None


def _in_words(book: Book, told: Sequence[Any], refused: Sequence[dict[str, str]]) -> list[dict[str, str]]:
    """Each refusal with the place of its entry in the file, and of a ball with its day, wedge and carry."""
    known = ((place, one.get("id")) for place, one in enumerate(told, 1) if isinstance(one, dict))
    places = {one_id: place for place, one_id in known if isinstance(one_id, str)}
    sound = [one for one in told if check(one) is None and one["body"]]
    names = {one["root"]: one["body"]["name"] for one in sound if one["kind"] == "club"}
    unit = str(reading.settings(book)["unit"])
    offsets = offsets_of(book, sound)
    balls = {one["id"]: f" ({name_ball(one, names, offsets, unit)})" for one in sound if one["kind"] == "shot"}
    return [
        {"message": f"Entry {places.get(one['id'], '?')}{balls.get(one['id'], '')}: {without_phone(one['message'])}."}
        for one in refused
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
