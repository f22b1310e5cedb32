"""What a wedge does to the ball in the half thousandth of a second they touch.

Knows nothing of air, players or places.

| constant | value | source |
|---|---|---|
| HEAD_KG | 0.30 kg, a free head on a weightless shaft | from memory |
| BOUNCE_* | e = 0.86 - 0.0029 u_n, Penner 2001 after Chou et al. 1994 | from memory |
| SPEED_SHARE, FRICTION | 0.945 and 0.20, set on one remembered 50-yard pitch | common practice |
| GRIP_SHARE | 1.10, against a thin shell or solid ball that grips at once | ours |
| INERTIA_FACTOR | 2.5 = m r^2/I; measured I = 83.6 g cm2 | Proceedings 2020, 49(1), 47, Table 1, read |

Because two constants were set on that one pitch, agreement with it is no evidence for the model.
"""

import math
from typing import NamedTuple

from webapp.physics.ball import BALL_KG, BALL_RADIUS_M
from webapp.physics.motion import Launch
from webapp.units import RPM_RADPS

HEAD_KG = 0.30
BOUNCE_SLOW, BOUNCE_LOSS_PER_MPS = 0.86, 0.0029
SPEED_SHARE = 0.945
FRICTION = 0.20
GRIP_SHARE = 1.10
INERTIA_FACTOR = 2.5

Vector = tuple[float, float, float]


class Strike(NamedTuple):
    """The club as it meets the ball: speed [m/s]; angles [deg], + up, + right of the target for everybody."""

    club_speed_mps: float
    attack_deg: float
    dynamic_loft_deg: float
    path_deg: float = 0.0
    face_deg: float = 0.0


def launch_of(strike: Strike) -> Launch:
    """The launch a clean strike gives.

    Parameters
    ----------
    strike : Strike
        Club speed above 0 m/s, and a face that moves towards the ball (spin loft under 90 deg).

    Returns
    -------
    Launch
        Speed [m/s], launch and azimuth [deg], spin [rpm] and tilt [deg] of its axis (+ curves right).

    Raises
    ------
    ValueError
        If the club moves away from the ball.

    Notes
    -----
    v_n = 0.945 u_n (1 + e)/(1 + m/M) along the face normal n; v_t = min(1.10 u_t/(3.5 + m/M), 0.20 v_n) along
    the face; spin 2.5 v_t/r about t x n.
    """
    along, across, normal, slide = _split(strike)
    if strike.club_speed_mps <= 0.0 or along <= 0.0:
        raise ValueError("A club that does not move towards the ball gives no launch.")
    mass_ratio = BALL_KG / HEAD_KG
    bounce = BOUNCE_SLOW - BOUNCE_LOSS_PER_MPS * along
    ball_along = SPEED_SHARE * along * (1.0 + bounce) / (1.0 + mass_ratio)
    ball_across = min(GRIP_SHARE * across / (1.0 + INERTIA_FACTOR + mass_ratio), FRICTION * ball_along)
    velocity = tuple(ball_along * n + ball_across * t for n, t in zip(normal, slide, strict=True))
    up_rad = math.atan2(velocity[2], math.hypot(velocity[0], velocity[1]))
    spin_rpm = INERTIA_FACTOR * ball_across / BALL_RADIUS_M / RPM_RADPS
    return Launch(
        math.hypot(*velocity),
        math.degrees(up_rad),
        spin_rpm,
        math.degrees(math.atan2(-velocity[1], velocity[0])),
        _tilt_deg(_cross(slide, normal), up_rad),
    )


def launch_share(launch_deg: float, attack_deg: float, dynamic_loft_deg: float) -> float:
    """How far launch lies from the attack (0) to the dynamic loft (1); ValueError where they are one angle.

    Measured shares: 0.61 to 0.83 (Wood, Henrikson & Broadie, Proceedings 2018, 2(6), 249, abstract read).
    """
    if dynamic_loft_deg == attack_deg:
        raise ValueError("Attack and dynamic loft are the same angle, so the launch has no share between them.")
    return (launch_deg - attack_deg) / (dynamic_loft_deg - attack_deg)


def _split(strike: Strike) -> tuple[float, float, Vector, Vector]:
    """Club speed along the face normal and across it [m/s], with both directions."""
    normal = _direction(strike.dynamic_loft_deg, strike.face_deg)
    club = tuple(strike.club_speed_mps * part for part in _direction(strike.attack_deg, strike.path_deg))
    along = sum(c * n for c, n in zip(club, normal, strict=True))
    rest = tuple(c - along * n for c, n in zip(club, normal, strict=True))
    across = math.hypot(*rest)
    # A head-on strike has no direction across the face, and its speed across the face is 0.
    slide = (rest[0] / across, rest[1] / across, rest[2] / across) if across else (0.0, 0.0, 0.0)
    return along, across, normal, slide


def _direction(up_deg: float, right_deg: float) -> Vector:
    up, right = math.radians(up_deg), math.radians(right_deg)
    return math.cos(up) * math.cos(right), -math.cos(up) * math.sin(right), math.sin(up)


def _cross(a: Vector, b: Vector) -> Vector:
    return a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]


def _tilt_deg(axis: Vector, up_rad: float) -> float:
    """Lean [deg] of a spin axis square to the ball's velocity, which climbs at `up_rad`; + curves right."""
    length = math.hypot(*axis)
    if not length:
        return 0.0
    # Only the lifted vertical has a share of z, cos(up); the level direction across the flight has none.
    return -math.degrees(math.asin(max(-1.0, min(1.0, axis[2] / (length * math.cos(up_rad))))))
