"""A line between a host and PostgreSQL that can be cut, fall silent and be mended.

Knows sockets and nothing of what is sent.
"""

import socket
import struct
import threading
from contextlib import suppress

_PIECE = 65_536


class Line:
    """Listens on a port of its own and passes everything on to another, both ways."""

    def __init__(self, port: int) -> None:
        self.upstream = port
        self._ends: set[socket.socket] = set()
        self._cut = False
        self._passing = threading.Event()
        self._passing.set()
        self._listener = socket.create_server(("127.0.0.1", 0))
        self.port = int(self._listener.getsockname()[1])
        threading.Thread(target=self._listen, daemon=True).start()

    def cut(self) -> None:
        """Break every connection, and each new one at once."""
        self._cut = True
        for end in list(self._ends):
            _break(end)

    def fall_silent(self) -> None:
        """Pass nothing on any more and break nothing, as when a cable is pulled."""
        self._passing.clear()

    def mend(self) -> None:
        """Pass on again, also what was held back."""
        self._cut = False
        self._passing.set()

    def close(self) -> None:
        """Break everything and listen no more."""
        self.cut()
        self._passing.set()
        with suppress(OSError):
            self._listener.shutdown(socket.SHUT_RDWR)
        self._listener.close()

    def _listen(self) -> None:
        while True:
            try:
                near, _ = self._listener.accept()
            except OSError:
                return
            try:
                far = None if self._cut else socket.create_connection(("127.0.0.1", self.upstream))
            except OSError:
                far = None
            if far is None:
                _break(near)
                continue
            self._ends |= {near, far}
            for one, other in ((near, far), (far, near)):
                threading.Thread(target=self._pass, args=(one, other), daemon=True).start()

    def _pass(self, one: socket.socket, other: socket.socket) -> None:
        with suppress(OSError):
            while told := one.recv(_PIECE):
                self._passing.wait()
                other.sendall(told)
        for end in (one, other):
            self._ends.discard(end)
            with suppress(OSError):
                end.shutdown(socket.SHUT_RDWR)
        other.close()


def _break(end: socket.socket) -> None:
    """Hang up so that the other side sees an error and no end of the words."""
    with suppress(OSError):
        end.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, struct.pack("ii", 1, 0))
        end.shutdown(socket.SHUT_RDWR)
        end.close()
