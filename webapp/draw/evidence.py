"""The balls behind one number as dots, a line a visit; and where every shot lands, a line a wedge, on one scale.

Knows no book, page or forecast: carries in metres come in. Each line is a drawing of its own whose places are shares
of its width, so that a page lays them out on any screen without a script.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from ..units import LENGTH_M, from_m
from .shapes import Carry
from .svg import Svg, join, tag

_ROW, _BAR_ROW, _AXIS = 26.0, 26.0, 22.0  # px high
_BALL, _UPRIGHT = 4.5, 72.0
_HATCH = 8.0


@dataclass(frozen=True)
class Scale:
    """The carries [m] at both ends of a line, and those where it is ruled."""

    low_m: float
    high_m: float
    ticks_m: tuple[float, ...]

    def at(self, carry_m: float) -> str:
        """Where a carry lies, as a share of the width; what lies beyond an end is drawn at it."""
        return f"{100 * self._share(carry_m):.2f}%"

    def wide(self, low_m: float, high_m: float) -> str:
        """How wide a stretch is."""
        return f"{100 * (self._share(high_m) - self._share(low_m)):.2f}%"

    def _share(self, carry_m: float) -> float:
        return min(max((carry_m - self.low_m) / (self.high_m - self.low_m), 0.0), 1.0)


def scale(carries_m: Iterable[float], unit: str, step: int = 10) -> Scale:
    """A scale that holds all these carries, ruled at the multiples of `step` of the unit."""
    told = [from_m(carry_m, unit) for carry_m in carries_m]
    low, high = math.floor((min(told) - 1) / step) * step, math.ceil((max(told) + 1) / step) * step
    step *= max(1, math.ceil((high - low) / step / 10))
    first = math.ceil(low / step) * step
    unit_m = LENGTH_M[unit]
    return Scale(low * unit_m, high * unit_m, tuple(at * unit_m for at in range(first, high + 1, step)))


def dots(along: Scale, balls: Sequence[tuple[float, bool]], carry_m: float, band_m: tuple[float, float]) -> Svg:
    """One visit: a dot for a clean ball, a cross for any other, on the band of two clean balls in three."""
    middle = _ROW / 2
    return _line(
        _ROW,
        tag("rect", class_="band", x=along.at(band_m[0]), y=0, width=along.wide(*band_m), height=_ROW),
        _rules(along, _ROW),
        tag("line", class_="number-line", x1=along.at(carry_m), x2=along.at(carry_m), y1=0, y2=_ROW),
        *(
            tag("circle", class_="ball-in", cx=along.at(at), cy=middle, r=_BALL)
            if is_clean
            else tag(
                "svg",
                tag("path", class_="ball-out", d="M-4 -4L4 4M-4 4L4 -4"),
                x=along.at(at),
                y=middle,
                overflow="visible",
            )
            for at, is_clean in balls
        ),
    )


def bars(along: Scale, carries: Sequence[Carry], holes_m: Sequence[tuple[float, float]], chosen: str) -> Svg:
    """One wedge: a bar where two clean balls in three of each swing land; hatched is what no shot carries."""
    return _line(
        _BAR_ROW,
        _rules(along, _BAR_ROW),
        *(_hole(along, low_m, high_m) for low_m, high_m in holes_m),
        *(_bar(along, carry, carry.key == chosen) for carry in carries),
    )


def upright(share: float) -> Svg:
    """A bar that stands as high as a share, 0 to 1."""
    high = max(_UPRIGHT * share, 1.5)
    return tag(
        "svg", tag("rect", x=2, width=36, height=high, rx=min(high / 2, 6)),
        width=40, height=high, aria_hidden="true", focusable="false",
    )  # fmt: skip


def axis(along: Scale, unit: str) -> Svg:
    """The numbers of a scale."""
    return _line(
        _AXIS,
        *(tag("text", f"{from_m(at, unit):.0f}", x=along.at(at), y=16, text_anchor="middle") for at in along.ticks_m),
    )


def _bar(along: Scale, carry: Carry, is_chosen: bool) -> Svg:
    at, wide = along.at(carry.carry_m), along.wide(carry.low_m, carry.high_m)
    bar = tag(
        "g",
        tag("rect", class_="bar-of", x=along.at(carry.low_m), y=5, rx=8, width=wide, height=16),
        tag("line", class_="number-line", x1=at, x2=at, y1=3, y2=23),
        class_="cell chosen" if is_chosen else "cell", data_trust=carry.trust,
    )  # fmt: skip
    return tag("a", bar, href=carry.href, tabindex="-1") if carry.href else bar


def _hole(along: Scale, low_m: float, high_m: float) -> Svg:
    hatch = tag(
        "path",
        class_="trouble",
        d="".join(f"M{x:g} {_BAR_ROW:g}l{_BAR_ROW:g} -{_BAR_ROW:g}" for x in range(-24, 400, int(_HATCH))),
    )
    return tag("svg", hatch, x=along.at(low_m), y=0, width=along.wide(low_m, high_m), height=_BAR_ROW)


def _rules(along: Scale, high: float) -> Svg:
    return join(*(tag("line", class_="rule", x1=along.at(at), x2=along.at(at), y1=0, y2=high) for at in along.ticks_m))


def _line(high: float, *inside: Svg) -> Svg:
    return tag("svg", *inside, class_="line-drawing", width="100%", height=high, aria_hidden="true", focusable="false")
