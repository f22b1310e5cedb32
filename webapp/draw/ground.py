"""The ground at true scale from the ball outwards: the flag, the trouble, and each shot as twenty balls above one axis.

Knows no book, page or forecast: carries in metres come in. static/pages/fits_picture.js draws the same on the phone.
"""

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from ..units import LENGTH_M, from_m, round_half_up, whole
from .svg import Svg, join, tag

WIDE, EDGE = 344.0, 8.0  # px of the drawing, and of the room beside its axis
DOT, STEP = 5.0, 11.4  # radius of a ball and the width of a column of them
GROUND_Y, GROUND_HIGH = 66.0, 88.0
LEAST_ROWS = 3
FIGURE_APART = 30.0  # px from figure to figure; three digits are 24 wide


@dataclass(frozen=True)
class Axis:
    """The carries [m] at both ends of the ground that is shown."""

    low_m: float
    high_m: float

    def x(self, carry_m: float) -> float:
        """Where a carry lies [px]; what lies beyond an end is drawn at it."""
        along = (carry_m - self.low_m) / (self.high_m - self.low_m)
        return EDGE + min(max(along, 0.0), 1.0) * (WIDE - 2 * EDGE)


def axis(flag_m: float, front_m: float, back_m: float) -> Axis:
    """The ground round a flag and a window: about a third of the way short of it and beyond it."""
    return Axis(min(flag_m * 0.68, front_m * 0.95), max(flag_m * 1.3, back_m * 1.05))


def tick_step(along: Axis, unit: str) -> int:
    """How many `unit` lie between figures below the ground, so that none touches its neighbour."""
    px_a_unit = (WIDE - 2 * EDGE) / from_m(along.high_m - along.low_m, unit)
    return next((step for step in (10, 20, 50) if step * px_a_unit >= FIGURE_APART), 100)


def ground(along: Axis, flag_m: float, front_m: float | None, back_m: float | None, unit: str) -> Svg:
    """The ground with its flag; trouble up to `front_m` and from `back_m` is hatched, where there is any."""
    step = tick_step(along, unit)
    first = math.ceil(from_m(along.low_m, unit) / step) * step
    last = math.floor(from_m(along.high_m, unit) / step) * step
    ticks = [_tick(along.x(at * LENGTH_M[unit]), str(at)) for at in range(first, last + 1, step)]
    x = along.x(flag_m)
    return _drawing(
        GROUND_HIGH,
        _trouble(along.x(along.low_m), along.x(front_m), f"to {whole(front_m, unit)}", "end") if front_m else None,
        _trouble(along.x(back_m), along.x(along.high_m), f"past {whole(back_m, unit)}", "start") if back_m else None,
        tag("path", class_="turf", d=f"M0 {GROUND_Y:g}H{WIDE:g}"),
        *ticks,
        tag("path", class_="flag", d=f"M{x:.1f} {GROUND_Y:g}V8l20 8-20 8"),
        class_="ground-drawing",
    )


def twenty_balls(
    along: Axis, carries_m: Sequence[float], counts: tuple[int, int, int], window_m: tuple[float, float]
) -> Svg:
    """Twenty balls in columns: a filled one is in, a struck ring is out; `counts` are short, in and long."""
    short, inside, _ = counts
    left, right = (along.x(edge) for edge in window_m)
    first = math.ceil(left / STEP)  # the columns that stand inside the window
    last = max(first, math.floor(right / STEP))
    stacked: Counter[int] = Counter()
    balls = []
    for place, carry_m in enumerate(carries_m):
        column, is_in = round_half_up(along.x(carry_m) / STEP), short <= place < short + inside
        column = (
            min(max(column, first), last)
            if is_in
            else min(column, first - 1)
            if place < short
            else max(column, last + 1)
        )
        stacked[column] += 1
        balls.append((column * STEP, stacked[column], is_in))
    rows = max(LEAST_ROWS, *stacked.values())
    foot = rows * STEP + 4
    return _drawing(
        foot + 1,
        tag("rect", class_="window", x=left, y=0, width=right - left, height=foot),
        tag("path", class_="turf thin", d=f"M0 {foot:g}H{WIDE:g}"),
        *(_ball(x, foot - 1 - (row - 0.5) * STEP, is_in) for x, row, is_in in balls),
        class_="balls-drawing",
    )


def _ball(x: float, y: float, is_in: bool) -> Svg:
    if is_in:
        return tag("circle", class_="in", cx=x, cy=y, r=DOT)
    return tag(
        "path",
        class_="out",
        d=f"M{x - DOT + 1:.1f} {y:.1f}a4 4 0 1 0 8 0a4 4 0 1 0 -8 0M{x - 2.8:.1f} {y + 2.8:.1f}l5.6 -5.6",
    )


def _tick(x: float, label: str) -> Svg:
    return join(
        tag("path", class_="turf thin", d=f"M{x:.1f} {GROUND_Y:g}v5"),
        tag("text", label, x=x, y=GROUND_Y + 19, text_anchor="middle"),
    )


def _trouble(left: float, right: float, words: str, anchor: str) -> Svg:
    """Hatched ground, and at its edge in words how far it reaches."""
    strokes = [f"M{x:.1f} {GROUND_Y:g}l12 -16" for x in _every(left, right - 6, 10)]
    edge = right if anchor == "end" else left
    return join(
        tag("path", class_="trouble", d="".join(strokes)),
        tag("path", class_="turf", d=f"M{edge:.1f} {GROUND_Y + 6:g}v-26"),
        tag("text", words, x=edge + (-3 if anchor == "end" else 3), y=GROUND_Y - 24, text_anchor=anchor),
    )


def _every(start: float, end: float, step: float) -> list[float]:
    return [start + step * place for place in range(max(0, math.ceil((end - start) / step)))]


def _drawing(high: float, *inside: Svg | None, class_: str) -> Svg:
    return tag("svg", *inside, class_=class_, viewBox=f"0 0 {WIDE:g} {high:.1f}", aria_hidden="true", focusable="false")
