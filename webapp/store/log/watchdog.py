"""Ends what waits too long for PostgreSQL: a commit whose standby is away waits for ever, and so does a cut cable.

Knows connections and no statement. It asks the server to give up, and shuts the line when that does not help.
"""

import os
import socket
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from typing import Any

import psycopg

MOST_S = 5.0
_GRACE_S, _LOOK_S = 1.0, 0.25


class Watchdog:
    """One thread that looks after every statement under way in a process."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._until: dict[psycopg.Connection[Any], float] = {}
        self._told: set[psycopg.Connection[Any]] = set()
        self._some = threading.Event()
        threading.Thread(target=self._look, daemon=True, name="log watchdog").start()

    @contextmanager
    def over(self, conn: psycopg.Connection[Any]) -> Iterator[None]:
        """Watch over one statement of a connection."""
        with self._lock:
            self._until[conn] = time.monotonic() + MOST_S
        self._some.set()
        try:
            yield
        finally:
            with self._lock:
                del self._until[conn]
                self._told.discard(conn)

    def has_told(self, conn: psycopg.Connection[Any]) -> bool:
        """Whether the statement under way was asked to end."""
        return conn in self._told

    def _look(self) -> None:
        while True:
            self._some.wait()
            time.sleep(_LOOK_S)
            with self._lock:
                if not self._until:
                    self._some.clear()
                now = time.monotonic()
                late = {conn: now - until for conn, until in self._until.items() if now > until}
                fresh = late.keys() - self._told
                self._told |= fresh
            for conn, late_s in late.items():
                if conn in fresh:
                    threading.Thread(target=_cancel, args=(conn,), daemon=True).start()
                elif late_s > _GRACE_S:
                    _shut(conn)


def _cancel(conn: psycopg.Connection[Any]) -> None:
    with suppress(psycopg.Error, OSError):
        conn.cancel_safe(timeout=_GRACE_S)


def _shut(conn: psycopg.Connection[Any]) -> None:
    with suppress(psycopg.Error, OSError), socket.socket(fileno=os.dup(conn.fileno())) as line:
        line.shutdown(socket.SHUT_RDWR)
