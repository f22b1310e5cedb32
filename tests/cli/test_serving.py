"""`clockyard serve` as a real process: safe to start, finishing what it began."""

import os
import shutil
import signal
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
import zipfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

import pytest

from tests.browser.server import free_port
from tests.processes import said_until

ROOT = Path(__file__).resolve().parents[2]
SECRET = "0123456789abcdef0123456789abcdef"
LOOK_S = 0.2


@contextmanager
def serving(
    data: Path, *options: str, path: Path = ROOT, **environment: str
) -> Iterator[tuple[str, "subprocess.Popen[str]"]]:
    """A server on a free port, told to end at the end; gives its address."""
    port = free_port()
    words = ["serve", "--port", str(port), "--data", str(data), *options]
    process = subprocess.Popen(
        [sys.executable, "-P", "-m", "webapp.cli", *words],
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        cwd=data.parent,
        env={**os.environ, "PYTHONPATH": str(path), **environment},
    )
    assert process.stdout
    said = said_until(process.stdout, "Stop it")
    assert process.poll() is None, "".join(said)
    assert f":{port}/" in said[0]
    try:
        yield f"http://127.0.0.1:{port}", process
    finally:
        process.terminate()
        process.wait(20)
        process.stdout.close()


def get(url: str) -> tuple[int, bytes]:
    with urllib.request.urlopen(url, timeout=20) as answer:
        return answer.status, answer.read()


def test_it_serves_the_start_page_and_the_demo(tmp_path: Path) -> None:
    with serving(tmp_path / "data", "--demo") as (url, _):
        assert get(f"{url}/healthz")[0] == 200
        assert b"emo" in get(f"{url}/")[1]


def test_a_misspelt_setting_is_said_at_the_start(tmp_path: Path) -> None:
    words = ["serve", "--host", "0.0.0.0", "--data", str(tmp_path / "data")]
    done = subprocess.run(
        [sys.executable, "-m", "webapp.cli", *words],
        capture_output=True,
        text=True,
        cwd=ROOT,
        timeout=60,
        check=False,
        env={**os.environ, "CLOCKYARD_JOIN_COD": "wedge"},
    )
    assert "CLOCKYARD_JOIN_COD is no setting (CLOCKYARD_JOIN_CODE?): it changes nothing." in done.stderr
    assert "without HTTPS" in done.stderr


def test_a_file_well_over_the_limit_is_refused_in_the_apps_own_words(tmp_path: Path) -> None:
    most = 100_000
    limits = {"CLOCKYARD_MOST_IMPORT": str(most), "CLOCKYARD_MOST_BODY": str(most)}
    with serving(tmp_path / "data", **limits) as (url, _):
        with pytest.raises(urllib.error.HTTPError) as refused:
            urllib.request.urlopen(f"{url}/start/file", data=b"x" * (2 * most + 1), timeout=20)
        assert refused.value.code == 413
        with refused.value as answer:
            assert b"This is too much at once. Nothing was taken" in answer.read()


def test_it_finishes_a_request_in_flight_when_it_is_told_to_end(tmp_path: Path) -> None:
    slow = tmp_path / "slow"
    slow.mkdir()
    os.mkfifo(slow / "end")
    # The real server with one more address, which plays slow work: it waits until the test opens the pipe and shuts it.
    (slow / "sitecustomize.py").write_text(
        "import pathlib\n"
        "import webapp\n"
        "make = webapp.create_app\n"
        "def create_app(config=None):\n"
        "    app = make(config)\n"
        "    def slow():\n"
        f"        pathlib.Path({str(slow / 'end')!r}).read_text()\n"
        "        return 'x' * 300000\n"
        "    app.add_url_rule('/slow', 'slow', slow)\n"
        "    return app\n"
        "webapp.create_app = create_app\n"
    )
    with serving(tmp_path / "data", PYTHONPATH=f"{slow}{os.pathsep}{ROOT}") as (url, process):
        host, port = url.removeprefix("http://").split(":")
        with socket.create_connection((host, int(port)), timeout=20) as client:
            client.sendall(b"GET /slow HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n\r\n")
            with (slow / "end").open("w"):
                process.send_signal(signal.SIGTERM)
            answer = b"".join(iter(lambda: client.recv(65536), b""))
        assert answer.startswith(b"HTTP/1.1 200")
        assert answer.endswith(b"x" * 300000)
        assert process.wait(20) == 0


@pytest.mark.parametrize(
    ("options", "environment", "words"),
    [
        ((), {"CLOCKYARD_SECRET": "golf"}, "secret is too short"),
        ((), {"CLOCKYARD_SECRET": SECRET}, "without HTTPS"),
        (("--plain-http",), {"CLOCKYARD_SECRET": "golf"}, "secret is too short"),
        ((), {"CLOCKYARD_HTTPS": "perhaps"}, "CLOCKYARD_HTTPS must be 0 or 1"),
    ],
)
def test_it_does_not_start_unsafely_where_others_can_reach_it(
    tmp_path: Path, options: tuple[str, ...], environment: dict[str, str], words: str
) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "webapp.cli", "serve", "--host", "0.0.0.0", "--port", str(free_port()), *options],
        capture_output=True,
        text=True,
        cwd=ROOT,
        timeout=60,
        check=False,
        env={**os.environ, "CLOCKYARD_DATA": str(tmp_path / "data"), **environment},
    )
    assert done.returncode == 1
    assert words in done.stderr


@pytest.mark.parametrize("stands_before", ["CLOCKYARD_HTTPS", "CLOCKYARD_BEHIND_PROXY"])
def test_it_does_not_start_with_a_weak_secret_where_a_proxy_lets_others_in(tmp_path: Path, stands_before: str) -> None:
    told = {"CLOCKYARD_DATA": str(tmp_path / "data"), "CLOCKYARD_SECRET": "golf", stands_before: "1"}
    env_file = tmp_path / "clockyard.env"
    env_file.write_text("".join(f"{name}={value}\n" for name, value in told.items()))
    for words in (
        ["-m", "webapp.cli", "serve", "--port", str(free_port()), "--env", str(env_file)],
        ["-c", f"from webapp.serving import app_of; app_of({str(env_file)!r})"],
    ):
        done = subprocess.run(
            [sys.executable, *words], capture_output=True, text=True, cwd=ROOT, timeout=60, check=False
        )
        assert done.returncode == 1
        assert "secret is too short" in done.stderr


def test_a_port_in_use_is_said_in_words(tmp_path: Path) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        done = subprocess.run(
            [
                sys.executable,
                "-m",
                "webapp.cli",
                "serve",
                "--port",
                str(taken.getsockname()[1]),
                "--data",
                str(tmp_path),
            ],
            capture_output=True,
            text=True,
            cwd=ROOT,
            timeout=60,
            check=False,
        )
    assert done.returncode == 1
    assert "port" in done.stderr
    assert "Traceback" not in done.stderr


def test_a_built_wheel_serves_pages_static_files_and_the_demo(tmp_path: Path) -> None:
    # Built from a copy, so that nothing is left in the checkout.
    source = tmp_path / "source"
    for name in ("webapp", "static", "seed_data"):
        shutil.copytree(ROOT / name, source / name, ignore=shutil.ignore_patterns("__pycache__"))
    for name in ("pyproject.toml", "README.md", "LICENSE"):
        shutil.copy(ROOT / name, source / name)
    build = [
        sys.executable,
        "-m",
        "pip",
        "wheel",
        "--no-deps",
        "--no-build-isolation",
        "-w",
        str(tmp_path),
        str(source),
    ]
    done = subprocess.run(build, capture_output=True, text=True, timeout=120, check=False)
    assert done.returncode == 0, done.stderr
    wheel = next(tmp_path.glob("*.whl"))
    installed = tmp_path / "installed"
    zipfile.ZipFile(wheel).extractall(installed)
    with serving(tmp_path / "data", "--demo", path=installed) as (url, _):
        page = get(f"{url}/")[1].decode()
        script = page.split('type="module" src="')[1].split('"')[0]
        assert get(url + script)[0] == 200
        kept = get(f"{url}/sw.js")[1]
        assert b"css/" in kept
        assert b"icons/" in kept


def test_the_plots_libraries_are_loaded_after_the_first_answer_and_without_being_asked_for(tmp_path: Path) -> None:
    early = tmp_path / "early"
    early.mkdir()
    # The real server, but what it loads after a while waits for the test, which opens the pipe and shuts it.
    os.mkfifo(early / "go")
    (early / "sitecustomize.py").write_text(
        "import pathlib\n"
        "import webapp.serving\n"
        "from webapp.draw import charts\n"
        "load = charts.load_libraries\n"
        "def load_when_told():\n"
        f"    pathlib.Path({str(early / 'go')!r}).read_text()\n"
        "    load()\n"
        "charts.load_libraries = load_when_told\n"
        "webapp.serving.PLOTS_AFTER_S = 0\n"
    )
    with serving(tmp_path / "data", PYTHONPATH=f"{early}{os.pathsep}{ROOT}") as (url, process):
        assert not draws_plots(process)
        assert get(f"{url}/healthz")[0] == 200
        (early / "go").write_text("")
        gives_up = time.monotonic() + 120
        while not draws_plots(process):
            assert time.monotonic() < gives_up
            assert get(f"{url}/healthz")[0] == 200  # it goes on answering meanwhile
            with suppress(subprocess.TimeoutExpired):
                process.wait(LOOK_S)  # it loads when nobody asks


def draws_plots(process: "subprocess.Popen[str]") -> bool:
    """Whether a process has the drawing library in its memory."""
    return "vl_convert" in Path(f"/proc/{process.pid}/maps").read_text()
