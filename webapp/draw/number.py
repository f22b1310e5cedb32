"""One carry set in the style of its trust, alike on the dial, the yard pole and the shaft label.

Knows no geometry of those drawings; which marks show follows `data-trust` in card.css, so a phone changes one word.
"""

from ..units import whole
from .shapes import Carry
from .svg import Svg, tag

DIGIT_WIDTH = 0.64  # of the font size; the widest bold tabular digit of common system fonts, measured on screen
DIGIT_HEIGHT = 0.73  # of the font size; the tallest of the same fonts, measured on screen
BOX_HEIGHT, BOX_MARGIN = 1.08, 0.28
CORNER = 0.31


def number(
    carry: Carry,
    unit: str,
    x: float,
    y: float,
    size: float,
    corner: int,
    inside: str | None = None,
    tall: float = BOX_HEIGHT,
    margin: float = BOX_MARGIN,
) -> Svg:
    """A carry centred on (x, y).

    Parameters
    ----------
    carry : Carry
        The number to set.
    unit : str
        A name of units.LENGTH_UNITS.
    x, y, size : float
        Centre and font size, in the drawing's units.
    corner : int
        +1 or -1: whether the black corner of an old number sits top right or top left, off the arm.
    inside : str, optional
        More SVG that belongs to the carry, such as its row on the yard pole.
    tall : float
        Height of the box as a share of the font size; less where rows stand close.
    margin : float
        What the box is wider than its digits, as a share of the font size; less where columns stand close.
    """
    digits = str(whole(carry.carry_m, unit))
    width, height = box_size(digits, size, margin)[0], tall * size
    left, top = x - width / 2, y - height / 2
    edge = left + width if corner > 0 else left
    reach = size * min(CORNER, (tall - DIGIT_HEIGHT + margin) / 2 + 0.05)  # clear of the digits
    baseline = y + size * 0.36
    return tag(
        "g",
        tag("rect", class_="box", x=left, y=top, width=width, height=height, rx=size * 0.2),
        tag("path", class_="corner", d=_triangle(edge, top, reach, corner)),
        tag(
            "line", class_="underline",
            x1=left + size * 0.16, x2=left + width - size * 0.16, y1=top + height, y2=top + height,
        ),
        tag(
            "text", digits, class_="number", data_part="carry", data_m=f"{carry.carry_m:.4f}",
            x=x, y=baseline, font_size=size, text_anchor="middle",
        ),
        inside,
        class_="cell chosen on-arm" if carry.chosen else "cell", data_cell=carry.key, data_trust=carry.trust,
    )  # fmt: skip


def box_size(digits: str, size: float, margin: float = BOX_MARGIN) -> tuple[float, float]:
    """Width and height of the box round `digits` at a font size, in the same units."""
    return (len(digits) * DIGIT_WIDTH + margin) * size, BOX_HEIGHT * size


def _triangle(edge: float, top: float, reach: float, corner: int) -> str:
    return f"M{edge - corner * reach:.2f} {top:.2f}H{edge:.2f}V{top + reach:.2f}Z"
