"""Which balls say something: of the strike, of the aim at a number, and as clean ones; one rule for every page.

Knows no table, page or estimate; rows of balls come in, and their order stays.
"""

from collections.abc import Iterable, Mapping
from typing import Any

Row = Mapping[str, Any]


def struck_of(shots: Iterable[Row], ball: str = "") -> list[Row]:
    """The balls, of one kind or of any, whose strike says something: a level lie, no course note, nothing set aside."""
    return [shot for shot in shots if _is_struck(shot) and ball in ("", shot["ball"])]


def aimed_of(
    shots: Iterable[Row], low_m: float | None = None, high_m: float | None = None, ball: str = ""
) -> list[Row]:
    """Of the balls `struck_of` lets through those hit to a number in [low_m, high_m) whose miss can be told.

    From an odd lie a ball flies otherwise, so it tells as little of the aim as of the number it was hit with.
    """
    aimed = (shot for shot in shots if shot["mode"] == "distance" and reaches(shot) and in_band(shot, low_m, high_m))
    return struck_of(aimed, ball)


def clean_of(shots: Iterable[Row]) -> list[Row]:
    """The balls that count for the card and are clean."""
    return [shot for shot in shots if shot["counted"] and is_clean(shot)]


def is_clean(shot: Row) -> bool:
    """Whether a ball that came down in sight was called clean, or had no strike noted."""
    return seen(shot) and shot["carry_m"] > 0 and shot["contact"] in ("clean", "")


def seen(shot: Row) -> bool:
    """Whether it was seen where a ball came down."""
    return shot["landed"] == "seen" and shot["carry_m"] is not None


def reaches(shot: Row) -> bool:
    """Whether it can be told how far from its number a ball came down."""
    return seen(shot) and bool(shot["meant_carry_m"])


def in_band(shot: Row, low_m: float | None, high_m: float | None) -> bool:
    """Whether the carry that was meant lies in [low_m, high_m); None is no bound."""
    meant_m = shot["meant_carry_m"]
    return (low_m is None or meant_m >= low_m) and (high_m is None or meant_m < high_m)


def _is_struck(shot: Row) -> bool:
    return shot["lie"] == "level" and not (shot["aside"] or shot["bucket_aside"] or shot["course"])
