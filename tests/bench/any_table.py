"""What 50,000 rows from anywhere cost: `python -m tests.bench.any_table` prints the time and memory of each step.

Measured 2026-11-26 on two quiet cores, by the clock: of a CSV the look takes 2 s, the preview 17, the taking 18, taking
it back 14; of a workbook the look takes 19 and the rest as much as of a CSV; at most 139 MiB; p99 of the health check
at most 26 ms.

Knows the steps of books/waiting_table.py; each is done by a process of its own, as a server has it done, while the
health check of a server on the same folder is asked.
"""

import io
import os
import random
import subprocess
import sys
import tempfile
import time
from contextlib import suppress
from datetime import datetime
from pathlib import Path
from typing import Any

from openpyxl import Workbook

from tests.bench.serving import asker
from tests.browser.server import Server
from tests.factories import NOW
from webapp.store.directory import Directory
from webapp.store.jobs import BACK, LOOK, PREVIEW, TAKE, Job, Jobs
from webapp.store.tables import tables
from webapp.store.waiting_tables import WaitingTables
from webapp.tables.chosen import Chosen

ROWS = 50_000
_BETWEEN_S = 0.05  # twenty checks a second: asked without a pause they would take the step's own processor
HEADINGS = [
    "No",
    "Stick",
    "Flight (m)",
    "When",
    "Arm",
    "Strike",
    "Part",
    "Ground",
    "Head speed",
    "Spin",
    "Face",
    "Said",
]
COLUMNS = {
    "club": 1, "carry": 2, "made_at": 3, "swing": 4, "contact": 5, "visit": 6, "surface": 7, "club_speed": 8,
    "spin_rpm": 9, "face_deg": 10,
}  # fmt: skip
STICKS = ("46\N{DEGREE SIGN}", "51\N{DEGREE SIGN}", "56\N{DEGREE SIGN}", "60\N{DEGREE SIGN}")
ANSWERS = {"club": {stick: stick[:2] for stick in STICKS}}


def main() -> None:
    """Print every step of both kinds of file."""
    print(f"{ROWS} rows of {len(HEADINGS)} columns, {len(COLUMNS)} of them chosen")
    print("file, step: seconds (processor seconds), memory MiB, p99 of the health check meanwhile ms")
    for name, content in (("table.csv", as_text()), ("table.xlsx", as_workbook())):
        with tempfile.TemporaryDirectory(dir="/dev/shm" if Path("/dev/shm").is_dir() else None) as folder:
            walk(Path(folder), name, content)


def walk(data: Path, name: str, content: bytes) -> None:
    """Bring one table in and take it back."""
    waiting, jobs = WaitingTables(data), Jobs(data)
    with Directory(data) as directory:
        book_id = directory.new_book(NOW)
    server = Server(data).start()
    try:
        ask = asker(server.port)
        waiting.begin(book_id, name, lambda path: path.write_bytes(content))
        for step in (LOOK, PREVIEW, TAKE, BACK):
            if step == PREVIEW:
                chosen = Chosen(COLUMNS, "m", "dmy", answers=ANSWERS, of_all={"speed_unit": "mps"})
                waiting.note(book_id, chosen=chosen.plain())
            jobs.put(Job(book_id, step, NOW, table_id=table_of(data, book_id)))
            seconds, used, checks = timed(data, ask)
            job = jobs.of(book_id)
            assert job
            assert job.state == "done", job.words
            p99 = sorted(checks)[int(0.99 * (len(checks) - 1))] * 1000
            memory = used.ru_maxrss / 1024
            spent = used.ru_utime + used.ru_stime
            print(f"{name}, {step}: {seconds:.1f} ({spent:.1f}), {memory:.0f}, {p99:.0f}; {job.words[0]}", flush=True)
    finally:
        server.stop()


def timed(data: Path, ask: Any) -> tuple[float, Any, list[float]]:
    """How long the process took that did the step, what it used, and each health check meanwhile [s]."""
    begun, checks = time.perf_counter(), []
    worker = subprocess.Popen([sys.executable, "-m", "webapp.working", str(data)])
    while True:
        done, status, used = os.wait4(worker.pid, os.WNOHANG)
        if done:
            assert status == 0
            return time.perf_counter() - begun, used, checks
        asked = time.perf_counter()
        ask("GET", "/healthz")
        checks.append(time.perf_counter() - asked)
        time.sleep(_BETWEEN_S)  # a monitor asks now and then; asking without a pause would be load itself


def table_of(data: Path, book_id: str) -> str:
    """The table that was taken in; "" before one was."""
    with Directory(data) as directory, directory.open_book(book_id) as book:
        return next((one["id"] for one in tables(book)), "")


def rows() -> list[list[Any]]:
    """Invented balls of two years, three parts of a visit a day; commas before decimals."""
    chance = random.Random(7)
    made = []
    for at in range(ROWS):
        day = at // 60
        when = f"{1 + day % 28:02d}.{1 + day // 28 % 12:02d}.{2020 + day // 336} 10:{at % 60:02d}:{at // 60 % 60:02d}"
        numbers = [f"{low + chance.random() * 20:.1f}".replace(".", ",") for low in (45, 25, -10)]
        arm = ("9:00", "full", "7:30", "10:30")[at // 4 % 4]
        part, spin = f"Part {at % 3}", str(7000 + at % 900)
        made.append(
            [
                at + 1,
                STICKS[at % 4],
                numbers[0],
                when,
                arm,
                "clean",
                part,
                "mat",
                numbers[1],
                spin,
                numbers[2],
                "as said",
            ]
        )
    return made


def as_text() -> bytes:
    """The table as text with semicolons."""
    return "\r\n".join(";".join(str(cell) for cell in row) for row in [HEADINGS, *rows()]).encode()


def as_workbook() -> bytes:
    """The table as a workbook, its numbers and moments as such."""
    book, out = Workbook(write_only=True), io.BytesIO()
    sheet = book.create_sheet()
    for row in [HEADINGS, *rows()]:
        sheet.append([typed(cell) for cell in row])
    book.save(out)
    return out.getvalue()


def typed(cell: Any) -> Any:
    """A cell as a spreadsheet holds it."""
    with suppress(ValueError):
        return datetime.strptime(str(cell), "%d.%m.%Y %H:%M:%S")
    with suppress(ValueError):
        return float(str(cell).replace(",", "."))
    return cell


if __name__ == "__main__":
    main()
