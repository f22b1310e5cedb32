"""A QR code as SVG, for links and codes that travel by camera.

Knows nothing of what the code says.
"""

from .svg import Svg, tag

QUIET = 4  # modules of margin that a camera needs (ISO/IEC 18004)


def qr(content: str, error: str = "m") -> Svg:
    """SVG of a QR code (ISO/IEC 18004) in the ink of what it stands on, with its quiet zone.

    `error` is the least level of error correction: "m", or "l" for what is long and read from a clean screen.
    """
    import segno  # only a page that shows a code needs it

    rows = list(segno.make(content, error=error, micro=False).matrix_iter(border=QUIET))
    path = "".join(f"M{x} {y}h1v1h-1z" for y, row in enumerate(rows) for x, dark in enumerate(row) if dark)
    return tag(
        "svg", tag("path", d=path, fill="currentColor"), viewBox=f"0 0 {len(rows)} {len(rows)}", aria_hidden="true"
    )
