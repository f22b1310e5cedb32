"""Names a ball of a file as whoever struck it would: by its day, its wedge and its carry.

Knows facts and the names of wedges.
"""

from collections.abc import Mapping
from typing import Any

from ..card.card_words import plain_tenths
from ..days import day


def name_ball(fact: Mapping[str, Any], names: Mapping[str, str], unit: str) -> str:
    """A ball as "30 Apr 2025, 56, 54.0 yd"; `names` are those of wedges by id."""
    body = fact["body"]
    carry_m = body.get("carry_m")
    said = "no carry" if carry_m is None else f"{plain_tenths(carry_m, unit)} {unit}"
    return ", ".join(filter(None, (day(fact["made_at"]), names.get(body["club_id"], ""), said)))
