"""A table's lines kept as a file of their own, so that what took long to read is read once.

Knows CSV in UTF-8, each line with its number in front; nothing of what a cell means.
"""

import csv
from collections.abc import Iterable, Iterator
from pathlib import Path

from .lines import Line


def keep(lines: Iterable[Line], path: Path) -> Iterator[Line]:
    """Hand the lines on, each written on its way; once the last was, the file stands at `path`."""
    unfinished = path.with_name(f"{path.name}.new")
    with unfinished.open("w", encoding="utf-8", newline="") as file:
        written = csv.writer(file)
        for number, cells in lines:
            written.writerow((number, *cells))
            yield number, cells
    unfinished.replace(path)


def kept(path: Path) -> Iterator[Line]:
    """The lines of a file that `keep` wrote."""
    with path.open(encoding="utf-8", newline="") as file:
        for number, *cells in csv.reader(file):
            yield int(number), cells
