"""Balls of a table that a phone told too, but only after the table was taken in; and leaving them out of it.

Knows books and no page. What was noted before is asked for as a table comes in (take_table.py), and whoever kept both
then meant it; a phone that had no signal on that day comes later, when nobody asks.
"""

from collections import Counter, defaultdict
from collections.abc import Collection, Mapping, Sequence
from typing import Any

from ..moments import moved
from ..store import reading, tables
from ..store.book import Book
from . import make_facts
from .alike import noted_here, without_time

_LATELY_DAYS = 14  # who keeps both is told no longer (our choice)

Ball = dict[str, Any]


def told_twice(book: Book, now: str) -> dict[str, list[Ball]]:
    """The balls of each table, by its id, that are like balls noted here and got in the last days, after the table's.

    A ball that does not count, here or there, doubles nothing.
    """
    late = {one["id"]: one for one in tables.noted_since(book, moved(now, days=-_LATELY_DAYS))}
    if not late:
        return {}
    struck = [one["struck_at"] for one in late.values()]
    balls = tables.came_about(book, min(struck), max(struck))
    table_of = tables.came_with(book, (ball["id"] for ball in balls))
    by_table: dict[str, list[Ball]] = defaultdict(list)
    for ball in sorted(balls, key=lambda one: (one["made_at"], one["id"])):
        by_table[table_of[ball["id"]][0]].append(ball)
    midday_min = without_time(balls)
    found = {table_id: _noted_later(book, some, late.keys(), midday_min) for table_id, some in by_table.items()}
    return {table_id: some for table_id, some in found.items() if some}


def leave_out(book: Book, table_id: str, now: str) -> int:
    """Withdraw the balls of a table that were told twice, with the buckets that this empties; how many balls went.

    The table stays, and brought in again it does not bring them.
    """
    balls = told_twice(book, now).get(table_id, [])
    if not balls:
        return 0
    roots = [("shot", ball["id"]) for ball in balls]
    for bucket_id, n in Counter(ball["bucket_id"] for ball in balls).items():
        of_visit = reading.buckets_of_visit(book, bucket_id)
        roots += [("bucket", one["id"]) for one in of_visit if one["id"] == bucket_id and one["n"] == n]
    book.add_whole([make_facts.withdrawn(book, kind, root, now) for kind, root in roots], None, now)
    return len(balls)


def _noted_later(book: Book, balls: Sequence[Ball], late: Collection[str], midday_min: Mapping[str, int]) -> list[Ball]:
    """Those of a table's balls of which the ball noted here that is most like them is of `late` and came after them.

    `midday_min` is what `without_time` says of their buckets.
    """
    ahead_min = {ball["bucket_id"]: ball["utc_offset_min"] or 0 for ball in balls} | dict(midday_min)
    untimed = {ball["id"] for ball in balls if ball["bucket_id"] in midday_min}
    noted = noted_here(book, [_as_fact(ball) for ball in balls], untimed, ahead_min)
    return [
        ball
        for ball in balls
        if (one := noted.get(ball["id"]))
        and one["id"] in late
        and one["received_at"] > ball["received_at"]
        and ball["counted"]
        and one["counted"]
    ]


def _as_fact(ball: Ball) -> Ball:
    body = {"bucket_id": ball["bucket_id"], "club_id": ball["club_id"], "carry_m": ball["raw_carry_m"]}
    return {"id": ball["id"], "made_at": ball["made_at"], "body": body}
