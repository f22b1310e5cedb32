"""Phones that write without end, and the count of what they were promised and a host does not hold.

Knows nothing of what is done to hosts and PostgreSQL meanwhile.
"""

import threading
import time
from dataclasses import dataclass
from itertools import cycle
from types import TracebackType
from typing import Self

from .hosts import Host, NoAnswer, Phone, amiss, notes
from .postgres import DEADLINE_S

BATCH = 5
PAUSE_S = 0.05  # of a phone between two tries while nobody takes anything


@dataclass
class Count:
    """What came of doing something so many times."""

    what: str
    times: int
    promised: int
    lost: int
    doubled: int
    closed_doors_passed: int = 0
    longest_s: float = 0.0  # until the first facts were taken again

    @property
    def wrong(self) -> int:
        """Whatever must be nought."""
        return self.lost + self.doubled + self.closed_doors_passed

    def told(self) -> str:
        """All of it in a line."""
        waited = f", first facts taken again after {self.longest_s:.1f} s at most" if self.longest_s else ""
        return (
            f"{self.what}, {self.times} times: {self.promised} facts acknowledged, {self.lost} lost, "
            f"{self.doubled} doubled, {self.closed_doors_passed} reads by a closed door{waited}"
        )


class Load:
    """Each phone writes to a host of its own, and to the next one whenever that does not take what it sends."""

    def __init__(self, phones: list[Phone], hosts: list[Host]) -> None:
        self.phones, self.hosts = phones, hosts
        self._stop, self._taken = threading.Event(), threading.Semaphore(0)
        self._problems: list[str] = []
        self._threads = [threading.Thread(target=self._write, args=told) for told in enumerate(phones)]

    def __enter__(self) -> Self:
        for thread in self._threads:
            thread.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._stop.set()
        for thread in self._threads:
            thread.join()
        assert not self._problems, self._problems

    def wait_for(self, batches: int) -> None:
        """Wait until so many more batches were taken, by whichever host."""
        for _ in range(batches):
            assert self._taken.acquire(timeout=DEADLINE_S), f"the phones got nothing through {self._problems}"

    def forget_taken(self) -> None:
        """Count from here: only what is taken from now on ends a wait."""
        while self._taken.acquire(blocking=False):
            pass

    def since(self, moment: float) -> float:
        """How long [s] it takes from a moment of time.monotonic() until a batch is taken."""
        self.forget_taken()
        self.wait_for(1)
        return time.monotonic() - moment

    def count(self, what: str, times: int, longest_s: float = 0.0) -> Count:
        """What all hosts hold of what was promised; after the load has ended."""
        lost, doubled = amiss(self.phones, self.hosts)
        return Count(what, times, sum(len(phone.promised) for phone in self.phones), lost, doubled, 0, longest_s)

    def _write(self, place: int, phone: Phone) -> None:
        order = cycle([*self.hosts[place % len(self.hosts) :], *self.hosts[: place % len(self.hosts)]])
        host, batch = next(order), notes(BATCH)
        while not self._stop.is_set():
            try:
                status, code = phone.send(host, batch)
            except NoAnswer:
                status, code = 0, ""
            if status == 200:
                batch = notes(BATCH)
                self._taken.release()
                continue
            if status not in (0, 503):
                self._problems.append(f"{status} {code}")
                return
            host = next(order)
            self._stop.wait(PAUSE_S)
