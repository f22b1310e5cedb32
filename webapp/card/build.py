"""Makes an Estimate out of a book's plain rows: the pooled numbers, and the Card that shows them.

Knows no table, page, unit of length on show, or clock; the present comes in as an argument.
"""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from ..estimate import gaps as estimate_gaps
from ..estimate import phone
from ..estimate.figures import balls_by_visit, counts, figures
from ..estimate.gaps import GAP_LIMIT_M, JUNIOR_GAP_LIMIT_M, TWO_IN_THREE
from ..estimate.pool import Pooled
from ..estimate.student import t_point
from ..moments import moved
from .balls import struck_of
from .card_data import Card, CardCell, CardClub, CardSwing, CellKey, Gap, Phone, PhoneCell, Twins
from .inputs import Inputs, old_after_days
from .names import given_names
from .rows import Row, Rows
from .strike import strikes


@dataclass(frozen=True)
class Estimate:
    """One answer of estimate/ to a book's rows, for the card, for choosing a shot and for planning.

    `pooled` begins with the cells of `card`, in their order; None where the card has no cell.
    """

    card: Card
    pooled: Pooled | None


def build(rows: Rows, now: str, mirrored: bool = False, ball: str | None = None, for_phone: bool = True) -> Card:
    """The card of one kind of ball (the setting's, unless another is asked for) as of `now`.

    `mirrored` only turns the clock names that are read; no number moves. Without `for_phone` what a phone without
    signal would go on from is left out.
    """
    return estimate(rows, now, mirrored, ball, for_phone).card


def estimate(rows: Rows, now: str, mirrored: bool = False, ball: str | None = None, for_phone: bool = True) -> Estimate:
    """The card as `build` makes it, with the pooled numbers it was made from: a caller that needs both pools once."""
    kind = ball or rows.settings["ball"]
    bag = sorted((club for club in rows.clubs if not club.retired), key=lambda club: (club.loft_deg, club.name))
    clubs = tuple(CardClub(club.id, club.name, club.loft_deg) for club in bag)
    names = given_names(bag, rows.swings, mirrored)
    swings = tuple(CardSwing(swing_deg, names.swing(swing_deg)) for swing_deg in sorted(names.swings))
    empty = Card(
        as_of=now, ball=kind, clubs=clubs, swings=swings, cells={},
        hidden=frozenset(rows.settings["hidden_cells"]), gap_limit_m=_gap_limit_m(rows.settings),
        utc_offset_min=rows.utc_offset_min,
    )  # fmt: skip
    return _filled(empty, rows, for_phone) if clubs and swings else Estimate(empty, None)


def _filled(empty: Card, rows: Rows, for_phone: bool) -> Estimate:
    inputs = Inputs(empty, rows)
    pooled = inputs.pooled()
    numbers = figures(pooled)
    shown = [(club.id, swing.swing_deg) for club in empty.clubs for swing in empty.swings]
    wide = t_point(TWO_IN_THREE, pooled.df) * np.sqrt(pooled.next_variance)
    read = Counter((ball["club_id"], ball["swing_deg"]) for ball in rows.balls if ball["ball"] == empty.ball)
    at_most: dict[CellKey, int] = {}
    for ball in rows.balls:
        if ball.get("at_most") and ball["ball"] == empty.ball:
            at_most[ball["club_id"], ball["swing_deg"]] = ball["at_most"]
    cells = {}
    for at, (place, one) in enumerate(zip(shown, numbers, strict=False)):
        cells[place] = CardCell(
            club_id=place[0],
            swing_deg=place[1],
            typical_carry_m=one.typical_carry_m,
            typical_low_m=one.typical_low_m,
            typical_high_m=one.typical_high_m,
            half_width_m=one.half_width_m,
            spread_m=one.spread_m,
            two_in_three_low_m=one.typical_carry_m * float(np.exp(-wide[at])),
            two_in_three_high_m=one.typical_carry_m * float(np.exp(wide[at])),
            next_low_m=one.next_low_m,
            next_high_m=one.next_high_m,
            nine_in_ten_carry_m=one.nine_in_ten_carry_m,
            rough=one.rough,
            n_clean=one.n_clean,
            n=one.n,
            visits=one.visits,
            trust=one.trust,
            too_wide=one.too_wide,
            by_eye=one.by_eye,
            last_made_at=None if one.last_age_days is None else moved(empty.as_of, days=-one.last_age_days),
            out_of_order=one.out_of_order,
            told_carry_m=pooled.told_m.get(at),
            of_latest=0 < rows.most_balls <= read[place],
            at_most=at_most.get(place, 0),
        )
    own, balls = range(len(shown)), struck_of(rows.strikes, empty.ball)
    gaps = [gap for gap in estimate_gaps.full_gaps(pooled, empty.gap_limit_m) if gap.from_cell in own]
    on_show = [cell.shown_carry_m for cell in cells.values() if cell.key not in empty.hidden]
    twins = [pair for pair in estimate_gaps.twins(pooled) if pair.cells[0] in own and pair.cells[1] in own]
    card = replace(
        empty,
        cells=cells,
        gaps=tuple(_gap(gap, shown, empty) for gap in gaps),
        twins=tuple(Twins(shown[pair.cells[0]], shown[pair.cells[1]], pair.chance) for pair in twins),
        uncovered=tuple(estimate_gaps.uncovered(on_show)),
        mishit_rate=pooled.mishit_rate,
        strikes=replace(
            strikes(balls, rows.settings["margin_m"]),
            latest=rows.most_strikes if len(rows.strikes) == rows.most_strikes else 0,
        ),
        basis=_basis(empty.ball, balls),
        phone=_phone(inputs, pooled, len(shown), rows) if for_phone else None,
        mishits=inputs.mishits(pooled),
    )
    return Estimate(card, pooled)


def _gap(gap: estimate_gaps.FullGap, shown: Sequence[CellKey], card: Card) -> Gap:
    stronger, weaker = card.club(shown[gap.from_cell][0]), card.club(shown[gap.to_cell][0])
    return Gap(
        stronger=stronger,
        weaker=weaker,
        gap_m=gap.gap_m,
        limit_m=gap.limit_m,
        chance_over=gap.chance_over,
        warn=gap.warn,
        certain=gap.certain,
        overlap=gap.overlap,
        loft_step_deg=weaker.loft_deg - stronger.loft_deg,
    )


def _phone(inputs: Inputs, pooled: Pooled, own: int, rows: Rows) -> Phone:
    """What a phone without signal starts from: the estimate without the visit that is not over."""
    not_over = {ball["visit_id"] for ball in rows.balls if ball["bucket_id"] in rows.open_buckets}
    open_here = sorted(not_over.intersection(inputs.balls.visit_names))
    # A visit ends a pause, so the phone starts from an estimate without one. Where no visit is open and no pause
    # goes on, that is the card's own estimate.
    before = inputs.pooled(open_here, on_a_visit=True) if open_here or pooled.pause_days else pooled
    counted, read = counts(before), balls_by_visit(before, own)
    old_days = old_after_days(rows.settings)
    is_recent = before.balls.counted & (before.balls.age_days <= old_days)
    recent = np.bincount(before.balls.cell[is_recent], minlength=own)
    cells = tuple(
        PhoneCell(
            club_id=cell.club,
            swing_deg=cell.swing_deg,
            ln_m=float(before.m[at]),
            ln_sd=float(np.sqrt(before.next_variance[at])),
            N0=float(before.N[at]),
            drift=float(before.drift[at]),
            n0=int(counted.n[at]),
            visits0=int(counted.visits[at]),
            read0=read[at],
            recent0=int(recent[at]),
            by_eye0=bool(counted.by_eye[at]),
            told=at in before.told_m,
            moves=inputs.moves(at, open_here),
        )
        for at, cell in enumerate(inputs.cells[:own])
    )
    state = phone.plain(phone.state_of(before, own))
    return Phone(state, float(before.N.sum()), old_days, tuple(rows.open_buckets), cells)


def _basis(ball: str, struck: Sequence[Row]) -> tuple[str, ...]:
    """What the numbers rest on in words: kind of ball, surfaces, ways of judging, the most frequent first."""
    counted = [row for row in struck if row["counted"]]
    surfaces = [surface for surface, _ in Counter(row["surface"] for row in counted).most_common()]
    judged = [way for way, _ in Counter(row["judged_by"] for row in counted).most_common(2)]
    return (f"{ball} balls", *(" and ".join(words) for words in (surfaces, [f"by {way}" for way in judged]) if words))


def _gap_limit_m(settings: Mapping[str, Any]) -> float:
    usual = JUNIOR_GAP_LIMIT_M if settings["junior"] else GAP_LIMIT_M
    return float(settings["gap_limit_m"] or usual)
