"""A bad line in front of the real server: it does one chosen wrong to the next request of a kind, and passes the rest.

Knows sockets and the frame of an HTTP/1.1 message; nothing of what is sent.
"""

import socket
import struct
import threading
from collections.abc import Callable, Iterator
from contextlib import suppress

Ask = Callable[[bytes], bytes]
PATIENCE_S = 60
_HTML = b"<!doctype html><title>Welcome</title><p>Agree to go on."


class Proxy:
    """Listens on a port of its own; `fail` says what becomes of the next request that begins with some words."""

    def __init__(self, port: int) -> None:
        self.upstream = port
        self.struck = threading.Event()
        self.stalled = threading.Event()  # the server has done its part, the phone does not hear of it
        self.go_on = threading.Event()  # a held answer may come now
        self.late: list[bytes] = []
        self.asked: list[str] = []  # the method and address of every request that came, in that order
        self._fault: Fault | None = None
        self._start = b""
        self._choosing = threading.Lock()
        self._listener = socket.create_server(("127.0.0.1", 0))
        self._open: set[socket.socket] = set()
        threading.Thread(target=self._listen, daemon=True).start()

    @property
    def url(self) -> str:
        """The origin a phone is given."""
        return f"http://127.0.0.1:{self._listener.getsockname()[1]}"

    def fail(self, fault: "Fault", start: bytes = b"POST /api/facts") -> None:
        """Do this wrong, once, to the next request whose first line begins so; `struck` is set when it has come."""
        self.struck.clear()
        self.stalled.clear()
        self.go_on.clear()
        self._fault, self._start = fault, start

    def let_late_ones_through(self) -> list[bytes]:
        """Hand over what was held back on the way; gives the answers, which nobody hears."""
        held, self.late = self.late, []
        return [self._ask(request) for request in held]

    def close(self) -> None:
        """Hang up on everybody."""
        self.go_on.set()
        with suppress(OSError):
            self._listener.shutdown(socket.SHUT_RDWR)
        self._listener.close()
        for line in list(self._open):
            with suppress(OSError):
                line.shutdown(socket.SHUT_RDWR)

    def _listen(self) -> None:
        while True:
            try:
                client, _ = self._listener.accept()
            except OSError:
                return
            threading.Thread(target=self._serve, args=(client,), daemon=True).start()

    def _serve(self, client: socket.socket) -> None:
        client.settimeout(PATIENCE_S)
        self._open.add(client)
        with client, suppress(OSError):
            request = _message(client)
            self.asked.append(b" ".join(request.split(b" ", 2)[:2]).decode())
            fault = self._fault_for(request)
            if fault is None:
                client.sendall(self._ask(request))
            else:
                self.struck.set()
                fault(self, client, request)
        self._open.discard(client)

    def _fault_for(self, request: bytes) -> "Fault | None":
        with self._choosing:
            fault = self._fault
            if fault is None or not request.startswith(self._start):
                return None
            self._fault = None
            return fault

    def _ask(self, request: bytes) -> bytes:
        """One request on a line of its own, so that the server hangs up when its answer is complete."""
        if not request:
            return b""
        head, _, body = request.partition(b"\r\n\r\n")
        kept = [line for line in head.split(b"\r\n") if not line.lower().startswith(b"connection:")]
        with socket.create_connection(("127.0.0.1", self.upstream), PATIENCE_S) as server:
            server.sendall(b"\r\n".join([*kept, b"Connection: close"]) + b"\r\n\r\n" + body)
            return b"".join(_pieces(server))


Fault = Callable[[Proxy, socket.socket, bytes], None]


def refuse(proxy: Proxy, client: socket.socket, request: bytes) -> None:
    """The line is reset; the server never hears of it."""
    _reset(client)


def black_hole(proxy: Proxy, client: socket.socket, request: bytes) -> None:
    """Nothing comes back and nothing arrives."""
    _until_left(client)


def arrive_late(proxy: Proxy, client: socket.socket, request: bytes) -> None:
    """The phone gives up, and only later does its request arrive."""
    proxy.late.append(request)
    _until_left(client)


def lose_the_answer(proxy: Proxy, client: socket.socket, request: bytes) -> None:
    """The server took it, and the phone never hears so."""
    proxy._ask(request)
    _reset(client)


def cut_the_answer(proxy: Proxy, client: socket.socket, request: bytes) -> None:
    """Half an answer, then the line is reset."""
    answer = proxy._ask(request)
    client.sendall(answer[: -len(answer.partition(b"\r\n\r\n")[2]) // 2])
    _reset(client)


def stall_in_the_answer(proxy: Proxy, client: socket.socket, request: bytes) -> None:
    """Half an answer, then nothing, on a line that stays open."""
    answer = proxy._ask(request)
    client.sendall(answer[:-5])
    proxy.stalled.set()
    _until_left(client)


def hold_the_answer(proxy: Proxy, client: socket.socket, request: bytes) -> None:
    """The server has done its part; its whole answer comes once `go_on` is set."""
    answer = proxy._ask(request)
    proxy.stalled.set()
    proxy.go_on.wait()
    client.sendall(answer)


def duplicate(proxy: Proxy, client: socket.socket, request: bytes) -> None:
    """The request arrives twice; the phone hears the second answer."""
    proxy._ask(request)
    client.sendall(proxy._ask(request))


def duplicate_late(proxy: Proxy, client: socket.socket, request: bytes) -> None:
    """All is well, and much later the same request arrives once more."""
    proxy.late.append(request)
    client.sendall(proxy._ask(request))


def answer_500(proxy: Proxy, client: socket.socket, request: bytes) -> None:
    """The server fails before it took anything."""
    _answer(client, b"500 Internal Server Error", b"")


def answer_500_after_taking(proxy: Proxy, client: socket.socket, request: bytes) -> None:
    """The server took it and fails afterwards."""
    proxy._ask(request)
    _answer(client, b"500 Internal Server Error", _HTML)


def answer_503(proxy: Proxy, client: socket.socket, request: bytes) -> None:
    """A proxy says that the server is away."""
    _answer(client, b"503 Service Unavailable", _HTML)


def trickle(proxy: Proxy, client: socket.socket, request: bytes) -> None:
    """The answer comes byte by byte."""
    client.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
    for byte in proxy._ask(request):
        client.sendall(bytes([byte]))


def answer_a_page(proxy: Proxy, client: socket.socket, request: bytes) -> None:
    """A network's own page in place of the answer."""
    _answer(client, b"200 OK", _HTML)


def answer_other_json(proxy: Proxy, client: socket.socket, request: bytes) -> None:
    """JSON that names nothing of what was sent."""
    _answer(client, b"200 OK", b'{"ok": true, "taken": ["00000000-0000-7000-8000-000000000000"], "refused": []}')


def answer_nothing(proxy: Proxy, client: socket.socket, request: bytes) -> None:
    """All is well, says an empty answer."""
    _answer(client, b"200 OK", b"")


def send_elsewhere(proxy: Proxy, client: socket.socket, request: bytes) -> None:
    """A network sends everybody to its own page first."""
    _answer(client, b"302 Found\r\nLocation: /healthz", b"")


FAULTS: tuple[Fault, ...] = (
    refuse, black_hole, arrive_late, lose_the_answer, cut_the_answer, stall_in_the_answer, duplicate, duplicate_late,
    answer_500, answer_500_after_taking, answer_503, trickle, answer_a_page, answer_other_json, answer_nothing,
    send_elsewhere,
)  # fmt: skip
# The phone hears nothing of these and has to run out of patience.
SILENT = {black_hole, arrive_late, stall_in_the_answer}


def _answer(client: socket.socket, status: bytes, body: bytes) -> None:
    client.sendall(b"HTTP/1.1 %b\r\nContent-Length: %d\r\nConnection: close\r\n\r\n%b" % (status, len(body), body))


def _reset(client: socket.socket) -> None:
    client.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, struct.pack("ii", 1, 0))
    client.close()


def _until_left(client: socket.socket) -> None:
    while client.recv(4096):
        pass


def _message(line: socket.socket) -> bytes:
    """One whole request; b"" when the other side hung up without one."""
    told = b""
    while b"\r\n\r\n" not in told:
        piece = line.recv(65_536)
        if not piece:
            return b""
        told += piece
    head, _, body = told.partition(b"\r\n\r\n")
    lengths = [row.partition(b":")[2] for row in head.split(b"\r\n") if row.lower().startswith(b"content-length:")]
    missing = int(lengths[0]) - len(body) if lengths else 0
    while missing > 0:
        piece = line.recv(min(missing, 65_536))
        if not piece:
            return b""
        told += piece
        missing -= len(piece)
    return told


def _pieces(line: socket.socket) -> Iterator[bytes]:
    while piece := line.recv(65_536):
        yield piece
