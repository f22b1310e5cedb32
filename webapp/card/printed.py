"""What the player's card in the bag says, kept in a few words, and where today's card differs from it.

Knows no book and no page; the words are kept and given back by others.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from ..facts import BALLS
from ..units import LENGTH_M, whole
from .card_data import Card

ABOUT = "printed"  # what the note that holds the words is about
_ID_END = 8  # the last characters of a club's id tell the clubs of one bag apart
_MOST_FACES = 20  # more than any bag needs
_LONGEST = 400  # the words of a note
_CLUB = rf" [0-9a-f]{{{_ID_END}}}(?: [0-9.]+=[0-9]{{1,4}})*"
_LINE = re.compile(rf"(?:{'|'.join(LENGTH_M)})(?: (?:{'|'.join(BALLS)}))?(?:{_CLUB})+")


@dataclass(frozen=True)
class Printed:
    """A card as it was printed: its unit, its kind of ball and, by end of club id and arm angle [deg], its numbers.

    `ball` is "" on paper of before the kind was kept: the one that the card showed by itself.
    """

    unit: str
    ball: str
    numbers: dict[tuple[str, float], int]


def words_of(cards: Sequence[Card], unit: str) -> list[str]:
    """One line of words a face, at most 400 characters each, such as "yd range 0a1b2c3d 45=42 90=61 135=73 180=85"."""
    return [" ".join((unit, face.ball, *(_club_words(face, club.id, unit) for club in face.clubs))) for face in cards]


def is_fit(lines: Sequence[str]) -> bool:
    """Whether lines that a page brought back are such as `words_of` gives."""
    whole_lines = all(len(line) <= _LONGEST and _LINE.fullmatch(line) for line in lines)
    return len(lines) <= _MOST_FACES and whole_lines and read(lines) is not None


def read(lines: Sequence[str]) -> Printed | None:
    """The printed card these lines tell of; None when they tell of none that can be read."""
    numbers: dict[tuple[str, float], int] = {}
    unit = ball = ""
    for line in lines:
        unit, *entries = line.split() or [""]
        club = ""
        if entries[:1] in ([kind] for kind in BALLS):
            ball = entries.pop(0)
        for entry in entries:
            angle, told, carry = entry.partition("=")
            if not told:
                club = entry
                continue
            try:
                numbers[club, float(angle)] = int(carry)
            except ValueError:
                return None
    return Printed(unit, ball, numbers) if unit in LENGTH_M and numbers else None


def differing(card: Card, printed: Printed) -> int:
    """In how many places the shown card differs: numbers changed, added or gone, in the unit that was printed."""
    today = {
        (cell.club_id[-_ID_END:], cell.swing_deg): whole(cell.shown_carry_m, printed.unit)
        for cell in card.cells.values()
    }
    places = today.keys() | printed.numbers.keys()
    return sum(today.get(place) != printed.numbers.get(place) for place in places)


def _club_words(face: Card, club_id: str, unit: str) -> str:
    cells = [cell for cell in face.cells.values() if cell.club_id == club_id]
    numbers = (f"{cell.swing_deg:g}={whole(cell.shown_carry_m, unit)}" for cell in cells)
    return " ".join((club_id[-_ID_END:], *numbers))
