"""What a process keeps of its own work: at most so many values, each for as long as what it was made of stays the same.

Knows nothing of what is kept.
"""

from collections import OrderedDict
from collections.abc import Callable, Hashable
from threading import Lock
from typing import Generic, TypeVar

Value = TypeVar("Value")


class Kept(Generic[Value]):
    """Values by place; threads may share it. The place that was not asked for the longest goes first.

    `made` and `kept` count the answers that were worked out and those that were there already.
    """

    def __init__(self, most: int) -> None:
        """Keep at most this many values."""
        self.made = self.kept = 0
        self._most = most
        self._values: OrderedDict[Hashable, tuple[Hashable, Value]] = OrderedDict()
        self._lock = Lock()

    def __len__(self) -> int:
        return len(self._values)

    def value(self, place: Hashable, made_of: Hashable, make: Callable[[], Value]) -> Value:
        """The value of a place: the one kept, where it was made of the same, else what `make` gives now.

        A caller reads `made_of` before `make` reads anything: what changes in between is then in the value and not in
        `made_of`, so the value is made once more and never served too old. Two threads may make the same value twice.
        """
        with self._lock:
            held = self._values.get(place)
            if held is not None and held[0] == made_of:
                self._values.move_to_end(place)
                self.kept += 1
                return held[1]
        value = make()
        with self._lock:
            self.made += 1
            self._values[place] = made_of, value
            self._values.move_to_end(place)
            while len(self._values) > self._most:
                self._values.popitem(last=False)
        return value
