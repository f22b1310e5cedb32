"""What the card's templates need, for the player's page, the coach's and the printer: drawings, rows and sentences.

Knows no book and no request; a Card, the reader's unit and side come in.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from ..card import card_words
from ..card.card_data import Card, CardCell, CardClub, CellKey, faces, shown
from ..clock import FULL_DEG
from ..days import day
from ..draw.arm import arm
from ..draw.dial import clubs_that_fit, dial
from ..draw.shaft_label import shaft_label
from ..draw.shapes import Arm, Carry, Face, Lane
from ..draw.svg import Svg, join, tag
from ..draw.yard_pole import yard_pole
from ..estimate.model import SETTLED_HALF_WIDTH_M
from ..units import UNIT_NAMES, in_every_unit

TRUST_WORDS = (
    (
        "settled",
        "ten balls or more in three visits or more, "
        f"known to {in_every_unit(SETTLED_HALF_WIDTH_M)} either side before rounding",
    ),
    ("early", "balls, but too few, on too few visits, or still too far apart"),
    ("told", "the full carry stated, no ball yet"),
    ("guess", "made from lofts and full carries, no ball yet"),
    ("old", "settled once, hardly a ball of late"),
)

LONGEST_TAB = 3  # signs that a drawing has room for
Link = Callable[[CardCell], str]


@dataclass(frozen=True)
class DialAndTable:
    """One dial, and the part of the card that its swing table says again."""

    card: Card
    dial: Svg


def view_of(
    card: Card, unit: str, mirrored: bool, link: Link | None = None, chosen: CellKey | None = None,
    on_dial: Link | None = None,
) -> dict[str, Any]:  # fmt: skip
    """Everything _card.html shows.

    `link` names the page of the shots behind a number, `on_dial` where a number of the dial leads instead, `chosen` the
    one that is looked at already as the page comes.
    """
    whole = shown(card)
    small = small_print(card, unit)
    cut = cut_into_faces(card)
    drawn = [dial(face_of(face, on_dial or link, chosen), mirrored, unit, small) for face in cut]
    return {
        "card": whole,
        "every": card,
        "unit": unit,
        "unit_name": UNIT_NAMES[unit],
        "faces": [DialAndTable(face, one) for face, one in zip(cut, drawn, strict=True)],
        "pole": yard_pole(face_of(whole), mirrored, unit) if cut else None,
        "rungs": rungs(whole),
        "arms": {swing.swing_deg: arm(swing.swing_deg, mirrored) for swing in card.swings},
        "link": link,
        "sentences": card_words.sentences(card, unit),
        "words": card_words,
        "trust_words": TRUST_WORDS,
        "as_of": day(card.local_as_of),
        "full_deg": FULL_DEG,
    }


def on_paper(card: Card, unit: str, mirrored: bool, more: str, foot: str) -> dict[str, Any]:
    """Everything print.html draws: dial and yard pole of each face, and a label for the shaft of each wedge.

    `more` ends the dial's line of the day; `foot` stands under the yard pole.
    """
    small = small_print(card, unit)
    small[1] += more
    drawn = [face_of(face) for face in cut_into_faces(card)]
    return {
        "cards": [(dial(face, mirrored, unit, small), yard_pole(face, mirrored, unit, foot)) for face in drawn],
        "labels": [
            (card.club(lane.id).name, shaft_label(face, lane, mirrored, unit, day(card.local_as_of)))
            for face in drawn
            for lane in face.lanes
        ],
    }


def cut_into_faces(card: Card) -> list[Card]:
    """The shown card in parts of which each fits on one face."""
    return faces(card, clubs_that_fit)


def face_of(card: Card, link: Link | None = None, chosen: CellKey | None = None) -> Face:
    """A card as the drawings take it; `link` names where a number leads, `chosen` the one that is looked at."""
    chosen_deg = chosen[1] if chosen else None
    return Face(
        lanes=_lanes(card.clubs),
        arms=tuple(Arm(swing.swing_deg, swing.name, swing.swing_deg == chosen_deg) for swing in card.swings),
        carries={
            place: Carry(
                *place, cell.key, cell.shown_carry_m, cell.two_in_three_low_m, cell.two_in_three_high_m, cell.trust,
                link(cell) if link else "", place == chosen,
            )
            for place, cell in card.cells.items()
        },
        uncovered=card.uncovered,
        twins=frozenset(
            frozenset((card.cells[pair.first].key, card.cells[pair.second].key))
            for pair in card.twins
            if pair.first in card.cells and pair.second in card.cells
        ),
    )  # fmt: skip


def _lanes(clubs: Sequence[CardClub]) -> tuple[Lane, ...]:
    """The wedges as a drawing has room for them: by their names, or, where one is too long, all of them by numbers.

    A wedge's number is its name where that is one, else its loft: "Gap" beside "56" would be two ways to name. Where
    two would have one number, each short name stays.
    """
    short = {club: club.name if len(club.name) <= LONGEST_TAB else "" for club in clubs}
    lofts = {club: f"{club.loft_deg:g}" for club in clubs}
    numbers = {club: short[club] if short[club].isdecimal() else lofts[club] for club in clubs}
    by_name = all(short.values()) or len({*numbers.values()}) < len(clubs)
    tabs = {club: short[club] or lofts[club] for club in clubs} if by_name else numbers
    return tuple(Lane(club.id, tab, f"{tab}°" if tab == lofts[club] else tab) for club, tab in tabs.items())


def rungs(card: Card) -> list[dict[str, Any]]:
    """The yard pole as rows to read, longest first: a cell with its twins, or a stretch that no shot carries."""
    twins: dict[Any, list[str]] = {}
    for pair in card.twins:
        for one, other in ((pair.first, pair.second), (pair.second, pair.first)):
            if one in card.cells and other in card.cells:
                twins.setdefault(one, []).append(card_words.name_of(card, other))
    rows: list[dict[str, Any]] = [
        {"at": cell.shown_carry_m, "cell": cell, "twins": twins.get(place, [])} for place, cell in card.cells.items()
    ]
    rows += [{"at": (low + high) / 2, "cell": None, "low_m": low, "high_m": high} for low, high in card.uncovered]
    return sorted(rows, key=lambda row: -row["at"])


def small_print(card: Card, unit: str) -> list[str]:
    """The lines at the foot of a dial: unit and ball, date, then surface and how carries were judged."""
    ball, *rest = card.basis or (f"{card.ball} balls",)
    of = join(tag("tspan", UNIT_NAMES[unit], data_unit_name=""), f" · {ball}")  # the unit changes without signal
    return [line for line in (of, day(card.local_as_of), " · ".join(rest)) if line]
