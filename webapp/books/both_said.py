"""What phones said of one bucket without having heard each other: corrections by which all of it holds.

Knows the facts of buckets and their balls; a phone corrects by a whole body, and which body is shown facts.py knows.
"""

from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise, takewhile
from typing import Any

from ..facts import Fact, check, latest
from ..store import reading
from ..store.book import Book
from . import make_facts


def both_said(
    book: Book, batch: Sequence[Any], made_of: Mapping[str, Any], device: bytes, now: str
) -> list[dict[str, Any]]:
    """Corrections that follow where a phone changed a bucket in this batch, which the book has just taken.

    `made_of` tells by the ids of corrections the moment of the version that the phone showed and changed, and by those
    of balls that of their bucket. Nothing follows of a bucket that is withdrawn, that began in this batch, or of which
    the phone showed what was said last.
    """
    told = _told(batch, "bucket")
    found: list[dict[str, Any]] = []
    for root in dict.fromkeys(fact.root for fact in told):
        new = {fact.id for fact in told if fact.root == root}
        before, own = list[Fact](), list[Fact]()
        for one in book.history(root):
            fact = Fact.of(one)
            came_now = fact.id in new and (one["device"], one["received_at"]) == (device, now)
            (own if came_now else before).append(fact)
        others, shown = (latest(some) if some else None for some in (before, [*before, *own]))
        base = next((fact for fact in before if own and fact.made_at == made_of.get(own[0].id)), None)
        if base and others and shown and base is not others:
            said = _said(base, own, before)
            if others.filled() | said != shown.filled():
                body = {name: value for name, value in ((others.body or {}) | said).items() if value is not None}
                found.append(make_facts.correction(book, "bucket", root, body, now))
    both = {one["root"]: one["body"] for one in found}
    return [*found, *_judged_since(book, _told(batch, "shot"), made_of, both, now)]


def _told(batch: Sequence[Any], kind: str) -> list[Fact]:
    """The sound facts of a kind in a batch."""
    some = (raw for raw in batch if isinstance(raw, dict) and raw.get("kind") == kind)
    return [Fact.of(raw) for raw in some if not check(raw)]


def _judged_since(
    book: Book, balls: Sequence[Fact], made_of: Mapping[str, Any], both: Mapping[str, dict[str, Any]], now: str
) -> Iterator[dict[str, Any]]:
    """Corrections of balls judged as their bucket was by who had not heard that it was put right before they flew.

    `both` are the bodies of buckets that follow from the same batch; of what came before `now` nothing follows again.
    """
    new = [ball for ball in balls if ball.id == ball.root and ball.id in made_of and ball.body]
    for root in {ball.filled()["bucket_id"] for ball in new}:
        versions = book.history(root)
        ways = [version["body"] and version["body"]["judged_by"] for version in versions]
        if None in ways or len({*ways}) < 2:  # withdrawn, or never judged otherwise
            continue
        today = both[root]["judged_by"] if root in both else ways[-1]
        showed = dict(zip((version["made_at"] for version in versions), ways, strict=True))
        for ball in (ball for ball in new if ball.filled()["bucket_id"] == root):
            shown = reading.shot(book, ball.root)
            came_now = shown and shown["received_at"] == now
            if shown and came_now and shown["judged_by"] == showed.get(made_of[ball.id]) != today:
                yield make_facts.changed(book, "shot", ball.root, ball.made_at, judged_by=today)


def _said(base: Fact, own: Sequence[Fact], before: Sequence[Fact]) -> dict[str, Any]:
    """What a phone that showed `base` changed of it, but for what others said later; all in the order made."""
    changed = {name for one, other in pairwise([base, *own]) for name in _differing(one, other)}
    both_changed = changed & _differing(base, before[-1])
    said_later = {name for name in both_changed if _first_said(name, before) > _last_said(name, own)}
    return {name: own[-1].filled()[name] for name in changed - said_later}


def _first_said(name: str, before: Sequence[Fact]) -> str:
    """When what was said last of a field was said first: others may only have repeated what they had not heard."""
    value = before[-1].filled()[name]
    return min(version.made_at for version in before if version.filled()[name] == value)


def _last_said(name: str, own: Sequence[Fact]) -> str:
    """When one phone came to say what it says last of a field; what it says of other fields later repeats it."""
    value = own[-1].filled()[name]
    return min(same.made_at for same in takewhile(lambda one: one.filled()[name] == value, reversed(own)))


def _differing(one: Fact, other: Fact) -> set[str]:
    """The fields of which two versions say different things."""
    said = other.filled()
    return {name for name, value in one.filled().items() if value != said[name]}
