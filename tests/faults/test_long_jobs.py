"""A real server answers while it takes a large file in, and says what became of the file when all of it was killed."""

import http.client
import json
import os
import signal
from contextlib import suppress
from pathlib import Path

import pytest

from tests.browser.chromium import now
from tests.browser.server import Server
from tests.processes import children_of
from webapp.store import reading
from webapp.store.jobs import Job, Jobs

BALLS = 6000


class Sender:
    """A phone that brings a file to a server."""

    def __init__(self, data: Path) -> None:
        self.server, self.jobs = Server(data), Jobs(data)
        with self.server.directory() as directory:
            self.book_id = directory.new_book(now())
            self.cookie = f"book={directory.new_device(self.book_id, 'phone', now())}"

    def ask(self, method: str, path: str, body: bytes = b"", **headers: str) -> tuple[http.client.HTTPResponse, str]:
        """One request; its answer and its text."""
        line = http.client.HTTPConnection("127.0.0.1", self.server.port, timeout=60)
        line.request(method, path, body, {"Cookie": self.cookie, **headers})
        answer = line.getresponse()
        text = answer.read().decode()
        line.close()
        return answer, text

    def bring(self, balls: int) -> None:
        """Send a table of balls as the form of the page does."""
        rows = "".join(
            f"2025-04-30T{at // 3600:02d}:{at // 60 % 60:02d}:{at % 60:02d}Z,56,9:00,54\r\n" for at in range(balls)
        )
        answer, told = self.ask("GET", "/api/session")
        self.cookie += "; " + str(answer.headers["Set-Cookie"]).partition(";")[0]
        parts = (
            ("csrf_token", "", json.loads(told)["csrf"]),
            ("file", '; filename="b.csv"', f"made_at,club,swing,carry\r\n{rows}"),
        )
        body = "".join(
            f'--edge\r\nContent-Disposition: form-data; name="{name}"{more}\r\n\r\n{value}\r\n'
            for name, more, value in parts
        )
        kind = {"Content-Type": "multipart/form-data; boundary=edge"}
        answer, _ = self.ask("POST", "/import", f"{body}--edge--\r\n".encode(), **kind)
        assert (answer.status, answer.headers["Location"]) == (303, "/job")

    def hold_in_the_middle(self) -> set[int]:
        """Let whoever takes the file in stand still where some of it has been read; the ids of these processes."""
        assert self.server.process
        while True:
            workers = children_of(self.server.process.pid)
            tell(workers, signal.SIGSTOP)
            job = self.jobs.of(self.book_id)
            if job and (job.share or job.is_over):
                assert job.state == "running", f"it was {job.state} before anybody looked"
                return workers
            tell(workers, signal.SIGCONT)
            assert self.ask("GET", "/job")[0].status == 200

    def wait_until_over(self) -> Job:
        """The job once nothing more becomes of it."""
        while not ((job := self.jobs.of(self.book_id)) and job.is_over):
            assert self.ask("GET", "/job")[0].status == 200
        return job

    def balls(self) -> int:
        """How many balls the book holds."""
        with self.server.directory() as directory, directory.open_book(self.book_id) as book:
            return reading.count_of_balls(book)


def tell(workers: set[int], what: signal.Signals) -> None:
    """Send processes a signal; one may have ended."""
    for worker in workers:
        with suppress(ProcessLookupError):
            os.kill(worker, what)


@pytest.fixture
def sender(tmp_path: Path, log_of_servers: str) -> Sender:
    """A phone with a book on a server that is not started yet."""
    return Sender(tmp_path / "data")


def test_the_health_check_and_pages_answer_while_a_file_goes_in(sender: Sender) -> None:
    sender.server.start()
    try:
        sender.bring(BALLS)
        workers = sender.hold_in_the_middle()
        try:
            assert sender.ask("GET", "/healthz")[0].status == 200
            assert sender.ask("GET", "/card")[0].status == 200
        finally:
            tell(workers, signal.SIGCONT)
        assert sender.wait_until_over().words == (f"{BALLS} balls came into the book; 0 were there already.",)
        assert sender.balls() == BALLS
    finally:
        sender.server.stop()


def test_a_file_is_taken_once_and_whole_although_all_is_killed_in_the_middle(sender: Sender) -> None:
    sender.server.start()
    try:
        sender.bring(BALLS)
        workers = sender.hold_in_the_middle()
        assert sender.server.process
        sender.server.process.kill()
        tell(workers, signal.SIGKILL)
        sender.server.stop()
        assert sender.balls() == 0
        sender.server.start()
        assert sender.wait_until_over().words == (f"{BALLS} balls came into the book; 0 were there already.",)
        assert sender.balls() == BALLS
    finally:
        sender.server.stop()
