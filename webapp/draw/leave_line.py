"""What to leave as one line over the ground: the higher, the likelier to land in; dashed where that is a guess.

Knows no book, page or card: distances in metres and chances come in. static/pages/leave_picture.js draws the same.
"""

from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

from ..units import LENGTH_M, from_m, whole
from .ground import WIDE, Axis, tick_step
from .svg import Svg, join, tag

GROUND_Y, HIGH, TALL = 138.0, 160.0, 108.0  # where the ground lies, the drawing's height, that of a chance of 1
LEAST_HATCH = 10.0
SIDE = 0.07  # of the ground, at its far end, is left for the names of the shares


class Point(NamedTuple):
    """One distance [m] with the chance of its best shot, 0 to 1, and whether that is a guess."""

    left_m: float
    chance: float
    guess: bool


def leave_line(
    points: Sequence[Point], peaks: Sequence[Point], worst_m: Sequence[tuple[float, float]],
    chosen_m: float | None, unit: str,
) -> Svg:  # fmt: skip
    """The line with a dot and a number on each peak, the worst stretches hatched, a flag where to leave it."""
    room_m = LENGTH_M[unit]
    span_m = points[-1].left_m - points[0].left_m
    along = Axis(points[0].left_m - room_m, points[-1].left_m + room_m + SIDE * span_m)
    high = [_share(share) for share in (0.5, 1.0)]
    return tag(
        "svg",
        *high,
        *(_hatched(along.x(low), along.x(end)) for low, end in worst_m),
        tag("path", class_="turf", d=f"M0 {GROUND_Y:g}H{WIDE:g}"),
        *_ticks(along, points, unit),
        _flag(along.x(chosen_m)) if chosen_m is not None else None,
        *_line(along, points),
        *(_peak(along, one, unit) for one in peaks),
        class_="ground-drawing leave-line",
        viewBox=f"0 0 {WIDE:g} {HIGH:g}",
        aria_hidden="true",
        focusable="false",
    )


def _y(chance: float) -> float:
    return GROUND_Y - TALL * chance


def _share(share: float) -> Svg:
    y = _y(share)
    return join(
        tag("path", class_="share", d=f"M0 {y:g}H{WIDE:g}"),
        tag("text", f"{100 * share:.0f}", class_="share-name", x=WIDE, y=y - 3, text_anchor="end"),
    )


def _line(along: Axis, points: Sequence[Point]) -> list[Svg]:
    """Pieces of one kind each: whole, or dashed from and to every distance whose best shot is a guess."""
    pieces: list[tuple[bool, list[str]]] = []
    for before, point in pairwise(points):
        dashed = before.guess or point.guess
        if not pieces or pieces[-1][0] != dashed:
            pieces.append((dashed, [_at(along, before)]))
        pieces[-1][1].append(_at(along, point))
    return [
        tag("path", class_="chance guessed" if dashed else "chance", d="M" + "L".join(places))
        for dashed, places in pieces
    ]


def _at(along: Axis, point: Point) -> str:
    return f"{along.x(point.left_m):.1f} {_y(point.chance):.1f}"


def _peak(along: Axis, point: Point, unit: str) -> Svg:
    x, y = along.x(point.left_m), _y(point.chance)
    return join(
        tag("circle", class_="peak", cx=x, cy=y, r=4.5),
        tag("text", f"{whole(point.left_m, unit)}", class_="peak-name", x=x, y=y - 9, text_anchor="middle"),
    )


def _hatched(left: float, right: float) -> Svg:
    middle = (left + right) / 2
    half = max(right - left, LEAST_HATCH) / 2
    count = int(2 * half / 5)
    strokes = [f"M{middle - half + 5 * place:.1f} {GROUND_Y:g}l7 -14" for place in range(count + 1)]
    return tag("path", class_="trouble", d="".join(strokes))


def _flag(x: float) -> Svg:
    return tag("path", class_="flag", d=f"M{x:.1f} {GROUND_Y:g}V4l16 7-16 7")


def _ticks(along: Axis, points: Sequence[Point], unit: str) -> list[Svg]:
    step = tick_step(along, unit)
    first = -(-round(from_m(points[0].left_m, unit)) // step) * step
    last = round(from_m(points[-1].left_m, unit))
    return [
        join(
            tag("path", class_="turf thin", d=f"M{along.x(at * LENGTH_M[unit]):.1f} {GROUND_Y:g}v5"),
            tag("text", f"{at}", x=along.x(at * LENGTH_M[unit]), y=GROUND_Y + 19, text_anchor="middle"),
        )
        for at in range(first, last + 1, step)
    ]
