"""The directory's statements as PostgreSQL takes them, and its rows as the directory reads them.

Knows how the two databases mark a value's place and nothing of what is asked.
"""

import re
from collections.abc import Callable, Iterator, Sequence
from functools import lru_cache
from typing import Any

from psycopg import Cursor

_PLACE = re.compile(r"\?|(?<![:\w]):([a-z_]+)")


@lru_cache(maxsize=1024)
def spoken(sql: str) -> str:
    """A statement with "?" and ":name" as psycopg marks them."""
    return _PLACE.sub(lambda found: f"%({found[1]})s" if found[1] else "%s", sql.replace("%", "%%"))


class NamedRow:
    """A row whose values are asked by name or by number, as SQLite's are."""

    __slots__ = ("_names", "_values")

    def __init__(self, names: dict[str, int], values: Sequence[Any]) -> None:
        self._names, self._values = names, values

    def keys(self) -> list[str]:
        """The names of its columns."""
        return list(self._names)

    def __getitem__(self, key: str | int) -> Any:
        return self._values[key if isinstance(key, int) else self._names[key]]

    def __iter__(self) -> Iterator[Any]:
        return iter(self._values)


def named_rows(cursor: Cursor[Any]) -> Callable[[Sequence[Any]], NamedRow]:
    """Makes a cursor's rows; psycopg calls it once a statement."""
    names = {column.name: at for at, column in enumerate(cursor.description or ())}
    return lambda values: NamedRow(names, values)
