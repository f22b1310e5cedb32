"""Keeps requests from waiting one after the other for what does not answer: for a while they are refused at once.

Knows no connection; who asks says how it went.
"""

import time
from threading import Lock

from ..faults import LogAway

AGAIN_S = 1.0  # so long after a failure the next one may look


class Breaker:
    """Lets everybody through while all is well, and one at a time to look once something failed."""

    def __init__(self) -> None:
        self._lock = Lock()
        self._why = ""
        self._again_at = 0.0

    def ask(self, most_s: float) -> bool:
        """Whether the way is known to be open; LogAway while somebody else looks, for `most_s` at the longest."""
        with self._lock:
            if not self._why:
                return True
            now = time.monotonic()
            if now < self._again_at:
                raise LogAway(self._why)
            self._again_at = now + most_s
            return False

    def failed(self, why: str) -> None:
        """Nothing came back."""
        with self._lock:
            self._why, self._again_at = why or "no answer", time.monotonic() + AGAIN_S

    def well(self) -> None:
        """An answer came."""
        if self._why:
            with self._lock:
                self._why = ""
