"""Imports balls: takes the rows of a table of balls, or of eye checks, into a book, and says what became of them.

Knows books; files/importing.py turns rows into facts.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any

from ..facts import Fact, fold
from ..files import importing
from ..store import reading
from ..store.book import Book, NotWhole
from .known_names import known_of
from .make_facts import without_phone

_FACTS_AT_ONCE = 2000


@dataclass
class Imported:
    """What became of a table's rows: how many balls were taken, were known already, and which rows were left out."""

    taken: int = 0
    known: int = 0
    refused: list[importing.Refused] = field(default_factory=list)
    ignored: list[str] = field(default_factory=list)


def import_balls(book: Book, text: str, now: str, whole: bool = False) -> Imported:
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
            lines = [_in_line(table.line_of.get(one["id"], 0), without_phone(one["message"])) for one in error.refused]
            raise NotWhole(lines) from error
        refused.update({one["id"]: one["message"] for one in answer.refused})
    left_out = [ball["id"] for ball in balls if ball["id"] in refused]
    known = sum(ball["id"] in there and ball["id"] not in refused for ball in balls)
    words = [importing.Refused(table.line_of[ball_id], without_phone(refused[ball_id])) for ball_id in left_out]
    return Imported(
        taken=len(balls) - known - len(left_out),
        known=known,
        refused=sorted(table.refused + words, key=lambda row: row.line),
        ignored=table.ignored,
    )


def import_eye_checks(book: Book, text: str, now: str) -> Imported:
    """Take the good rows of a CSV text of eye checks; a row that is in the book already changes nothing."""
    table = importing.read_eye_checks(text, reading.settings(book)["unit"])
    there = reading.known_ids(book, (fact["id"] for fact in table.facts))
    new = [fact for fact in table.facts if fact["id"] not in there]
    refused = {one["id"]: one["message"] for some in _chunks(new) for one in book.add(some, None, now).refused}
    words = [importing.Refused(table.line_of[key], without_phone(why)) for key, why in refused.items()]
    return Imported(
        taken=len(new) - len(refused),
        known=len(there),
        refused=sorted(table.refused + words, key=lambda row: row.line),
        ignored=table.ignored,
    )


def _is_shown(book: Book, ball: dict[str, Any]) -> bool:
    """Whether a ball of the book is shown as this row has it, or was withdrawn there for good."""
    said = fold(
        Fact(one["id"], one["root"], one["kind"], one["made_at"], one["body"]) for one in book.history(ball["id"])
    )
    told = Fact(ball["id"], ball["id"], "shot", ball["made_at"], ball["body"])
    return ball["id"] not in said or said[ball["id"]].filled() == told.filled()


def _in_line(line: int, reason: str) -> dict[str, str]:
    return {"message": f"Line {line}: {reason}." if line else f"{reason}."}


def _chunks(facts: Sequence[dict[str, Any]]) -> Iterator[Sequence[dict[str, Any]]]:
    return (facts[at : at + _FACTS_AT_ONCE] for at in range(0, len(facts), _FACTS_AT_ONCE))
