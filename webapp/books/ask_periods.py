"""What an address asks of a book's periods, and the lines that the player's card begins with.

Knows the store's rows; which balls a period holds is trends/period.py's, what is said of them trends/since.py's.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from ..card.card_data import Card
from ..days import day_in
from ..practice import scores
from ..store import reading
from ..store.book import Book
from ..trends import since
from ..views import periods_view
from .kept_book import kept
from .known_names import names_of
from .read_card import made_of


@dataclass(frozen=True)
class FirstLines:
    """The lines a card begins with, and the question that they answer; its balls are found by it."""

    lines: tuple[since.Line, ...]
    question: Mapping[str, str]


def asked(book: Book, card: Card, args: Mapping[str, str], clock: str) -> periods_view.Asked:
    """The two periods that an address asks for, with every shot of the book; `clock` is the reader's now."""
    shots, visits = reading.shots(book, most=reading.MOST_SHOTS), reading.visits(book, reading.MOST_SHOTS)
    buckets = [bucket for visit in visits for bucket in visit]
    marked = scores.with_nines(buckets, shots)
    return periods_view.asked(args, card, visits, reading.marks(book), marked, clock)


def first_lines(book: Book, card: Card, view: Mapping[str, Any], clock: str) -> FirstLines:
    """What happened since the last mark, else on the last three visits; kept as long as the card's numbers stand."""
    unit, mirrored, margin_m = view["unit"], view["mirrored"], view["margin_m"]

    def make() -> FirstLines:
        found = asked(book, card, {}, clock)
        if found.pair is None:
            return FirstLines((), found.question)
        compared = periods_view.compared(found, card, margin_m)
        name = names_of(book, mirrored).cell
        told = since.lines(
            compared, found.pair, found.shots, name, lambda moment: day_in(moment, clock), unit, margin_m
        )
        return FirstLines(tuple(told), found.question)

    return kept(book, ("first lines", unit, margin_m, clock[:10], made_of(book, card.as_of, mirrored, card.ball)), make)
