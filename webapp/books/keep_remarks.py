"""Remarks of a coach in a book: which ball or number a code is about, what keeping it writes, and what was kept.

Knows which rows that needs and nothing of how it is shown.
"""

import hashlib
import hmac
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from ..practice.remark_code import KEY_LETTERS, Remark
from ..store import from_coach, reading
from ..store.book import Book
from . import make_facts
from .known_names import names_of

Row = dict[str, Any]


@dataclass(frozen=True)
class Matched:
    """A remark with what it is about in this book: `shot` is a row, `club_id` "" where no wedge fits."""

    remark: Remark
    name: str
    club_id: str
    shot: Row | None
    known: Row | None

    @property
    def misses_its_ball(self) -> bool:
        """Whether it is about a ball that is not in this book."""
        return bool(self.remark.ball and self.shot is None)


def ball_key(book_id: str, shot_id: str) -> str:
    """How a remark names a ball: neither its id nor its moment can be read out of it, and only its book knows it."""
    return hmac.new(book_id.encode(), f"ball {shot_id}".encode(), hashlib.sha256).hexdigest()[:KEY_LETTERS]


def matched(book: Book, remark: Remark, mirrored: bool) -> Matched:
    """The wedge by its name and loft, else by its loft alone, of all there ever were; the ball by its key."""
    asked, clubs = remark.about, reading.clubs(book, retired=True)
    same = [club for club in clubs if club.loft_deg == asked.loft_deg]
    club = next((one for one in same if one.name == asked.name), same[0] if same else None)
    shot_id = (
        next((one for one in reading.shot_ids(book) if ball_key(book.id, one) == remark.ball), "")
        if remark.ball
        else ""
    )
    shot = reading.shot(book, shot_id) if shot_id else None
    known = next((one for one in from_coach.remarks(book) if one["id"] == remark.id), None)
    name = f"{asked.name} {names_of(book, mirrored).swing(asked.swing_deg)}"
    return Matched(remark, name, club.id if club else "", shot, known)


def kept(book: Book, mirrored: bool) -> list[Row]:
    """Every kept remark under today's name of its number; `ball_gone` where its ball was taken back."""
    names, found = names_of(book, mirrored), []
    for one in from_coach.remarks(book):
        about = one["about"]
        if one["club_id"] in names.clubs:
            about = names.cell((one["club_id"], one["swing_deg"]))
        gone = bool(one["shot_id"]) and reading.shot(book, one["shot_id"]) is None
        found.append({**one, "about": about, "ball_gone": gone})
    return found


def keeping(book: Book, found: Matched, now: str) -> Row:
    """The fact that keeps a remark. One that was set aside is taken up again."""
    if found.known:
        return correcting(book, found.known, False, now)
    body: Row = {"words": found.remark.words, "about": found.name[:80]}
    if found.shot:
        body |= {"shot_id": found.shot["id"], "club_id": found.shot["club_id"], "swing_deg": found.shot["swing_deg"]}
    elif found.club_id:
        body |= {"club_id": found.club_id, "swing_deg": found.remark.about.swing_deg}
    return make_facts.fact("remark", body, now, id=found.remark.id)


def correcting(book: Book, kept: Mapping[str, Any], aside: bool, now: str) -> Row:
    """The fact that sets a kept remark aside, or takes it up again."""
    return make_facts.changed(book, "remark", kept["id"], now, aside=aside)
