"""A server that a test stops and starts again finds its port free, whatever else begins on the machine meanwhile."""

import socket
from pathlib import Path

import pytest

from tests.browser.server import Server


def test_nobody_else_gets_the_port_of_a_server_that_is_stopped(tmp_path: Path) -> None:
    server = Server(tmp_path / "data").start()
    server.stop()
    with socket.socket() as other, pytest.raises(OSError, match="in use"):
        other.bind(("127.0.0.1", server.port))
    with pytest.raises(ConnectionRefusedError):
        socket.create_connection(("127.0.0.1", server.port))
    server.start().stop()
