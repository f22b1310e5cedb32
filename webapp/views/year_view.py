"""What the page of the year shows, for the player and the coach alike.

Knows a card, rows and a plan in words; which names and days its reader may see comes in.
"""

from collections.abc import Sequence
from datetime import date
from typing import Any

from ..card.card_data import Card
from ..card.card_words import count, plain_tenths
from ..trends.compare import CellChange
from ..trends.verdicts import by_visits
from ..trends.year import Row, Year, year_of
from ..units import UNIT_NAMES
from .periods_view import Name, cell_words

FIRST_BUCKET = 50  # balls of the bucket that is suggested
MOST_SHOTS = 20_000


def page(shots: Sequence[Row], card: Card, clock: str, name: Name, unit: str) -> dict[str, Any]:
    """Everything year.html shows but the bucket and who reads it."""
    sigma = {place: cell.spread_m / cell.typical_carry_m for place, cell in card.cells.items()}
    year = year_of(shots, clock, card.ball, sigma, card.mishits)
    return {
        "year": year,
        "said": said(year, card.ball),
        "stretch": f"{_month(year.months[0].first)} to {_month(year.months[-1].first)}",
        "months": [
            (
                f"{one.first:%b %Y}", one.visits, one.balls,
                plain_tenths(-one.cost.lost_m, unit) if one.cost else "–",
            )
            for one in year.months
        ],
        "numbers": [(name(one.cell), *number_words(one, unit)) for one in year.changes],
        "ball": card.ball,
        "unit": unit,
        "unit_name": UNIT_NAMES[unit],
    }  # fmt: skip


def said(year: Year, ball: str) -> str:
    """The year in a sentence: "12 visits, 640 balls; 402 range balls count for the card."."""
    return (
        f"{count(year.visits, 'visit')}, {count(year.balls, 'ball')}; {year.counted} {ball} balls count for the card."
    )


def number_words(change: CellChange, unit: str) -> tuple[tuple[str, str], tuple[str, str], str, str]:
    """A number at its start and now, by visits where both sides have some; the verdict, and the change it is about.

    With a number comes how many clean balls it is of: "61.2", "(9)". A dash where no ball tells, "" where nothing does.
    """
    sides = (change.before, change.after)
    if change.verdict is None:
        means = [cell_words(one, unit)[0].partition(" ± ")[0] if one else "–" for one in sides]
        word, apart = "", ""
    else:
        *means, apart = by_visits(change.verdict, unit)
        word = change.verdict.word
    start, now = (
        (mean, f"({one.n_clean})" if one and one.n_clean else "") for mean, one in zip(means, sides, strict=True)
    )
    return start, now, word, apart


def _month(first: date) -> str:
    return f"{first:%B %Y}"
