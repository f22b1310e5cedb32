"""Which book a coach's link opens, as its profile shows it, and the addresses of its pages.

Knows the directory, the link's secret and what an address asks; not what a page shows. Nothing of it can write.
"""

from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from flask import g, request, url_for

from . import clock, doors, present
from .books.coach_book import CoachBook
from .card.build import Estimate
from .card.card_data import Card, CardCell
from .card.names import Names
from .days import end_of
from .facts import BALLS
from .link_profile import profile_of
from .store import reading
from .store.book import Book
from .store.directory import Link
from .store.faults import StoreFault
from .units import UNIT_NAMES
from .views import periods_view

_MAY_ASK = ("what", "mark", "first", "surface", "ball", "mode", "judged_by")
_OF_A_LIST = ("side", "part", "cell")
_DATES = ("from", "to", "after_from", "after_to")


@dataclass(frozen=True)
class Opened:
    """A link, its book as its profile shows it, the player's settings, the card's estimate, the unit asked for."""

    link: Link
    token: str
    book: CoachBook
    said: dict[str, Any]
    made: Estimate
    unit: str

    @property
    def card(self) -> Card:
        """The card of the kind of ball asked for."""
        return self.made.card

    @property
    def mirrored(self) -> bool:
        """Whether the player's arms stand on the other side."""
        return clock.mirrors(self.said["hand"], self.said["seen_from"])

    @cached_property
    def names(self) -> Names:
        """How the player calls wedges and swings, by the link's keys."""
        return self.book.names(self.mirrored)

    def address(self, page: str, **more: Any) -> str:
        """A page of this link, in the same unit and of the same kind of ball."""
        kept = {"token": self.token, "unit": self.unit, "ball": asked_ball() or None}
        return url_for(f"coach.{page}", **{**kept, **more})

    @property
    def ends_on(self) -> str:
        """When the link ends, by the player's clock."""
        return end_of(self.book.clock(self.link.ends_at), self.book.clock(present.now()))

    @property
    def back(self) -> str:
        """The first screen; a tablet's is the page that follows along."""
        if not self.book.profile.follows:
            return self.address("card")
        return url_for("tablet.follow", unit=self.unit, ball=asked_ball() or None, _anchor=self.token)

    def shots_at(self, cell: CardCell) -> str:
        """The page of the shots behind a number."""
        return self.address("behind", key=cell.club_id, swing_deg=cell.swing_deg)

    def remark_at(self, **about: Any) -> str:
        """Where a remark on a number (`cell`) or a ball (`shot`) is written."""
        kept = {"token": self.token, "unit": self.unit, "ball": asked_ball() or None}
        return url_for("coach_remark.write", **{**kept, **about})

    def homework_balls_at(self, key: str, part: str | None = None) -> str:
        """The balls struck for homework, or those of its next-visit nine."""
        return url_for("coach_homework.struck", token=self.token, homework_key=key, unit=self.unit, part=part)

    def evidence_of(self, cell: CardCell) -> str:
        """The first screen with the evidence behind a number."""
        asked = {name: request.args[name] for name in _MAY_ASK if name in request.args}
        return self.address("card", **{**asked, "cell": cell.key, "_anchor": "evidence"})

    def asked(self) -> periods_view.Asked:
        """What the address asks of periods; a place is nothing a coach may ask for, a day only where days are shown."""
        may = (*_MAY_ASK, *_DATES) if self.book.profile.days else _MAY_ASK
        hidden = () if self.book.profile.days else ("dates",)
        asked = {name: value for name, value in request.args.items() if name in may and value not in hidden}
        shots, visits = self.book.shots(reading.MOST_SHOTS), self.book.visits(reading.MOST_SHOTS)
        return periods_view.asked(asked, self.card, visits, self.book.marks(), shots, self.book.clock(present.now()))

    def frame(self) -> dict[str, Any]:
        """What the coach's pages are framed with instead of the player's."""
        asked = {name: value for name, value in request.args.items() if name in (*_MAY_ASK, *_DATES, *_OF_A_LIST)}
        here = {**asked, **(request.view_args or {})}
        return {
            "frame": "coach_frame.html",
            "back": self.back,
            "remark_at": None if self.book.profile.follows else self.remark_at,
            "units": [
                (name, one == self.unit, url_for(request.endpoint or "coach.card", **{**here, "unit": one}))
                for one, name in UNIT_NAMES.items()
            ],
            "ends_on": self.ends_on,
            "unit": self.unit,
            "day": self.book.day,
        }


@contextmanager
def open_link(token: str, counts: bool = True) -> Iterator[Opened]:
    """The link and its book, read-only; Refused once it has ended, and for tokens nobody made.

    `counts` is whether today counts as a day on which its reader opened it; the player's own look never does.
    """
    link, now = open_now(token), present.now()
    with book_of(link, token) as (own, said):
        with suppress(StoreFault):  # a full disk must keep nobody from reading
            if counts and not doors.opens(link.book_id):
                doors.directory().opened_link(link, own.clock(now)[:10])
        unit = request.args.get("unit", said["unit"])
        mirrored = clock.mirrors(said["hand"], said["seen_from"])
        made = own.estimate_of(now, mirrored, asked_ball() or None)
        yield Opened(link, token, own, said, made, unit if unit in UNIT_NAMES else said["unit"])


def open_now(token: str) -> Link:
    """The link of a secret; Refused once it has ended, and for secrets nobody made."""
    directory = doors.directory()
    link = directory.link(token)
    if link is None or not link.is_open(present.now()) or directory.is_deleted(link.book_id):
        raise doors.Refused(410, "closed", "This link is closed. Ask the player for a new one.")
    return link


@contextmanager
def book_of(link: Link, token: str) -> Iterator[tuple[CoachBook, dict[str, Any]]]:
    """The book of a link as its profile shows it at one moment, and the player's settings; no card is worked out."""
    book: Book = doors.directory().open_book(link.book_id, read_only=True)
    with book, book.as_of_one_moment():
        g.coach_book = book  # so that damage met while it is read is known as its own
        said = reading.settings(book)
        yield CoachBook(book, token, profile_of(link.profile, said["junior"])), said


def shots_are_shown(opened: Opened) -> None:
    """Refused where the link shows the card alone."""
    if not opened.book.profile.has_shots:
        raise doors.Refused(404, "not_shown", "This link shows the card alone.")


def asked_ball() -> str:
    """The kind of ball that the address asks for; "" for the card that opens by itself."""
    asked = request.args.get("ball", "")
    return asked if asked in BALLS else ""
