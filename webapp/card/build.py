"""Makes an Estimate out of a book's plain rows: the pooled numbers, and the Card that shows them.

Knows no table, page, unit of length on show, or clock; the present comes in as an argument.
"""

import math
from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Protocol

import numpy as np

from ..clock import FULL_DEG
from ..estimate import gaps as estimate_gaps
from ..estimate import phone
from ..estimate.balls import Balls, EyeCheck
from ..estimate.figures import counts, figures
from ..estimate.gaps import GAP_LIMIT_M, JUNIOR_GAP_LIMIT_M, TWO_IN_THREE
from ..estimate.model import CLEAN_FROM, JUNIOR_OLD_AFTER_DAYS, OLD_AFTER_DAYS, Options
from ..estimate.pool import Pooled, pool
from ..estimate.prior import Cell, Told
from ..estimate.student import t_point
from ..fields import is_moment
from ..moments import ages_days, days_between, moved
from .balls import struck_of
from .card_data import Card, CardCell, CardClub, CardSwing, CellKey, Gap, Phone, PhoneCell, Twins, cell_key
from .names import Swing, Wedge, given_names
from .strike import strikes

# The kind of ball in cells of a replaced club: they inform the new club's cells and are not shown.
BEFORE = "before "

Row = Mapping[str, Any]


class ClubRow(Wedge, Protocol):
    """What a club's row must tell besides: stamped loft [deg], whether it left the bag, and what it replaced."""

    @property
    def loft_deg(self) -> float: ...
    @property
    def retired(self) -> bool: ...
    @property
    def follows(self) -> str: ...


@dataclass(frozen=True)
class Rows:
    """A book as the card needs it.

    Attributes
    ----------
    clubs : all clubs, those that left the bag too; swings : those in use.
    full_carries : stated full carry [m] by club id.
    balls : the latest counted swing-called balls of every cell and kind of ball, oldest first, with id, ball,
        club_id, swing_deg, carry_m [m], landed, contact, bucket_id, visit_id, struck_at.
    strikes : the latest balls of any call and kind, as strike.py reads them.
    settings : every setting by name.
    open_buckets : ids of all buckets of the visit that is not over.
    eye_checks : distances said by eye and then measured, with said_m, measured_m [m] and by.
    utc_offset_min : how far the player's clock is ahead of UTC [min].
    most_balls, most_strikes : how many `balls` of a cell and how many `strikes` were read at most; 0 where all were.
    """

    clubs: Sequence[ClubRow]
    swings: Sequence[Swing]
    full_carries: Mapping[str, float]
    balls: Sequence[Row]
    strikes: Sequence[Row]
    settings: Mapping[str, Any]
    open_buckets: Sequence[str] = ()
    utc_offset_min: int = 0
    eye_checks: Sequence[Row] = ()
    most_balls: int = 0
    most_strikes: int = 0


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


def moves_told(settings: Mapping[str, Any]) -> dict[str, str]:
    """Since when a number is another one, as the player says: a moment by the cell's key.

    The setting holds "<cell's key> <moment>"; an entry that is no such thing is passed over.
    """
    entries = (entry.rpartition(" ") for entry in settings["moved_cells"])
    return {key: moment for key, _, moment in entries if is_moment(moment)}


def _filled(empty: Card, rows: Rows, for_phone: bool) -> Estimate:
    question = _Question(empty, rows)
    pooled = question.pooled()
    numbers = figures(pooled)
    shown = [(club.id, swing.swing_deg) for club in empty.clubs for swing in empty.swings]
    wide = t_point(TWO_IN_THREE, pooled.df) * np.sqrt(pooled.next_variance)
    read = Counter((ball["club_id"], ball["swing_deg"]) for ball in rows.balls if ball["ball"] == empty.ball)
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
        phone=_phone(question, pooled, len(shown), rows) if for_phone else None,
        mishits=question.mishits(pooled),
    )
    return Estimate(card, pooled)


class _Question:
    """The cells and balls put to the estimate: first the card's own cells in order, then those that inform them."""

    def __init__(self, card: Card, rows: Rows) -> None:
        self.now = card.as_of
        lofts = {club.id: club.loft_deg for club in rows.clubs}
        heirs = heirs_of(rows.clubs)
        self.cells = [
            Cell(club.id, club.loft_deg, swing.swing_deg, card.ball) for club in card.clubs for swing in card.swings
        ]
        places = {cell: at for at, cell in enumerate(self.cells)}
        in_use = {swing.swing_deg for swing in card.swings}
        self.told = [
            Told(Cell(club.id, club.loft_deg, FULL_DEG, card.ball), rows.full_carries[club.id])
            for club in card.clubs
            if rows.full_carries.get(club.id)
        ]

        def place_of(club_id: str, swing_deg: float, ball: str) -> int | None:
            heir = heirs.get(club_id)
            if heir is None or swing_deg not in in_use:
                return None
            kind = ball if heir == club_id else BEFORE + ball
            return places.setdefault(Cell(heir, lofts[club_id], swing_deg, kind), len(places))

        found: dict[tuple[str, float, str], int | None] = {}
        at, kept = [], []
        for ball in rows.balls:
            key = ball["club_id"], ball["swing_deg"], ball["ball"]
            if key not in found:
                found[key] = place_of(*key)
            place = found[key]
            if place is not None:
                at.append(place)
                kept.append(ball)
        self.own, self.cells = len(self.cells), list(places)
        self.told_moves = moves_told(rows.settings)
        ages = self._move_ages(self.told_moves, at, kept)
        self.options = Options(old_after_days=_old_after_days(rows.settings), moved_age_days=ages)
        self.eye_checks = [EyeCheck(check["said_m"], check["measured_m"], check["by"]) for check in rows.eye_checks]
        self.ids = [ball["id"] for ball in kept]
        self.balls = Balls.from_columns(
            cell=at,
            carry_m=[ball["carry_m"] for ball in kept],
            contact=[ball["contact"] for ball in kept],
            visit=[ball["visit_id"] for ball in kept],  # the balls of a visit share its day, in whatever bucket
            age_days=ages_days((ball["struck_at"] for ball in kept), self.now),
            landed=[ball["landed"] for ball in kept],
            order=list(range(len(kept))),
            judged_by=[ball["judged_by"] for ball in kept],
        )

    def pooled(self, without: Sequence[str] = (), on_a_visit: bool = False) -> Pooled:
        """The estimate, or that without the card's own balls of some visits; those of other kinds inform it still."""
        balls = self.balls.without(without, self.own) if without else self.balls
        return pool(self.cells, balls, self.told, self.options, self.eye_checks, on_a_visit)

    def mishits(self, pooled: Pooled) -> frozenset[str]:
        """The ids of balls that the estimate of them all takes for mishits rather than for clean ones."""
        found = np.flatnonzero(pooled.balls.measured & (pooled.w < CLEAN_FROM))
        return frozenset(self.ids[i] for i in found.tolist())

    def moves(self, at: int, visits: Sequence[str]) -> bool:
        """Whether the player said after a cell's last ball, or amid its balls of these visits, that it moved."""
        moment = self.told_moves.get(cell_key(self.cells[at].club, self.cells[at].swing_deg))
        if moment is None:
            return False
        balls, mine = self.balls, self.balls.cell == at
        here = mine & np.array([name in visits for name in balls.visit_names], dtype=bool)[balls.visit]
        reference = balls.age_days[here].max() if here.any() else balls.age_days[mine].min(initial=math.inf)
        return bool(days_between(moment, self.now) < reference)

    def _move_ages(self, told: Mapping[str, str], at: Sequence[int], balls: Sequence[Row]) -> dict[int, float]:
        """How many days ago a cell became another number: not where no ball was struck since to take its place.

        A kind of ball keeps its number until a ball of that kind, if of the wedge before, is struck since.
        """
        if not told:
            return {}
        keys = [(cell_key(cell.club, cell.swing_deg), cell.ball.removeprefix(BEFORE)) for cell in self.cells]
        latest = {keys[place]: ball["struck_at"] for place, ball in zip(at, balls, strict=True)}
        moves = {key: told[key[0]] for key in latest if key[0] in told}
        return {
            place: days_between(moves[key], self.now)
            for place, key in enumerate(keys)
            if key in moves and moves[key] <= min(latest[key], self.now)
        }


def heirs_of(clubs: Collection[ClubRow]) -> dict[str, str]:
    """For each club the one in the bag that its balls speak for: itself, or what replaced it in the end."""
    replaced_by = {club.follows: club.id for club in clubs if club.follows}
    retired = {club.id for club in clubs if club.retired}
    heirs = {}
    for club in clubs:
        heir, passed = club.id, {club.id}
        while heir in retired and replaced_by.get(heir, heir) not in passed:
            heir = replaced_by[heir]
            passed.add(heir)
        if heir not in retired:
            heirs[club.id] = heir
    return heirs


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


def _phone(question: _Question, pooled: Pooled, own: int, rows: Rows) -> Phone:
    """What a phone without signal starts from: the estimate without the visit that is not over."""
    not_over = {ball["visit_id"] for ball in rows.balls if ball["bucket_id"] in rows.open_buckets}
    open_here = sorted(not_over.intersection(question.balls.visit_names))
    # A visit ends a pause, so the phone starts from an estimate without one. Where no visit is open and no pause
    # goes on, that is the card's own estimate.
    before = question.pooled(open_here, on_a_visit=True) if open_here or pooled.pause_days else pooled
    counted = counts(before)
    old_days = _old_after_days(rows.settings)
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
            recent0=int(recent[at]),
            by_eye0=bool(counted.by_eye[at]),
            told=at in before.told_m,
            moves=question.moves(at, open_here),
        )
        for at, cell in enumerate(question.cells[:own])
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


def _old_after_days(settings: Mapping[str, Any]) -> float:
    return JUNIOR_OLD_AFTER_DAYS if settings["junior"] else OLD_AFTER_DAYS
