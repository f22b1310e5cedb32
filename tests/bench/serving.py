"""What keeping and serving costs: `python -m tests.bench.serving` prints ratios against baselines of the same run.

Knows no target's cause; every figure is a ratio or a size, so that a slow machine says the same as a fast one.
"""

import http.client
import json
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from flask import Flask

from tests.bench.keeping import BATCH, batches, bytes_a_shot, many_books, shots_of_a_player, took, writing
from tests.browser.server import Server, free_port
from tests.factories import NOW
from webapp import create_app, working
from webapp.store.directory import Directory
from webapp.store.jobs import IMPORT, Job, Jobs

SECRET = "a secret for benches only, 0123456789abcdef"
HELLO = """
from flask import Flask
from waitress import create_server
app = Flask("hello")
app.add_url_rule("/", "hello", lambda: "hello")
server = create_server(app, host="127.0.0.1", port={port}, threads=8)
print("ready", flush=True)
server.run()
"""


def main() -> None:
    """Print every figure beside what is wanted."""
    with tempfile.TemporaryDirectory(dir="/dev/shm" if Path("/dev/shm").is_dir() else None) as folder:
        data = Path(folder)
        _say("batch write / executemany of the same rows, speed (>= 0.5)", writing(data / "w"))
        hello, batch, card = serving(data / "s")
        _say("shots taken by HTTP in the time of one hello (>= 7)", BATCH * hello / batch)
        _say("card page / hello, time", card / hello)
        _say("card of a 100,000-shot book / of 2,000 shots, time (<= 1.3)", history(data / "h"))
        _say("opening one of 5,000 books / of 50, time (<= 1.3)", many_books(data / "m"))
        _say("100 phones sending at once, p99 / p50 (<= 8)", crowd(data / "c"))
        _say("bytes a shot in the file", bytes_a_shot(data / "b"))
        counting, importing = health_during_an_import(data / "i")
        _say("health check while 20,000 balls go in, p99, ms (< 100)", importing * 1000)
        _say("the same / beside a process that only counts (<= 2)", importing / counting)
    start, bare, memory = starting()
    _say("first answer after start / bare Flask's (<= 2.5)", start / bare)
    _say("memory before a chart, MB (<= 70)", memory)


def serving(data: Path) -> tuple[float, float, float]:
    """Seconds of a bare hello, of a batch of 100 and of the card page: real servers, a connection that stays open."""
    facts, shots = shots_of_a_player(3000)
    with Directory(data) as directory:
        token = directory.new_device(directory.new_book(NOW), "phone", NOW)
    server, port = Server(data).start(), free_port()
    hello = subprocess.Popen([sys.executable, "-c", HELLO.format(port=port)], stdout=subprocess.PIPE, text=True)
    try:
        assert hello.stdout
        hello.stdout.readline()
        greet, ask = asker(port), asker(server.port, f"book={token}")
        signed = {"X-CSRFToken": json.loads(ask("GET", "/api/session"))["csrf"]}

        def send(some: list[Any]) -> None:
            assert not json.loads(ask("POST", "/api/facts", {"facts": some}, signed))["refused"]

        send(facts)
        times: dict[str, list[float]] = {"hello": [], "batch": [], "card": []}
        for some in batches(shots):
            times["hello"] += [took(lambda: greet("GET", "/")) for _ in range(10)]
            times["batch"].append(took(lambda some=some: send(some)))
        ask("GET", "/card")
        times["card"] = [took(lambda: ask("GET", "/card")) for _ in range(20)]
        hello_s, batch_s, card_s = (statistics.median(every) for every in times.values())
        return hello_s, batch_s, card_s
    finally:
        hello.kill()
        hello.wait()
        server.stop()


def health_during_an_import(data: Path) -> tuple[float, float]:
    """p99 [s] of the health check beside a process that only counts, and while a job takes a table of 20,000 balls."""
    with Directory(data) as directory:
        book_id = directory.new_book(NOW)
    rows = "".join(
        f"2025-04-30T{at // 3600:02d}:{at // 60 % 60:02d}:{at % 60:02d}Z,56,9:00,54\n" for at in range(20_000)
    )
    server, jobs = Server(data).start(), Jobs(data)
    try:
        ask = asker(server.port)
        ask("GET", "/healthz")

        def p99(goes_on: Callable[[], bool]) -> float:
            times = []
            while goes_on():
                times.append(took(lambda: ask("GET", "/healthz")))
            return sorted(times)[int(len(times) * 0.99)]

        working.ask(data, Job(book_id, IMPORT, NOW), lambda file: file.write_text(f"made_at,club,swing,carry\n{rows}"))
        began = time.perf_counter()
        importing = p99(lambda: not (job := jobs.of(book_id)) or not job.is_over)
        lasted, job = time.perf_counter() - began, jobs.of(book_id)
        assert job is not None
        assert job.state == "done", job.words
        counter = subprocess.Popen([sys.executable, "-c", "while True: pass"])
        ends = time.perf_counter() + lasted
        counting = p99(lambda: time.perf_counter() < ends)
        counter.kill()
        counter.wait()
        return counting, importing
    finally:
        server.stop()


def history(data: Path) -> float:
    """The card page's time with 100,000 shots against 2,000, taken in turns."""
    pages = []
    for count in (2_000, 100_000):
        client, facts, shots = _client(data / str(count), count)
        with Directory(data / str(count)) as directory, directory.open_book(directory.books()[0]["id"]) as book:
            book.add([*facts, *shots], None, NOW)
        client.get("/card")
        pages.append((client, []))
    for _ in range(15):
        for client, times in pages:
            times.append(took(lambda client=client: client.get("/card")))
    return statistics.median(pages[1][1]) / statistics.median(pages[0][1])


def crowd(data: Path) -> float:
    """100 phones, each sending five batches of 20 to its own book at once: slow answers against usual ones."""
    app = create_app({"DATA": data, "SECRET": SECRET, "RATELIMIT_ENABLED": False})
    phones = [_client(data, 100, app) for _ in range(100)]
    for client, facts, _ in phones:
        _sender(client, client.get("/api/session").get_json()["csrf"])(facts)
    times: list[float] = []

    def send_all(client: Any, shots: list[Any]) -> None:
        send = _sender(client, client.get("/api/session").get_json()["csrf"])
        for at in range(0, 100, 20):
            times.append(took(lambda at=at: send(shots[at : at + 20])))

    waiting = iter(phones)
    lock = threading.Lock()

    def work() -> None:
        while True:
            with lock:
                phone = next(waiting, None)
            if phone is None:
                return
            send_all(phone[0], phone[2])

    threads = [threading.Thread(target=work) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    times.sort()
    return times[int(len(times) * 0.99)] / statistics.median(times)


def starting() -> tuple[float, float, float]:
    """Seconds to import and answer once: the app, a bare Flask app; and the app's memory in MB after a card page."""
    probe = (
        "import tempfile\n{body}\nclient = app.test_client(); client.get('/')\n"
        "print([line.split()[1] for line in open('/proc/self/status') if line.startswith('VmRSS')][0])"
    )
    ours = f"from webapp import create_app; app = create_app({{'DATA': tempfile.mkdtemp(), 'SECRET': '{SECRET}'}})"
    bare = "from flask import Flask; app = Flask('hello'); app.add_url_rule('/', 'hello', lambda: 'hello')"
    runs: dict[str, list[float]] = {ours: [], bare: []}
    memory = 0.0
    for _ in range(7):
        for body, times in runs.items():
            began = time.perf_counter()
            done = subprocess.run(
                [sys.executable, "-c", probe.format(body=body)],
                capture_output=True,
                text=True,
                check=True,
            )
            times.append(time.perf_counter() - began)
            if body == ours:
                memory = float(done.stdout) / 1024
    return statistics.median(runs[ours]), statistics.median(runs[bare]), memory


def asker(port: int, cookie: str = "") -> Callable[..., bytes]:
    """Asks one server over one connection and gives what it says; anything but 200 is an error."""
    line, cookies = http.client.HTTPConnection("127.0.0.1", port), [cookie]

    def ask(method: str, path: str, told: Any = None, headers: dict[str, str] | None = None) -> bytes:
        body = None if told is None else json.dumps(told).encode()
        kind = {} if body is None else {"Content-Type": "application/json"}
        line.request(method, path, body, {"Cookie": "; ".join(cookies), **kind, **(headers or {})})
        answer = line.getresponse()
        said = answer.read()
        assert answer.status == 200, said
        cookies.extend(one.partition(";")[0] for one in answer.headers.get_all("Set-Cookie", []))
        return said

    return ask


def _client(data: Path, count: int = 3000, app: Flask | None = None) -> tuple[Any, list[Any], list[Any]]:
    app = app or create_app({"DATA": data, "SECRET": SECRET, "RATELIMIT_ENABLED": False})
    with Directory(data) as directory:
        token = directory.new_device(directory.new_book(NOW), "phone", NOW)
    client = app.test_client()
    client.set_cookie("book", token)
    return client, *shots_of_a_player(count)


def _sender(client: Any, token: str) -> Callable[[list[Any]], None]:
    def send(facts: list[Any]) -> None:
        answer = client.post("/api/facts", json={"facts": facts}, headers={"X-CSRFToken": token})
        assert answer.status_code == 200
        assert not answer.get_json()["refused"]

    return send


def _say(what: str, figure: float) -> None:
    print(f"{what}: {figure:.2f}", flush=True)


if __name__ == "__main__":
    main()
