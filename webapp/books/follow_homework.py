"""Homework of a book: which balls were struck for it over all buckets, what is left, and what accepting it writes.

Knows which rows that needs and nothing of how it is shown.
"""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from ..card.card_data import Card
from ..practice import homework, scores
from ..practice.homework import Matched, Progress
from ..practice.homework_code import Homework
from ..store import from_coach, reading
from ..store.book import Book
from . import make_facts, same_wedge

Row = dict[str, Any]


@dataclass(frozen=True)
class Followed:
    """Homework that was accepted, and the balls struck for it, oldest first, each with its `homework_place`.

    `said_at` is when the latest was said of it, such as that it was set aside.
    """

    id: str
    accepted_at: str
    said_at: str
    plan: list[str]
    nine_by: str
    focus: str
    aside: bool
    balls: list[Row]

    @property
    def places(self) -> list[int]:
        """The distinct places that are struck."""
        return homework.places_of(self.balls)

    @property
    def left(self) -> list[str]:
        """The words that are left, without those of the next-visit nine."""
        return homework.of_nine(homework.left(self.plan, self.places), nine=False)

    @property
    def nine_left(self) -> list[str]:
        """The words of its next-visit nine that are left."""
        return homework.of_nine(homework.left(self.plan, self.places), nine=True)

    @property
    def open(self) -> bool:
        """Whether practice may offer it: balls of it are left, and it is not set aside."""
        return not self.aside and bool(self.left or self.nine_left)

    @property
    def nine_balls(self) -> list[Row]:
        """The balls of its next-visit nine, of a place struck twice the first."""
        of_nine = set(homework.of_nine(self.plan, nine=True))
        first: dict[int, Row] = {}
        for ball in self.balls:
            first.setdefault(ball["homework_place"], ball)
        return [ball for place, ball in first.items() if self.plan[place - 1] in of_nine]

    @property
    def progress(self) -> Progress:
        """How far it has got."""
        nine = self.nine_balls
        within, nine_of = sum(map(scores.lands_within, nine)), len(homework.of_nine(self.plan, nine=True))
        return Progress(len(self.places), len(self.plan), len(nine), within, nine_of)


@dataclass(frozen=True)
class Offered:
    """The homework that practice offers, those of its words that can be struck today, what is said of the others."""

    work: Followed
    left: list[str]
    nine_left: list[str]
    gone: str


def followed(book: Book) -> list[Followed]:
    """Every homework that was accepted, the latest first."""
    every = from_coach.homework(book)
    heirs = same_wedge.in_the_end(book) if every else {}
    return [_followed(book, work, heirs) for work in every]


def current(some: Sequence[Followed]) -> Followed | None:
    """The homework that practice offers: the latest that is open."""
    return next((one for one in some if one.open), None)


def offered(some: Sequence[Followed], bag: Collection[str], swings: Collection[float]) -> Offered | None:
    """The current homework with what the wedges of a bag, known by their ids, can strike of it with these swings."""
    work = current(some)
    if work is None:
        return None
    left, nine_left = (homework.strikable(words, bag, swings) for words in (work.left, work.nine_left))
    return Offered(work, left, nine_left, homework.gone_words([*work.left, *work.nine_left], bag, swings))


def accepting(
    book: Book, told: Homework, card: Card, nine: Sequence[str], left_out: Collection[int], now: str
) -> Row | None:
    """The fact that accepts homework with this bag; None where nothing is left of it, or it was accepted before.

    `left_out` are the places of rows for which no stand-in is wanted. What was set aside is taken up again.
    """
    known = next((work for work in from_coach.homework(book) if work["id"] == told.id), None)
    if known:
        return make_facts.changed(book, "homework", told.id, now, aside=None) if known["aside"] else None
    plan = homework.plan_of(told.id, wanted(told, card, left_out), nine if told.nine_by else ())
    body = {"plan": plan, "nine_by": told.nine_by, "focus": told.focus}
    return make_facts.fact("homework", body, now, id=told.id) if plan else None


def wanted(told: Homework, card: Card, left_out: Collection[int]) -> list[Matched]:
    """The rows of homework with this bag, without those for which no stand-in is wanted."""
    rows = homework.matched(told, card.clubs, card.swings)
    return [row for place, row in enumerate(rows) if not (row.asks and place in left_out)]


def _followed(book: Book, work: Row, heirs: Mapping[str, str]) -> Followed:
    buckets = reading.buckets_planned(book, homework.ref_of(work["id"]))
    shots = [shot for bucket in buckets for shot in reading.shots_of_bucket(book, bucket["id"])]
    said = {name: work[name] for name in ("plan", "nine_by", "focus", "aside")}
    balls = homework.struck(work, buckets, shots, heirs)
    said_at = book.history(work["id"])[-1]["made_at"]
    return Followed(work["id"], work["made_at"], said_at, **said, balls=balls)
