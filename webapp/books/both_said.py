"""What phones said of one bucket without having heard each other: corrections by which all of it holds.

Knows the facts of buckets; a phone corrects by a whole body, and which body is shown facts.py knows.
"""

from collections.abc import Mapping, Sequence
from itertools import pairwise, takewhile
from typing import Any

from ..facts import Fact, check, latest
from ..store.book import Book
from . import make_facts


def both_said(
    book: Book, batch: Sequence[Any], made_of: Mapping[str, Any], device: bytes, now: str
) -> list[dict[str, Any]]:
    """Corrections that follow where a phone changed a bucket in this batch, which the book has just taken.

    `made_of` tells by the ids of corrections the moment of the version that the phone showed and changed. Nothing
    follows of a bucket that is withdrawn, that began in this batch, or of which the phone showed what was said last.
    """
    told = [Fact.of(raw) for raw in batch if isinstance(raw, dict) and raw.get("kind") == "bucket" and not check(raw)]
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
    return found


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
