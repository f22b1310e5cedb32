"""How well the estimate does on invented players: `python -m tests.bench.players [players] [seed]` prints it all.

The bands are the project's own targets; the generator has other curves than the prior (see generator.py).
"""

import math
import sys
from collections.abc import Iterator, Sequence

import numpy as np

from tests.bench.generator import YARD_M, Player, baseline, player
from webapp.estimate import phone as rule
from webapp.estimate.balls import Ball
from webapp.estimate.chance import chances, tables
from webapp.estimate.drift import charts
from webapp.estimate.forecast import forecast
from webapp.estimate.gaps import full_gaps
from webapp.estimate.next_cell import next_cells
from webapp.estimate.pool import Pooled, pool
from webapp.estimate.student import t_point

DAY_SD = 0.02
# Balls in every cell and the visits they came in: the highest ratio to the baseline that is accepted.
ACCEPT = {(0, 1): 0.97, (1, 1): 0.68, (2, 1): 0.70, (3, 1): 0.72, (5, 5): 0.76, (8, 4): 0.79, (15, 5): 0.79}
ACCEPT_DAYS = {(3, 1): 0.78, (6, 1): 0.83, (12, 3): 0.83, (30, 3): 0.83}


def accuracy(
    players: int, seed: int, n: int, visits: int = 1, day_sd: float = 0.0, labelled: bool = True
) -> dict[str, float]:
    """n balls in every cell over some visits: RMSE [%] and what 80% intervals cover.

    Beside baseline and estimate stands the mean of the balls that truly were clean, entered without a slip.
    """
    ours, plain, known, typical, following = [], [], [], [], []
    for someone in _players(players, seed, day_sd):
        balls = _even(someone, n, visits, labelled)
        pooled = pool(someone.cells, balls, someone.stated)
        ours.append(pooled.m - someone.level)
        plain.append(baseline(someone.cells, balls, someone.stated) - someone.level)
        known.append(np.array([np.log(carries).mean() - someone.level[i] for i, carries in someone.clean_m.items()]))
        t = t_point(0.9, pooled.df)
        wide = t * np.sqrt(pooled.level_variance)
        typical.append(np.abs(ours[-1]) < wide)
        ahead = forecast(pooled)
        struck = np.log([someone.next_clean_m(i) for i in range(len(someone.cells))])
        following.append(np.abs(struck - pooled.m) < t * ahead.sd)
    found = {"baseline %": _rms(plain), "ours %": _rms(ours)}
    if n:
        found["known clean %"] = _rms(known)
    found["ratio"] = found["ours %"] / found["baseline %"]
    return found | {"typical covers": float(np.mean(typical)), "next covers": float(np.mean(following))}


def ragged(players: int, seed: int) -> dict[str, float]:
    """A cell without balls in a book whose other cells have none to twelve."""
    ours, plain = [], []
    for someone in _players(players, seed, DAY_SD):
        counts = someone.rng.integers(0, 13, len(someone.cells))
        target = int(someone.rng.integers(len(counts)))
        counts[target] = 0
        balls = _spread(someone, counts, 3)
        ours.append(pool(someone.cells, balls, someone.stated).m[[target]] - someone.level[target])
        plain.append(baseline(someone.cells, balls, someone.stated)[[target]] - someone.level[target])
    return {"baseline %": _rms(plain), "ours %": _rms(ours), "ratio": _rms(ours) / _rms(plain)}


def gap_calls(players: int, seed: int, limit_m: float = 15 * YARD_M) -> dict[str, float]:
    """Full-swing gaps called at five balls a cell: the share of calls that are false, and of gaps that are found."""
    called, false, true = 0, 0, 0
    for someone in _players(players, seed, DAY_SD):
        pooled = pool(someone.cells, _even(someone, 5, 1), someone.stated)
        for gap in full_gaps(pooled, limit_m):
            over = math.exp(someone.level[gap.from_cell]) - math.exp(someone.level[gap.to_cell]) > limit_m
            called, false, true = called + gap.warn, false + (gap.warn and not over), true + over
    return {"calls": called, "false share": false / called, "found share": (called - false) / true}


def calibration(players: int, seed: int, balls_struck: int = 40) -> dict[str, float]:
    """What fits at five balls a cell: chance inside a window against how often balls came down there.

    The error is the mean distance between the two over ten classes of the chance, weighted by their cells.
    """
    said, came = [], []
    for someone in _players(players, seed, DAY_SD):
        ahead = forecast(pool(someone.cells, _even(someone, 5, 1), someone.stated))
        for cell, table in enumerate(tables(ahead)):
            # The window must not know the truth, or every honest forecast would look too modest.
            middle = math.exp(ahead.m[cell] + someone.rng.normal(0, 0.1))
            half = someone.rng.uniform(2, 8) * YARD_M
            said.append(chances(table, middle - half, middle + half).inside)
            struck = [someone.carry_m(cell) for _ in range(balls_struck)]
            came.append(np.mean([abs(carry_m - middle) <= half for carry_m in struck]))
    place = np.minimum((np.array(said) * 10).astype(int), 9)
    off = [
        abs(np.mean(np.array(said)[place == k]) - np.mean(np.array(came)[place == k])) * np.sum(place == k)
        for k in set(place.tolist())
    ]
    return {"calibration error": float(np.sum(off) / len(said))}


def reached(players: int, seed: int, n: int, balls_struck: int = 60) -> dict[str, float]:
    """How often the nine-in-ten carry is reached after n balls a cell on six visits, by swing, and how far it is off.

    Full swings are mishit 1.8 times, 7:30 swings half as often as all are.
    """
    shares, off = [], []
    for someone in _players(players, seed, DAY_SD, (0.5, 0.8, 1.2, 1.8)):
        nine_m = forecast(pool(someone.cells, _even(someone, n, 6), someone.stated)).point_m(0.1)
        struck = np.array([[someone.carry_m(cell) for _ in range(balls_struck)] for cell in range(len(nine_m))])
        shares.append((struck >= nine_m[:, None]).mean(axis=1))
        off.append((nine_m - np.quantile(struck, 0.1, axis=1)) / YARD_M)
    swings = [cell.swing_deg for cell in someone.cells]
    short, full = (np.array(swings) == swing for swing in (min(swings), max(swings)))
    return {
        "7:30": float(np.mean(np.array(shares)[:, short])),
        "full": float(np.mean(np.array(shares)[:, full])),
        "full, yd too long": float(np.mean(np.array(off)[:, full])),
    }


def which_next(players: int, seed: int, block: int = 10, blocks: int = 6) -> dict[str, float]:
    """Mean error [yd] after 60 balls from a ragged start, chosen greedily, fewest first, in turn and at random."""
    errors: dict[str, list[float]] = {"start": [], "greedy": [], "fewest first": [], "in turn": [], "random": []}
    for someone in _players(players, seed, DAY_SD):
        k = len(someone.cells)
        start = _spread(someone, someone.rng.integers(0, 2, k) * someone.rng.integers(0, 13, k), 2)
        pooled = pool(someone.cells, start, someone.stated)
        counts = np.bincount([ball.cell for ball in start], minlength=k)
        plans = {
            "start": [],
            "greedy": next_cells(pooled, np.exp(pooled.m).tolist(), block, blocks),
            "fewest first": np.argsort(counts, kind="stable")[:blocks].tolist(),
            "in turn": list(range(min(blocks, k))),
            "random": someone.rng.choice(k, blocks).tolist(),
        }
        for name, plan in plans.items():
            after = start + someone.visit([cell for cell in plan for _ in range(block)], 9, 0.0)
            m = pool(someone.cells, after, someone.stated).m
            errors[name].append(float(np.mean(np.abs(np.exp(m) - np.exp(someone.level)))) / YARD_M)
    found = {name: float(np.mean(values)) for name, values in errors.items()}
    return found | {"greedy / in turn": found["greedy"] / found["in turn"]}


def moving(players: int, seed: int, step: float = 0.05, cells: int = 3) -> dict[str, float]:
    """Charts over 16 visits of 30 balls in so many cells, and 16 more after a step: how often they ring."""
    false, found = [], []
    for someone in _players(players, seed, DAY_SD):
        quiet = _visits(someone, range(16), 0.0, cells)
        false.append(_rings(someone, quiet))
        found.append(_rings(someone, quiet + _visits(someone, range(16, 32), step, cells)))
    return {"false alarms per 480 balls": float(np.mean(false)), "5% steps found": float(np.mean(found))}


def phone(
    players: int,
    seed: int,
    most: int = 13,
    struck: int | None = None,
    paused: float = 0.0,
    visits: int = 3,
    opened_visits: int = 1,
) -> dict[str, float]:
    """How far [yd] the phone lies from the full answer in the touched cell, and in the others at worst.

    A book with 0 to `most` - 1 balls a cell on some visits, `paused` days ago, then `struck` balls of one cell on each
    of the visits that the server has not counted yet.
    """
    own, others = [], []
    for someone in _players(players, seed, DAY_SD):
        k = len(someone.cells)
        before = _spread(someone, someone.rng.integers(0, most, k), visits, paused)
        cell = int(someone.rng.integers(k))
        opened = [
            someone.visit([cell] * (struck or int(someone.rng.integers(1, 11))), 90 + v, 0.5 * (opened_visits - 1 - v))
            for v in range(opened_visits)
        ]
        state = rule.state_of(pool(someone.cells, before, someone.stated, on_a_visit=True), k)
        heard = [
            [rule.Heard(ball.cell, ball.carry_m, ball.contact, ball.judged_by) for ball in balls] for balls in opened
        ]
        full = pool(someone.cells, before + [ball for balls in opened for ball in balls], someone.stated).m
        apart = np.abs(np.exp(rule.replay(state, heard).m) - np.exp(full)) / YARD_M
        own.append(apart[cell])
        others.append(np.delete(apart, cell).max())
    return {
        "p90 yd": float(np.quantile(own, 0.9)),
        "p99 yd": float(np.quantile(own, 0.99)),
        "others p90 yd": float(np.quantile(others, 0.9)),
        "others p99 yd": float(np.quantile(others, 0.99)),
    }


def main(players: int, seed: int) -> None:
    """Print every figure."""
    print(f"{players} players, seed {seed}")
    for (n, visits), accept in ACCEPT.items():
        _say(f"{n} balls, {visits} visits (ratio <= {accept})", accuracy(players, seed, n, visits))
    for (n, visits), accept in ACCEPT_DAYS.items():
        _say(f"{n} balls, {visits} visits, days shift (ratio <= {accept})", accuracy(players, seed, n, visits, DAY_SD))
    _say("5 balls, contact not noted (ratio <= .76)", accuracy(players, seed, 5, labelled=False))
    _say("target cell of a ragged book, no ball", ragged(players, seed))
    _say("gap calls, 5 balls, ten times the players (false share <= .22)", gap_calls(10 * players, seed))
    _say("what fits, 5 balls (error <= .03)", calibration(players, seed))
    for n in (12, 60):
        _say(f"nine in ten reached, full swings mishit most, {n} balls", reached(players, seed, n))
    _say("which cell next (ratio <= .92)", which_next(players, seed))
    for cells in (3, 10, 15):
        _say(f"drift, {cells} cells a visit (<= .10 and >= .88)", moving(players, seed, cells=cells))
    for struck in (1, 3, 5, 10):
        _say(f"phone, empty book, {struck} balls (1: 1.2, 3.5; from 3: 1.0, 3.0)", phone(players, seed, 1, struck))
    _say("phone, 0 to 12 balls a cell", phone(players, seed))
    _say("phone, a book of full cells", phone(players, seed, 60))
    _say("phone, after a pause of 300 days", phone(players, seed, paused=300.0))
    _say("phone, the visit that makes the third", phone(players, seed, visits=2))
    _say("phone, the second and third visit not counted yet", phone(players, seed, visits=1, opened_visits=2))
    _say("phone, three visits not counted yet", phone(players, seed, opened_visits=3))


def _players(
    count: int, seed: int, day_sd: float, mishits_by_swing: tuple[float, ...] | None = None
) -> Iterator[Player]:
    rng = np.random.default_rng(seed)
    return (player(rng, day_sd, mishits_by_swing=mishits_by_swing) for _ in range(count))


def _even(someone: Player, n: int, visits: int, labelled: bool = True) -> list[Ball]:
    hit = [cell for cell in range(len(someone.cells)) for _ in range(n // visits)]
    return [ball for v in range(visits) for ball in someone.visit(hit, v, 10.0 * (visits - v), labelled)]


def _spread(someone: Player, counts: np.ndarray, visits: int, paused: float = 0.0) -> list[Ball]:
    hit = np.repeat(np.arange(len(counts)), counts)
    someone.rng.shuffle(hit)
    parts = np.array_split(hit, visits)
    return [
        ball for v, part in enumerate(parts) for ball in someone.visit(part.tolist(), v, paused + 10.0 * (visits - v))
    ]


def _visits(someone: Player, names: range, moved: float, cells: int) -> list[Ball]:
    balls = []
    for name in names:
        chosen = someone.rng.choice(len(someone.cells), cells, replace=False)
        hit = [int(cell) for cell in chosen for _ in range(30 // cells)]
        balls += someone.visit(hit, name, 7.0 * (32 - name), moved=moved)
    return balls


def _rings(someone: Player, balls: Sequence[Ball]) -> bool:
    pooled: Pooled = pool(someone.cells, balls, someone.stated)
    return any(chart.rung_at is not None for chart in charts(pooled))


def _rms(errors: list[np.ndarray]) -> float:
    return 100 * float(np.sqrt(np.mean(np.square(np.concatenate(errors)))))


def _say(what: str, found: dict[str, float]) -> None:
    print(f"{what:64}" + "  ".join(f"{name} {value:.3g}" for name, value in found.items()), flush=True)


if __name__ == "__main__":
    given = [int(text) for text in sys.argv[1:]]
    main(*(given + [200, 20][len(given) :]))
