"""The app behind a real proxy, started with the very files of deploy/ on free ports of this machine.

Changes in those files nothing but names, ports and folders; knows no page.
"""

import http.client
import os
import shutil
import ssl
import subprocess
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Playwright

from tests.browser.chromium import chromium_options
from tests.browser.server import ROOT, Server, free_port

DEPLOY = ROOT / "deploy"
# Where deploy/test unpacks them when the machine has none of its own.
UNPACKED = ROOT / ".venv" / "proxies" / "usr"
LONGEST_START_S = 30


class Proxy:
    """One running proxy: its address, its log of requests, and the server behind it."""

    def __init__(self, port: int, log: Path, server: Server) -> None:
        self.port, self.log, self.server, self.url = port, log, server, f"https://localhost:{port}"

    def ask(self, path: str, source: str = "127.0.0.1", **headers: str) -> tuple[int, dict[str, str], bytes]:
        """Status, headers and body of an answer to a phone at the address `source`."""
        unchecked = ssl._create_unverified_context()  # its certificate was made a moment ago
        line = http.client.HTTPSConnection(
            "localhost", self.port, timeout=20, source_address=(source, 0), context=unchecked
        )
        line.request("GET", path, headers={name.replace("_", "-"): value for name, value in headers.items()})
        answer = line.getresponse()
        told = answer.status, {name.lower(): value for name, value in answer.getheaders()}, answer.read()
        line.close()
        return told


@pytest.fixture(scope="module", params=["caddy", "nginx"])
def proxy(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory, log_of_servers: str
) -> Iterator[Proxy]:
    """One of the two proxies that the run book names, in front of a server of its own."""
    folder = tmp_path_factory.mktemp(request.param)
    app_server = Server(folder / "data", CLOCKYARD_HTTPS="1", CLOCKYARD_BEHIND_PROXY="1").start()
    port, log = free_port(), folder / "requests.log"
    words = {"caddy": _caddy, "nginx": _nginx}[request.param](folder, port, log, app_server.port)
    with (folder / "said.log").open("w") as said:
        environment = {**os.environ, "HOME": str(folder), "XDG_DATA_HOME": str(folder), "XDG_CONFIG_HOME": str(folder)}
        process = subprocess.Popen(words, stdout=said, stderr=said, env=environment)
    found = Proxy(port, log, app_server)
    _wait_until_it_answers(found, process, folder / "said.log")
    yield found
    process.terminate()
    process.wait(20)
    app_server.stop()


@pytest.fixture(scope="module")
def trusting(playwright: Playwright) -> Iterator[Browser]:
    """A Chromium that takes any certificate, also for a worker, as a phone does once it trusts this one."""
    options = chromium_options()
    opened = playwright.chromium.launch(**{**options, "args": [*options["args"], "--ignore-certificate-errors"]})
    yield opened
    opened.close()


def _caddy(folder: Path, port: int, log: Path, app_port: int) -> list[str]:
    site = _changed(
        "Caddyfile",
        {
            "range.example {": f"https://localhost:{port} {{\n\ttls internal",
            "/var/log/caddy/clockyard.log": str(log),
            "127.0.0.1:8000": f"127.0.0.1:{app_port}",
        },
    )
    config = folder / "Caddyfile"
    config.write_text(f"{{\n\tadmin off\n\tauto_https disable_redirects\n\tskip_install_trust\n}}\n{site}")
    return [_program("caddy"), "run", "--config", str(config), "--adapter", "caddyfile"]


def _nginx(folder: Path, port: int, log: Path, app_port: int) -> list[str]:
    plain_port = free_port()
    made = ["req", "-x509", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:P-256", "-nodes", "-days", "2"]
    key, certificate = folder / "privkey.pem", folder / "fullchain.pem"
    named = ["-subj", "/CN=localhost", "-addext", "subjectAltName=DNS:localhost"]
    subprocess.run(
        ["openssl", *made, "-keyout", key, "-out", certificate, *named], check=True, capture_output=True, timeout=60
    )
    site = _changed(
        "nginx.conf",
        {
            "listen 80": f"listen 127.0.0.1:{plain_port}",
            "    listen [::]:80 default_server;\n": "",
            "    listen [::]:80;\n": "",
            "listen 443": f"listen 127.0.0.1:{port}",
            "    listen [::]:443 ssl default_server;\n": "",
            "    listen [::]:443 ssl;\n": "",
            "server_name range.example;": "server_name localhost;",
            "https://range.example": f"https://localhost:{port}",
            "/etc/letsencrypt/live/range.example/": f"{folder}/",
            "/var/log/nginx/clockyard-error.log": str(folder / "error.log"),
            "/var/log/nginx/clockyard.log": str(log),
            "127.0.0.1:8000": f"127.0.0.1:{app_port}",
        },
    )
    kinds = ("client_body", "proxy", "fastcgi", "uwsgi", "scgi")
    folders = "\n".join(f"{kind}_temp_path {folder / kind};" for kind in kinds)
    user = "user root;\n" if os.geteuid() == 0 else ""  # the tests' folders are open to nobody else
    config = folder / "nginx.conf"
    config.write_text(f"{user}pid {folder}/nginx.pid;\nevents {{}}\nhttp {{\n{folders}\n{site}\n}}\n")
    return [_program("nginx"), "-c", str(config), "-e", str(folder / "first.log"), "-g", "daemon off;"]


def _changed(name: str, changes: dict[str, str]) -> str:
    text = (DEPLOY / name).read_text()
    for there, here in changes.items():
        assert there in text, f"{name} no longer holds {there!r}"
        text = text.replace(there, here)
    return text


def _program(name: str) -> str:
    folders = [os.environ["PATH"], "/usr/sbin", UNPACKED / "bin", UNPACKED / "sbin"]
    found = shutil.which(name, path=os.pathsep.join(map(str, folders)))
    assert found, f"{name} is not here; deploy/test fetches it"
    return found


def _wait_until_it_answers(proxy: Proxy, process: "subprocess.Popen[bytes]", said: Path) -> None:
    gives_up = time.monotonic() + LONGEST_START_S
    while True:
        assert process.poll() is None, said.read_text()
        try:
            if proxy.ask("/healthz")[0] == 200:
                return
        except (OSError, http.client.HTTPException):
            assert time.monotonic() < gives_up, said.read_text()
