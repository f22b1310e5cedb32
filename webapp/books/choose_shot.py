"""What fits from a book: its card, the candidates for a shot, and the margin its player calls "in".

Knows which rows are needed and nothing of how chances are worked out or shown.
"""

from dataclasses import dataclass

from ..card.card_data import Card
from ..card.strike import Margin, margin
from ..fits.fitting import Candidate, candidates
from ..store import reading
from ..store.book import Book
from .kept_book import kept
from .read_card import estimate_of, made_of


@dataclass(frozen=True)
class Choosing:
    """All that choosing a shot needs of a book as of one moment."""

    card: Card
    candidates: tuple[Candidate, ...]
    margin: Margin


def choosing(book: Book, now: str, mirrored: bool = False, ball: str | None = None) -> Choosing:
    """The candidates of a book as of `now`, for one kind of ball (the player's choice unless another is asked for)."""
    with book.as_of_one_moment():  # a ball that came in between would keep older candidates for the book's newer state
        made, said = estimate_of(book, now, mirrored, ball), reading.settings(book)
        place = "candidates", made_of(book, now, mirrored, ball)
        found = kept(book, place, lambda: candidates(made.card, made.pooled) if made.pooled else ())
    return Choosing(made.card, found, margin(said["judged_by"], said["margin_m"]))
