"""What keeping and serving costs: `python -m tests.bench.serving` prints ratios against baselines of the same run.

Knows no target's cause; every figure is a ratio or a size, so that a slow machine says the same as a fast one.
"""

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

from tests.factories import NOW, a_bucket, a_shot, raw, the_demo_set
from webapp import create_app
from webapp.moments import moved
from webapp.store.connect import connect
from webapp.store.directory import Directory

BATCH = 100
SECRET = "a secret for benches only, 0123456789abcdef"


def main() -> None:
    """Print every figure beside what is wanted."""
    with tempfile.TemporaryDirectory(dir="/dev/shm" if Path("/dev/shm").is_dir() else None) as folder:
        data = Path(folder)
        _say("batch write / raw executemany, speed (>= 0.5)", writing(data / "w"))
        hello, batch, card = serving(data / "s")
        _say("shots taken by HTTP in the time of one hello (>= 7)", BATCH * hello / batch)
        _say("card page / hello, time", card / hello)
        _say("card of a 100,000-shot book / of 2,000 shots, time (<= 1.3)", history(data / "h"))
        _say("opening one of 5,000 books / of 50, time (<= 1.3)", many_books(data / "m"))
        _say("100 phones sending at once, p99 / p50 (<= 8)", crowd(data / "c"))
        _say("bytes a shot in the file", bytes_a_shot(data / "b"))
    start, bare, memory = starting()
    _say("first answer after start / bare Flask's (<= 2.5)", start / bare)
    _say("memory before a chart, MB (<= 70)", memory)


def writing(data: Path) -> float:
    """Speed of taking batches of 100 against writing the same rows with executemany, both durable."""
    with Directory(data) as directory, directory.open_book(directory.new_book(NOW)) as book:
        facts, shots = _shots(3000)
        book.add(facts, None, NOW)
        ours = _time(lambda: [book.add(some, None, NOW) for some in _batches(shots)])
    conn = connect(data / "raw.sqlite")
    conn.execute("CREATE TABLE facts (id TEXT PRIMARY KEY, made_at TEXT, body TEXT) STRICT")

    def write_raw() -> None:
        for some in _batches(shots):
            conn.execute("BEGIN IMMEDIATE")
            rows = [(shot["id"], shot["made_at"], repr(shot["body"])) for shot in some]
            conn.executemany("INSERT INTO facts VALUES (?, ?, ?)", rows)
            conn.execute("COMMIT")

    return _time(write_raw) / ours


def serving(data: Path) -> tuple[float, float, float]:
    """Seconds of a bare hello, of a batch of 100 and of the card page, through the app in this process."""
    client, facts, shots = _client(data)
    hello = Flask("hello")
    hello.add_url_rule("/", "hello", lambda: "hello")
    hello_client = hello.test_client()
    token = client.get("/api/session").get_json()["csrf"]
    send = _sender(client, token)
    send(facts)
    batches = list(_batches(shots))
    sent = [_time(lambda some=some: send(some)) for some in batches]
    hellos = [_time(lambda: hello_client.get("/")) for _ in range(300)]
    client.get("/card")
    cards = [_time(lambda: client.get("/card")) for _ in range(20)]
    return statistics.median(hellos), statistics.median(sent), statistics.median(cards)


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
            times.append(_time(lambda client=client: client.get("/card")))
    return statistics.median(pages[1][1]) / statistics.median(pages[0][1])


def many_books(data: Path) -> float:
    """Time to open a book and read its clubs, with 5,000 books in the folder against 50."""
    found = []
    for count in (50, 5_000):
        with Directory(data / str(count)) as directory:
            ids = [directory.new_book(NOW) for _ in range(count)]
            picked = ids[:: max(1, count // 50)]

            def look(directory: Directory = directory, picked: list[str] = picked) -> None:
                for book_id in picked:
                    with directory.open_book(book_id) as book:
                        book.conn.execute("SELECT * FROM clubs").fetchall()

            look()
            found.append(min(_time(look) / len(picked) for _ in range(5)))
    return found[1] / found[0]


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
            times.append(_time(lambda at=at: send(shots[at : at + 20])))

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


def bytes_a_shot(data: Path) -> float:
    """The file's growth by 10,000 shots, facts and derived rows together."""
    facts, shots = _shots(10_000)
    with Directory(data) as directory, directory.open_book(directory.new_book(NOW)) as book:
        book.add(facts, None, NOW)
        before = _pages(book)
        book.add(shots, None, NOW)
        return (_pages(book) - before) / len(shots)


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


def _client(data: Path, count: int = 3000, app: Flask | None = None) -> tuple[Any, list[Any], list[Any]]:
    app = app or create_app({"DATA": data, "SECRET": SECRET, "RATELIMIT_ENABLED": False})
    with Directory(data) as directory:
        token = directory.new_device(directory.new_book(NOW), "phone", NOW)
    client = app.test_client()
    client.set_cookie("book", token)
    return client, *_shots(count)


def _sender(client: Any, token: str) -> Callable[[list[Any]], None]:
    def send(facts: list[Any]) -> None:
        answer = client.post("/api/facts", json={"facts": facts}, headers={"X-CSRFToken": token})
        assert answer.status_code == 200
        assert not answer.get_json()["refused"]

    return send


def _shots(count: int) -> tuple[list[Any], list[Any]]:
    """Facts of a set and its visits, then `count` shots spread over 16 cells and visits of 50 balls."""
    clubs = the_demo_set()
    visits = [a_bucket(moved(NOW, days=-at)) for at in range(1 + count // 50)]
    shots = []
    for at in range(count):
        club, swing = clubs[at % 4], 45.0 * (1 + at // 4 % 4)
        shot = a_shot(visits[at // 50], club, 40 + at % 17, moved(NOW, days=-(at // 50)), swing_deg=swing)
        shots.append(raw(shot["kind"], shot["body"], shot["made_at"], id=shot["id"]))
    return [*clubs, *visits], shots


def _batches(shots: list[Any]) -> list[list[Any]]:
    return [shots[at : at + BATCH] for at in range(0, len(shots), BATCH)]


def _pages(book: Any) -> int:
    conn = book.conn
    return int(conn.execute("PRAGMA page_count").fetchone()[0] * conn.execute("PRAGMA page_size").fetchone()[0])


def _time(work: Callable[[], Any]) -> float:
    began = time.perf_counter()
    work()
    return time.perf_counter() - began


def _say(what: str, figure: float) -> None:
    print(f"{what}: {figure:.2f}", flush=True)


if __name__ == "__main__":
    main()
