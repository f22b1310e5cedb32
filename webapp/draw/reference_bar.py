"""One delivery number as a position on a bar whose middle half is the reference.

Knows no shot and no hand: a position from 0 to 1 comes in.
"""

from .svg import Svg, tag

_WIDE, _HIGH, _MIDDLE = 100.0, 16.0, 9.0


def reference_bar(position: float, inside: bool) -> Svg:
    """The bar, 100 x 16, hidden from screen readers because the same stands beside it in words.

    Inside the reference the marker is filled, outside it is open, so that no colour is needed to tell.
    """
    x = 4.0 + (_WIDE - 8.0) * position
    return tag(
        "svg",
        tag("line", x1=4, y1=_MIDDLE, x2=_WIDE - 4, y2=_MIDDLE, stroke="currentColor", stroke_width=0.8),
        tag("rect", x=27, y=_MIDDLE - 3, width=46, height=6, class_="reference", fill="none", stroke="currentColor"),
        tag(
            "path", d=f"M{x:.2f} {_MIDDLE + 4:.2f}l-3.6 -11h7.2z", class_="marker",
            fill="currentColor" if inside else "none", stroke="currentColor", stroke_width=1.2,
        ),
        class_="reference-bar", viewBox=f"0 0 {_WIDE:g} {_HIGH:g}", aria_hidden="true", focusable="false",
    )  # fmt: skip
