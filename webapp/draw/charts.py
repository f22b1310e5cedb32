"""The plots: frames of numbers become Altair charts and those become SVG in the tokens of the look.

Knows no book and no page. Altair, pandas and vl-convert take their time to load, so they load when first drawn with.
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from html import escape
from typing import TYPE_CHECKING, Any

from .svg import Svg

if TYPE_CHECKING:
    import altair as alt

# The tokens of tokens.css, so that day, dark and sun all work; Vega writes them into the drawing as they stand.
_INK, _SOFT, _EDGE, _GROUND, _ARM, _WARN = (
    f"var(--{token})" for token in ("ink", "soft", "edge", "ground", "arm", "warn")
)
MOST_COUNTED = 12  # visits: of more than these the numbers of balls would run into one another
LEAST_APART = 0.2  # of the width: two names of days closer than this would touch
WIDTH = 330  # px of the whole drawing, so that it stands unscaled in a page 360 px wide
_CONTACT_SHADES = {"fat": 1.0, "heavy": 0.66, "clean": 0.12, "thin": 0.4, "bladed": 0.84, "shank": 0.95}

Rows = Sequence[Mapping[str, Any]]


@dataclass(frozen=True)
class Said:
    """What a plot is called and what it shows, for those who do not see it."""

    title: str
    desc: str


def load_libraries() -> None:
    """Load what draws the plots and draw once with it, so that no reader has to wait for either."""
    meant_against_real([{"meant": 1.0, "off": 0.0, "strike": "clean"}], [], "yd", Said("", ""))


def number_over_visits(rows: Rows, marks: Rows, unit: str, said: Said) -> Svg:
    """A cell's carry by visit with its 80% interval.

    rows hold day (when the visit began), carry, low, high [unit] and n; marks hold day and what, as upright lines.
    """
    import altair as alt

    frame = _frame(rows)
    x = alt.X("day:T", title=None, axis=_days(rows), scale=alt.Scale(type="utc", padding=12))
    y = alt.Y("carry:Q", title=f"carry, {unit}", scale=alt.Scale(zero=False, nice=False, padding=24), axis=_few(5))
    base = alt.Chart(frame).encode(x=x)
    layers = [
        base.mark_rule(color=_SOFT, strokeWidth=2, aria=False).encode(y=alt.Y("low:Q"), y2="high:Q"),
        base.mark_line(color=_ARM, strokeWidth=1.5, aria=False).encode(y=y),
        base.mark_point(color=_INK, fill=_INK, size=45, opacity=1, aria=False).encode(y=y),
    ]
    if len(rows) <= MOST_COUNTED:
        counted = base.mark_text(dy=12, dx=10, fontSize=11, color=_SOFT, aria=False)
        layers.append(counted.encode(y=alt.Y("low:Q"), text="label:N"))
    if marks:
        # Every second name stands a line lower, so that two days close together can both be read.
        in_turn = sorted(marks, key=lambda mark: str(mark["day"]))
        lowered = [{**mark, "what": "\n" * (at % 2) + mark["what"]} for at, mark in enumerate(in_turn)]
        upright = alt.Chart(_frame(lowered)).encode(x="day:T")
        layers += [
            upright.mark_rule(color=_WARN, strokeDash=[4, 3], strokeWidth=1.5, aria=False),
            upright.mark_text(
                color=_WARN, align="left", dx=4, fontSize=12, fontWeight="bold", lineBreak="\n", aria=False
            ).encode(y=alt.value(8), text="what:N"),
        ]
    return _drawn(alt.layer(*layers), said, 200)


def strike_over_visits(rows: Rows, unit: str, said: Said) -> Svg:
    """Spread of clean balls (points) and what the strike costs a ball (bars) by visit; rows hold day, spread, cost."""
    import altair as alt

    frame = _frame(rows)
    x = alt.X("day:T", title=None, axis=_days(rows), scale=alt.Scale(type="utc", padding=16))
    y = alt.Y("spread:Q", title=f"spread and cost, {unit}", axis=_few(5), scale=alt.Scale(nice=True))
    base = alt.Chart(frame).encode(x=x)
    layers = [
        base.mark_bar(color=_WARN, width=9, opacity=0.85, aria=False).encode(y=alt.Y("cost:Q")),
        base.mark_line(color=_INK, strokeWidth=1.5, aria=False).encode(y=y),
        base.mark_point(color=_INK, fill=_GROUND, size=50, strokeWidth=2, opacity=1, aria=False).encode(y=y),
    ]
    return _drawn(alt.layer(*layers), said, 190)


def meant_against_real(rows: Rows, bands: Rows, unit: str, said: Said) -> Svg:
    """Distance-called balls: meant carry along, long or short of it up and down, and each band's mean as a thick line.

    rows hold meant, off [unit] and strike ("clean" or "other"); bands hold low, high and off.
    """
    import altair as alt

    x = alt.X("meant:Q", title=f"meant carry, {unit}", scale=alt.Scale(zero=False, padding=30), axis=_few(6))
    y = alt.Y("off:Q", title=f"short − / long +, {unit}", axis=_few(7))
    shape = alt.Shape("strike:N", scale=alt.Scale(domain=["clean", "other"], range=["circle", "cross"]), legend=None)
    layers = [
        alt.Chart(_frame([{"off": 0}])).mark_rule(color=_INK, strokeWidth=1, aria=False).encode(y="off:Q"),
        alt.Chart(_frame(rows)).mark_point(color=_SOFT, size=32, opacity=0.8, aria=False).encode(x=x, y=y, shape=shape),
    ]
    if bands:
        means = alt.Chart(_frame(bands)).encode(y="off:Q")
        layers += [
            means.mark_rule(color=_ARM, strokeWidth=4, aria=False).encode(x="low:Q", x2="high:Q"),
            means.mark_text(color=_ARM, fontSize=12, fontWeight="bold", aria=False).encode(
                x="middle:Q", y=alt.value(-12), text="label:N"
            ),
        ]
    return _drawn(alt.layer(*layers), said, 220)


def coverage(rows: Rows, holes: Rows, clubs: Sequence[str], unit: str, said: Said) -> Svg:
    """Where each cell's clean balls land, a row for each club, and the distances no shot carries; guesses are dashed.

    rows hold club, carry, low, high [unit] and trust; holes hold low and high.
    """
    import altair as alt

    y = alt.Y("club:N", title=None, sort=list(clubs), axis=alt.Axis(labelFontWeight="bold", labelFontSize=13))
    x = alt.X("low:Q", title=f"carry, {unit}", scale=alt.Scale(zero=False, padding=8), axis=_few(7))
    base = alt.Chart(_frame(rows)).encode(y=y)
    struck, guessed = (base.transform_filter(f"datum.trust {how} 'guess'") for how in ("!=", "=="))
    layers: list[alt.Chart] = []
    if holes:
        hole = alt.Chart(_frame(holes))
        layers.append(
            hole.mark_rect(fill=_WARN, fillOpacity=0.15, stroke=_WARN, strokeDash=[3, 2], aria=False).encode(
                x="low:Q", x2="high:Q"
            )
        )
    layers += [
        struck.mark_bar(color=_SOFT, height=10, opacity=0.45, aria=False).encode(x=x, x2="high:Q"),
        guessed.mark_bar(fill=None, stroke=_INK, strokeDash=[4, 3], height=10, aria=False).encode(x=x, x2="high:Q"),
        base.mark_tick(color=_INK, thickness=3, size=20, aria=False).encode(x=alt.X("carry:Q")),
        base.mark_text(color=_INK, fontSize=11, dy=-17, aria=False).encode(x=alt.X("carry:Q"), text="label:N"),
    ]
    return _drawn(alt.layer(*layers), said, max(90, 50 * len(clubs)))


def contacts_by_surface(rows: Rows, said: Said) -> Svg:
    """Shares of contact, a bar for each surface; rows hold surface, contact, share (0 to 1), from and to."""
    import altair as alt

    shade = alt.Opacity("shade:Q", scale=None)
    y = alt.Y("surface:N", title=None, axis=alt.Axis(labelFontSize=13, labelFontWeight="bold"))
    shaded = [{**row, "shade": _CONTACT_SHADES[row["contact"]]} for row in rows]
    base = alt.Chart(_frame(shaded)).encode(y=y)
    x = alt.X("from:Q", title="share of balls", axis=alt.Axis(format="%", tickCount=5), scale=alt.Scale(domain=[0, 1]))
    bars = base.mark_bar(color=_INK, height=26, aria=False).encode(x=x, x2="to:Q", opacity=shade)
    edges = base.mark_bar(filled=False, stroke=_INK, strokeWidth=1, height=26, aria=False).encode(x=x, x2="to:Q")
    names = (
        base.mark_text(dy=-21, fontSize=11, color=_INK, aria=False)
        .encode(x=alt.X("middle:Q"), text="label:N")
        .transform_calculate(middle="(datum.from + datum.to)/2")
    )
    surfaces = len({row["surface"] for row in rows})
    return _drawn(alt.layer(bars, edges, names), said, 70 * surfaces)


def _frame(rows: Rows) -> Any:
    import pandas as pd

    return pd.DataFrame([dict(row) for row in rows])


def _few(ticks: int) -> Any:
    import altair as alt

    return alt.Axis(tickCount=ticks)


def _days(rows: Rows) -> Any:
    """The days of a few visits along the axis, each below its visit, never two so close that their names touch."""
    import altair as alt

    values = [
        alt.DateTime(year=at.year, month=at.month, date=at.day, hours=at.hour, minutes=at.minute, utc=True)
        for at in _apart(sorted(datetime.fromisoformat(row["day"]) for row in rows))
    ]
    return alt.Axis(values=values, format="%-d %b", grid=False, labelFlush=False)


def _apart(moments: Sequence[datetime]) -> list[datetime]:
    """The last of some moments, and before it those that leave room for the names of their days, each day once."""
    room = LEAST_APART * (moments[-1] - moments[0])
    kept: list[datetime] = []
    for at in reversed(moments):
        if not kept or (kept[-1] - at >= room and kept[-1].date() != at.date()):
            kept.append(at)
    return kept[::-1]


def _drawn(chart: "alt.LayerChart | alt.FacetChart", said: Said, height: int) -> Svg:
    """The chart as SVG: one image with a title for those who hear it, no script, no style of its own."""
    import vl_convert

    sized = chart.properties(width=WIDTH - 60, height=height).configure(
        background="transparent",
        padding={"left": 12, "right": 8, "top": 6, "bottom": 2},
        font="system-ui, sans-serif",
    )
    # Vega leaves out a plain string that names no colour, so an axis gets its token as an expression.
    token = {name: {"expr": f"'{value}'"} for name, value in (("ink", _INK), ("soft", _SOFT), ("edge", _EDGE))}
    sized = sized.configure_view(stroke=None).configure_axis(
        labelFontSize=12, titleFontSize=12, titleFontWeight="normal", labelColor=token["ink"], titleColor=token["ink"],
        gridColor=token["edge"], domainColor=token["soft"], tickColor=token["soft"],
    )  # fmt: skip
    # Altair has checked each part as it was made; to check the whole once more took a fifth of a drawing's time.
    return _dressed(vl_convert.vegalite_to_svg(sized.to_json(validate=False)), said)


def _dressed(drawing: str, said: Said) -> Svg:
    """Vega's SVG as a page takes it: no roles inside the one image, and no size but the box it fills."""
    inside = drawing[drawing.index(">") + 1 : drawing.rindex("</svg>")]
    box = re.search(r'viewBox="([^"]+)"', drawing)
    inside = re.sub(r' (role|aria-[a-z]+|class|pointer-events|font-family)="[^"]*"', "", inside)
    box_text = box[1] if box else f"0 0 {WIDTH} {WIDTH}"
    # An image is named by its title and described by its desc (SVG 2, 5.7 and 5.8).
    return Svg(
        f'<svg class="chart" xmlns="http://www.w3.org/2000/svg" viewBox="{box_text}" role="img">'
        f"<title>{escape(said.title)}</title><desc>{escape(said.desc)}</desc>{inside}</svg>"
    )
