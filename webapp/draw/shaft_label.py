"""The shaft label: one wedge's swings and carries in a strip that wraps round the shaft, three times side by side.

Knows no trust rule, card or page; a Face and one of its lanes come in, SVG text comes out.
"""

from .arm import arm_at
from .number import number
from .shapes import Face, Lane
from .svg import Svg, join, tag

COLUMN_MM, HEIGHT_MM = 14.0, 40.0
COPIES = 3  # about a third of the shaft's round is seen at once, so one copy always faces the player
TAB_MM, DATE_MM = 5.4, 3.4  # what is left holds six numbers of full height
NUMBER_MM, BOX_TALL, BOX_MARGIN = 5.05, 0.92, 0.1  # a digit stands 3.6 mm high, and three fit beside the arm
ARM_X, ARM_MM, NUMBER_X = 1.9, 1.35, 8.5


def shaft_label(face: Face, lane: Lane, mirrored: bool, unit: str, date: str) -> Svg:
    """The label of one wedge, 42 x 40 mm with its cut line; `date` and unit stand at the foot of each copy."""
    copies = [_column(face, lane, mirrored, unit, date, copy * COLUMN_MM) for copy in range(COPIES)]
    width = COLUMN_MM * COPIES
    return tag(
        "svg",
        tag("rect", class_="cut", x=0.1, y=0.1, width=width - 0.2, height=HEIGHT_MM - 0.2, fill="none"),
        *copies,
        class_="shaft-label", viewBox=f"0 0 {width:g} {HEIGHT_MM:g}", aria_hidden="true", focusable="false",
    )  # fmt: skip


def _column(face: Face, lane: Lane, mirrored: bool, unit: str, date: str, left: float) -> Svg:
    places = ((lane.id, arm.swing_deg) for arm in face.arms)
    carries = [face.carries[place] for place in places if place in face.carries]
    step = (HEIGHT_MM - TAB_MM - DATE_MM - 0.8) / max(len(carries), 1)
    rows = []
    for place, carry in enumerate(reversed(carries)):
        y = TAB_MM + 0.8 + step * (place + 0.5)
        rows.append(arm_at(left + ARM_X, y, ARM_MM, carry.swing_deg, mirrored))
        rows.append(number(carry, unit, left + NUMBER_X, y, min(NUMBER_MM, step), 1, tall=BOX_TALL, margin=BOX_MARGIN))
    middle, foot = left + COLUMN_MM / 2, f"{date} · {unit}"
    return tag(
        "g",
        tag("rect", class_="tab-box", x=left + 1.2, y=1, width=COLUMN_MM - 2.4, height=TAB_MM - 1.4, rx=0.8),
        tag("text", lane.tab, class_="tab-text", x=middle, y=4.45, font_size=4, text_anchor="middle"),
        join(*rows),
        tag("text", foot, class_="label-foot", x=middle, y=HEIGHT_MM - 1.5, font_size=1.9, text_anchor="middle"),
        class_="label-column",
    )
