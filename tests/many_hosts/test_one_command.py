"""`deploy/many-hosts` starts all of it, goes on when a host dies, and leaves nothing running behind."""

import os
import shutil
import signal
import subprocess
from pathlib import Path

import pytest

from tests.browser.server import ROOT, free_port
from tests.processes import said_until

from .fixtures import Clusters
from .hosts import Host, NoAnswer, Phone, notes
from .postgres import until

PORTS = 5


@pytest.mark.skipif(
    not any(map(shutil.which, ("nginx", "/usr/sbin/nginx", str(ROOT / ".venv/proxies/usr/sbin/nginx")))),
    reason="nginx was not found; deploy/test fetches it",
)
def test_the_whole_of_it_starts_survives_a_host_and_stops(clusters: Clusters) -> None:
    folder, ports = clusters.folder / "one-command", sorted(free_port() for _ in range(PORTS))
    folder.mkdir()
    words = [ROOT / "deploy" / "many-hosts", "--folder", folder, "--ports", " ".join(map(str, ports))]
    with subprocess.Popen(words, stderr=subprocess.PIPE, text=True, cwd=ROOT, start_new_session=True) as started:
        try:
            assert started.stderr
            said = said_until(started.stderr, "ready on two hosts")
            assert started.poll() is None, said
            proxy = Host(folder, "")
            proxy.port = ports[0]
            phone = Phone().start_book(proxy)
            assert phone.send(proxy, notes(3)) == (200, "")
            os.kill(int((folder / "one.pid").read_text()), signal.SIGKILL)
            phones = [phone, *(Phone().start_book(proxy) for _ in range(3))]
            for one in phones:  # whichever of them kept to the host that died
                one.send_until_taken(proxy, notes(2))
            assert len(phone.held(proxy)) >= len(phone.promised) == 5
        finally:
            os.killpg(started.pid, signal.SIGINT)  # as a terminal does
            said.append(started.stderr.read())
    assert started.returncode == 0, said
    assert "Everything is stopped" in said[-1]
    for port in ports[:3]:
        proxy.port = port
        with pytest.raises(NoAnswer):
            phone.ask(proxy, "GET", "/healthz")
    assert list(folder.glob("*/postmaster.pid")) == []
    until(lambda: not _running_in(folder))


def _running_in(folder: Path) -> list[str]:
    """The words of every process that names the folder."""
    found = []
    for path in Path("/proc").glob("[0-9]*/cmdline"):
        try:
            words = path.read_bytes().replace(b"\0", b" ").decode()
        except OSError:
            continue
        found += [words] if str(folder) in words else []
    return found
