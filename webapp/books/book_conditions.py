"""What conditions need of a book: where its card is made, and the card as a ladder of flights.

Knows which rows are needed and nothing of how a carry is scaled or shown.
"""

from collections import defaultdict

from ..card.card_data import Card, shown
from ..conditions.day import Conditions, doubts
from ..conditions.launches import Reading, launch_of_cell
from ..conditions.rungs import Number, Rung, ladder
from ..conditions.today import OUTSIDE, Answer, day_of, plays
from ..conditions.words import sentence
from ..store import estimate_rows, reading
from ..store.book import Book
from .read_card import card_of

_OF_HOME = {"temperature_c": "home_temperature_c", "altitude_m": "home_altitude_m"}


def home_of(book: Book) -> Conditions:
    """Where the card was made; what was not said is the standard 15 degrees at sea level."""
    said = reading.settings(book)
    return Conditions(**{name: said[own] for name, own in _OF_HOME.items() if said[own] is not None})


def ladder_of(book: Book, card: Card, home: Conditions) -> tuple[Rung, ...]:
    """The numbers of a card, each under the launch of its wedge or, from five readings on, its own."""
    readings: dict[tuple[str, float], list[Reading]] = defaultdict(list)
    for row in estimate_rows.launches(book):
        readings[row["club_id"], row["swing_deg"]].append(
            Reading(row["launch_deg"], row["spin_rpm"], row["ball_speed_mps"])
        )
    numbers = [
        Number(cell.key, cell.shown_carry_m, launch_of_cell(card.club(cell.club_id).loft_deg, readings[place]))
        for place, cell in card.cells.items()
    ]
    return ladder(numbers, home)


def carry_to_play(book: Book, now: str, target_m: float, today: Conditions, unit: str) -> tuple[Answer, str]:
    """The carry of the card to play for a target [m] as of `now`, with the sentence that says it or why not."""
    if problems := doubts(today, target_m, unit):
        return Answer(refused=OUTSIDE), " ".join(problems)
    home = home_of(book)
    answer = plays(day_of(ladder_of(book, shown(card_of(book, now)), home), home, today), target_m)
    return answer, sentence(target_m, answer, home, today, unit, "plays")
