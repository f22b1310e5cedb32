"""What phones said of one bucket without having heard each other: corrections by which all of it holds.

Knows buckets and balls of a book; a phone corrects by a whole body, and which body is shown facts.py knows.
"""

from collections.abc import Sequence
from itertools import pairwise
from typing import Any

from ..facts import Fact, check, latest
from ..store.book import Book
from . import make_facts


def both_said(book: Book, batch: Sequence[Any], device: bytes, now: str) -> list[dict[str, Any]]:
    """Corrections that follow where a phone changed a bucket in this batch, which the book has just taken.

    Nothing follows of a bucket that is withdrawn, that began in this batch, or of which the phone had heard all.
    """
    buckets = _told(batch, "bucket")
    found: list[dict[str, Any]] = []
    for root in dict.fromkeys(fact.root for fact in buckets):
        new = {fact.id for fact in buckets if fact.root == root}
        before, own = list[Fact](), list[Fact]()
        for one in book.history(root):
            came_now = one["id"] in new and (one["device"], one["received_at"]) == (device, now)
            (own if came_now else before).append(Fact.of(one))
        shown = latest([*before, *own]) if before and own else None
        if shown:
            found += _followed(book, before, own, shown, batch, now)
    return found


def _told(batch: Sequence[Any], kind: str) -> list[Fact]:
    """The sound facts of a kind in a batch."""
    some = (raw for raw in batch if isinstance(raw, dict) and raw.get("kind") == kind)
    return [Fact.of(raw) for raw in some if check(raw) is None]


def _followed(
    book: Book, before: Sequence[Fact], own: Sequence[Fact], shown: Fact, batch: Sequence[Any], now: str
) -> list[dict[str, Any]]:
    """What follows for one bucket of what a phone said and of what was said before, both in the order made."""
    base, others = _heard(before, own[0]), before[-1]
    if base is None or base is others:
        return []
    names = {name for one, other in pairwise([base, *own]) for name in _differing(one, other)}
    if others.made_at > own[-1].made_at:
        names -= _differing(base, others)  # of what both changed, what was said later holds
    said = {name: own[-1].filled()[name] for name in names}
    both, found = others.filled() | said, []
    if both != shown.filled():
        body = {name: value for name, value in {**(others.body or {}), **said}.items() if value is not None}
        found.append(make_facts.correction(book, "bucket", base.root, body, now))
    was, judged = base.filled()["judged_by"], both["judged_by"]
    balls = dict.fromkeys(fact.root for fact in _told(batch, "shot")) if was != judged else ()
    for ball in balls:
        history = [Fact.of(one) for one in book.history(ball)]
        last = latest(history) if history else None
        if last and (last.filled()["bucket_id"], last.filled()["judged_by"]) == (base.root, was):
            found.append(make_facts.changed(book, "shot", ball, now, judged_by=judged))
    return found


def _heard(before: Sequence[Fact], first: Fact) -> Fact | None:
    """Which of these the phone showed when it first corrected it: the one from which the least was changed.

    A deed on the phone changes one thing of a bucket, and its correction is made later than what it showed. So who had
    heard the last of these is one thing away from it, and who goes back to what was said once is taken at their word.
    """
    able = [fact for fact in reversed(before) if fact.made_at < first.made_at and _differing(fact, first)]
    return min(able, key=lambda fact: len(_differing(fact, first)), default=None)


def _differing(one: Fact, other: Fact) -> set[str]:
    """The fields of which two versions say different things."""
    said = other.filled()
    return {name for name, value in one.filled().items() if value != said[name]}
