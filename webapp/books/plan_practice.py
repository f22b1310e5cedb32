"""Plans out of a book: reads what practice/plans.py needs and hands it over.

Knows which rows a plan needs and nothing of how a plan is shown.
"""

import random
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import NamedTuple

from ..card import card_words
from ..card.card_data import Card, CellKey
from ..fits import course_notes
from ..moments import days_between
from ..practice import plan_words, plans
from ..practice.course_use import often_needed
from ..practice.plans import Plan, Wish
from ..store import reading
from ..store.book import Book
from . import read_card, same_wedge

SIZES = (20, 30, 40, 50, 60, 80, 100)
_MOST_NOTES = 200  # the latest rounds tell what the course asks for
STOPPED_DAYS = 30.0  # a plan stopped longer ago is not offered again


@dataclass(frozen=True)
class Stopped:
    """A plan that a bucket left unfinished: the bucket, when it was by the player's clock, the rest of its words."""

    bucket_id: str
    local_at: str
    words: list[str]
    of: int


class ToldPart(NamedTuple):
    """A stretch of a plan in words: "15 building: early, 6 balls in 2 visits", and its balls "56 9:00 × 5"."""

    balls: int
    name: str
    why: str
    lines: str


class Planner:
    """Everything plans of one book are made from, read once; the same book, moment and `mix` give the same plans."""

    def __init__(
        self, book: Book, now: str, unit: str, mirrored: bool, mix: int = 0, knows_course: bool = True
    ) -> None:
        self.book, self.now, self.unit = book, now, unit
        made = read_card.estimate_of(book, now, mirrored)
        self.card: Card = made.card
        written = (note["words"] for note in reading.notes(book, course_notes.ABOUT)[:_MOST_NOTES])
        course_m = course_notes.meant_carries(written, reading.course_shots(book, _MOST_NOTES)) if knows_course else []
        self.order = plans.to_build(self.card, made.pooled, course_m=course_m) if made.pooled else []
        self.often = often_needed(self.card, course_m)
        self.seed = f"{book.id} {book.cursor} {mix}"
        latest = next(iter(reading.shots(book, most=1)), None)
        self.last_struck_at: str | None = latest["struck_at"] if latest else None
        self.nine_opens_at = plans.nine_opens_at(self.last_struck_at, now)

    @property
    def bag(self) -> list[str]:
        """The ids that balls may be called by today: of the wedges in the bag, and of those whose place they took."""
        return [*self._heirs]

    @property
    def swings(self) -> list[float]:
        """The lengths of swing [deg] that balls may be called by today."""
        return [swing.swing_deg for swing in self.card.swings]

    @cached_property
    def _heirs(self) -> dict[str, str]:
        return same_wedge.in_their_places(self.book)

    @property
    def nine_may_be_now(self) -> bool:
        """Whether there was practice before, and long enough ago."""
        return self.last_struck_at is not None and not self.nine_opens_at

    def bucket(self, balls: int, wish: Wish | None = None) -> Plan:
        """A plan for a whole bucket; it opens with the next-visit nine where that may be struck now."""
        return plans.plan(
            self.card, self.order, balls, self.unit, self._chance(f"{balls}"), self.nine_may_be_now, wish, self.often
        )  # fmt: skip

    def nine(self) -> Plan:
        """The next-visit nine alone."""
        return plans.nine_alone(self.card, self.unit, self._chance("nine"))

    def spring(self) -> Plan:
        """A few balls for each number that is old."""
        return plans.spring_check(self.card)

    def told(self, plan: Plan) -> list[ToldPart]:
        """A plan in words alone, for whoever may not see what a wedge is called in the book."""
        return [
            ToldPart(
                part.balls, part.name, part.why,
                ", ".join(f"{card_words.name_of(self.card, line.cell)} × {line.balls}" for line in part.lines),
            )
            for part in plan.parts
        ]  # fmt: skip

    def wish(self, keys: Sequence[str], kinds: Sequence[str], only_mixed: bool = False) -> Wish:
        """What was asked of the mixed balls, without cells and kinds that there are not."""
        known: dict[str, CellKey] = {cell.key: place for place, cell in self.card.cells.items()}
        chosen = tuple(known[key] for key in dict.fromkeys(keys) if key in known)
        return Wish(chosen, tuple(kind for kind in plans.CALL_KINDS if kind in kinds) or plans.CALL_KINDS, only_mixed)

    def stopped(self) -> Stopped | None:
        """The last bucket's plan, if it has one and was stopped before its end not long ago."""
        last = next((one for one in reading.buckets(self.book, most=5) if not one["aside"]), None)
        if last is None or not last["plan"] or read_card.is_open(last, self.now):
            return None
        shots = reading.shots_of_bucket(self.book, last["id"])
        if plan_words.done(shots) >= len(last["plan"]) or days_between(last["begun_at"], self.now) > STOPPED_DAYS:
            return None
        return Stopped(last["id"], last["local_at"], plan_words.rest(last["plan"], shots), len(last["plan"]))

    def rest_as_plan(self, words: Sequence[str]) -> Plan:
        """Words of a plan as a plan to show; calls go to the wedge that took a place, without one they are left out."""
        known = (call for word in words if (call := plan_words.parse(word)))
        todays = (replace(call, club_id=self._heirs.get(call.club_id, call.club_id)) for call in known)
        calls = [call for call in todays if (call.club_id, call.swing_deg) in self.card.cells]
        return plans.as_it_stands(self.card, calls)

    def gone(self, words: Sequence[str]) -> list[str]:
        """The names of the wedges that words of a plan ask for and that left the bag, each once."""
        asked = {call.club_id for word in words if (call := plan_words.parse(word))} - {*self.bag}
        return [club.name for club in reading.every_club(self.book).values() if club.id in asked]

    def _chance(self, what: str) -> random.Random:
        return random.Random(f"{self.seed} {what}")
