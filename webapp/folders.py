"""Where the files that are not Python lie, in a checkout and in an installed wheel alike.

Knows no page and no book; the data folder is a setting (config.py).
"""

from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent


def _folder(name: str) -> Path:
    """A folder that is inside the package once installed, and beside it in a checkout."""
    inside = _PACKAGE / name
    return inside if inside.is_dir() else _PACKAGE.parent / name


STATIC = _folder("static")
SEED_DATA = _folder("seed_data")
