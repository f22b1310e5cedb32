"""Imports balls: takes the rows of a table of balls, or of eye checks, into a book, and says what became of them.

Knows books; files/importing.py turns rows into facts.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from functools import partial
from typing import Any

from ..clock import DEFAULT_SWINGS_DEG
from ..facts import Fact, fold
from ..files import importing
from ..store import reading, tables
from ..store.book import MOST_REFUSED, Book, NotWhole
from .known_names import known_of
from .make_facts import without_phone
from .name_ball import name_ball, offsets_of
from .same_wedge import named_anew

_FACTS_AT_ONCE = 2000


@dataclass
class Imported:
    """What became of a table's rows: how many were taken, were known already, and which rows were left out.

    Of those known `withdrawn` were taken out of the book, and stay out. `otherwise` names the balls of which the book
    says something else, and which stay as they are there.
    """

    taken: int = 0
    known: int = 0
    withdrawn: int = 0
    refused: list[importing.Refused] = field(default_factory=list)
    ignored: list[str] = field(default_factory=list)
    otherwise: list[str] = field(default_factory=list)


def import_balls(book: Book, rows: Iterable[importing.Numbered], now: str) -> Imported:
    """Take the good rows of a table; a row that is in the book already changes nothing. Unreadable if none is."""
    table = importing.read_table(rows, known_of(book))
    there, new = _new_of(book, table)
    refused = _refusals(book, new, now)
    balls = [fact["id"] for fact in table.facts if fact["kind"] == "shot"]
    left_out = [ball_id for ball_id in balls if ball_id in refused]
    known = sum(ball_id in there and ball_id not in refused for ball_id in balls)
    words = [importing.Refused(table.line_of[ball_id], without_phone(refused[ball_id])) for ball_id in left_out]
    return Imported(
        taken=len(balls) - known - len(left_out),
        known=known,
        withdrawn=len(tables.withdrawn_balls(book, there.intersection(balls))),
        refused=sorted(table.refused + words, key=lambda row: row.line),
        ignored=table.ignored,
    )


def import_whole(
    book: Book,
    rows: Iterable[importing.Numbered],
    now: str,
    most_bytes: int = 0,
    tell: Callable[[float], None] = lambda share: None,
) -> Imported:
    """Take every row of a table or none: a single row left out raises NotWhole. Unreadable as of `import_balls`.

    A ball that was changed here since stays as it is here. TooLarge as of `Book.add_whole`; `tell(share)` is called
    with the share of the taking done.
    """
    table = _whole(importing.read_table(rows, known_of(book), MOST_REFUSED))
    there, new = _new_of(book, table)
    otherwise = [fact for fact in new if fact["id"] in there and tables.is_shown(book, "shot", fact["id"])]
    as_here = {fact["id"] for fact in otherwise}
    _add_whole(book, [fact for fact in new if fact["id"] not in as_here], table, now, most_bytes, tell)
    balls = [fact["id"] for fact in table.facts if fact["kind"] == "shot"]
    known = sum(ball_id in there for ball_id in balls)
    names = {club.id: club.name for club in reading.clubs(book, retired=True)}
    unit = str(reading.settings(book)["unit"])
    offsets = offsets_of(book, table.facts)
    return Imported(
        taken=len(balls) - known,
        known=known,
        withdrawn=len(tables.withdrawn_balls(book, there.intersection(balls))),
        ignored=table.ignored,
        otherwise=[name_ball(fact, names, offsets, unit) for fact in otherwise],
    )


def _new_of(book: Book, table: importing.Reading) -> tuple[set[str], list[dict[str, Any]]]:
    """The ids of a table that the book holds, and the facts to put to the book."""
    there = reading.known_ids(book, (fact["id"] for fact in table.facts))
    # A ball known by its content alone is the same ball even if a default has changed; one that brought its own id
    # is put to the book when it says something else, and the book says that its id stands for another ball.
    new = [
        fact
        for fact in table.facts
        if fact["id"] not in there or (fact["id"] in table.named and not _is_shown(book, fact))
    ]
    return there, _for_its_balls(book, there, new)


def _for_its_balls(book: Book, there: set[str], new: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Of new facts the balls, and those wedges, swings and visits that a ball needs whose id the book lacks.

    A book without swings of its own shows the usual four. The first of its own would hide those, so they are made too.
    """
    balls = [fact["body"] for fact in new if fact["kind"] == "shot" and fact["id"] not in there]
    struck = {ball["swing_deg"] for ball in balls}
    needed = {ball[name] for ball in balls for name in ("club_id", "bucket_id")}
    usual = set() if any(swing.id for swing in reading.swings(book)) else set(DEFAULT_SWINGS_DEG)
    said = {fact["id"]: fact["body"]["swing_deg"] for fact in new if fact["kind"] == "swing"}
    swings = struck.intersection(said.values()) - usual
    swings |= usual if swings else set()
    return [fact for fact in new if fact["kind"] == "shot" or fact["id"] in needed or said.get(fact["id"]) in swings]


def import_eye_checks(book: Book, rows: Iterable[importing.Numbered], now: str) -> Imported:
    """Take the good rows of a table of eye checks; a row that is in the book already changes nothing."""
    table = importing.read_table_of_eye_checks(rows, reading.settings(book)["unit"])
    there = reading.known_ids(book, (fact["id"] for fact in table.facts))
    new = [fact for fact in table.facts if fact["id"] not in there]
    refused = _refusals(book, new, now)
    words = [importing.Refused(table.line_of[key], without_phone(why)) for key, why in refused.items()]
    return Imported(
        taken=len(new) - len(refused),
        known=len(there),
        refused=sorted(table.refused + words, key=lambda row: row.line),
        ignored=table.ignored,
    )


def import_whole_eye_checks(
    book: Book,
    rows: Iterable[importing.Numbered],
    now: str,
    most_bytes: int = 0,
    tell: Callable[[float], None] = lambda share: None,
) -> Imported:
    """As of `import_whole`, of a table of distances said by eye and then measured."""
    table = _whole(importing.read_table_of_eye_checks(rows, reading.settings(book)["unit"]))
    there = reading.known_ids(book, (fact["id"] for fact in table.facts))
    new = [fact for fact in table.facts if fact["id"] not in there]
    _add_whole(book, new, table, now, most_bytes, tell)
    return Imported(taken=len(new), known=len(table.facts) - len(new), ignored=table.ignored)


def _whole(table: importing.Reading) -> importing.Reading:
    if table.refused:
        raise NotWhole([_in_line(row.line, row.reason) for row in table.refused])
    return table


def _add_whole(
    book: Book,
    facts: list[dict[str, Any]],
    table: importing.Reading,
    now: str,
    most_bytes: int,
    tell: Callable[[float], None],
) -> None:
    try:
        book.add_whole(facts, None, now, most_bytes, lambda seen: tell(seen / len(facts)), partial(named_anew, book))
    except NotWhole as error:
        told = [_in_line(table.line_of.get(one["id"], 0), without_phone(one["message"])) for one in error.refused]
        raise NotWhole(told) from error


def _is_shown(book: Book, ball: dict[str, Any]) -> bool:
    """Whether a ball of the book is shown as this row has it, or was withdrawn there for good."""
    said = fold(
        Fact(one["id"], one["root"], one["kind"], one["made_at"], one["body"]) for one in book.history(ball["id"])
    )
    if ball["id"] not in said:
        return True
    shown = said[ball["id"]].filled()
    told = Fact(ball["id"], ball["id"], "shot", ball["made_at"], ball["body"]).filled()
    # A table tells how a ball was judged when it was taken away, before or after its bucket was put right.
    row = reading.shot(book, ball["id"]) or shown
    ways = [shown | {"judged_apart": None, "judged_by": way} for way in (shown["judged_by"], row["judged_by"])]
    return told | {"judged_apart": None} in ways


def _in_line(line: int, reason: str) -> dict[str, str]:
    return {"message": f"Line {line}: {reason}." if line else f"{reason}."}


def _refusals(book: Book, facts: Sequence[dict[str, Any]], now: str) -> dict[str, str]:
    """Put facts into the book, some at a time; why each of those was refused that were, by its id."""
    add = partial(book.add, device=None, received_at=now, then=partial(named_anew, book))
    chunks = (facts[at : at + _FACTS_AT_ONCE] for at in range(0, len(facts), _FACTS_AT_ONCE))
    return {one["id"]: one["message"] for some in chunks for one in add(some).refused}
