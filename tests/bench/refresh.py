"""What a phone's refresh costs a server: `python -m tests.bench.refresh` prints processor time as hellos of that run.

A hello is a trivial answer of Flask behind the same web server. Every figure is the median of the processor time that
the server's process took for one answer over HTTP; the demo book gets one more ball before what is to be made anew.
"""

import http.client
import os
import subprocess
import sys
import tempfile
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from statistics import median
from urllib.parse import urlencode

from tests.bench.serving import HELLO
from tests.browser.server import Server, free_port
from tests.factories import a_bucket, a_shot
from webapp.books.demo import demo_facts
from webapp.moments import text_of
from webapp.phone_pages import KEPT
from webapp.store import reading
from webapp.store.directory import Directory

ROUNDS, HELLOS = 15, 40
BOOKS = 200
MEMORY = """
import sys
from datetime import UTC, datetime
from pathlib import Path
from webapp import create_app
from webapp.books.demo import demo_facts
from webapp.moments import text_of
from webapp.phone_pages import KEPT
from webapp.store.directory import Directory
data, now = Path(sys.argv[1]), text_of(datetime.now(UTC))
app = create_app({"DATA": data, "SECRET": "a secret for benches only, 0123456789abcdef"})
facts = demo_facts(now)
with Directory(data) as directory:
    for _ in range(int(sys.argv[2])):
        with directory.open_book(directory.new_book(now)) as book:
            book.add(facts, None, now)
        client = app.test_client()
        client.set_cookie("book", directory.new_device(book.id, "phone", now))
        assert client.get("/api/pages?" + "&".join(f"of={address}" for address in KEPT)).status_code == 200
told = Path("/proc/self/status").read_text().splitlines()
print(next(int(line.split()[1]) for line in told if line.startswith("VmRSS")) / 1024)
"""


def main() -> None:
    """Print every figure beside what is wanted."""
    with tempfile.TemporaryDirectory(dir="/dev/shm" if Path("/dev/shm").is_dir() else None) as folder:
        _measure(Path(folder))


def _measure(data: Path) -> None:
    now = text_of(datetime.now(UTC))
    with Directory(data) as directory:
        book_id = directory.new_book(now)
        token = directory.new_device(book_id, "phone", now)
        book = directory.open_book(book_id)
    book.add(demo_facts(now), None, now)
    club, bucket = reading.clubs(book)[0].id, a_bucket(now)
    book.add([bucket], None, now)
    port, server = free_port(), Server(data).start()
    hello = subprocess.Popen([sys.executable, "-c", HELLO.format(port=port)], stdout=subprocess.PIPE, text=True)
    try:
        assert hello.stdout
        assert server.process
        hello.stdout.readline()
        greet, ask = _asker(port), _asker(server.port, f"book={token}")
        every = f"/api/pages?{urlencode([('of', address) for address in KEPT])}"
        two = f"/api/pages?{urlencode([('of', address) for address in ('/bucket', '/card')])}"
        times: dict[str, list[float]] = {}

        def measure(name: str, pid: int, work: Callable[[], object]) -> None:
            before = _processor_s(pid)
            work()
            times.setdefault(name, []).append(_processor_s(pid) - before)

        def a_ball() -> None:
            book.add([a_shot(bucket, club, 70, text_of(datetime.now(UTC)))], None, text_of(datetime.now(UTC)))

        for _ in range(ROUNDS):
            for _ in range(HELLOS):
                measure("hello", hello.pid, lambda: greet("/"))
            for name, address in (("all", every), ("two", two), ("card", "/card")):
                a_ball()
                measure(name, server.process.pid, lambda address=address: ask(address))
            tag = ask("/card")[1]
            measure("same", server.process.pid, lambda tag=tag: ask("/card", tag))
    finally:
        hello.kill()
        hello.wait()
        server.stop()
    one = median(times["hello"])
    print(f"a hello: {1000 * one:.2f} ms of processor time here")
    for name, words in (
        ("all", "all kept pages in one answer after a ball, hellos (<= 270)"),
        ("two", "the bucket's page and the card after a ball, hellos"),
        ("card", "the card's page after a ball, hellos (<= 50)"),
        ("same", "the card's page that is still the same, hellos (<= 10)"),
    ):
        print(f"{words}: {median(times[name][1:]) / one:.1f}")
    few, many = (_memory_mb(data / f"{books}", books) for books in (1, BOOKS))
    print(f"memory of a process whose {BOOKS} books were all asked for, MB (<= 90): {many:.0f}; of one book: {few:.0f}")


def _asker(port: int, cookie: str = "") -> Callable[..., tuple[int, str]]:
    line = http.client.HTTPConnection("127.0.0.1", port)

    def ask(address: str, tag: str = "") -> tuple[int, str]:
        told = {"Cookie": cookie, "X-Kept-Page": "1", **({"If-None-Match": tag} if tag else {})}
        line.request("GET", address, headers=told)
        answer = line.getresponse()
        answer.read()
        assert answer.status == (304 if tag else 200), (address, answer.status)
        return answer.status, answer.headers.get("ETag", "")

    return ask


def _processor_s(pid: int) -> float:
    """Seconds that the threads of a process have run, to the nanosecond as Linux counts them."""
    folder = Path(f"/proc/{pid}/task")
    return sum(int((folder / thread / "schedstat").read_text().split()[0]) for thread in os.listdir(folder)) / 1e9


def _memory_mb(data: Path, books: int) -> float:
    """Of a process without plots, after it answered for all kept pages of so many demo books."""
    done = subprocess.run([sys.executable, "-c", MEMORY, data, f"{books}"], capture_output=True, text=True, check=True)
    return float(done.stdout)


if __name__ == "__main__":
    main()
