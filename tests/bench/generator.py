"""Invented players with curves of their own, so that the estimate is never measured against its own prior.

Knows nothing of the estimate's constants. Ranges are common practice, no source, or stated in the docstrings.
"""

import math
from dataclasses import dataclass, field

import numpy as np

from webapp.estimate.balls import Ball
from webapp.estimate.prior import Cell, Told

YARD_M = 0.9144
SWINGS_DEG = (45.0, 90.0, 135.0, 180.0)
SHIFTS = ("heavy", "fat", "thin", "bladed")


@dataclass
class Player:
    """One invented player.

    `level` is ln(typical carry [m]) and `mishit_rate` the chance of a mishit per cell, `stated` what is said of the
    full swings, `clean_m` the carries by cell that truly were clean, which no estimate may see.
    """

    rng: np.random.Generator
    cells: list[Cell]
    level: np.ndarray
    sigma: float
    mishit_rate: np.ndarray
    mishit_shares: np.ndarray
    visit_sd: float
    cell_day_sd: float
    mishit_called_clean: float = 0.15
    clean_called_mishit: float = 0.025
    slip: float = 0.01
    stated: list[Told] = field(default_factory=list)
    clean_m: dict[int, list[float]] = field(default_factory=dict)

    def visit(
        self, hit: list[int], name: int, age_days: float, labelled: bool = True, moved: float = 0.0
    ) -> list[Ball]:
        """One visit's balls: `hit` names the cell of each; `moved` is added to ln(carry)."""
        visit_shift = self.rng.normal(0, self.visit_sd)
        shifts = {cell: visit_shift + self.rng.normal(0, self.cell_day_sd) + moved for cell in dict.fromkeys(hit)}
        return [
            Ball(
                cell,
                *self._strike(cell, self.level[cell] + shifts[cell], labelled),
                name,
                age_days,
                "seen",
                1000 * name + i,
            )
            for i, cell in enumerate(hit)
        ]

    def next_clean_m(self, cell: int) -> float:
        """A clean carry [m] of a new day."""
        day = self.rng.normal(0, math.hypot(self.visit_sd, self.cell_day_sd))
        return math.exp(self.level[cell] + day + self.rng.normal(0, self.sigma))

    def carry_m(self, cell: int) -> float:
        """Any carry [m] of a new day, mishits included."""
        day = self.rng.normal(0, math.hypot(self.visit_sd, self.cell_day_sd))
        return math.exp(self._flight(cell, self.level[cell] + day)[0])

    def _strike(self, cell: int, level: float, labelled: bool) -> tuple[float, str]:
        y, contact = self._flight(cell, level)
        if contact == "clean":
            self.clean_m.setdefault(cell, []).append(math.exp(y))
        contact = self._called(contact)
        yards = max(1, round(math.exp(y) / YARD_M))
        if self.rng.random() < self.slip:
            yards = self._slipped(yards)
        return yards * YARD_M, contact if labelled else ""

    def _flight(self, cell: int, level: float) -> tuple[float, str]:
        """ln(carry) and true contact of one ball; mishits lose a skewed share, which no part of the model does."""
        y = level + self.rng.normal(0, self.sigma)
        if self.rng.random() >= self.mishit_rate[cell]:
            return y, "clean"
        contact = SHIFTS[int(np.searchsorted(np.cumsum(self.mishit_shares)[:-1], self.rng.random()))]
        if contact == "heavy":
            return y - self.rng.gamma(2.0, 0.06), contact
        if contact == "fat":
            return y + math.log(self.rng.beta(5.0, 2.5)), contact
        if contact == "thin":
            return y + self.rng.normal(-0.05, 0.11), contact
        return y + self.rng.normal(0.16, 0.22), contact

    def _called(self, contact: str) -> str:
        """What the player calls it: some mishits feel clean, a few clean balls do not."""
        if contact != "clean":
            return "clean" if self.rng.random() < self.mishit_called_clean else contact
        if self.rng.random() < self.clean_called_mishit:
            return SHIFTS[self.rng.integers(len(SHIFTS))]
        return contact

    def _slipped(self, yards: int) -> int:
        text = str(yards)
        kind = self.rng.integers(3)
        if kind == 0:
            return max(1, int(text[::-1]))
        return yards * 10 if kind == 1 else max(1, yards // 10)


def player(
    rng: np.random.Generator,
    day_sd: float = 0.0,
    swings_deg: tuple[float, ...] = SWINGS_DEG,
    clubs: int = 4,
    mishit_rate: tuple[float, float] = (0.05, 0.35),
    mishits_by_swing: tuple[float, ...] | None = None,
) -> Player:
    """A player whose full carry is that of a launch at a share of the loft, and whose swings follow a power law.

    Full carry ~ power sin(2 (16 + .5 loft)) / loft, share of the full carry 1 - (1 - s0)(1 - angle/180)^p with
    s0 .08 to .30 and p 1.3 to 1.8 (7:30 40 to 58%, 9:00 62 to 80%, 10:30 82 to 93%), 2.5% of their own for club
    and cell. Spread 3 to 9%, mishits as given, a swing's so many times as often as `mishits_by_swing` says. `day_sd`
    moves all balls of a visit, and once more each cell's.
    """
    lofts = np.sort(rng.choice(np.arange(44, 63, 2), clubs, replace=False)).astype(float) + rng.integers(0, 2)
    power = rng.normal(0, 0.16)
    slope = rng.normal(1.15, 0.2)
    full = (
        math.log(92 * YARD_M)
        + power
        + slope * np.log(np.sin(np.radians(32 + lofts)) / lofts * 52 / math.sin(math.radians(84)))
    )
    full = full + rng.normal(0, 0.03, clubs)
    s0, p = rng.uniform(0.05, 0.32), rng.uniform(1.2, 1.9)
    cells, level = [], []
    for i, loft in enumerate(lofts):
        own_p = p * (1 + rng.normal(0, 0.08))
        for angle in swings_deg:
            share = 1 - (1 - s0) * (1 - angle / 180) ** own_p
            cells.append(Cell(f"{loft:.0f}", float(loft), angle))
            level.append(full[i] + math.log(share) + rng.normal(0, 0.04) * (angle < 180))
    said = rng.normal(0.02, 0.035)
    stated = [
        Told(
            Cell(f"{loft:.0f}", float(loft), 180.0),
            round(math.exp(full[i] + said + rng.normal(0, 0.04)) / YARD_M) * YARD_M,
        )
        for i, loft in enumerate(lofts)
    ]
    shares = rng.dirichlet(np.array([3.5, 2.0, 3.0, 1.5]) * 3)
    sigma, times = rng.uniform(0.03, 0.09), np.tile(mishits_by_swing or (1.0,) * len(swings_deg), clubs)
    return Player(
        rng, cells, np.array(level), sigma,
        rng.uniform(*mishit_rate) * times, shares, day_sd, day_sd, stated=stated,
    )  # fmt: skip


def baseline(cells: list[Cell], balls: list[Ball], stated: list[Told]) -> np.ndarray:
    """ln(typical carry [m]) by the plain way: median of the balls called clean, slips beyond x2.5 dropped.

    Without such a ball the stated full carry times the share of common practice.
    """
    shares = {45.0: 0.50, 75.0: 0.62, 90.0: 0.72, 105.0: 0.77, 135.0: 0.86, 180.0: 1.0}
    full_m = {told.cell.club: told.carry_m for told in stated}
    found = []
    for i, cell in enumerate(cells):
        expected_m = full_m[cell.club] * shares[cell.swing_deg]
        own = [ball.carry_m for ball in balls if ball.cell == i and ball.contact in ("clean", "") and ball.carry_m]
        own = [carry for carry in own if 1 / 2.5 < carry / expected_m < 2.5]
        found.append(math.log(np.median(own) if own else expected_m))
    return np.array(found)
