"""Begins the program's own commands out of one process that has loaded it: loading costs a second of work each time.

That process makes no app, opens no file of a test and starts no thread of the program; it forks for each command, whose
words, folder, environment and pipes are the test's. What comes of it is a process like any other: it opens its own
sockets, it can be killed, and it runs `python -m webapp.cli` from its first line. Tests of starting itself, of memory
and of another tree of the program begin the real command.

Apps of one run share their compiled templates too: compiling them takes longer than most pages.
"""

import atexit
import gc
import importlib
import json
import os
import pkgutil
import runpy
import select
import shutil
import signal
import socket
import subprocess
import sys
import tempfile
import threading
from collections.abc import Mapping, Sequence
from functools import cache
from pathlib import Path
from typing import IO, Any

from flask import Flask
from jinja2 import FileSystemBytecodeCache

ROOT = Path(__file__).resolve().parents[1]
MOST_BYTES = 131_072  # of one command's words and environment
_alone = threading.Lock()
_line: socket.socket | None = None


class Process:
    """A command that runs: what subprocess.Popen says and does, as far as tests ask for it."""

    def __init__(
        self,
        words: Sequence[str],
        *,
        module: str = "webapp.cli",
        folder: Path = ROOT,
        env: Mapping[str, str] | None = None,
        stdout: int | IO[Any] = subprocess.DEVNULL,
        stderr: int | IO[Any] = subprocess.DEVNULL,
    ) -> None:
        """Begin a command; `env` is this process's unless given, PIPE is for stdout alone."""
        self.args, self.returncode = [module, *words], None
        self.stdout: IO[str] | None = None
        asked = {"words": self.args, "folder": str(folder), "env": dict(os.environ if env is None else env)}
        with open(os.devnull, "wb") as nowhere:
            ends = [nowhere.fileno() if one == subprocess.DEVNULL else _number(one) for one in (stdout, stderr)]
            if stdout == subprocess.PIPE:
                said, ends[0] = os.pipe()
                self.stdout = open(said, encoding="utf-8")  # noqa: SIM115 -- the test reads and closes it
            self.pid = int(_ask(asked, ends))
            if stdout == subprocess.PIPE:
                os.close(ends[0])
        self._ended = os.pidfd_open(self.pid)  # nobody else can get this number before it is buried

    def poll(self) -> int | None:
        """What it ended with, None as long as it runs."""
        if self.returncode is None and select.select([self._ended], [], [], 0)[0]:
            self._bury()
        return self.returncode

    def wait(self, timeout: float | None = None) -> int:
        """Wait until it ends; what it ended with. subprocess.TimeoutExpired after so many seconds."""
        if self.returncode is None and not select.select([self._ended], [], [], timeout)[0]:
            raise subprocess.TimeoutExpired(self.args, timeout or 0)
        return self.returncode if self.returncode is not None else self._bury()

    def send_signal(self, number: int) -> None:
        """Send it a signal, unless it has ended."""
        if self.poll() is None:
            os.kill(self.pid, number)

    def terminate(self) -> None:
        """Ask it to end."""
        self.send_signal(signal.SIGTERM)

    def kill(self) -> None:
        """Let it die at once."""
        self.send_signal(signal.SIGKILL)

    def _bury(self) -> int:
        self.returncode = int(_ask({"bury": self.pid}))
        os.close(self._ended)
        return self.returncode


def run(words: Sequence[str], timeout: float = 120, **more: Any) -> "subprocess.CompletedProcess[str]":
    """Run a command to its end: what it ended with and said. Options as of Process."""
    with os.fdopen(os.memfd_create("said"), "r") as said, os.fdopen(os.memfd_create("faults"), "r") as faults:
        process = Process(words, stdout=said, stderr=faults, **more)
        try:
            process.wait(timeout)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()
            raise
        for file in (said, faults):
            file.seek(0)  # the command wrote where we read: both hold one place in the file
        return subprocess.CompletedProcess(process.args, process.returncode, said.read(), faults.read())


@cache
def shared_templates() -> str:
    """The folder in which every app of this process and of its commands finds templates that one of them compiled.

    What lies there goes by the text of the template: a changed one is compiled anew.
    """
    folder = tempfile.mkdtemp(prefix="clockyard-templates-")
    atexit.register(shutil.rmtree, folder)
    _find_compiled_in(folder)
    return folder


def _find_compiled_in(folder: str) -> None:
    Flask.jinja_options = {"bytecode_cache": FileSystemBytecodeCache(folder)}


def _number(end: int | IO[Any]) -> int:
    return end if isinstance(end, int) else end.fileno()


def _ask(asked: Mapping[str, Any], ends: Sequence[int] = ()) -> bytes:
    """Send one request to the process that has the program loaded; its answer."""
    with _alone:
        line = _line or _begin()
        socket.send_fds(line, [json.dumps(asked).encode()], ends)
        answer = line.recv(64)
    assert answer, "the process that has the program loaded is gone"
    return answer


def _begin() -> socket.socket:
    """Begin the process that loads the program; it ends with this one, whose end of the line closes then."""
    global _line
    _line, theirs = socket.socketpair(socket.AF_UNIX, socket.SOCK_SEQPACKET)
    words = [sys.executable, "-u", "-m", __name__, str(theirs.fileno()), shared_templates()]
    process = subprocess.Popen(words, cwd=ROOT, stdin=subprocess.DEVNULL, pass_fds=[theirs.fileno()])
    theirs.close()

    def end() -> None:
        assert _line
        _line.close()
        process.wait()

    atexit.register(end)
    return _line


def _load() -> None:
    """Load every module of the program, and what it loads or makes when first needed."""
    for module in pkgutil.walk_packages([str(ROOT / "webapp")], "webapp."):
        if not module.name.endswith("__main__"):
            importlib.import_module(module.name)
    for name in ("altair", "pandas", "sqlite_utils", "vl_convert", "waitress.server"):
        importlib.import_module(name)
    _make_what_is_made_once()
    gc.freeze()  # the forks share what is loaded


def _make_what_is_made_once() -> None:
    """Make what each process makes once out of the program's own files: it takes twice as long as to begin a server."""
    from webapp.pages import shell
    from webapp.store import book, connect, directory

    shell.static_version()
    for name in shell.joined_scripts():
        shell._compressed(name)
    connect._empty("book", book.VERSION)
    connect._empty("directory", directory.VERSION)


def _until_forked(line: socket.socket) -> dict[str, Any] | None:
    """Do what is asked until the test's process ends; in each fork, gives what that one is to run."""
    while True:
        told, ends, *_ = socket.recv_fds(line, MOST_BYTES, 2)
        if not told:
            return None
        asked: dict[str, Any] = json.loads(told)
        if "bury" in asked:
            line.send(str(os.waitstatus_to_exitcode(os.waitpid(asked["bury"], 0)[1])).encode())
            continue
        pid = os.fork()
        if not pid:
            for place, end in enumerate(ends, 1):
                os.dup2(end, place)
        for end in ends:
            os.close(end)
        if not pid:
            return asked
        line.send(str(pid).encode())


def main() -> None:
    """Load the program, fork as often as asked, and in a fork be the command."""
    usual = signal.signal(signal.SIGINT, signal.SIG_IGN)  # who stops the tests stops the commands first
    with socket.socket(fileno=int(sys.argv[1])) as line:
        _load()
        _find_compiled_in(sys.argv[2])
        asked = _until_forked(line)
    if asked is None:
        return
    signal.signal(signal.SIGINT, usual)
    os.chdir(asked["folder"])
    os.environ.clear()
    os.environ.update(asked["env"])
    module, *words = asked["words"]
    sys.argv[1:] = words
    runpy.run_module(module, run_name="__main__", alter_sys=True)


if __name__ == "__main__":
    main()
