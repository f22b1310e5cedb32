"""How a wedge launches the ball: by its loft, or by the player's own readings, and how far either may be off.

Knows nothing of air, wind or pages.

| constant | value | source |
|---|---|---|
| LAUNCH | 29 + 0.5 (loft - 52), kept within 24 to 34 degrees | common practice, no source |
| SPIN | 205 + 4.5 (loft - 46), within 195 to 250 rpm for each m/s of ball speed | common practice, no source |
| LAUNCH_OFF_DEG, SPIN_OFF_SHARE | 4 degrees and 15% either way | common practice and judgement, not measured |
| FEWEST_READINGS | 5 readings of one cell replace the rule | ours |

No basis was found for a launch that depends on the length of the swing, so every swing of a wedge shares one.
"""

from collections.abc import Iterable
from itertools import product
from statistics import fmean
from typing import NamedTuple

LAUNCH_AT_52_DEG, LAUNCH_PER_LOFT, LAUNCH_DEG_RANGE = 29.0, 0.5, (24.0, 34.0)
SPIN_AT_46, SPIN_PER_LOFT, SPIN_RANGE = 205.0, 4.5, (195.0, 250.0)
LAUNCH_OFF_DEG = 4.0
SPIN_OFF_SHARE = 0.15
FEWEST_READINGS = 5


class ClubLaunch(NamedTuple):
    """How a ball leaves one wedge: angle up from level [deg], spin [rpm] for each m/s of ball speed."""

    launch_deg: float
    spin_rpm_per_mps: float


class Reading(NamedTuple):
    """What a monitor showed of one ball: launch [deg], spin [rpm], ball speed [m/s]; each may be None."""

    launch_deg: float | None
    spin_rpm: float | None
    ball_speed_mps: float | None


def launch_of_loft(loft_deg: float) -> ClubLaunch:
    """The launch of a wedge by its stamped loft [deg], 36 to 70."""
    return ClubLaunch(
        _within(LAUNCH_AT_52_DEG + LAUNCH_PER_LOFT * (loft_deg - 52.0), LAUNCH_DEG_RANGE),
        _within(SPIN_AT_46 + SPIN_PER_LOFT * (loft_deg - 46.0), SPIN_RANGE),
    )


def launch_of_cell(loft_deg: float, readings: Iterable[Reading] = ()) -> ClubLaunch:
    """The launch of one cell: the mean of its own readings where there are five, else the rule by loft."""
    told = list(readings)
    ruled = launch_of_loft(loft_deg)
    launches = [one.launch_deg for one in told if one.launch_deg is not None and 0.0 < one.launch_deg < 90.0]
    spins = [one.spin_rpm / one.ball_speed_mps for one in told if one.spin_rpm and one.ball_speed_mps]
    return ClubLaunch(
        fmean(launches) if len(launches) >= FEWEST_READINGS else ruled.launch_deg,
        fmean(spins) if len(spins) >= FEWEST_READINGS else ruled.spin_rpm_per_mps,
    )


def corners(launch: ClubLaunch) -> tuple[ClubLaunch, ...]:
    """The four launches at the edges of what is left open: lower or higher, with less or more spin."""
    return tuple(
        ClubLaunch(launch.launch_deg + off * LAUNCH_OFF_DEG, launch.spin_rpm_per_mps * (1.0 + more * SPIN_OFF_SHARE))
        for off, more in product((-1.0, 1.0), repeat=2)
    )


def _within(value: float, ends: tuple[float, float]) -> float:
    return min(max(value, ends[0]), ends[1])
