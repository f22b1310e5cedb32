"""What a book's rows put into the estimate: cells, balls and what was told, as estimate/ takes them.

Knows no table, page or clock; the moment and the bag come in with an empty card.
"""

import math
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from ..clock import FULL_DEG
from ..estimate.balls import Balls, EyeCheck
from ..estimate.model import CLEAN_FROM, JUNIOR_OLD_AFTER_DAYS, OLD_AFTER_DAYS, Options
from ..estimate.pool import Pooled, pool
from ..estimate.prior import Cell, Told
from ..moments import ages_days, days_between
from .card_data import Card, cell_key
from .rows import Row, Rows, heirs_of, moves_told

# The kind of ball in cells of a replaced club: they inform the new club's cells and are not shown.
BEFORE = "before "


class Inputs:
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
        self.options = Options(old_after_days=old_after_days(rows.settings), moved_age_days=ages)
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


def old_after_days(settings: Mapping[str, Any]) -> float:
    """How many days a number without a ball takes to be old [days]: a junior's swing grows."""
    return JUNIOR_OLD_AFTER_DAYS if settings["junior"] else OLD_AFTER_DAYS
