"""The dial: half of a clock face whose hub is the lead shoulder, arms are swings, lanes are wedges.

Knows no trust rule, card or page; a Face and the side the arms point to come in, SVG text comes out.
"""

import math
import re
from collections.abc import Iterator, Sequence
from functools import lru_cache
from itertools import combinations

from .arm import direction, side
from .number import box_size, number
from .shapes import Arm, Face, Lane
from .svg import Svg, join, millimetres, tag

WIDTH_MM, HEIGHT_MM = 54.0, 85.6  # ISO/IEC 7810 ID-1, standing
HUB_EDGE_MM, HUB_Y_MM, HUB_RADIUS_MM = 6.5, 44.2, 3.1
OUTER_MM, INNER_MM, INNERMOST_MM = 37.0, 12.4, 24.4
ARM_HUB_MM, ARM_TIP_MM = 1.4, 0.7
NUMBER_MM = 4.8
LETTER_WIDE = 1.5  # in figures, which are cut narrower than letters
TAB_SIZES = ((2.0, 3.9), (4.0, 2.7), (math.inf, 2.2))  # the most figures that a tab holds of each size [mm]
MOST_CLUBS = 4
MOST_IN_ONE_LINE = 30  # letters of a name, which then takes most of the drawing's width
DASHES = (None, "2 .7", "1 .7", ".3 .7")
CLOSEST = 0.97  # boxes may touch by a hair before they count as overlapping

Area = tuple[float, float, float, float]  # left, top, right, bottom [mm]


def dial(face: Face, mirrored: bool, unit: str, small_print: Sequence[str] = ()) -> Svg:
    """The dial of a face of at most four lanes; numbers with an address become links.

    The drawing is hidden from screen readers: the swing table says the same, row by row.
    """
    radii = lane_radii([arm.swing_deg for arm in face.arms], len(face.lanes))
    hub_x = WIDTH_MM - HUB_EDGE_MM if not mirrored else HUB_EDGE_MM
    place = _Places(hub_x, mirrored)
    return tag(
        "svg",
        join(*(_mown(place, radius, radii[0] - radii[1]) for radius in radii[::2]) if len(radii) > 1 else ()),
        join(*(_lane(place, face.arms, radius, DASHES[i % 4]) for i, radius in enumerate(radii))),
        join(*(_arm(place, arm) for arm in face.arms)),
        tag("circle", cx=hub_x, cy=HUB_Y_MM, r=HUB_RADIUS_MM, fill="currentColor"),
        _address_line(place),
        join(*(_tab(place, lane, radius) for lane, radius in zip(face.lanes, radii, strict=True))),
        join(*_numbers(place, face, radii, unit)),
        join(*_names(place, face, radii)),
        _small_print(small_print, mirrored),
        class_="dial", viewBox=f"0 0 {WIDTH_MM:g} {HEIGHT_MM:g}", aria_hidden="true", focusable="false",
    )  # fmt: skip


def lane_radii(swings_deg: Sequence[float], n_clubs: int) -> list[float]:
    """Lane radii [mm], outermost first: equal steps from 37 down to 12.4, or less far where arms stand close."""
    if n_clubs <= 1:
        return [OUTER_MM] * n_clubs
    rooms = _rooms(tuple(swings_deg), n_clubs)
    inner = max(rooms, key=lambda radius: (min(rooms[radius], 1.0), -radius))
    return _steps(inner, n_clubs)


def clubs_that_fit(swings_deg: Sequence[float]) -> int:
    """How many clubs a dial can carry with these swings before two numbers would touch (1 to 4)."""
    for n_clubs in range(MOST_CLUBS, 1, -1):
        if max(_rooms(tuple(swings_deg), n_clubs).values()) >= CLOSEST:
            return n_clubs
    return 1


class _Places:
    """Turns (arm angle, radius) into page coordinates [mm] for one hand."""

    def __init__(self, hub_x: float, mirrored: bool) -> None:
        self.hub_x, self.mirrored = hub_x, mirrored

    def at(self, swing_deg: float, radius: float) -> tuple[float, float]:
        dx, dy = direction(swing_deg, self.mirrored)
        return self.hub_x + dx * radius, HUB_Y_MM + dy * radius


def _lane(place: _Places, arms: Sequence[Arm], radius: float, dash: str | None) -> Svg:
    longest = max((arm.swing_deg for arm in arms), default=180.0)
    (x0, y0), (x1, y1) = place.at(0, radius), place.at(longest, radius)
    sweep = 0 if place.mirrored else 1
    path = f"M{_pair(x0, y0)}A{_pair(radius, radius)} 0 0 {sweep} {_pair(x1, y1)}"
    return tag("path", class_="lane", d=path, fill="none", stroke_width=0.18, stroke_dasharray=dash)


def _mown(place: _Places, radius: float, wide: float) -> Svg:
    """A mown stripe: every second lane lies on one, so that the eye keeps to its lane."""
    outer, inner = radius + wide / 2, max(radius - wide / 2, HUB_RADIUS_MM)
    sweep = 0 if place.mirrored else 1
    x = place.hub_x
    out = f"M{_pair(x, HUB_Y_MM + outer)}A{_pair(outer, outer)} 0 0 {sweep} {_pair(x, HUB_Y_MM - outer)}"
    back = f"V{millimetres(HUB_Y_MM - inner)}A{_pair(inner, inner)} 0 0 {1 - sweep} {_pair(x, HUB_Y_MM + inner)}Z"
    return tag("path", class_="mown", d=out + back)


def _arm(place: _Places, arm: Arm) -> Svg:
    swing_deg = arm.swing_deg
    (x0, y0), (x1, y1) = place.at(swing_deg, HUB_RADIUS_MM), place.at(swing_deg, OUTER_MM)
    dx, dy = direction(swing_deg, place.mirrored)
    hub, tip = ARM_HUB_MM / 2, ARM_TIP_MM / 2
    corners = (
        (x0 + hub * dy, y0 - hub * dx), (x1 + tip * dy, y1 - tip * dx),
        (x1 - tip * dy, y1 + tip * dx), (x0 - hub * dy, y0 + hub * dx),
    )  # fmt: skip
    outline = f"M{'L'.join(_pair(x, y) for x, y in corners)}Z"
    return tag("path", class_=_class("arm", arm.chosen), d=outline, data_swing=f"{swing_deg:g}")


def _class(name: str, chosen: bool) -> str:
    return f"{name} chosen" if chosen else name


def _address_line(place: _Places) -> Svg:
    return tag(
        "line", x1=place.hub_x, y1=HUB_Y_MM + HUB_RADIUS_MM, x2=place.hub_x, y2=HEIGHT_MM - 0.8,
        stroke="currentColor", stroke_width=0.22, stroke_dasharray=".6 .6",
    )  # fmt: skip


def _tab(place: _Places, lane: Lane, radius: float) -> Svg:
    y = HUB_Y_MM + radius
    wide = sum(1 if sign in "0123456789." else LETTER_WIDE for sign in lane.tab)
    size = next(size for most, size in TAB_SIZES if wide <= most)
    return tag(
        "g",
        tag("rect", x=place.hub_x - 3.1, y=y - 2.2, width=6.2, height=4.4, rx=0.8),
        tag("text", lane.tab, x=place.hub_x, y=y + size * 0.36, font_size=size, text_anchor="middle"),
        class_="tab",
    )


def _numbers(place: _Places, face: Face, radii: Sequence[float], unit: str) -> list[Svg]:
    drawn = []
    for lane, radius in zip(face.lanes, radii, strict=True):
        for arm in face.arms:
            carry = face.carries.get((lane.id, arm.swing_deg))
            if carry is None:
                continue
            x, y = place.at(arm.swing_deg, radius)
            # The arm leaves a box through two opposite corners; of the two upper corners the other one is free.
            corner = -side(place.mirrored) if arm.swing_deg > 90 else side(place.mirrored)
            mark = number(carry, unit, x, y, NUMBER_MM, corner)
            drawn.append((carry.chosen, _linked(mark, carry.href, x, y) if carry.href else mark))
    return [mark for _, mark in sorted(drawn, key=lambda one: one[0])]  # the chosen one lies over its neighbours


def _linked(mark: Svg, href: str, x: float, y: float) -> Svg:
    # A finger needs more than the digits: the circle is as wide as the lanes are apart, 54 px on a 360 px screen.
    touch = tag("circle", class_="touch", cx=x, cy=y, r=4.05)
    return tag("a", mark, touch, href=href, tabindex="-1")


def _names(place: _Places, face: Face, radii: Sequence[float]) -> list[Svg]:
    """The arms' names outside the outermost numbers, each where it covers nothing and no edge of the paper cuts it.

    Where arms stand so close that neither side is free the name is left to the swing table.
    """
    taken = [_box(place, arm.swing_deg, radius) for arm in face.arms for radius in radii]
    drawn = []
    for arm in face.arms:
        for lines, area in _areas(place, arm):
            if not any(_overlap(area, other) for other in taken):
                taken.append(area)
                drawn.append(_name(lines, area, arm))
                break
    return drawn


def _areas(place: _Places, arm: Arm) -> Iterator[tuple[list[str], Area]]:
    """A name's lines and where they may stand, the better side first: one line where two would leave the paper."""
    x, y = place.at(arm.swing_deg, OUTER_MM)
    edge = NUMBER_MM * 0.54 + 0.9
    above = arm.swing_deg > 100
    for side_above in (above, not above):
        lines = _lines(arm.name)
        if (y - edge - _height(lines) if side_above else HEIGHT_MM - y - edge - _height(lines)) < 0:
            lines = [_shortened(arm.name, MOST_IN_ONE_LINE)]
        height, half = _height(lines), max(map(len, lines)) * _name_size(lines) * 0.31
        middle = min(max(x, half + 1.2), WIDTH_MM - half - 1.2)
        top = y - edge - height if side_above else min(y + edge, HEIGHT_MM - height - 0.2)
        yield lines, (middle - half, top, middle + half, top + height)


def _height(lines: Sequence[str]) -> float:
    return _name_size(lines) * (0.74 + 1.1 * (len(lines) - 1))


def _name_size(lines: Sequence[str]) -> float:
    return 3.2 if max(map(len, lines)) <= 5 else 2.5


def _name(lines: Sequence[str], area: Area, arm: Arm) -> Svg:
    size, x = _name_size(lines), (area[0] + area[2]) / 2
    first = area[1] + size * 0.74
    spans = [tag("tspan", line, x=x, y=first + row * size * 1.1) for row, line in enumerate(lines)]
    return tag(
        "text", *spans, class_=_class("swing-name", arm.chosen), font_size=size, text_anchor="middle",
        data_swing=f"{arm.swing_deg:g}",
    )  # fmt: skip


def _box(place: _Places, swing_deg: float, radius: float) -> Area:
    x, y = place.at(swing_deg, radius)
    width, height = box_size("88", NUMBER_MM)
    return x - width / 2, y - height / 2, x + width / 2, y + height / 2


def _overlap(one: Area, other: Area) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def _lines(name: str) -> list[str]:
    """A player's own name in at most two short lines, so that it never runs into the next arm's."""
    if len(name) <= 9:
        return [name]
    lines = [""]
    for piece in re.split(r"(?<=[\s-])(?=\S)", name):  # each with the space or hyphen that ends it
        if lines[-1] and len((lines[-1] + piece).rstrip()) > 10:
            lines.append("")
        lines[-1] += piece
    kept = [_shortened(line.rstrip(), 10) for line in lines[:2]]
    if len(lines) > 2 and not kept[-1].endswith("…"):
        kept[-1] += "…"
    return kept


def _shortened(words: str, most: int) -> str:
    return words if len(words) <= most else words[: most - 1] + "…"


def _small_print(lines: Sequence[str], mirrored: bool) -> Svg:
    x, anchor = (WIDTH_MM - 2.2, "end") if mirrored else (2.2, "start")
    first = HEIGHT_MM - 1.3 - (len(lines) - 1) * 2.5
    return join(
        *(
            tag("text", line, class_="small-print", x=x, y=first + row * 2.5, font_size=2.1, text_anchor=anchor)
            for row, line in enumerate(lines)
        )
    )


@lru_cache(maxsize=256)  # a player's swings are drawn for months, and trying every radius takes long
def _rooms(swings_deg: tuple[float, ...], n_clubs: int) -> dict[float, float]:
    """The room between two numbers for every radius [mm] that the innermost lane may have."""
    return {inner: _room(swings_deg, n_clubs, inner) for inner in _inner_choices()}


def _inner_choices() -> list[float]:
    return [INNER_MM + 0.4 * step for step in range(round((INNERMOST_MM - INNER_MM) / 0.4) + 1)]


def _steps(inner: float, n_clubs: int) -> list[float]:
    return [OUTER_MM - lane * (OUTER_MM - inner) / (n_clubs - 1) for lane in range(n_clubs)]


def _room(swings_deg: Sequence[float], n_clubs: int, inner: float) -> float:
    """Smallest distance between two numbers, where 1 means that their boxes just touch."""
    width, height = box_size("88", NUMBER_MM)
    points = []
    for radius in _steps(inner, n_clubs):
        for swing_deg in (0.0, *swings_deg):
            dx, dy = direction(swing_deg, False)
            points.append((dx * radius, dy * radius))
    return min(
        (max(abs(a[0] - b[0]) / width, abs(a[1] - b[1]) / height) for a, b in combinations(points, 2)),
        default=1.0,
    )


def _pair(x: float, y: float) -> str:
    return f"{millimetres(x)} {millimetres(y)}"
