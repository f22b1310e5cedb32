"""The yard pole: every shown carry at its true place on one scale, so that holes and twins are seen.

Knows no trust rule, card or page; a Face comes in, SVG text comes out.
"""

import math
from collections.abc import Sequence
from itertools import pairwise

from ..units import LENGTH_M, from_m, whole
from .arm import arm_at
from .dial import HEIGHT_MM, WIDTH_MM
from .number import number
from .shapes import Carry, Face
from .svg import Svg, join, tag

TOP_MM, BOTTOM_MM = 3.0, 80.4  # 18 rows of 4.55 mm; more make the drawing taller
ROW_MM, ROOMY_ROW_MM, ROW_BOX = 4.55, 8.6, 0.97
POLE_X, BARS_X, BAR_STEP, BARS_END_X, KNEE_X, ROWS_X = 9.0, 10.4, 1.5, 16.4, 16.9, 19.6
TWINS_X, TWINS_DEEP = 20.6, 1.0
NUMBER_X, CLUB_X, ARM_X, SPREAD_X = 26.2, 40.8, 44.4, 52.8
TICK_EVERY = 10


def yard_pole(face: Face, mirrored: bool, unit: str, small_print: str = "") -> Svg:
    """The pole of a face, longest carry on top; as tall as the dial up to 18 rows.

    Hidden from screen readers: the list beside it says the same, row by row. The ticks of every unit are drawn
    and those of the others marked `data-other`: ui/relabel.js moves the mark, since units change without signal.
    """
    carries = sorted(face.carries.values(), key=lambda carry: (-carry.carry_m, carry.key))
    scale = _Scale(carries)
    heights = [scale.y(carry.carry_m) for carry in carries]
    row_mm = _row_height(len(carries))
    height_mm = scale.bottom + HEIGHT_MM - BOTTOM_MM
    rows = spread_rows(heights, row_mm, TOP_MM, scale.bottom)
    step = min(BAR_STEP, (BARS_END_X - BARS_X) / max(len(face.lanes) - 1, 1))
    columns = {lane.id: BARS_X + step * place for place, lane in enumerate(face.lanes)}
    tabs = {lane.id: lane.tab_with_degree for lane in face.lanes}
    return tag(
        "svg",
        _pole(face, scale),
        join(*(_ticks(scale, name, name == unit) for name in LENGTH_M)),
        join(*(_bar(scale, carry, columns[carry.lane_id]) for carry in carries)),
        join(*(_leader(at, row) for at, row in zip(heights, rows, strict=True))),
        join(*(_bracket(rows[first], rows[last], row_mm) for first, last in groups(carries, face.twins))),
        join(
            *(
                _row(carry, tabs[carry.lane_id], row, row_mm, mirrored, unit)
                for carry, row in zip(carries, rows, strict=True)
            )
        ),
        tag("text", small_print, class_="small-print", x=2.2, y=height_mm - 1.1, font_size=2.1),
        class_="yard-pole", viewBox=f"0 0 {WIDTH_MM:g} {height_mm:g}", aria_hidden="true", focusable="false",
    )  # fmt: skip


def spread_rows(heights: Sequence[float], row_mm: float, top: float, bottom: float) -> list[float]:
    """Row centres at least `row_mm` apart, moved as little as possible (least squares) and kept within the face.

    `heights` rise down the page. Rows that would overlap form a block centred on the mean of where they belong
    (pooling of adjacent violators, Barlow et al. 1972; from memory); a block too high or low slides inwards.
    """
    blocks: list[list[float]] = []  # each block: sum of (height - place * row_mm), number of rows
    for place, height in enumerate(heights):
        blocks.append([height - place * row_mm, 1])
        while len(blocks) > 1 and blocks[-2][0] / blocks[-2][1] >= blocks[-1][0] / blocks[-1][1]:
            total, count = blocks.pop()
            blocks[-1] = [blocks[-1][0] + total, blocks[-1][1] + count]
    starts = [total / count for total, count in blocks for _ in range(int(count))]
    latest = bottom - (len(heights) - 1) * row_mm
    return [min(max(start, top), latest) + place * row_mm for place, start in enumerate(starts)]


def groups(carries: Sequence[Carry], twins: frozenset[frozenset[str]]) -> list[tuple[int, int]]:
    """First and last place of each run of rows in which every row is a twin of the next."""
    found: list[tuple[int, int]] = []
    for place, (one, other) in enumerate(pairwise(carries)):
        if {one.key, other.key} not in twins:
            continue
        if found and found[-1][1] == place:
            found[-1] = (found[-1][0], place + 1)
        else:
            found.append((place, place + 1))
    return found


class _Scale:
    """Carry [m] to height on the page [mm]; the shortest and longest bar just fit above the bottom [mm]."""

    def __init__(self, carries: Sequence[Carry]) -> None:
        self.bottom = max(BOTTOM_MM, TOP_MM + (len(carries) - 1) * ROW_MM)
        self.low_m = min((carry.low_m for carry in carries), default=0.0)
        self.high_m = max((carry.high_m for carry in carries), default=100.0)

    def y(self, carry_m: float) -> float:
        span = max(self.high_m - self.low_m, 1.0)
        return self.bottom - (carry_m - self.low_m) / span * (self.bottom - TOP_MM)


def _row_height(n_rows: int) -> float:
    """Few rows stand further apart, with larger digits."""
    fits = (BOTTOM_MM - TOP_MM) / max(n_rows - 1, 1)
    return min(max(ROW_MM, fits * 0.8), ROOMY_ROW_MM)


def _pole(face: Face, scale: _Scale) -> Svg:
    """A solid pole, broken to dashes where no shot carries."""
    line = tag(
        "line", x1=POLE_X, x2=POLE_X, y1=TOP_MM - 1.6, y2=scale.bottom + 1, stroke="currentColor", stroke_width=0.34
    )
    empty = [
        tag(
            "g",
            tag(
                "line", class_="empty-pole", x1=POLE_X, x2=POLE_X, y1=scale.y(high_m), y2=scale.y(low_m),
                stroke_width=1.1,
            ),
            tag(
                "line", x1=POLE_X, x2=POLE_X, y1=scale.y(high_m), y2=scale.y(low_m),
                stroke="currentColor", stroke_width=0.34, stroke_dasharray=".5 .9",
            ),
            class_="uncovered",
        )
        for low_m, high_m in face.uncovered
    ]  # fmt: skip
    return join(line, *empty)


def _ticks(scale: _Scale, unit: str, is_shown: bool) -> Svg:
    first = math.ceil(from_m(scale.low_m, unit) / TICK_EVERY)
    last = math.floor(from_m(scale.high_m, unit) / TICK_EVERY)
    ticks = []
    for step in range(first, last + 1):
        y = scale.y(step * TICK_EVERY * LENGTH_M[unit])
        ticks.append(tag("line", x1=POLE_X - 1.4, x2=POLE_X, y1=y, y2=y, stroke="currentColor", stroke_width=0.3))
        label = str(step * TICK_EVERY)
        ticks.append(tag("text", label, class_="tick", x=POLE_X - 2, y=y + 1.05, font_size=2.9, text_anchor="end"))
    return tag("g", *ticks, data_ticks=unit, data_other=None if is_shown else "")


def _bar(scale: _Scale, carry: Carry, x: float) -> Svg:
    return tag(
        "line", class_="two-in-three", x1=x, x2=x, y1=scale.y(carry.high_m),
        y2=scale.y(carry.low_m), stroke="currentColor", stroke_width=0.8,
    )  # fmt: skip


def _leader(at: float, row: float) -> Svg:
    return tag("path", class_="leader", d=f"M{POLE_X:g} {at:.2f}H{KNEE_X:g}L{ROWS_X:g} {row:.2f}", fill="none")


def _bracket(first: float, last: float, row_mm: float) -> Svg:
    """Joins rows of shots for one distance, so that the choice between them is made ahead."""
    half = row_mm * 0.32
    path = f"M{TWINS_X + TWINS_DEEP:g} {first - half:.2f}H{TWINS_X:g}V{last + half:.2f}h{TWINS_DEEP:g}"
    return tag("path", class_="twins", d=path, fill="none", stroke="currentColor", stroke_width=0.34)


def _row(carry: Carry, tab: str, y: float, row_mm: float, mirrored: bool, unit: str) -> Svg:
    size = 4.3 + max(0.0, row_mm - ROW_MM) * 0.32
    side_size = min(size, 4.7)
    beside = join(
        tag("text", tab, class_="loft", x=CLUB_X, y=y + side_size * 0.34, font_size=side_size * 0.93,
            text_anchor="end"),
        arm_at(ARM_X, y, 1.75 + max(0.0, row_mm - ROW_MM) * 0.1, carry.swing_deg, mirrored),
        tag(
            "text",
            "±",
            tag("tspan", str(whole(carry.half_m, unit)), data_m=f"{carry.half_m:.4f}"),
            class_="spread", x=SPREAD_X, y=y + 1.05, font_size=2.9, text_anchor="end",
        ),
    )  # fmt: skip
    return number(carry, unit, NUMBER_X, y, size, 1, inside=beside, tall=ROW_BOX)
