"""The demo card of the worked examples (invented): 46, 51, 56 and 60 at 7:30, 9:00, 10:30 and full, in yards.

Knows no estimate: trust and spread are as the example says, so that drawings can be tested on their own.
"""

from webapp.card.card_data import Card, CardCell, CardClub, CardSwing, Twins
from webapp.clock import clock_name
from webapp.units import YARD_M

CLUBS = (("46", 46.0), ("51", 51.0), ("56", 56.0), ("60", 60.0))
SWINGS_DEG = (45.0, 90.0, 135.0, 180.0)
CARRIES_YD = {
    "46": (55, 80, 96, 112),
    "51": (49, 71, 85, 99),
    "56": (42, 61, 73, 85),
    "60": (35, 52, 62, 72),
}
TRUST = {
    ("46", 45.0): "guess",
    ("60", 135.0): "guess",
    ("51", 135.0): "old",
    ("46", 135.0): "early",
    ("60", 180.0): "early",
}
COUNTS = {"guess": (0, 0), "told": (0, 0), "early": (6, 2), "settled": (24, 4), "old": (31, 5)}


def demo_card(mirrored: bool = False, trust: dict[tuple[str, float], str] | None = None) -> Card:
    """The card; `trust` changes the word of some cells, by club and angle."""
    words = {**TRUST, **(trust or {})}
    cells = {}
    for club, carries_yd in CARRIES_YD.items():
        for swing_deg, carry_yd in zip(SWINGS_DEG, carries_yd, strict=True):
            cells[club, swing_deg] = demo_cell(club, swing_deg, carry_yd, words.get((club, swing_deg), "settled"))
    return Card(
        as_of="2025-05-01T09:30:00.000Z",
        ball="range",
        clubs=tuple(CardClub(name, name, loft_deg) for name, loft_deg in CLUBS),
        swings=tuple(CardSwing(deg, clock_name(deg, mirrored)) for deg in SWINGS_DEG),
        cells=cells,
        twins=(Twins(("51", 135.0), ("56", 180.0), 0.9),),
        uncovered=((104 * YARD_M, 107 * YARD_M),),
        basis=("range balls", "mat", "by markers"),
    )


def demo_cell(club_id: str, swing_deg: float, carry_yd: float, trust: str) -> CardCell:
    """One number with a spread of 5%, twice that where it is a guess."""
    carry_m = carry_yd * YARD_M
    wide = 0.10 if trust in ("guess", "told") else 0.05
    n, visits = COUNTS[trust]
    return CardCell(
        club_id=club_id,
        swing_deg=swing_deg,
        typical_carry_m=carry_m,
        typical_low_m=carry_m * (1 - wide / 2),
        typical_high_m=carry_m * (1 + wide / 2),
        half_width_m=carry_m * wide / 2,
        spread_m=carry_m * 0.05,
        two_in_three_low_m=carry_m * (1 - wide),
        two_in_three_high_m=carry_m * (1 + wide),
        next_low_m=carry_m * (1 - 1.3 * wide),
        next_high_m=carry_m * (1 + 1.3 * wide),
        nine_in_ten_carry_m=carry_m * 0.9,
        rough=n < 20,
        n_clean=round(n * 0.8),
        n=n,
        visits=visits,
        trust=trust,
        too_wide=False,
        by_eye=False,
        last_made_at="2025-04-24T10:00:00.000Z" if n else None,
        out_of_order=False,
        told_carry_m=carry_m if trust == "told" else None,
    )
