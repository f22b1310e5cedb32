"""Which rows of a table may be balls that the book has: of another table of the same day, or noted on the phone.

Knows books and no page. A row that tells its time of day is known by it, so only rows without one are ever in doubt
of another table's; who brings the table says what they are.
"""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from typing import Any

from ..files.ball_row import own_id
from ..moments import local, moment_of
from ..store import tables
from ..store.book import Book
from .same_wedge import in_their_places

MINUTES = 2  # apart: a monitor's clock and a phone's agree so far, and the touch comes after the ball (our choice)
_MIDDAY = "12:00"  # the minute, by the clock of its bucket, of what tells no time of day
_NEARLY_M = 3.0  # an eye on a range errs by as much (our choice, no source)

Ball = dict[str, Any]


def with_another_swing(book: Book, balls: Sequence[Ball], untimed: Collection[str], table_id: str) -> dict[str, str]:
    """New ids, by the old, of balls whose id a ball of another table has that was struck with another swing."""
    found = _of_other_tables(book, balls, untimed, table_id)
    return {
        ball["id"]: own_id("ball of a swing", ball["id"], ball["body"]["swing_deg"])
        for ball, swing_deg in found
        if swing_deg != ball["body"]["swing_deg"]
    }


def in_doubt(book: Book, balls: Sequence[Ball], untimed: Collection[str], table_id: str) -> dict[str, str]:
    """The ids, by those they have, that balls would bear if they are others than those of another table."""
    return {
        ball["id"]: own_id("other ball", table_id, ball["id"])
        for ball, _ in _of_other_tables(book, balls, untimed, table_id)
    }


def told_that_day(book: Book, balls: Sequence[Ball], ahead_min: Mapping[str, int]) -> dict[str, str]:
    """Of the new balls of a table that tells no day: the ball of another table that says the same, by the id of each.

    Such a table's balls are known by the whole of it, so that in a longer one they have other ids. Alike are those of
    one day, wedge and carry of which neither tells a time of day, by what was first said of the one that came before:
    it may have been put right since, or withdrawn. Its wedge may be the one that it was put right to, too.
    `ahead_min` is as of `noted_here`.
    """
    ids = {ball["id"] for ball in balls}
    there = tables.there(book, ids)
    new = [ball for ball in balls if ball["id"] not in there]
    if not new:
        return {}
    days = [ball["made_at"] for ball in new]
    others = [ball for ball in tables.first_said_about(book, min(days), max(days)) if ball["id"] not in ids]
    midday_min, place_of = without_time(others), in_their_places(book)
    left = sorted(
        (one for one in others if one["bucket_id"] in midday_min), key=lambda one: (one["made_at"], one["id"])
    )
    found: dict[str, str] = {}
    for wedge in ("club_id", "now"):
        alike = defaultdict(list)
        for ball in left:
            clock = local(ball["made_at"], midday_min[ball["bucket_id"]])
            alike[_day_wedge_carry(clock, ball, wedge, place_of)].append(ball)
        for ball in new:
            clock = local(ball["made_at"], ahead_min[ball["body"]["bucket_id"]])
            same = alike[_day_wedge_carry(clock, ball["body"], "club_id", place_of)]
            if same and ball["id"] not in found:
                found[ball["id"]] = same.pop(0)["id"]
        taken = {*found.values()}
        left = [one for one in left if one["id"] not in taken]
    return found


def without_time(balls: Sequence[Ball]) -> dict[str, int]:
    """Which buckets of tables told no time of day, and how far ahead of UTC the clock was that they go by [min].

    Their balls lie at midday by the clock of their bucket in the order of their lines, a millisecond each.
    """
    of_bucket: dict[str, list[Ball]] = defaultdict(list)
    for ball in balls:
        of_bucket[ball["bucket_id"]].append(ball)
    found: dict[str, int] = {}
    for bucket_id, own in of_bucket.items():
        ahead_min = own[0]["utc_offset_min"] or 0
        at_midday = all(local(ball["made_at"], ahead_min)[11:16] == _MIDDAY for ball in own)
        if at_midday and any(ball["made_at"][20:23] != "000" for ball in own):
            found[bucket_id] = ahead_min
    return found


def noted_here(
    book: Book, balls: Sequence[Ball], untimed: Collection[str], ahead_min: Mapping[str, int]
) -> dict[str, Ball]:
    """The balls that were noted here with the same wedge and nearly the same carry, by the id of the ball like each.

    That one was struck within two minutes, or where no time of day is told on that day; of several the most like is
    taken. `ahead_min` are the minutes that the clock was ahead of UTC, by the ball's bucket.
    """
    clocks = {ball["id"]: local(ball["made_at"], ahead_min[ball["body"]["bucket_id"]]) for ball in balls}
    if not clocks:
        return {}
    there: dict[tuple[str, str], list[Ball]] = defaultdict(list)
    for shot in tables.noted_by_hand(book, min(clocks.values()), max(clocks.values())):
        there[shot["club_id"], shot["local_at"][:10]].append(shot)
    found = {}
    for ball in balls:
        clock, carry_m = clocks[ball["id"]], ball["body"].get("carry_m")
        noted = there[ball["body"]["club_id"], clock[:10]]
        near = [one for one in noted if carry_m is not None and abs(one["carry_m"] - carry_m) <= _NEARLY_M]
        told = "" if ball["id"] in untimed else clock
        unlike = [(far, one["id"], one) for one in near if (far := _unlike(one, told, carry_m)) is not None]
        if unlike:
            found[ball["id"]] = min(unlike)[2]
            noted.remove(found[ball["id"]])
    return found


def _day_wedge_carry(clock: str, said: Ball, wedge: str, place_of: Mapping[str, str]) -> tuple[Any, ...]:
    """By what a ball of a table without a time of day is known: its wedge is the one in that one's place today."""
    return clock[:10], place_of.get(said[wedge], said[wedge]), said.get("carry_m")


def _of_other_tables(
    book: Book, balls: Sequence[Ball], untimed: Collection[str], table_id: str
) -> list[tuple[Ball, float]]:
    """Balls whose id one of another table has, of which this table is no longer version, with that ball's swing."""
    in_order = [ball["id"] for ball in sorted(balls, key=lambda ball: ball["made_at"])]
    held = tables.came_with(book, in_order)
    ours = {other for other, _ in held.values() if other == table_id or _holds(in_order, tables.balls_of(book, other))}
    return [
        (ball, held[ball["id"]][1])
        for ball in balls
        if ball["id"] in held and ball["id"] in untimed and held[ball["id"]][0] not in ours
    ]


def _holds(ids: Iterable[str], others: Iterable[str]) -> bool:
    """Whether all of the others are among the ids, in their order."""
    rest = iter(ids)
    return all(one in rest for one in others)


def _unlike(noted: Ball, clock: str, carry_m: float) -> float | None:
    """How far a noted ball is from one in carry and in time, as shares of what is too far; None if that in time is.

    A `clock` of "" tells no time.
    """
    apart_s = abs((moment_of(noted["local_at"]) - moment_of(clock)).total_seconds()) if clock else 0.0
    if apart_s > 60 * MINUTES:
        return None
    return abs(float(noted["carry_m"]) - carry_m) / _NEARLY_M + apart_s / (60 * MINUTES)
