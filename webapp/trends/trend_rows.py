"""The plots' rows in the reader's unit, and the words that say what a plot shows.

Knows charts only by what they take; every length is turned from metres here and nowhere else on the way to a plot.
"""

from collections.abc import Mapping, Sequence
from typing import Any

from ..card.balls import in_band
from ..card.card_data import Card
from ..card.card_words import Length, name_of, signed_tenths, stretch
from ..card.strike import Shares, Strikes
from ..days import day_and_month
from ..draw.charts import Said
from ..units import UNIT_NAMES, from_m, tenths, whole
from .series import NumberSeries, VisitStrike, verdict_words

BAND_OVER = 1.5  # a band's line reaches this far past its balls, so that a band of one call is seen

Row = Mapping[str, Any]
Rows = list[dict[str, Any]]


def number(series: NumberSeries, unit: str) -> Rows:
    """One row a visit: when, mean carry, ends of its interval, and its clean balls as a label."""
    return [
        {
            "day": _drawn(visit.local_at),
            "carry": from_m(visit.mean_m, unit),
            "low": from_m(visit.low_m, unit),
            "high": from_m(visit.high_m, unit),
            "label": f"n {visit.n}",
        }
        for visit in series.visits
    ]


def number_said(series: NumberSeries, name: str, unit: str) -> Said:
    """The title and what is to be seen."""
    visits = series.visits
    each = "; ".join(f"{day_and_month(visit.local_at)} {whole(visit.mean_m, unit)}" for visit in visits)
    word = verdict_words(series)
    return Said(f"{name} over {len(visits)} visits, clean balls, {UNIT_NAMES[unit]}: {word}", each)


def marks(found: Sequence[Row], series: NumberSeries) -> Rows:
    """The marks that lie within a series' visits, and the day it moved."""
    if not series.visits:
        return []
    first, last = series.visits[0], series.visits[-1]
    days = [(mark["on"].removesuffix("Z"), mark["what"]) for mark in found]
    since = [visit.local_at for visit in series.visits if series.moved_at and visit.struck_at >= series.moved_at]
    days += [(day, "moved") for day in since[:1]]
    return [{"day": _drawn(day), "what": what} for day, what in days if first.local_at <= day <= last.local_at]


def strike(series: Sequence[VisitStrike], unit: str) -> Rows:
    """One row a visit: spread of clean balls, and what the strike lost a ball; None where too few balls tell."""
    return [
        {
            "day": _drawn(visit.local_at),
            "spread": None if visit.spread_m is None else from_m(visit.spread_m, unit),
            "cost": None if visit.cost is None else -from_m(visit.cost.lost_m, unit),
        }
        for visit in series
    ]


def strike_said(series: Sequence[VisitStrike], unit: str) -> Said:
    """The title and the last visit in words."""
    last = series[-1]
    spread = "unknown" if last.spread_m is None else str(tenths(last.spread_m, unit))
    cost = "unknown" if last.cost is None else str(tenths(-last.cost.lost_m, unit))
    title = f"Spread of clean balls and cost of contact, {len(series)} visits, {UNIT_NAMES[unit]}"
    return Said(title, f"Last visit, {day_and_month(last.local_at)}: spread {spread}, contact cost {cost} a ball.")


def aim(aimed: Sequence[Row], told: Strikes, unit: str) -> tuple[Rows, Rows]:
    """One row a distance-called ball, and one a band with its mean; lengths in `unit`."""
    balls: list[dict[str, Any]] = [
        {
            "meant": from_m(ball["meant_carry_m"], unit),
            "off": from_m(ball["carry_m"] - ball["meant_carry_m"], unit),
            "strike": "clean" if ball["contact"] in ("clean", "") else "other",
        }
        for ball in aimed
    ]
    bands = []
    for band in told.bias:
        own = [ball["meant"] for ball, row in zip(balls, aimed, strict=True) if in_band(row, band.low_m, band.high_m)]
        bands.append(
            {
                "low": min(own) - BAND_OVER,
                "high": max(own) + BAND_OVER,
                "middle": (min(own) + max(own)) / 2,
                "off": from_m(band.all_m, unit),
                "label": f"{signed_tenths(band.all_m, unit)}, n {band.n}",
            }
        )
    return balls, bands


def aim_said(told: Strikes, n: int, unit: str) -> Said:
    """The title and the bands in words."""
    title = f"Meant against real, {n} balls hit to a number, {UNIT_NAMES[unit]}"
    return Said(title, f"Mean of each of {len(told.bias)} bands as a thick line; circles clean, crosses not.")


def coverage(card: Card, unit: str) -> tuple[Rows, Rows]:
    """One row a cell: where two clean balls in three land; and one for each stretch that no shot carries."""
    rows = [
        {
            "club": card.club(cell.club_id).name,
            "carry": from_m(cell.shown_carry_m, unit),
            "low": from_m(cell.two_in_three_low_m, unit),
            "high": from_m(cell.two_in_three_high_m, unit),
            "label": str(whole(cell.shown_carry_m, unit)),
            "trust": cell.trust,
        }
        for cell in card.cells.values()
    ]
    return rows, [{"low": from_m(low, unit), "high": from_m(high, unit)} for low, high in card.uncovered]


def coverage_said(card: Card, unit: str) -> Said:
    """The title, the stretches without a shot and the twins in words."""
    holes = "; ".join(f"no shot carries {_as_text(stretch(low, high, unit), unit)}" for low, high in card.uncovered)
    twins = "; ".join(f"{name_of(card, pair.first)} and {name_of(card, pair.second)} alike" for pair in card.twins)
    title = f"Where your shots land, {len(card.cells)} cells, {UNIT_NAMES[unit]}"
    return Said(title, ". ".join(words for words in (holes, twins) if words) or "No hole and no twins.")


def _as_text(parts: Sequence[str | Length], unit: str) -> str:
    return "".join(part if isinstance(part, str) else str(whole(part.length_m, unit)) for part in parts)


def contacts(by_surface: Mapping[str, Shares]) -> Rows:
    """One row a surface and contact, with the ends of its piece of the bar."""
    rows: Rows = []
    for surface, shares in by_surface.items():
        begun = 0.0
        for contact in ("fat", "heavy", "clean", "thin", "bladed", "shank"):
            share = shares.share(contact)
            if share:
                label = contact if share >= 0.09 else ""
                rows.append(
                    {"surface": surface, "contact": contact, "from": begun, "to": begun + share, "label": label}
                )
                begun += share
    return rows


def contacts_said(by_surface: Mapping[str, Shares]) -> Said:
    """The title with the balls of each surface."""
    ns = ", ".join(f"{surface} n {shares.n}" for surface, shares in by_surface.items())
    said = "; ".join(
        f"{surface}: " + ", ".join(f"{contact} {count}" for contact, count in shares.counts.items())
        for surface, shares in by_surface.items()
    )
    return Said(f"Strike by surface, {ns}", said)


def _drawn(local_at: str) -> str:
    """A time of the player's clock as a plot takes it, which would else read it by the server's own clock."""
    return f"{local_at}Z"
