"""How well the estimate follows invented players who change: `python -m tests.bench.changing [players] [seed]`.

Beside every figure stands that of the first version (tests/bench/first) on the same balls. Knows no bands of the
players who stay as they are; those are in players.py.
"""

import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace

import numpy as np

from tests.bench.first import pool as first
from tests.bench.generator import YARD_M, Player, player
from webapp.estimate.balls import Ball, Balls, EyeCheck
from webapp.estimate.model import Options
from webapp.estimate.pool import Pooled, pool
from webapp.estimate.student import t_point
from webapp.estimate.trust import trust

FAR_OFF_M = 3 * YARD_M


@dataclass(frozen=True)
class Row:
    """One sort of player and book.

    `path` tells how far ln(carry) has moved at each visit, given as a share of the way from the first (0) to the last
    (1); `eye` is what the player sees too long, `by_eye` which visits are judged so, `checks` how many eye checks.
    """

    name: str
    balls: int = 24
    visits: int = 12
    span_days: float = 180.0
    path: Callable[[float], float] = lambda share: 0.0
    visit_sd: float = 0.02
    marked_from: float | None = None
    eye: float = 0.0
    by_eye: Callable[[int], bool] = lambda visit: False
    checks: int = 0
    apart_a_year: float = 0.0
    labelled: bool = True
    mishit_rate: tuple[float, float] = (0.05, 0.35)


def step(size: float, at: float) -> Callable[[float], float]:
    """A step of this size at a share of the way."""
    return lambda share: size * (share >= at)


ROWS = (
    Row("steady, 3 in one visit", 3, 1),
    Row("steady, 12 in 3 visits", 12, 3, 30),
    Row("steady, 30 in 3 visits", 30, 3, 30),
    Row("steady, 24 in 12 visits"),
    Row("+10% in 180 days", path=lambda share: 0.095 * share),
    Row("+3% a year", span_days=365, path=lambda share: 0.03 * share),
    Row("step +6% half-way", path=step(0.058, 0.5)),
    Row("step +6% in the last 2 of 10 visits", 20, 10, path=step(0.058, 0.88)),
    Row("lesson of 5%, marked", path=step(0.05, 0.5), marked_from=0.5),
    Row("common shift 5%, 30 in 3 visits", 30, 3, 30, visit_sd=0.05),
    Row("common shift 5%, 24 in 8 visits", 24, 8, visit_sd=0.05),
    Row("eye +6%, alone", eye=0.06, by_eye=lambda visit: True),
    Row("eye +6%, half by monitor", eye=0.06, by_eye=lambda visit: visit % 2 == 0),
    Row("eye +6%, ten checks", eye=0.06, by_eye=lambda visit: True, checks=10),
    Row("eye without bias, alone", by_eye=lambda visit: True),
    Row("cells that drift apart 3% a year", span_days=365, apart_a_year=0.03),
    Row("half mishits, no contact noted", labelled=False, mishit_rate=(0.45, 0.55)),
)


@dataclass
class Seen:
    """What came of one version: errors of ln(carry), whether the range held them, settled cells far off."""

    errors: list[np.ndarray] = field(default_factory=list)
    held: list[np.ndarray] = field(default_factory=list)
    settled: list[np.ndarray] = field(default_factory=list)
    far_off: list[np.ndarray] = field(default_factory=list)

    def add(self, m: np.ndarray, half: np.ndarray, level: np.ndarray, settled: np.ndarray) -> None:
        self.errors.append(m - level)
        self.held.append(np.abs(m - level) < half)
        self.settled.append(settled)
        self.far_off.append(np.abs(np.exp(m) - np.exp(level))[settled] > FAR_OFF_M)

    @property
    def figures(self) -> tuple[float, float, float, float]:
        """RMSE [%], share covered, share settled, share of the settled that is far off."""
        far = np.concatenate(self.far_off)
        return (
            100 * float(np.sqrt(np.mean(np.square(self.errors)))),
            float(np.mean(self.held)),
            float(np.mean(self.settled)),
            float(far.mean()) if len(far) else 0.0,
        )


def measured(row: Row, players: int, seed: int) -> tuple[Seen, Seen, list[float]]:
    """The first and the second version on the same books, and what the second makes of the eye."""
    before, now, eyes = Seen(), Seen(), []
    for someone, balls, checks, options in books(row, players, seed):
        old, new = (
            first.pool(someone.cells, balls, someone.stated),
            pool(someone.cells, balls, someone.stated, options, checks),
        )
        n, visits = np.full(len(new.m), row.balls), np.full(len(new.m), row.visits)
        if options.moved_age_days:
            since = balls.age_days <= max(options.moved_age_days.values())
            n = np.bincount(balls.cell[since], minlength=len(n))
            visits = np.full(len(n), len(set(balls.visit[since].tolist())))
        half = half_width(new)
        wide_m = np.exp(new.m) * np.sinh(half)
        words = [trust(int(n[i]), int(visits[i]), int(n[i]), False, float(wide_m[i])) for i in range(len(n))]
        now.add(new.m, half, someone.level, np.array([word == "settled" for word in words]))
        before.add(old.m, old.half_width, someone.level, (n >= 10) & (visits >= 3))
        if "eye" in new.ways:
            eyes.append(float(new.way_m[new.ways.index("eye")]))
    return before, now, eyes


def books(row: Row, players: int, seed: int) -> Iterator[tuple[Player, Balls, list[EyeCheck], Options]]:
    """The players of a row with their balls, eye checks and what they tell."""
    rng = np.random.default_rng(seed)
    for _ in range(players):
        someone = player(rng, 0.02, mishit_rate=row.mishit_rate)
        someone.visit_sd = row.visit_sd
        yield someone, *book(row, someone)


def book(row: Row, someone: Player) -> tuple[Balls, list[EyeCheck], Options]:
    """One player's balls over the visits; the newest was a day ago and shows the player of today."""
    k, today = len(someone.cells), someone.level.copy()
    apart = someone.rng.normal(0, row.apart_a_year, k)
    balls: list[Ball] = []
    options = Options()
    for visit in range(row.visits):
        share = visit / max(row.visits - 1, 1)
        age_days = 1.0 + row.span_days * (1 - share)
        someone.level = today + row.path(share) - row.path(1.0) - apart * (age_days - 1) / 365
        hit = [cell for cell in range(k) for _ in range(row.balls // row.visits)]
        struck = someone.visit(hit, visit, age_days, row.labelled)
        if row.by_eye(visit):
            struck = [seen_by_eye(ball, row.eye) for ball in struck]
        balls += struck
        if row.marked_from is not None and share < row.marked_from:
            options = Options(moved_age_days=dict.fromkeys(range(k), age_days - 0.5))
    someone.level = today
    return Balls.from_list(balls), [eye_check(someone, row.eye) for _ in range(row.checks)], options


def seen_by_eye(ball: Ball, too_long: float) -> Ball:
    """The ball as the player would have said its carry."""
    return replace(ball, carry_m=None if ball.carry_m is None else ball.carry_m * (1 + too_long), judged_by="eye")


def eye_check(someone: Player, too_long: float) -> EyeCheck:
    """A ball at 40 to 100 yd said by eye, within 8%, and measured."""
    measured_m = someone.rng.uniform(40, 100) * YARD_M
    return EyeCheck(measured_m * (1 + too_long) * float(np.exp(someone.rng.normal(0, 0.08))), measured_m)


def half_width(pooled: Pooled) -> np.ndarray:
    """(J,) half the 80% interval of ln(typical carry)."""
    return t_point(0.9, pooled.df) * np.sqrt(pooled.level_variance)


def main(players: int, seed: int) -> None:
    """Print the table."""
    print(f"{players} players, seed {seed}; first -> second version")
    print("| players | RMSE % | ratio | covers | settled | settled and off > 3 yd |\n|---|---|---|---|---|---|")
    for row in ROWS:
        before, now, eyes = measured(row, players, seed)
        (e0, c0, s0, f0), (e1, c1, s1, f1) = before.figures, now.figures
        eye = f" (eye {np.mean(eyes):+.3f})" if eyes else ""
        print(
            f"| {row.name}{eye} | {e0:.2f} -> {e1:.2f} | {e1 / e0:.2f} | {c0:.2f} -> {c1:.2f} "
            f"| {s0:.2f} -> {s1:.2f} | {100 * f0:.1f} -> {100 * f1:.1f}% |",
            flush=True,
        )


if __name__ == "__main__":
    given = [int(text) for text in sys.argv[1:]]
    main(*(given + [200, 71][len(given) :]))
