"""A card as plain data for other programs and as lines of text for a terminal.

Knows no book; the names of the data are settled and used from outside, so they are only ever added to.
"""

from typing import Any

from ..units import whole
from .card_data import Card, CardCell


def as_plain(card: Card) -> dict[str, Any]:
    """A card as JSON-ready data: lengths in metres, unrounded; "low" and "high" are the ends of 80% intervals."""
    return {
        "as_of": card.as_of,
        "ball": card.ball,
        "cells": [_plain_cell(card, cell) for cell in _in_order(card)],
        "mishit_rate": card.mishit_rate,
        "full_gaps": [
            {
                "from": gap.stronger.name,
                "to": gap.weaker.name,
                "gap_m": gap.gap_m,
                "limit_m": gap.limit_m,
                "chance_over": gap.chance_over,
                "warn": gap.warn,
            }
            for gap in card.gaps
        ],
        "uncovered_m": [list(stretch) for stretch in card.uncovered],
        "twins": [
            {"first": _name(card, pair.first), "second": _name(card, pair.second), "chance": pair.chance}
            for pair in card.twins
        ],
    }


def as_text(card: Card, unit: str) -> str:
    """A card as lines of text, one a number: club, swing by its own name, carry in `unit`, trust, balls, visits."""
    wide = max((len(swing.name) for swing in card.swings), default=0)
    lines = [f"As of {card.as_of}, {card.ball} balls, {unit}"]
    for cell in _in_order(card):
        club, swing = card.club(cell.club_id).name, card.swing(cell.swing_deg).name
        mark = f"  still ±{whole(cell.half_width_m, unit)}" if cell.too_wide else ""
        mark += "  by eye" if cell.by_eye else ""
        mark += "  out of order" if cell.out_of_order else ""
        lines.append(
            f"{club:>6} {swing:>{max(wide, 6)}} {whole(cell.shown_carry_m, unit):>4}  {cell.trust:<8}"
            f"n {cell.n:>3}  visits {cell.visits:>2}{mark}"
        )
    return "\n".join(lines)


def _plain_cell(card: Card, cell: CardCell) -> dict[str, Any]:
    club = card.club(cell.club_id)
    return {
        "club": club.name,
        "loft_deg": club.loft_deg,
        "swing_deg": cell.swing_deg,
        "typical_carry_m": cell.shown_carry_m,
        "typical_low_m": cell.typical_low_m,
        "typical_high_m": cell.typical_high_m,
        "half_width_m": cell.half_width_m,
        "spread_m": cell.spread_m,
        "next_low_m": cell.next_low_m,
        "next_high_m": cell.next_high_m,
        "nine_in_ten_carry_m": cell.nine_in_ten_carry_m,
        "n_clean": cell.n_clean,
        "n": cell.n,
        "visits": cell.visits,
        "trust": cell.trust,
        "last_made_at": cell.last_made_at,
        "out_of_order": cell.out_of_order,
    }


def _in_order(card: Card) -> list[CardCell]:
    places = [(club.id, swing.swing_deg) for club in card.clubs for swing in card.swings]
    return [card.cells[place] for place in places if place in card.cells]


def _name(card: Card, key: tuple[str, float]) -> dict[str, Any]:
    return {"club": card.club(key[0]).name, "swing_deg": key[1]}
