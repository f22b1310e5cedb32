"""Bodies too large, too slow or cut off, and addresses that try to leave their folder, against a real server too."""

import re
import socket
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from uuid import uuid4

import pytest
from flask import Flask

from tests.browser.server import Server
from tests.factories import NOW, a_club
from tests.pages.visitor import token
from webapp.config import SECRET_FILE
from webapp.pages.shell import static_version
from webapp.store.directory import Directory

from .conftest import Owner, rules

ESCAPES = (
    "../../webapp/config.py",
    "..%2f..%2fwebapp%2fconfig.py",
    "%2e%2e/%2e%2e/pyproject.toml",
    "..%5c..%5cpyproject.toml",
    "....//....//pyproject.toml",
    "/etc/passwd",
    "%00app.js",
    "css/../../pyproject.toml",
)
PATIENCE_S = 20
A_PART = b'Content-Disposition: form-data; name="a"\r\n\r\n1\r\n--x\r\n'
CHUNKED = b"Transfer-Encoding: chunked\r\nConnection: close\r\n\r\n0\r\n\r\n"


@pytest.mark.parametrize("escape", ESCAPES)
@pytest.mark.parametrize("below", ["static", "export", "w", "card", "api"])
def test_no_address_leaves_its_folder(owner: Owner, below: str, escape: str) -> None:
    version = f"{static_version()}/" if below == "static" else ""
    answer = owner.phone.get(f"/{below}/{version}{escape}", follow_redirects=True)
    assert answer.status_code in (404, 410)
    for inside in ("root:", "PREFIX", "[project]"):
        assert inside not in answer.get_data(as_text=True)


@pytest.mark.parametrize("alias", ["../../outside", "/etc/passwd", "..", "a/b", "x" * 5000, "'; DROP TABLE books--"])
def test_a_books_name_is_never_a_path(directory: Directory, data: Path, alias: str) -> None:
    assert directory.book_of_alias(alias) is None
    book_id = directory.new_book(NOW, alias=alias)
    assert directory.book_of_alias(alias) == book_id
    folder = directory.book_path(book_id).parent
    assert folder == directory.book_path(str(uuid4())).parent
    assert folder.parent == data
    assert re.fullmatch(r"[0-9a-f-]{36}", book_id)
    assert [path.name for path in data.parent.iterdir()] == ["data"]
    assert {path.suffix for path in folder.iterdir()} <= {".sqlite", ".sqlite-wal", ".sqlite-shm"}


def test_every_address_refuses_a_body_beyond_the_limit(app: Flask, owner: Owner, directory: Directory) -> None:
    before = owner.state(directory)
    csrf = token(owner.phone)
    for rule in rules(app, "POST"):
        large = rule.rule in ("/import", "/start/file", "/table")
        body = b"x" * (app.config["MOST_IMPORT" if large else "MOST_BODY"] + 1)
        kind = "application/json" if rule.rule.startswith("/api/") else "application/x-www-form-urlencoded"
        answer = owner.phone.post(
            owner.address(rule), data=body, content_type=kind, headers={"X-CSRFToken": csrf}, follow_redirects=False
        )
        assert answer.status_code == 413, rule
        assert "Nothing was taken" in answer.get_data(as_text=True)
    assert owner.state(directory) == before


@pytest.mark.parametrize(
    ("body", "kind"),
    [
        (b"a=1&" * 200_000, "application/x-www-form-urlencoded"),
        (b"--x\r\n" + A_PART * 2000, "multipart/form-data; boundary=x"),
        (b"--x\r\nContent-Disposition: form-data", "multipart/form-data; boundary=x"),
        (b"nothing like it", "multipart/form-data"),
        (b"\xff\xfe\x00", "application/x-www-form-urlencoded; charset=utf-99"),
        (b"%ff%fe=%00", "application/x-www-form-urlencoded"),
    ],
)  # fmt: skip
def test_a_body_that_is_no_form_changes_nothing(
    app: Flask, owner: Owner, directory: Directory, body: bytes, kind: str
) -> None:
    before, csrf = owner.state(directory), token(owner.phone)
    for path in ("/settings", "/bag", "/delete", "/import", "/settings/swings"):
        answer = owner.phone.post(path, data=body, content_type=kind, headers={"X-CSRFToken": csrf})
        assert answer.status_code in (302, 400, 413), path
    assert owner.state(directory) == before


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory, log_of_servers: str) -> Iterator[Server]:
    """A real server."""
    started = Server(tmp_path_factory.mktemp("attacked")).start()
    yield started
    started.stop()


def said(server: Server, request: bytes, half: bool = False) -> bytes:
    """What the server answers to raw bytes; with `half` the sender goes silent for good after them."""
    with socket.create_connection(("127.0.0.1", server.port), timeout=PATIENCE_S) as line:
        line.sendall(request)
        if half:
            line.shutdown(socket.SHUT_WR)
        answer = b""
        with suppress(ConnectionResetError):  # a server that hangs up on what it did not read may lose its own answer
            while part := line.recv(65536):
                answer += part
        return answer


def status(answer: bytes) -> int:
    """The status of a raw answer; 0 when there is none."""
    found = re.match(rb"HTTP/1\.[01] (\d{3})", answer)
    return int(found[1]) if found else 0


def is_well(server: Server) -> bool:
    """Whether the server goes on answering."""
    return status(said(server, b"GET /healthz HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n")) == 200


def test_a_body_that_is_cut_off_is_not_taken(served: Server) -> None:
    head = b"POST /start HTTP/1.1\r\nHost: x\r\nContent-Type: application/x-www-form-urlencoded\r\n"
    assert status(said(served, head + b"Content-Length: 1000\r\n\r\nhand=right", half=True)) in (0, 400)
    assert is_well(served)
    with Directory(served.data) as directory:
        assert directory.books() == []


def test_phones_that_go_silent_in_the_middle_keep_nobody_else_waiting(served: Server) -> None:
    head = b"POST /api/facts HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\nContent-Length: 9999\r\n\r\n{"
    silent = [socket.create_connection(("127.0.0.1", served.port), timeout=PATIENCE_S) for _ in range(40)]
    try:
        for line in silent:
            line.sendall(head)
        assert is_well(served)
    finally:
        for line in silent:
            line.close()
    assert is_well(served)


@pytest.mark.parametrize(
    ("request_", "expected"),
    [
        (b"GET / HTTP/1.1\r\nHost: x\r\nX: " + b"a" * 40_000 + b"\r\n\r\n", (0, 431)),
        (b"POST /start HTTP/1.1\r\nHost: x\r\nContent-Length: 999999999\r\n\r\n", (413,)),
        (b"POST /start HTTP/1.1\r\nHost: x\r\nContent-Length: -1\r\n\r\n", (400,)),
        (b"POST /start HTTP/1.1\r\nHost: x\r\nTransfer-Encoding: chunked\r\n\r\nzz\r\n", (400,)),
        (b"POST / HTTP/1.1\r\nHost: x\r\nContent-Length: 5\r\n" + CHUNKED, (400, 405)),
        (b"\x16\x03\x01\x02\x00\x01\x00\r\n\r\n", (0, 400)),
        (b"GET /static/x/../../../../etc/passwd HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n", (301, 302, 404)),
        (b"GET //elsewhere.example/ HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n", (404, 308)),
        (b"GET /w/secret-token HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n", (410,)),
    ],
)  # fmt: skip
def test_a_malformed_request_is_refused_and_the_server_goes_on(
    served: Server, request_: bytes, expected: tuple[int, ...]
) -> None:
    answer = said(served, request_)
    assert status(answer) in expected, answer[:200]
    assert b"root:" not in answer
    assert not re.search(rb"Location: (https?:)?//elsewhere", answer)
    assert is_well(served)


def test_the_servers_own_log_holds_no_secret_of_an_address(served: Server) -> None:
    assert status(said(served, b"GET /w/secret-token HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n")) == 410
    assert "secret-token" not in (served.data / "server.log").read_text()


@pytest.mark.files_only
def test_the_servers_own_secret_is_readable_by_its_owner_alone(served: Server) -> None:
    assert (served.data / SECRET_FILE).stat().st_mode & 0o777 == 0o600


def test_a_strangers_batch_does_not_reach_any_book(served: Server) -> None:
    body = f'{{"facts": [{a_club()}]}}'.encode()
    head = f"POST /api/facts HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\nContent-Length: {len(body)}"
    assert status(said(served, head.encode() + b"\r\nConnection: close\r\n\r\n" + body)) == 400
