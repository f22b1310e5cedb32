"""Tells on its way how far a long deed is: which share of a file's lines has gone by.

Knows neither book nor file.
"""

from collections.abc import Callable, Iterable, Iterator
from typing import TypeVar

_TOLD_EVERY = 500
_READ_SHARE = 0.6  # of the time that a table takes; what is left is the book's part

Tell = Callable[[float], None]
One = TypeVar("One")


def reporting(
    lines: Iterable[One], tell: Tell, whole: int, size: Callable[[One], int] = lambda line: 1
) -> Iterator[One]:
    """Hand lines on; `tell` hears the share of the `whole` that has gone by, of which each line is its `size`."""
    gone = 0
    for place, line in enumerate(lines):
        if place % _TOLD_EVERY == 0 and whole:
            tell(min(gone / whole, 1.0))
        gone += size(line)
        yield line


def of_reading(tell: Tell) -> Tell:
    """What hears the share of a table that was read, where taking it is still to come."""
    return lambda share: tell(_READ_SHARE * share)


def of_taking(tell: Tell) -> Tell:
    """What hears the share of a table that was taken, after it was read."""
    return lambda share: tell(_READ_SHARE + (1 - _READ_SHARE) * share)
