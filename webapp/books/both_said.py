"""What phones said of one bucket without having heard each other: corrections by which all of it holds.

Knows the facts of buckets; a phone corrects by a whole body, and which body is shown facts.py knows.
"""

from collections.abc import Sequence
from itertools import pairwise
from typing import Any

from ..facts import Fact, check, latest
from ..store.book import Book
from . import make_facts


def both_said(book: Book, batch: Sequence[Any], heard: int, device: bytes, now: str) -> list[dict[str, Any]]:
    """Corrections that follow where a phone changed a bucket in this batch, which the book has just taken.

    `heard` is the number up to which the phone had the book's facts when it said so. Nothing follows of a bucket that
    is withdrawn, that began in this batch, or of which the phone had heard all.
    """
    told = [Fact.of(raw) for raw in batch if isinstance(raw, dict) and raw.get("kind") == "bucket" and not check(raw)]
    found: list[dict[str, Any]] = []
    for root in dict.fromkeys(fact.root for fact in told):
        new = {fact.id for fact in told if fact.root == root}
        known, before, own = list[Fact](), list[Fact](), list[Fact]()
        for one in book.history(root):
            fact = Fact.of(one)
            came_now = fact.id in new and (one["device"], one["received_at"]) == (device, now)
            (own if came_now else before).append(fact)
            if not came_now and one["seq"] <= heard:
                known.append(fact)
        shown = latest([*before, *own]) if known and own else None
        if shown and (body := _all_said(known, before, own)) and {**shown.filled(), **body} != shown.filled():
            found.append(make_facts.correction(book, "bucket", root, body, now))
    return found


def _all_said(known: Sequence[Fact], before: Sequence[Fact], own: Sequence[Fact]) -> dict[str, Any]:
    """The body that says what was said before and what a phone said that knew only some of it; {} where it knew all.

    All in the order made. Of what both changed holds what was said later.
    """
    base, others = known[-1], before[-1]
    if base is others:
        return {}
    changed = {name for one, other in pairwise([base, *own]) for name in _differing(one, other)}
    both_changed = changed & _differing(base, others)
    overruled = {name for name in both_changed if _said_at(name, before) > _said_at(name, own)}
    said = {name: own[-1].filled()[name] for name in changed - overruled}
    return {name: value for name, value in {**(others.body or {}), **said}.items() if value is not None}


def _said_at(name: str, versions: Sequence[Fact]) -> str:
    """Since when what these versions say last of a field was said; those that only repeat it make it no younger."""
    value, since = versions[-1].filled()[name], versions[-1].made_at
    for version in reversed(versions):
        if version.filled()[name] != value:
            break
        since = version.made_at
    return since


def _differing(one: Fact, other: Fact) -> set[str]:
    """The fields of which two versions say different things."""
    said = other.filled()
    return {name for name, value in one.filled().items() if value != said[name]}
