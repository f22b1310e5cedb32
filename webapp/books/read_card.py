"""The card of a book: reads the book's rows, hands them to card/build.py and keeps the answer until it may differ.

Knows which rows the card needs and nothing of how they become numbers or drawings.
"""

from dataclasses import replace
from typing import Any

from ..card.build import Estimate, estimate
from ..card.card_data import Card
from ..card.rows import Rows
from ..kept import Kept
from ..moments import days_between, local, moved
from ..store import estimate_rows, reading
from ..store.book import Book
from ..store.visits import APART_DAYS

MadeOf = tuple[str, bool, str, tuple[str, ...]]
_STRIKES = 1000  # of the latest balls are enough to tell what contact costs today
_MOST_KEPT = 32  # one of 6,400 balls takes 0.6 MB
estimates: Kept[Estimate] = Kept(_MOST_KEPT)


def card_of(book: Book, now: str, mirrored: bool = False, ball: str | None = None) -> Card:
    """The card of a book as of `now`, for one kind of ball (the player's choice unless another is asked for)."""
    return estimate_of(book, now, mirrored, ball).card


def estimate_of(book: Book, now: str, mirrored: bool = False, ball: str | None = None) -> Estimate:
    """The card of a book and the numbers it was made from, worked out once for every page that asks.

    They are kept until a fact comes, a day begins or a visit is over, and are the same in every process:
    `numbers_moment` says for which moment they are worked out.
    """
    state, place = book.state(), (str(book.path), mirrored, _kind(book, ball))
    hangs_on = made_of(book, now, mirrored, ball)
    kind, _, moment, _ = hangs_on
    made = estimates.value(place, (state, hangs_on), lambda: estimate(rows_of(book, now), moment, mirrored, kind))
    return replace(made, card=replace(made.card, as_of=now))


def made_of(book: Book, now: str, mirrored: bool = False, ball: str | None = None) -> MadeOf:
    """What a card's numbers hang on beside the facts; two moments at which it is the same have the same card."""
    buckets = tuple(bucket["id"] for bucket in open_buckets(book, now))
    return _kind(book, ball), mirrored, numbers_moment(book, now), buckets


def numbers_moment(book: Book, now: str) -> str:
    """For which moment the numbers read at `now` are worked out: the last ball or eye check until then.

    On a day of the player's clock without any it is the day's beginning. No ball was struck between that
    moment and `now`, so only ages differ, by less than a day.
    """
    ahead_min = reading.utc_offset_min(book)
    day = moved(f"{local(now, ahead_min)[:10]}T00:00:00.000Z", minutes=-ahead_min)
    return max(day, estimate_rows.last_heard_of(book, now))


def rows_of(book: Book, now: str) -> Rows:
    """What card/build.py needs of a book, of what was struck until `now`."""
    return Rows(
        clubs=reading.clubs(book, retired=True),
        swings=reading.swings(book),
        full_carries=reading.full_carries(book),
        balls=estimate_rows.cell_balls(book, until=now),
        strikes=estimate_rows.strikes(book, _STRIKES),
        settings=reading.settings(book),
        open_buckets=[bucket["id"] for bucket in open_buckets(book, now)],
        utc_offset_min=reading.utc_offset_min(book),
        most_balls=reading.MOST_BALLS_A_CELL,
        most_strikes=_STRIKES,
        eye_checks=[check for check in reading.eye_checks(book) if check["made_at"] <= now],
    )


def open_buckets(book: Book, now: str) -> list[dict[str, Any]]:
    """Every bucket, ended or not, of the visit whose last ball is under six hours old, newest first; [] without one.

    The estimate takes the balls of a visit together, so a phone that replays the open bucket replays them all.
    """
    newest = next(iter(reading.buckets(book, most=1)), None)
    latest = reading.buckets_of_visit(book, newest["id"]) if newest else []
    return latest[::-1] if latest and not is_over(latest, now) else []


def open_bucket(book: Book, now: str) -> dict[str, Any] | None:
    """The bucket that balls are noted in now: the newest that was not ended in the open visit; None without one."""
    return next((bucket for bucket in open_buckets(book, now) if is_open(bucket, now)), None)


def is_open(bucket: dict[str, Any], now: str) -> bool:
    """Whether a bucket goes on: it was not ended, and its start or last ball is less than six hours ago."""
    return not bucket["ended_at"] and days_between(min(_latest(bucket), now), now) < APART_DAYS


def is_over(visit: list[dict[str, Any]], now: str) -> bool:
    """Whether the last ball of a visit (its start, where it has none) is six hours old."""
    last = max(map(_latest, visit))
    return days_between(min(last, now), now) >= APART_DAYS


def _kind(book: Book, ball: str | None) -> str:
    return ball or str(reading.settings(book)["ball"])


def _latest(bucket: dict[str, Any]) -> str:
    return str(max(bucket["begun_at"], bucket["last_struck_at"] or ""))
