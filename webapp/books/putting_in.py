"""Puts what a command reads into a book: the balls of a table, a stated full carry.

Knows books; how a row becomes a fact is in importing.py.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any

from ..facts import KINDS, LOFT_DEG_RANGE, Fact, check_body, fold
from ..files import importing
from ..files.ball_row import Known, club_id_of, folded
from ..store import reading
from ..store.book import Book, NotWhole
from ..units import LENGTH_M, to_m
from . import noting

_FACTS_AT_ONCE = 2000


@dataclass
class PutIn:
    """What became of a table's rows: how many balls were taken, were known already, and which rows were left out."""

    taken: int = 0
    known: int = 0
    refused: list[importing.Refused] = field(default_factory=list)
    ignored: list[str] = field(default_factory=list)


def put_in(book: Book, text: str, now: str, whole: bool = False) -> PutIn:
    """Take the good rows of a CSV text; a row that is in the book already changes nothing. Unreadable if none is.

    With `whole` a single row left out raises NotWhole, and nothing is taken.
    """
    table = importing.read_csv(text, known_of(book))
    if whole and table.refused:
        raise NotWhole([_in_line(row.line, row.reason) for row in table.refused])
    there = reading.known_ids(book, (fact["id"] for fact in table.facts))
    # A ball known by its content alone is the same ball even if a default has changed; one that brought its own id
    # is put to the book when it says something else, and the book says that its id stands for another ball.
    balls = [fact for fact in table.facts if fact["kind"] == "shot"]
    new = [
        fact
        for fact in table.facts
        if fact["id"] not in there or (fact["id"] in table.named and not _is_shown(book, fact))
    ]
    if not any(fact["kind"] == "shot" for fact in new):
        new = []  # the wedges, swings and visits of a table are made for its balls
    refused = {}
    for some in [new] if whole else _chunks(new):
        try:
            answer = book.add(some, None, now, whole)
        except NotWhole as error:
            lines = [(table.line_of.get(one["id"], 0), plain(one["message"])) for one in error.refused]
            raise NotWhole([_in_line(line, reason) for line, reason in lines]) from error
        refused.update({one["id"]: one["message"] for one in answer.refused})
    left_out = [ball["id"] for ball in balls if ball["id"] in refused]
    known = sum(ball["id"] in there and ball["id"] not in refused for ball in balls)
    words = [importing.Refused(table.line_of[ball_id], plain(refused[ball_id])) for ball_id in left_out]
    return PutIn(
        taken=len(balls) - known - len(left_out),
        known=known,
        refused=sorted(table.refused + words, key=lambda row: row.line),
        ignored=table.ignored,
    )


def give_way(book: Book, before: Sequence[reading.Club], now: str) -> None:
    """Withdraw the wedges of `before` that have no ball and whose name a wedge that came since bears too.

    Who starts a book anew and brings the old one back means the same wedges.
    """
    old = {club.id for club in before}
    came = {folded(club.name) for club in reading.clubs(book) if club.id not in old}
    doubles = [club for club in before if folded(club.name) in came and not reading.shots_of_club(book, club.id, 1)]
    book.add([noting.correction(book, "club", club.id, None, now) for club in doubles], None, now)


def known_of(book: Book) -> Known:
    """What a table's rows may refer to in this book."""
    told = reading.settings(book)
    clubs = sorted(reading.clubs(book, retired=True), key=lambda club: club.retired)
    return Known(
        clubs={folded(club.name): club.id for club in reversed(clubs)},  # of two with one name the one in the bag
        club_ids={club.id for club in clubs},
        swings_deg={swing.swing_deg for swing in reading.swings(book) if swing.id},
        buckets=set(reading.bucket_ids(book)),
        unit=told["unit"],
        judged_by=told["judged_by"],
    )


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
        factor = LENGTH_M[unit or known.unit]
        return f"the carry must be from {low / factor:.0f} to {high / factor:.0f} {unit or known.unit}"
    facts = []
    if not known.has_club(club_id):
        loft_deg = _loft_deg(club)
        if loft_deg is None:
            return f"there is no club called {club!r}, and its name is no loft from 36 to 70 degrees"
        facts.append(noting.fact("club", {"name": club.strip(), "loft_deg": loft_deg}, now, id=club_id))
    root, stated_m = reading.full_carry_roots(book).get(club_id, ("", None))
    if stated_m == body["carry_m"]:
        return ""
    facts.append(
        noting.correction(book, "full_carry", root, body, now) if root else noting.fact("full_carry", body, now)
    )
    refused = book.add(facts, None, now).refused
    return plain(refused[0]["message"]) if refused else ""


def plain(message: str) -> str:
    """A book's refusal without what it says of a phone, since there is none here."""
    return message.removesuffix(" It stays on the phone until it is mended.").removesuffix(".")


def _is_shown(book: Book, ball: dict[str, Any]) -> bool:
    """Whether a ball of the book is shown as this row has it, or was withdrawn there for good."""
    said = fold(
        Fact(one["id"], one["root"], one["kind"], one["made_at"], one["body"]) for one in book.history(ball["id"])
    )
    told = Fact(ball["id"], ball["id"], "shot", ball["made_at"], ball["body"])
    return ball["id"] not in said or said[ball["id"]].filled() == told.filled()


def _in_line(line: int, reason: str) -> dict[str, str]:
    return {"message": f"Line {line}: {reason}." if line else f"{reason}."}


def _loft_deg(name: str) -> float | None:
    try:
        loft_deg = float(name)
    except ValueError:
        return None
    return loft_deg if LOFT_DEG_RANGE[0] <= loft_deg <= LOFT_DEG_RANGE[1] else None


def _chunks(facts: Sequence[dict[str, Any]]) -> Iterator[Sequence[dict[str, Any]]]:
    return (facts[at : at + _FACTS_AT_ONCE] for at in range(0, len(facts), _FACTS_AT_ONCE))
