"""What the tables of the directory are asked through: a SQLite connection, or whatever answers in the same words.

Knows no table; places are marked by "?" or ":name", and rows are asked by name or by number.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any, Protocol


class Answer(Protocol):
    """The rows that a statement gave, and how many it changed."""

    @property
    def rowcount(self) -> int:
        """How many rows the statement changed."""

    def fetchone(self) -> Any:
        """The next row; None when there is none."""

    def fetchall(self) -> list[Any]:
        """Every row that is left."""

    def __iter__(self) -> Iterator[Any]:
        """The rows one after the other."""


class Speaks(Protocol):
    """Takes one statement at a time."""

    def execute(self, sql: str, values: Sequence[Any] | Mapping[str, Any] = ..., /) -> Answer:
        """Run a statement."""

    def close(self) -> None:
        """Let it go."""

    def executemany(self, sql: str, rows: Iterable[Any], /) -> Answer:
        """Run a statement once for each of these rows of values."""
