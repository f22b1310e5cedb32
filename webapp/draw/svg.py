"""Builds SVG text out of tags, with every text and attribute escaped.

Knows nothing of what is drawn; it writes no style attribute, since pages forbid inline style.
"""

from functools import lru_cache
from html import escape


class Svg(str):
    """Finished SVG text; templates print it as it stands because it answers `__html__`."""

    __slots__ = ()

    def __html__(self) -> str:
        return str(self)


def tag(name: str, *inside: str | None, **attributes: str | float | None) -> Svg:
    """One element: `class_` and `data_cell` become class and data-cell; None leaves an attribute or a child out."""
    opening = "".join(_attribute(key, value) for key, value in attributes.items() if value is not None)
    if not inside:
        return Svg(f"<{name}{opening}/>")
    return Svg(f"<{name}{opening}>{join(*inside)}</{name}>")


def join(*pieces: str | None) -> Svg:
    """Elements and texts one after the other; plain text is escaped, finished SVG is not."""
    return Svg("".join(piece if isinstance(piece, Svg) else escape(piece) for piece in pieces if piece))


def millimetres(value: float) -> str:
    """A coordinate with at most two decimals, which is finer than any printer."""
    return f"{value:.2f}".rstrip("0").rstrip(".") if abs(value) >= 0.005 else "0"


@lru_cache(maxsize=8192)  # a drawing is made anew after each ball, and nearly all of it is as it was
def _attribute(key: str, value: str | float) -> str:
    name = "viewBox" if key == "viewBox" else key.rstrip("_").replace("_", "-")
    text = value if isinstance(value, str) else millimetres(value)
    return f' {name}="{escape(text)}"'
