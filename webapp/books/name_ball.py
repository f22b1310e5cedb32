"""Names a ball of a file as whoever struck it would: by its day, its wedge and its carry.

Knows books, facts and the names of wedges.
"""

from collections.abc import Iterable, Mapping
from typing import Any

from ..card.card_words import plain_tenths
from ..days import day
from ..moments import local
from ..store import tables
from ..store.book import Book


def offsets_of(book: Book, facts: Iterable[Mapping[str, Any]]) -> dict[str, int]:
    """How far the player's clock was ahead of UTC [min], by the id of each bucket: as facts say it, else the book."""
    buckets = (fact for fact in facts if fact["kind"] == "bucket")
    told = {fact["root"]: fact["body"].get("utc_offset_min") or 0 for fact in buckets}
    return tables.ahead_min_of_buckets(book) | told


def name_ball(fact: Mapping[str, Any], names: Mapping[str, str], offsets: Mapping[str, int], unit: str) -> str:
    """A ball as "30 Apr 2025, 56, 54.0 yd"; `names` are those of wedges and `offsets` those of buckets, by id."""
    body = fact["body"]
    carry_m = body.get("carry_m")
    struck_at = local(fact["made_at"], offsets.get(body["bucket_id"]))
    said = "no carry" if carry_m is None else f"{plain_tenths(carry_m, unit)} {unit}"
    return ", ".join(filter(None, (day(struck_at), names.get(body["club_id"], ""), said)))
