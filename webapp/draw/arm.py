"""The arm drawing: a circle with one thick hand at the lead arm's angle, our sign for a swing length everywhere.

Knows no club and no carry; whether arms point the mirrored way is an argument.
"""

import math

from .svg import Svg, tag


def side(mirrored: bool) -> int:
    """-1 where arms swing to the left of the page, +1 where they swing to the right.

    One flag turns arms and hours together (`clock.mirrors`): a face whose hand stood left while its hour read 3:00
    would be no clock anybody can read.
    """
    return 1 if mirrored else -1


def direction(swing_deg: float, mirrored: bool) -> tuple[float, float]:
    """Unit vector (x to the right, y down the page) of an arm at `swing_deg` [deg, 0-180] from straight down."""
    angle = math.radians(swing_deg)
    return side(mirrored) * math.sin(angle), math.cos(angle)


def arm_at(x: float, y: float, radius: float, swing_deg: float, mirrored: bool) -> Svg:
    """The drawing as a group inside a larger one: centre (x, y) and `radius` in the larger one's units."""
    dx, dy = direction(swing_deg, mirrored)
    tip_x, tip_y = x + dx * radius * 0.82, y + dy * radius * 0.82
    return tag(
        "g",
        tag("circle", cx=x, cy=y, r=radius, fill="none", stroke="currentColor", stroke_width=radius * 0.12),
        tag(
            "line", x1=x, y1=y, x2=tip_x, y2=tip_y,
            stroke="currentColor", stroke_width=radius * 0.36, stroke_linecap="round",
        ),
        class_="arm",
    )  # fmt: skip


def arm(swing_deg: float, mirrored: bool) -> Svg:
    """The drawing on its own, 24 x 24, hidden from screen readers because a name always stands beside it."""
    return tag(
        "svg", arm_at(12, 12, 10.8, swing_deg, mirrored),
        class_="arm-drawing", viewBox="0 0 24 24", width="24", height="24", aria_hidden="true", focusable="false",
    )  # fmt: skip
