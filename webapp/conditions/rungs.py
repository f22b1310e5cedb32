"""The card as a ladder: every number with the flights that carry it at home, ready to be flown in another air.

Knows the flight model and one wedge's launch; nothing of the day, of pages or of how a phone keeps the ladder.
"""

from collections.abc import Sequence
from functools import lru_cache
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from webapp.conditions.day import CARRY_M_RANGE, Conditions
from webapp.conditions.launches import ClubLaunch, corners
from webapp.physics.flight import fly_grid
from webapp.physics.motion import Launch, Sky
from webapp.units import YARD_M

BELOW_M = tuple(yards * YARD_M for yards in (5.0, 10.0, 20.0, 30.0))  # Steps under the card's shortest number.
MORE_M = YARD_M  # How much longer the last flight of a rung carries at home: it shows what a yard more brings.
OWN, CORNERS, MORE = 0, (1, 2, 3, 4), 5  # Places among a rung's flights.

_SPEEDS_MPS = np.linspace(2.0, 62.0, 121)  # The fastest carries any wedge's launch beyond 140 yards.

Floats = npt.NDArray[np.float64]


class Number(NamedTuple):
    """One number of the card: the cell's key, its carry [m] and how its wedge launches the ball."""

    key: str
    card_m: float
    launch: ClubLaunch


class Rung(NamedTuple):
    """One step of the ladder.

    `key` names the cell, "" for a step below the card's shortest number; `card_m` [m] is its carry at home;
    `flights` are six launches: the cell's own, four at the corners of what is left open of it, each carrying
    `card_m` at home, and the own one carrying a yard more.
    """

    key: str
    card_m: float
    flights: tuple[Launch, ...]


def ladder(numbers: Sequence[Number], home: Conditions) -> tuple[Rung, ...]:
    """The rungs of a card, short to long.

    Parameters
    ----------
    numbers : sequence of Number
        The numbers of the card; those outside 5 to 140 yards are left out.
    home : Conditions
        Where they were measured; only temperature and altitude count.

    Returns
    -------
    tuple of Rung
        One for each number, and below the shortest a few with its launch, so that a pitch is answered too.
        Empty without a number.
    """
    known = sorted((one for one in numbers if _offered(one.card_m)), key=lambda one: one.card_m)
    if not known:
        return ()
    shortest = known[0]
    below = [Number("", card_m, shortest.launch) for card_m in BELOW_M if card_m < shortest.card_m - MORE_M]
    roots_of = _roots_of_carries(tuple(sorted({number.launch for number in known})), home.still.sky.density_kgm3)
    return tuple(_rung(number, roots_of) for number in [*below, *known])


def flown_m(rungs: Sequence[Rung], day: Conditions) -> Floats:
    """What every flight of the ladder carries [m] on a day: one row a rung, one column a flight.

    nan where a flight does not come down at the target's height.
    """
    flights = np.array([[flight[:3] for flight in rung.flights] for rung in rungs])
    speeds, launches, spins = np.moveaxis(flights, 2, 0)
    carry: Floats = fly_grid(Launch(speeds, launches, spins), day.sky, day.target_up_m).carry_m
    return carry


def _rung(number: Number, roots_of: dict[ClubLaunch, Floats]) -> Rung:
    open_to = [(number.card_m, launch) for launch in (number.launch, *corners(number.launch))]
    wanted = [*open_to, (number.card_m + MORE_M, number.launch)]
    speeds = [(launch, float(np.interp(card_m**0.5, roots_of[launch], _SPEEDS_MPS))) for card_m, launch in wanted]
    flights = tuple(Launch(speed, launch.launch_deg, launch.spin_rpm_per_mps * speed) for launch, speed in speeds)
    return Rung(number.key, number.card_m, flights)


@lru_cache(maxsize=64)
def _roots_of_carries(launches: tuple[ClubLaunch, ...], density_kgm3: float) -> dict[ClubLaunch, Floats]:
    """Square roots of what each speed carries at home, by launch, the corners of each included.

    They rise almost in step with the speed, so a straight line between two of them is within 5 mm of the carry.
    """
    wanted = [one for launch in launches for one in (launch, *corners(launch))]
    angles, spins = np.array(wanted).T[:, :, None]
    carries = fly_grid(Launch(_SPEEDS_MPS, angles, spins * _SPEEDS_MPS), Sky(density_kgm3)).carry_m
    return dict(zip(wanted, np.sqrt(carries), strict=True))


def _offered(card_m: float) -> bool:
    return CARRY_M_RANGE[0] <= card_m <= CARRY_M_RANGE[1]
