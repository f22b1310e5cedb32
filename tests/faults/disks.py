"""Puts a real server on a disk that fills, takes no writing or loses its log, and under a clock years off.

Counts what was acknowledged and is not there; knows the wire by a phone that sends notes.
"""

import http.client
import json
import shutil
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

from tests.browser.chromium import now
from tests.browser.server import ROOT, Server
from tests.factories import raw
from webapp import working
from webapp.moments import moved
from webapp.store.jobs import IMPORT, Job, Jobs

NOTES_A_BATCH = 50
ELEVEN_YEARS_DAYS = 11 * 365
BALLS = 6000


@dataclass
class Phone:
    """A phone that sends notes to its book and remembers which were acknowledged."""

    server: Server
    book_id: str
    cookie: str
    promised: set[str] = field(default_factory=set)

    def send(self, many: int = NOTES_A_BATCH) -> tuple[int, str]:
        """Send a batch; the status, and the code of a refusal."""
        status, told, set_cookie = self.ask("GET", "/api/session")
        if status != 200:
            return status, told["error"]["code"]
        notes = [raw("note", {"words": "w" * 300}, now()) for _ in range(many)]
        body = json.dumps({"book": self.book_id, "facts": notes})
        headers = {"X-CSRFToken": told["csrf"], "Content-Type": "application/json"}
        status, told, _ = self.ask("POST", "/api/facts", body, headers, set_cookie)
        if status == 200:
            self.promised |= set(told["taken"])
        return status, told.get("error", {}).get("code", "")

    def ask(
        self, method: str, path: str, body: str = "", headers: dict[str, str] | None = None, session: str = ""
    ) -> tuple[int, dict, str]:  # type: ignore[type-arg]
        """Status, answer and the cookies given with it."""
        line = http.client.HTTPConnection("127.0.0.1", self.server.port, timeout=60)
        cookies = "; ".join(filter(None, (self.cookie, session)))
        line.request(method, path, body or None, {"Cookie": cookies, **(headers or {})})
        answer = line.getresponse()
        content = answer.read()
        line.close()
        told = json.loads(content) if answer.headers.get_content_type() == "application/json" else {}
        given = [one.partition(";")[0] for one in answer.headers.get_all("Set-Cookie") or []]
        return answer.status, told, "; ".join(given)

    def lost(self) -> int:
        """How many acknowledged notes are not in the book, or stand there twice."""
        with self.server.directory() as directory, directory.open_book(self.book_id) as book:
            held = [fact["id"] for fact in book.after(0, 10**9)]
        return len(self.promised - set(held)) + len(held) - len(set(held))

    def none_lost(self) -> str:
        """How many notes were acknowledged, in words; AssertionError unless each of them is there once."""
        assert self.lost() == 0, f"{self.lost()} of {len(self.promised)} acknowledged notes are lost or doubled"
        return f"{len(self.promised)} notes acknowledged, none lost or doubled"


def may_mount(folder: Path) -> bool:
    """Whether this user may mount a small disk here; where not, those checks are left out with one plain line."""
    folder.mkdir(parents=True, exist_ok=True)
    done = subprocess.run(["mount", "-t", "tmpfs", "-o", "size=1m", "tmpfs", folder], capture_output=True, check=False)
    if done.returncode == 0:
        subprocess.run(["umount", folder], check=True)
    return done.returncode == 0


@contextmanager
def read_only(folder: Path) -> Iterator[None]:
    """Have a folder take no writing, with all that lies in it."""
    subprocess.run(["mount", "--bind", folder, folder], check=True)
    try:
        subprocess.run(["mount", "-o", "remount,bind,ro", folder], check=True)
        yield
    finally:
        subprocess.run(["umount", "-l", folder], check=True)


def full_disk(folder: Path) -> str:
    """Fill a disk of 3 MB to its last byte by a phone's notes; room made again, the phone goes on."""
    with _small_disk(folder), _phone(folder / "data") as phone:
        while (answer := phone.send())[0] == 200:
            pass
        assert answer == (507, "disk_full"), answer
        with (folder / "filling").open("wb", buffering=0) as file:
            try:
                while file.write(b"x" * 512):
                    pass
            except OSError:
                pass  # now not a byte is free
        assert phone.send() == (507, "disk_full")
        assert phone.ask("GET", "/healthz")[0] == 200
        reading = phone.ask("GET", "/card")[0]
        subprocess.run(["mount", "-o", "remount,size=8m", folder], check=True)
        (folder / "filling").unlink()
        assert phone.send() == (200, "")
        return f"full disk: {phone.none_lost()}; card {reading}"


def full_disk_during_a_job(folder: Path) -> str:
    """Take in a file for which a disk has no room: nothing of it is there, the job says why, and another try works."""
    lines = (f"2025-04-30T{at // 3600:02d}:{at // 60 % 60:02d}:{at % 60:02d}Z,56,9:00,54" for at in range(BALLS))
    table = "\n".join(("made_at,club,swing,carry", *lines, ""))
    with _small_disk(folder):
        server = Server(folder / "data")
        with server.directory() as directory:
            book_id = directory.new_book(now())
        jobs = Jobs(server.data)
        jobs.put(Job(book_id, IMPORT, now()), lambda file: file.write_text(table))
        working.work_off(server.data, server.store_url)
        job = jobs.of(book_id)
        assert job, "the job is forgotten"
        assert job.state == "refused", job
        assert "disk is full" in job.words[0], job
        with server.directory() as directory, directory.open_book(book_id) as book:
            assert book.cursor == 0, "a part of a file was taken"
        subprocess.run(["mount", "-o", "remount,size=40m", folder], check=True)
        jobs.put(Job(book_id, IMPORT, now()), lambda file: file.write_text(table))
        working.work_off(server.data, server.store_url)
        job = jobs.of(book_id)
        assert job, "the second job is forgotten"
        assert job.state == "done", job
        return f"full disk during an import: nothing of it was taken; with room: {job.words[0]}"


def read_only_disk(folder: Path) -> str:
    """Let a disk take no more writing, as a kernel does that met an error; written to again, the phone goes on."""
    with _small_disk(folder), _phone(folder / "data") as phone:
        assert phone.send() == (200, "")
        phone.server.stop()  # its log is a file of that disk, and an open one keeps the disk writable
        subprocess.run(["mount", "-o", "remount,ro", folder], check=True)
        phone.server.start(said=folder.with_name("server.log"))
        assert phone.send() == (503, "read_only")
        assert phone.ask("GET", "/healthz")[0] == 200
        subprocess.run(["mount", "-o", "remount,rw", folder], check=True)
        assert phone.send() == (200, "")
        return f"read-only disk: {phone.none_lost()}"


def log_removed(folder: Path) -> str:
    """Kill a server and take its book's write-ahead log away: the book is whole, and the phone can tell it is older."""
    with _phone(folder / "data") as phone:
        assert phone.send() == (200, "")
        with phone.server.directory() as directory, directory.open_book(phone.book_id) as book:
            book.newest()
            book.conn.execute("BEGIN")
            book.newest()  # a reader that stays: what comes now stands in the log alone
            before = len(phone.promised)
            for _ in range(3):
                assert phone.send() == (200, "")
            assert phone.server.process
            phone.server.process.kill()
            phone.server.stop()
            alone = folder / "without its log"
            shutil.copy(book.path, alone)
        alone.replace(book.path)
        phone.server.start()
        cursor = phone.ask("GET", "/api/session")[1]["cursor"]
        lost = phone.lost()
        # The newest number tells the phone that an older book answers; it then gives back what it holds.
        assert cursor == before == len(phone.promised) - lost
        assert phone.send() == (200, "")
        return f"log removed: {len(phone.promised)} notes acknowledged, {lost} gone with the log and seen to be missing"


def clock_years_off(folder: Path) -> str:
    """Take notes under a server's clock eleven years ahead, eleven behind, and right again."""
    folder.mkdir(parents=True)
    (folder / "sitecustomize.py").write_text(
        "import os\nfrom datetime import UTC, datetime, timedelta\nimport webapp\nmake = webapp.create_app\n"
        "def create_app(config=None):\n    app = make(config)\n"
        "    app.config['NOW'] = lambda: datetime.now(UTC) + timedelta(days=float(os.environ['DAYS_OFF']))\n"
        "    return app\nwebapp.create_app = create_app\n"
    )
    with _phone(folder / "data", PYTHONPATH=f"{folder}:{ROOT}", DAYS_OFF="0") as phone:
        with phone.server.directory() as directory:
            directory.set_joining(phone.book_id, "JOIN", now(), moved(now(), minutes=10))
        for days in (0, ELEVEN_YEARS_DAYS, -ELEVEN_YEARS_DAYS, 0):
            phone.server.stop()
            phone.server.environment["DAYS_OFF"] = str(days)
            phone.server.start()
            answer = phone.send()
            assert answer == (200, ""), (days, answer)
            assert phone.ask("GET", "/card")[0] == 200, days
        with phone.server.directory() as directory:
            assert directory.use_code("JOIN", now()) is None, "a code outlived a clock set back"
        return f"clock 11 years off: {phone.none_lost()}"


@contextmanager
def _small_disk(folder: Path) -> Iterator[None]:
    folder.mkdir(parents=True)
    subprocess.run(["mount", "-t", "tmpfs", "-o", "size=3m", "tmpfs", folder], check=True)
    try:
        yield
    finally:
        subprocess.run(["mount", "-o", "remount,rw", folder], check=False)
        subprocess.run(["umount", "-l", folder], check=True)


@contextmanager
def _phone(data: Path, **environment: str) -> Iterator[Phone]:
    server = Server(data, **environment)
    with server.directory() as directory:
        book_id = directory.new_book(now())
        cookie = f"book={directory.new_device(book_id, 'phone', now())}"
    phone = Phone(server.start(), book_id, cookie)
    try:
        yield phone
    finally:
        phone.server.stop()
