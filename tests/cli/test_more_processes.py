"""Two processes on one book: workers under gunicorn with the words of the run book, and servers that keep numbers."""

import json
import os
import re
import subprocess
import sys
import urllib.error
import urllib.request
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

from tests.factories import NOW, Raw, a_bucket, a_club, a_shot, f1_balls, raw
from webapp.store.directory import Directory

from .test_serving import ROOT, SECRET, free_port, serving

WORDS = re.search(
    r"^/opt/clockyard/.venv/bin/gunicorn (.+) --bind \S+ '(.+)'$",
    (ROOT / "deploy" / "RUNBOOK.md").read_text(),
    re.MULTILINE,
)
BATCHES = 24


def test_two_processes_take_what_phones_send_and_lose_nothing_at_the_end(tmp_path: Path) -> None:
    assert WORDS
    with Directory(tmp_path) as directory:
        book_id = directory.new_book(NOW)
        cookie = f"book={directory.new_device(book_id, 'phone', NOW)}"
    port = free_port()
    program = [str(Path(sys.executable).with_name("gunicorn")), *WORDS[1].split(), "--bind", f"127.0.0.1:{port}"]
    env_file = tmp_path / "clockyard.env"
    env_file.write_text(f"CLOCKYARD_DATA={tmp_path}\nCLOCKYARD_SECRET={SECRET}\n")
    app = WORDS[2].replace("/etc/clockyard.env", str(env_file))
    assert str(env_file) in app
    environment = {name: value for name, value in os.environ.items() if not name.startswith("CLOCKYARD_")}

    def send(at: int) -> int:
        return send_facts(f"http://127.0.0.1:{port}", cookie, [raw("note", {"words": f"{at} {n}"}) for n in range(10)])

    with subprocess.Popen([*program, app], cwd=ROOT, env=environment, stderr=subprocess.PIPE, text=True) as process:
        try:
            assert process.stderr
            booted = (line for line in process.stderr if "Booting worker" in line)
            for _ in range(2):
                assert next(booted)
            with ThreadPoolExecutor(8) as phones:
                taken = sum(phones.map(send, range(BATCHES)))
        finally:
            process.terminate()
        said = process.communicate(timeout=60)[1]
    assert process.returncode == 0, said
    with Directory(tmp_path) as directory, directory.open_book(book_id) as book:
        assert len(book.after(0)) == taken == BATCHES * 10


def test_no_process_shows_a_number_that_another_has_moved(tmp_path: Path) -> None:
    """Each process keeps its numbers; a ball that one of them takes moves those of the other at once."""
    club, bucket = a_club("56"), a_bucket()
    with Directory(tmp_path) as directory:
        book_id = directory.new_book(NOW)
        cookie = f"book={directory.new_device(book_id, 'phone', NOW)}"
        with directory.open_book(book_id) as book:
            assert not book.add([club, bucket, *f1_balls(bucket, club)], None, NOW).refused
    with serving(tmp_path) as (first, _), serving(tmp_path) as (second, _):
        found = [{shown(address, cookie) for _ in range(2) for address in (first, second)}]
        for address, carry_yd in ((first, 60), (second, 48), (first, 61)):
            assert send_facts(address, cookie, [a_shot(bucket, club, carry_yd)]) == 1
            found.append({shown(each, cookie) for each in (second, first, second)})
    assert [len(numbers) for numbers in found] == [1, 1, 1, 1]
    assert len(set.union(*found)) == 4


def send_facts(address: str, cookie: str, facts: list[Raw]) -> int:
    """Send facts as a phone does; how many of them were taken."""
    session = urllib.request.Request(f"{address}/api/session", headers={"Cookie": cookie})
    said, cookies = answer_to(session)
    kept = "; ".join([cookie, *(one.partition(";")[0] for one in cookies)])
    batch = urllib.request.Request(
        f"{address}/api/facts",
        json.dumps({"facts": facts}).encode(),
        {"Cookie": kept, "X-CSRFToken": said["csrf"], "Content-Type": "application/json"},
    )
    return len(answer_to(batch)[0]["taken"])


def answer_to(request: urllib.request.Request) -> tuple[Any, list[str]]:
    """What the server says, with its cookies; its own words where it refuses."""
    try:
        with urllib.request.urlopen(request, timeout=60) as answer:
            return json.loads(answer.read()), answer.headers.get_all("Set-Cookie") or []
    except urllib.error.HTTPError as error:
        raise AssertionError(error.read().decode()) from error


def shown(address: str, cookie: str) -> str:
    """The typical carry of the 9:00 swing on the card's page of one server."""
    with urllib.request.urlopen(
        urllib.request.Request(f"{address}/card", headers={"Cookie": cookie}), timeout=60
    ) as answer:
        found = re.search(
            r'data-cell="[^"]+:90".*?data-part="carry" data-m="([^"]+)"', answer.read().decode(), re.DOTALL
        )
    assert found
    return found[1]
