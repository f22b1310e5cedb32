"""What the coach's first screen shows beside the card: the evidence behind one number, the strike, where shots land.

Knows a card and rows of shots; how its reader is told of a day comes in.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from ..card.balls import seen
from ..card.card_data import Card, CardCell, CardClub, CardSwing, CellKey
from ..card.card_words import name_of, nine_in_ten, plain_tenths
from ..card.strike import Shares
from ..draw import evidence as lines
from ..draw.shapes import Face
from ..draw.svg import Svg
from ..facts import CONTACTS
from ..trends.compare import CellChange
from ..units import whole

MOST_VISITS = 6
_AFTER_VERDICT = {
    "no sign": "of a move",
    "perhaps": "moved between the periods",
    "moved": "between the periods",
}
Row = Mapping[str, Any]


@dataclass(frozen=True)
class Evidence:
    """One number with the balls of its last visits (`which`), each visit a labelled line, and three plain figures."""

    cell: CardCell
    club: CardClub
    swing: CardSwing
    name: str
    visits: tuple[tuple[str, Svg], ...]
    axis: Svg | None
    which: str
    said: str
    three: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class StrikeBar:
    """The share of balls that were struck one way: "4%"."""

    contact: str
    share: str
    drawing: Svg


@dataclass(frozen=True)
class Strike:
    """The strike of some balls as bars, and which balls they are."""

    bars: tuple[StrikeBar, ...]
    words: str


def chosen(card: Card, asked: str, moved: CellKey | None) -> CardCell:
    """The number that is looked at: the one asked for, else the one that moved, else the one with the most balls."""
    by_key = {cell.key: cell for cell in card.cells.values()}
    return by_key.get(asked) or (moved and card.cells.get(moved)) or max(by_key.values(), key=lambda cell: cell.n)


def evidence(
    card: Card, cell: CardCell, shots: Sequence[Row], change: CellChange | None, day: Callable[[str], str], unit: str
) -> Evidence:
    """The sheet of one number; `shots` are the cell's, newest first, `change` what two periods say of it."""
    place = (cell.club_id, cell.swing_deg)
    by_visit: dict[str, list[Row]] = {}
    for shot in shots:
        if shot["counted"] and shot["ball"] == card.ball and seen(shot):
            by_visit.setdefault(shot["visit_id"], []).append(shot)
    latest = list(by_visit.values())[:MOST_VISITS][::-1]
    band_m = (cell.two_in_three_low_m, cell.two_in_three_high_m)
    along = lines.scale([*band_m, *(shot["carry_m"] for own in latest for shot in own)], unit)
    visits = tuple(
        (
            day(own[0]["local_at"]),
            lines.dots(
                along, [(shot["carry_m"], shot["contact"] in ("clean", "")) for shot in own], cell.shown_carry_m, band_m
            ),
        )
        for own in latest
    )
    which = f"the last {len(latest)} of {cell.visits} visits" if len(latest) < cell.visits else "by visit"
    said = "; ".join(
        f"{day(own[0]['local_at'])}: {', '.join(str(whole(shot['carry_m'], unit)) for shot in reversed(own))}"
        for own in latest
    )
    three = [
        (plain_tenths(cell.spread_m, unit), f"{unit} spread, clean"),
        (nine_in_ten(cell, unit), f"nine in ten carry{', rough' if cell.rough else ''}"),
    ]
    if change and change.verdict:
        three.append((change.verdict.word, _AFTER_VERDICT[change.verdict.word]))
    return Evidence(
        cell, card.club(cell.club_id), card.swing(cell.swing_deg), name_of(card, place), visits,
        lines.axis(along, unit) if visits else None, which, said, tuple(three),
    )  # fmt: skip


def strike(shares: Shares, words: str) -> Strike | None:
    """The shares of some balls as bars; None without any."""
    if not shares.n:
        return None
    shown = [contact for contact in CONTACTS if contact != "shank" or shares.counts.get("shank")]
    bars = [StrikeBar(contact, shares.said(contact), lines.upright(shares.share(contact))) for contact in shown]
    return Strike(tuple(bars), words)


def ground(face: Face, names: Mapping[str, str], chosen_key: str, unit: str) -> tuple[list[tuple[str, Svg]], Svg]:
    """Where every shot lands: a line a wedge, and the numbers of their scale."""
    every = face.carries.values()
    along = lines.scale([end for carry in every for end in (carry.low_m, carry.high_m)], unit)
    rows = [
        (
            names[lane.id],
            lines.bars(along, [carry for carry in every if carry.lane_id == lane.id], face.uncovered, chosen_key),
        )
        for lane in face.lanes
    ]
    return rows, lines.axis(along, unit)
