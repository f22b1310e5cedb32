"""The phone's rule: how the numbers move by the balls of visits that the server has not counted yet.

Knows nothing of clubs, pages or storage; static/rules/estimate.js holds the same rule. The balls are heard twice: once
weighed by what came before each, and once more by the forecast made without each, as the server weighs them.
"""

import base64
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from webapp.estimate import model
from webapp.estimate.learned import mishit_density
from webapp.estimate.model import FloatArray
from webapp.estimate.pool import Pooled
from webapp.estimate.student import t_by_df


@dataclass(frozen=True)
class State:
    """What a phone starts from: the estimate without the visits that it hears again.

    Attributes
    ----------
    m : (J + W,) array
        Means of ln(typical carry [m]) of the cells, then of the ways of judging in use.
    V : (J + W, J + W) array
        Their covariance, in single precision.
    ways : tuple of str
    s2 : (J,) array
        Variance of clean balls of one visit.
    omega_a2, omega_b2 : float
        Variances of a visit's shift and of one cell's in it.
    pi : dict of str to float
        Chance that a ball of this contact was clean, by model.CONTACTS without "shank".
    """

    m: FloatArray
    V: FloatArray
    ways: tuple[str, ...]
    s2: FloatArray
    omega_a2: float
    omega_b2: float
    pi: dict[str, float]


@dataclass(frozen=True)
class Heard:
    """One ball of a visit: its cell, carry [m] or None, contact and how the carry was judged."""

    cell: int
    carry_m: float | None
    contact: str
    judged_by: str = "monitor"


@dataclass(frozen=True)
class Replayed:
    """The cells after the visits: mean `m` and variance `v` of ln(typical carry [m]), (J,), and the balls' weights."""

    m: FloatArray
    v: FloatArray
    weights: tuple[tuple[float, ...], ...]


def state_of(pooled: Pooled, j: int) -> State:
    """The state of the first `j` cells; the estimate is made without the visits that are not over, and on a visit."""
    across = pooled.way_cell_V[:, :j]
    V = np.block([[pooled.V[:j, :j], across.T], [across, pooled.way_V]])
    chances = zip(model.CONTACTS, pooled.clean_chance.tolist(), strict=True)
    return State(
        m=np.concatenate([pooled.m[:j], pooled.way_m]),
        V=unpacked(packed(V), j + len(pooled.ways)),
        ways=pooled.ways,
        s2=pooled.sigma[:j] ** 2,
        omega_a2=pooled.omega_a2,
        omega_b2=pooled.omega_b2,
        pi={contact: chance for contact, chance in chances if contact != "shank"},
    )


def plain(state: State) -> dict[str, Any]:
    """The state as JSON, its covariance packed."""
    return {
        "m": state.m.tolist(),
        "V": packed(state.V),
        "ways": list(state.ways),
        "s2": state.s2.tolist(),
        "omega_a2": state.omega_a2,
        "omega_b2": state.omega_b2,
        "pi": state.pi,
    }


def read(told: Mapping[str, Any]) -> State:
    """The state that `plain` told."""
    m = np.array(told["m"])
    return State(
        m, unpacked(told["V"], len(m)), tuple(told["ways"]), np.array(told["s2"]),
        told["omega_a2"], told["omega_b2"], told["pi"],
    )  # fmt: skip


def packed(V: FloatArray) -> str:
    """The upper triangle of a covariance, row by row, as little-endian single precision in base64."""
    return base64.b64encode(V[np.triu_indices(len(V))].astype("<f4").tobytes()).decode("ascii")


def unpacked(text: str, size: int) -> FloatArray:
    """The covariance (size, size) of a packed triangle."""
    V = np.zeros((size, size))
    V[np.triu_indices(size)] = np.frombuffer(base64.b64decode(text), dtype="<f4")
    return V + np.triu(V, 1).T


def replay(state: State, visits: Sequence[Sequence[Heard]]) -> Replayed:
    """The cells after the balls of each visit, in the order they were hit.

    A ball without a carry above 0 and a shank move nothing and get weight 0. A visit's shift and the shift of each cell
    in it are unknowns of their own; a way of judging that was not in use joins with its prior variance.
    """
    m, V, balls = _with_shifts(state, visits)
    forward = [0.0] * len(balls)
    end_m, end_V = m.copy(), V.copy()
    for at, ball in enumerate(balls):
        r, q = _apart(ball, end_m, end_V)
        forward[at] = _weight(ball, r, q + ball.s2)
        _hear(ball, forward[at], end_m, end_V)
    weights = [_without_itself(ball, w, end_m, end_V) for ball, w in zip(balls, forward, strict=True)]
    for ball, w in zip(balls, weights, strict=True):
        _hear(ball, w, m, V)
    j = len(state.s2)
    given = iter(weights)
    by_visit = tuple(tuple(next(given) if _tells(state, ball) else 0.0 for ball in visit) for visit in visits)
    return Replayed(m[:j], np.diag(V)[:j].copy(), by_visit)


def half_width_m(m: float, v: float, df: float) -> float:
    """Half the width [m] of the 80% interval of a typical carry, by the table of multipliers that the phone has."""
    known, t = np.array(t_by_df()).T
    return math.exp(m) * math.sinh(float(np.interp(df, known, t)) * math.sqrt(v))


@dataclass(frozen=True)
class _Ball:
    """A ball that tells something: the places of its unknowns (cell, way, the visit's shift, the cell's in it)."""

    places: tuple[int, ...]
    y: float
    s2: float
    chance: float


def _with_shifts(state: State, visits: Sequence[Sequence[Heard]]) -> tuple[FloatArray, FloatArray, list[_Ball]]:
    """Mean and covariance of all unknowns before any ball is heard, and the balls that tell something."""
    j = len(state.s2)
    variances: list[float] = []
    places: dict[object, int] = {way: j + place for place, way in enumerate(state.ways)}

    def place(name: object, variance: float) -> int:
        if name not in places:
            places[name] = len(state.m) + len(variances)
            variances.append(variance)
        return places[name]

    balls = []
    for number, visit in enumerate(visits):
        for ball in visit:
            if _tells(state, ball):
                own = (
                    ball.cell,
                    place(ball.judged_by, model.WAY_SDS[ball.judged_by] ** 2),
                    place(("visit", number), state.omega_a2),
                    place(("cell", number, ball.cell), state.omega_b2),
                )
                y, s2 = math.log(ball.carry_m or 1.0), float(state.s2[ball.cell])
                balls.append(_Ball(own, y, s2, state.pi[ball.contact]))
    size = len(state.m)
    V = np.diag(np.concatenate([np.zeros(size), variances]))
    V[:size, :size] = state.V
    return np.concatenate([state.m, np.zeros(len(variances))]), V, balls


def _tells(state: State, ball: Heard) -> bool:
    return ball.carry_m is not None and ball.carry_m > 0 and ball.contact in state.pi


def _apart(ball: _Ball, m: FloatArray, V: FloatArray) -> tuple[float, float]:
    """How far the ball is from its level, and the variance of that level."""
    at = list(ball.places)
    return ball.y - float(m[at].sum()), float(V[np.ix_(at, at)].sum())


def _weight(ball: _Ball, r: float, S: float) -> float:
    clean = ball.chance * math.exp(-r * r / (2 * S)) / math.sqrt(2 * math.pi * S)
    either = clean + (1 - ball.chance) * float(mishit_density(np.array([r]))[0])
    return clean / either if either else 0.0


def _without_itself(ball: _Ball, w: float, m: FloatArray, V: FloatArray) -> float:
    """The weight of a ball by the forecast made without it, from the state that holds it with weight w."""
    r, q = _apart(ball, m, V)
    keep = 1 - min(w * q / ball.s2, model.HIGHEST_LEVERAGE)
    return _weight(ball, r / keep, q / keep + ball.s2)


def _hear(ball: _Ball, w: float, m: FloatArray, V: FloatArray) -> None:
    """Move all unknowns by one ball of this weight: kappa = w/(w q + sigma^2), m += kappa r u, V -= kappa u u'."""
    r, q = _apart(ball, m, V)
    u = V[:, list(ball.places)].sum(axis=1)
    kappa = w / (w * q + ball.s2)
    m += kappa * r * u
    V -= kappa * np.outer(u, u)
