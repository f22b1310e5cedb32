"""A full carry: how far a wedge carries with a full swing, as its player states it and as the card has it.

Knows books and units; what the number does to the card is worked out in estimate/.
"""

from typing import Any

from ..clock import FULL_DEG
from ..facts import KINDS, LOFT_DEG_RANGE, check_body
from ..files.ball_row import club_id_of
from ..store import reading
from ..store.book import Book, NotWhole
from ..units import from_m, to_m
from . import make_facts, read_card, same_wedge
from .known_names import known_of


def state_full_carry(book: Book, club: str, carry: float, unit: str | None, now: str) -> str:
    """Note how far a wedge carries with a full swing; gives what is wrong, or "" when it is noted.

    A wedge the book lacks is made when its name is a loft. Stating the same again changes nothing.
    """
    known = known_of(book)
    club_id = club_id_of(club, known)
    body: dict[str, Any] = {"club_id": club_id, "carry_m": to_m(carry, unit or known.unit)}
    problem = check_body("full_carry", body)
    if problem:
        low, high = (KINDS["full_carry"]["carry_m"].low or 0, KINDS["full_carry"]["carry_m"].high or 0)
        told = unit or known.unit
        return f"the carry must be from {from_m(low, told):.0f} to {from_m(high, told):.0f} {told}"
    facts = []
    if not known.has_club(club_id):
        loft_deg = _loft_deg(club)
        if loft_deg is None:
            return f"there is no wedge called {club!r}, and its name is no loft from 36 to 70 degrees"
        facts.append(make_facts.fact("club", {"name": club.strip(), "loft_deg": loft_deg}, now, id=club_id))
    root, stated_m = reading.full_carry_roots(book).get(club_id, ("", None))
    if stated_m == body["carry_m"]:
        return ""
    facts.append(
        make_facts.correction(book, "full_carry", root, body, now) if root else make_facts.fact("full_carry", body, now)
    )
    try:
        book.add_whole(facts, None, now, then=lambda: same_wedge.named_anew(book))
    except NotWhole as error:
        return make_facts.without_phone(error.refused[0]["message"])
    return ""


def typical_full_m(book: Book, club_id: str, now: str, mirrored: bool) -> float | None:
    """The typical full carry [m] of a club in the bag, or None when it has no full swing on the card."""
    cell = read_card.card_of(book, now, mirrored).cells.get((club_id, FULL_DEG))
    return cell.typical_carry_m if cell else None


def _loft_deg(name: str) -> float | None:
    try:
        loft_deg = float(name)
    except ValueError:
        return None
    return loft_deg if LOFT_DEG_RANGE[0] <= loft_deg <= LOFT_DEG_RANGE[1] else None
