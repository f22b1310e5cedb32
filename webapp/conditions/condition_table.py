"""Coefficients by which a phone without signal works out what each number of the card carries today.

Knows nothing of pages or of how a phone stores them; conditions/today.py has the solver they stand for.

The rule, for one number of the card and today's conditions:

    excess = (1 + a1 h + a2 h^2 + a3 h^3) (home temperature/temperature today, both in kelvin) - 1
    carry  = number + sum over the terms of coefficient excess^i wind^j rise^k

with h the altitude above home [m], wind + helping [m/s], rise the target's height above the ball [m].
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise, product

import numpy as np
import numpy.typing as npt

from webapp.conditions.today import (
    ALTITUDE_M_RANGE,
    CARRY_M_RANGE,
    RANGE_SHARE,
    TARGET_UP_M_RANGE,
    TEMPERATURE_C_RANGE,
    WIND_EXPONENTS,
    WIND_MPS_RANGE,
    Answer,
    Conditions,
    Part,
    doubts,
    one_by_one,
    reference_launch,
    reference_speed_mps,
    worded,
)
from webapp.physics.air import standard_air
from webapp.physics.flight import fly_grid
from webapp.physics.motion import Sky
from webapp.units import KELVIN_AT_0_DEGC

STEEPEST = 0.10  # A target is offered up to a tenth of the carry up or down; steeper ones wait for the solver.
LEAST_GAIN = 0.7  # Where a yard more on the card brings less today, an error in one grows in the other.
# Third order in all, and fourth where thick air and wind multiply each other's effect.
TERMS = tuple(p for p in product(range(5), repeat=3) if 0 < sum(p) <= 3 or (sum(p) == 4 and p[2] == 0))
_NODES = 5

Floats = npt.NDArray[np.float64]


@dataclass(frozen=True)
class Number:
    """One number of the card: carry [m], most rise [m], coefficients by `wind_at` in order of terms."""

    card_m: float
    target_up_m_most: float
    coefficients: dict[str, tuple[float, ...]]


@dataclass(frozen=True)
class ConditionTable:
    """What the phone keeps: home, the altitude polynomial (a1, a2, a3) and the numbers, short to long."""

    home_temperature_c: float
    home_altitude_m: float
    pressure: tuple[float, float, float]
    range_share: float
    terms: tuple[tuple[int, ...], ...]
    numbers: tuple[Number, ...]


def condition_table(cards_m: Sequence[float], home: Conditions) -> ConditionTable:
    """Fit the coefficients for every number of a card.

    Parameters
    ----------
    cards_m : sequence of float
        Carries of the card [m], 5 to 140 yards; others, and repeats, are left out.
    home : Conditions
        Where they were measured; only temperature and altitude count.

    Returns
    -------
    ConditionTable
        Within half a yard of `conditions.carry_today` over its ranges and slopes up to a tenth.

    Notes
    -----
    Least squares over Chebyshev points, without a constant, so that home gives the number.
    """
    home = replace(home, tail_mps=0.0, target_up_m=0.0)
    speeds_mps = {card_m: reference_speed_mps(card_m, home) for card_m in sorted(set(cards_m))}
    known = {card_m: speed for card_m, speed in speeds_mps.items() if _offered(card_m) and speed is not None}
    return ConditionTable(
        home.temperature_c,
        home.altitude_m,
        _pressure(home.altitude_m),
        RANGE_SHARE,
        TERMS,
        _numbers(np.array(list(known)), np.array(list(known.values())), home) if known else (),
    )


def carry_by_table_m(table: ConditionTable, number: Number, today: Conditions) -> float | None:
    """The phone's rule: what `number` carries today [m], or None for a target steeper than is offered."""
    if abs(today.target_up_m) > number.target_up_m_most:
        return None
    climb_m = today.altitude_m - table.home_altitude_m
    pressure = 1.0 + sum(a * climb_m ** (power + 1) for power, a in enumerate(table.pressure))
    warmth = (table.home_temperature_c + KELVIN_AT_0_DEGC) / (today.temperature_c + KELVIN_AT_0_DEGC)
    values = (pressure * warmth - 1.0, today.tail_mps, today.target_up_m)
    change_m = 0.0
    for coefficient, (i, j, k) in zip(number.coefficients[today.wind_at], table.terms, strict=True):
        change_m += coefficient * values[0] ** i * values[1] ** j * values[2] ** k
    return number.card_m + change_m


def play_by_table_m(table: ConditionTable, target_m: float, today: Conditions) -> float | None:
    """The carry of the card to play [m] for a target, on a straight line between neighbouring numbers.

    None outside the numbers, and where a longer number hardly flies further today. With numbers five yards
    apart the answer lies within half a yard of the solver.
    """
    flown = [(number.card_m, carry_by_table_m(table, number, today)) for number in table.numbers]
    known = [(card_m, carry_m) for card_m, carry_m in flown if carry_m is not None]
    for (card_m, carry_m), (next_card_m, next_carry_m) in pairwise(known):
        if carry_m <= target_m <= next_carry_m and next_carry_m - carry_m >= LEAST_GAIN * (next_card_m - card_m):
            return card_m + (next_card_m - card_m) * (target_m - carry_m) / (next_carry_m - carry_m)
    return None


def fly_by_table_m(table: ConditionTable, card_m: float, today: Conditions) -> float | None:
    """What any carry of the card becomes today [m], on a straight line between neighbouring numbers.

    None outside the numbers and for a target steeper than is offered for the shorter of the two.
    """
    for number, longer in pairwise(table.numbers):
        if number.card_m <= card_m <= longer.card_m:
            near_m, far_m = carry_by_table_m(table, number, today), carry_by_table_m(table, longer, today)
            if near_m is None or far_m is None:
                return None
            return near_m + (far_m - near_m) * (card_m - number.card_m) / (longer.card_m - number.card_m)
    return None


def play_by_table(table: ConditionTable, target_m: float, today: Conditions, unit: str = "yd") -> Answer | None:
    """`conditions.carry_to_play` by the phone's rule; None where the phone has to wait for the solver."""
    return _by_table(play_by_table_m, table, target_m, today, unit, "plays")


def fly_by_table(table: ConditionTable, card_m: float, today: Conditions, unit: str = "yd") -> Answer | None:
    """`conditions.carry_today` by the phone's rule; None where the phone has to wait for the solver."""
    return _by_table(fly_by_table_m, table, card_m, today, unit, "flies")


def _by_table(
    scaled_m: Callable[[ConditionTable, float, Conditions], float | None],
    table: ConditionTable,
    asked_m: float,
    today: Conditions,
    unit: str,
    verb: str,
) -> Answer | None:
    if doubts(today, unit) or not _offered(asked_m):
        return None
    home = Conditions(table.home_temperature_c, table.home_altitude_m)
    parts, before_m = [], asked_m
    for cause, here in one_by_one(home, today):
        after_m = scaled_m(table, asked_m, here)
        if after_m is None or after_m > CARRY_M_RANGE[1]:
            return None
        parts.append(Part(cause, after_m - before_m))
        before_m = after_m
    return worded(asked_m, tuple(parts), home, today, unit, verb)


def _offered(card_m: float) -> bool:
    return CARRY_M_RANGE[0] <= card_m <= CARRY_M_RANGE[1]


def _numbers(cards_m: Floats, speeds_mps: Floats, home: Conditions) -> tuple[Number, ...]:
    """Fly every number through the same grid of conditions at once, then fit each."""
    up_m_most = np.minimum(STEEPEST * cards_m, TARGET_UP_M_RANGE[1])
    home_density = home.sky.density_kgm3
    low, high = _density_range()
    excess, tail_mps, up_share = (
        axis.ravel()
        for axis in np.meshgrid(
            _points(low / home_density - 1.0, high / home_density - 1.0),
            _points(*WIND_MPS_RANGE),
            _points(-1.0, 1.0),
        )
    )
    # Each variable is divided by its largest value, or the fit would mix numbers of very different sizes.
    scales = np.array([np.abs(excess).max(), tail_mps.max(), 1.0])
    values = np.stack([excess, tail_mps, up_share], axis=1) / scales
    design = np.prod(values[:, None, :] ** np.array(TERMS)[None, :, :], axis=2)
    fits = {}
    for wind_at, exponent in WIND_EXPONENTS.items():
        sky = Sky(home_density * (1.0 + excess), tail_mps, wind_exponent=exponent)
        flights = fly_grid(reference_launch(speeds_mps[:, None]), sky, up_m_most[:, None] * up_share)
        fits[wind_at] = np.linalg.lstsq(design, (flights.carry_m - cards_m[:, None]).T, rcond=None)[0].T
    numbers = []
    for row, (card_m, most_m) in enumerate(zip(cards_m, up_m_most, strict=True)):
        shrink = np.prod(np.array([scales[0], scales[1], most_m]) ** np.array(TERMS), axis=1)
        coefficients = {wind_at: tuple((fit[row] / shrink).tolist()) for wind_at, fit in fits.items()}
        numbers.append(Number(float(card_m), float(most_m), coefficients))
    return tuple(numbers)


def _points(low: float, high: float) -> Floats:
    """Chebyshev points between two ends, the ends included, so that the fit is as good there as inside."""
    share: Floats = 0.5 - 0.5 * np.cos(np.pi * np.arange(_NODES) / (_NODES - 1))
    return low + (high - low) * share


def _density_range() -> tuple[float, float]:
    thin = Conditions(TEMPERATURE_C_RANGE[1], ALTITUDE_M_RANGE[1]).sky.density_kgm3
    thick = Conditions(TEMPERATURE_C_RANGE[0], ALTITUDE_M_RANGE[0]).sky.density_kgm3
    return float(thin), float(thick)


def _pressure(home_altitude_m: float) -> tuple[float, float, float]:
    """Pressure over home's as a cubic in the climb from home, without a constant so that home gives one."""
    climb_m = _points(*ALTITUDE_M_RANGE) - home_altitude_m
    home_pa = standard_air(home_altitude_m).pressure_pa
    excess = np.array([standard_air(home_altitude_m + climb).pressure_pa / home_pa - 1.0 for climb in climb_m])
    km = climb_m / 1000.0
    a1, a2, a3 = np.linalg.lstsq(np.stack([km, km**2, km**3], axis=1), excess, rcond=None)[0]
    return float(a1 / 1e3), float(a2 / 1e6), float(a3 / 1e9)
