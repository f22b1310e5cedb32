"""Three PostgreSQL servers that Patroni keeps by deploy/patroni.yml, on loopback; the primary's machine dies, often.

`python -m tests.many_hosts.patroni` does it fifty times, or as often as told; deploy/test --many-hosts fetches Debian's
patroni and etcd. Knows the file's placeholders; no table.
"""

import os
import signal
import subprocess
import sys
import tempfile
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any

import psycopg

from tests.browser.server import ROOT, free_port
from tests.processes import children_of

from .hosts import Host
from .kills import phones_of, two_hosts
from .load import Count, Load
from .postgres import DATABASE, DEADLINE_S, PASSWORD, ROLE, as_owner, own_folder, programs, until

UNPACKED = ROOT / ".venv" / "patroni" / "usr"
NAMES = ("one", "two", "three")
# Until a dead machine is a standby again: it recovers, is rewound and catches up, which a busy machine does slowly.
BACK_S = 300
_SECRET = "SECRET-OF-POSTGRES"


class Node:
    """One machine: Patroni and the server it keeps."""

    def __init__(self, name: str, folder: Path, place: Path, etcd_port: int) -> None:
        self.name, self.folder, self.place = name, folder / name, place
        self.port, self.rest_port = free_port(), free_port()
        self.process: subprocess.Popen[bytes] | None = None
        self.folder.mkdir()
        own_folder(self.folder)
        own = {"name: one ": f"name: {name} ", "one.range.example:8008": f"127.0.0.1:{self.rest_port}",
               "0.0.0.0:8008": f"127.0.0.1:{self.rest_port}", "one.range.example:5432": f"127.0.0.1:{self.port}",
               "0.0.0.0:5432": f"127.0.0.1:{self.port}", "/var/lib/postgresql/15/clockyard": str(self.folder / "data"),
               "/usr/lib/postgresql/15/bin": str(place), "0.0.0.0/0": "127.0.0.1/32",
               "one.range.example:2379,two.range.example:2379,three.range.example:2379": f"127.0.0.1:{etcd_port}",
               'wal_log_hints: "on"': 'wal_log_hints: "on"\n        unix_socket_directories: ""'}  # fmt: skip
        text = (ROOT / "deploy" / "patroni.yml").read_text()
        for there, here in own.items():
            assert there in text, f"patroni.yml no longer holds {there!r}"
            text = text.replace(there, here)
        (self.folder / "patroni.yml").write_text(text)

    def start(self) -> "Node":
        """Start Patroni; it starts the server when it sees fit."""
        words = ["/usr/bin/python3", str(UNPACKED / "bin" / "patroni"), str(self.folder / "patroni.yml")]
        told = as_owner(self.place)
        told["env"] = {**told.get("env", os.environ), "HOME": str(self.folder),
                       "PYTHONPATH": str(UNPACKED / "lib/python3/dist-packages")}  # fmt: skip
        with (self.folder / "said.log").open("a") as said:
            self.process = subprocess.Popen(words, stdout=said, stderr=said, cwd=self.folder, **told)
        return self

    def kill(self) -> None:
        """Let the machine die: Patroni, the server and every process of it in one blow."""
        assert self.process
        self.process.kill()
        self.process.wait(DEADLINE_S)
        server = int((self.folder / "data" / "postmaster.pid").read_text().split()[0])
        os.kill(server, signal.SIGSTOP)
        for one in (*children_of(server), server):
            with suppress(ProcessLookupError):
                os.kill(one, signal.SIGKILL)

    def stop(self) -> None:
        """End both in an orderly way."""
        if self.process and self.process.poll() is None:
            self.process.terminate()
            self.process.wait(DEADLINE_S)

    def is_(self, what: str) -> bool:
        """Whether Patroni says that it is "primary", or "sync", a standby that commits wait for."""
        try:
            with urllib.request.urlopen(f"http://127.0.0.1:{self.rest_port}/{what}", timeout=5) as answer:
                return bool(answer.status == 200)
        except (urllib.error.URLError, OSError):
            return False


@contextmanager
def three_nodes(folder: Path, place: Path) -> Iterator[list[Node]]:
    """Three nodes and an etcd, all running, one of them the primary with a standby that commits wait for."""
    port, peer = free_port(), free_port()
    here, there = f"http://127.0.0.1:{port}", f"http://127.0.0.1:{peer}"
    words = [UNPACKED / "bin" / "etcd", "--data-dir", folder / "etcd", "--listen-client-urls", here,
             "--advertise-client-urls", here, "--listen-peer-urls", there, "--initial-advertise-peer-urls", there,
             "--initial-cluster", f"default={there}"]  # fmt: skip
    nodes = [Node(name, folder, place, port) for name in NAMES]
    with (folder / "etcd.log").open("w") as said:
        etcd = subprocess.Popen([str(word) for word in words], stdout=said, stderr=said)
    try:
        nodes[0].start()
        until(lambda: nodes[0].is_("primary"), lambda: (nodes[0].folder / "said.log").read_text())
        for node in nodes[1:]:
            node.start()
        until(lambda: any(node.is_("sync") for node in nodes), lambda: (nodes[1].folder / "said.log").read_text())
        yield nodes
    finally:
        for node in nodes:
            node.stop()
        etcd.terminate()
        etcd.wait(DEADLINE_S)


def primaries_killed(nodes: list[Node], hosts: list[Host], times: int) -> Count:
    """Let the primary's machine die under eight phones and come back once another one took over."""
    phones, longest_s = phones_of(hosts, 4, 2), 0.0
    with Load(phones, hosts) as load:
        for number in range(1, times + 1):
            load.wait_for(10)
            primary = next(node for node in nodes if node.is_("primary"))
            primary.kill()
            began = time.monotonic()
            others = [node for node in nodes if node is not primary]
            until(lambda others=others: any(node.is_("primary") for node in others))  # type: ignore[misc]
            away_s = load.since(began)
            longest_s = max(longest_s, away_s)
            print(f"{number} of {times}: taken again after {away_s:.1f} s", flush=True)
            primary.start()  # not before: one that is back within its time stays the primary
            until(lambda primary=primary: primary.is_("replica"), _said(primary), BACK_S)  # type: ignore[misc]
            until(lambda: any(node.is_("sync") for node in nodes), deadline_s=BACK_S)
    return load.count("the primary's machine killed under Patroni", times, longest_s)


def url_of(nodes: list[Node]) -> str:
    """The address of whichever node takes writes; the role and the database are made first."""
    primary = next(node for node in nodes if node.is_("primary"))
    owner: dict[str, Any] = {"host": "127.0.0.1", "port": primary.port, "user": "postgres", "password": _SECRET}
    with psycopg.connect(**owner, dbname="postgres", autocommit=True) as line:
        line.execute(f"CREATE ROLE {ROLE} LOGIN PASSWORD '{PASSWORD}'")
        line.execute(f"CREATE DATABASE {DATABASE} OWNER {ROLE}")
    where = ",".join(f"127.0.0.1:{node.port}" for node in nodes)
    return f"postgresql://{ROLE}:{PASSWORD.replace(' ', '%20')}@{where}/{DATABASE}?target_session_attrs=read-write"


def _said(node: Node) -> Any:
    return lambda: "\n".join((node.folder / "said.log").read_text().splitlines()[-30:])


def main() -> None:
    """Do it so many times, 50 unless told; exit status 1 when anything was lost or doubled."""
    times = int((sys.argv[1:] or ["50"])[0])
    place = programs()
    if place is None or not (UNPACKED / "bin" / "patroni").exists():
        sys.exit("PostgreSQL 15 or Patroni was not found; deploy/test --many-hosts fetches both.")
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        folder.chmod(0o755)
        with three_nodes(folder, place) as nodes, two_hosts(folder / "hosts", url_of(nodes)) as hosts:
            count = primaries_killed(nodes, hosts, times)
            print(count.told(), flush=True)
    sys.exit(bool(count.wrong))


if __name__ == "__main__":
    main()
