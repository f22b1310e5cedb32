"""Two worker processes under gunicorn, started with the words of the run book: one book, written by both."""

import json
import os
import re
import subprocess
import sys
import urllib.request
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

from tests.factories import NOW, raw
from webapp.store.directory import Directory

from .test_serving import ROOT, SECRET, free_port

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
    process = subprocess.Popen(
        [*program, app], cwd=ROOT, env=environment, stderr=subprocess.PIPE, text=True
    )  # fmt: skip
    assert process.stderr
    booted = 0
    for line in process.stderr:
        booted += "Booting worker" in line
        if booted == 2:
            break

    def send(at: int) -> int:
        session = urllib.request.Request(f"http://127.0.0.1:{port}/api/session", headers={"Cookie": cookie})
        with urllib.request.urlopen(session, timeout=60) as answer:
            token = json.loads(answer.read())["csrf"]
            kept = "; ".join([cookie, *(one.partition(";")[0] for one in answer.headers.get_all("Set-Cookie") or [])])
        notes = [raw("note", {"words": f"{at} {place}"}) for place in range(10)]
        batch = urllib.request.Request(
            f"http://127.0.0.1:{port}/api/facts",
            json.dumps({"facts": notes}).encode(),
            {"Cookie": kept, "X-CSRFToken": token, "Content-Type": "application/json"},
        )
        with urllib.request.urlopen(batch, timeout=60) as answer:
            return len(json.loads(answer.read())["taken"])

    with ThreadPoolExecutor(8) as phones:
        taken = sum(phones.map(send, range(BATCHES)))
    process.terminate()
    said = process.communicate(timeout=60)[1]
    assert process.returncode == 0, said
    with Directory(tmp_path) as directory, directory.open_book(book_id) as book:
        assert len(book.after(0)) == taken == BATCHES * 10
