"""A real server process for browser tests that can be stopped and started again on the same data and port.

Knows no page; what it said on stderr is shown when it dies.
"""

import os
import secrets
import shutil
import socket
import subprocess
import sys
from contextlib import suppress
from pathlib import Path
from typing import IO

from tests.prepared import ROOT, Process
from webapp.store.directory import Directory
from webapp.store.open_directory import open_directory

STORE = "STORE_URL"
READY = "Clockyard is ready"
LONGEST_STOP_S = 60  # a busy machine is slow, not wrong


def free_port() -> int:
    """A port that is nobody else's until this process ends, also while no server of it listens there.

    It lies below those that Linux gives to connections. Browsers open none of a few ports up to 10,080.
    """
    while True:
        port = 11_000 + secrets.randbelow(20_000)  # a test may have set the seed of random
        with socket.socket() as holder, suppress(OSError):
            holder.bind(("127.0.0.1", port))
            # From now on a server that sets it too may listen here; another holder would set it too late.
            holder.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            holder.detach()
            return port


def copy_program(folder: Path) -> None:
    """Copy the program's tree into a folder, where a test may change it; what Python has compiled holds there too."""
    for name in ("webapp", "static", "seed_data"):
        shutil.copytree(ROOT / name, folder / name)


class Server:
    """`clockyard serve` on a data folder; `root` is the tree of the program, this one unless another is given."""

    # Fork it from a process that has loaded the program (tests/prepared.py); what is measured by hand starts whole.
    prepared = False
    # The log that a server works on which is told of no other: none, or with --log one that they share as hosts do.
    log = ""

    def __init__(
        self, data: Path, *options: str, root: Path = ROOT, port: int | None = None, **environment: str
    ) -> None:
        self.data, self.options, self.root, self.port = data, options, root, port or free_port()
        self.environment = {STORE: self.log, **environment}
        self.process: subprocess.Popen[str] | Process | None = None

    @property
    def url(self) -> str:
        """The origin; a name rather than a number would be another origin with another database."""
        return f"http://127.0.0.1:{self.port}"

    @property
    def store_url(self) -> str:
        """The log it works on; empty where its books are files."""
        return self.environment[STORE]

    def directory(self) -> Directory:
        """The directory it works on, opened beside it."""
        return open_directory(self.data, store_url=self.store_url)

    def start(self, said: Path | None = None) -> "Server":
        """Start, and return once it says that it is ready; what it says of faults is kept beside its books."""
        self.data.mkdir(parents=True, exist_ok=True)
        said = said or self.data / "server.log"
        with said.open("a") as errors:
            self.process = self._begun(errors)
        assert self.process.stdout
        for line in self.process.stdout:
            if line.startswith(READY):
                return self
        self.stop()
        raise AssertionError(f"the server ended before it was ready:\n{said.read_text()}")

    def _begun(self, errors: IO[str]) -> subprocess.Popen[str] | Process:
        words = ["serve", "--port", str(self.port), "--data", str(self.data), *self.options]
        env = {**os.environ, "PYTHONUNBUFFERED": "1", **self.environment}
        if self.prepared and self.root == ROOT and "PYTHONPATH" not in self.environment:
            return Process(words, env=env, stdout=subprocess.PIPE, stderr=errors)
        command = [sys.executable, "-m", "webapp.cli", *words]
        return subprocess.Popen(command, cwd=self.root, env=env, stdout=subprocess.PIPE, stderr=errors, text=True)

    def stop(self) -> None:
        """Ask it to leave and wait until it has; stopping twice is fine."""
        if self.process is not None:
            self.process.terminate()
            self.process.wait(LONGEST_STOP_S)
            assert self.process.stdout
            self.process.stdout.close()
            self.process = None
