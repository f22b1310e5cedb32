"""Does long jobs in a process of its own, one after the other, so that the server answers meanwhile.

`python -m webapp.working FOLDER` does what waits in a data folder and ends. Knows what each job does to a book; what
became of one is kept by store/jobs.py. A job that was killed is done again from its beginning: nothing of it was kept.
"""

import os
import subprocess
import sys
import threading
import traceback
from collections.abc import Callable
from contextlib import suppress
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

from .books import waiting_table
from .books.make_file import make_file
from .books.take_file import NotTaken, take_file
from .config import STORE_URL, store_url
from .fault_words import words_of
from .moments import text_of
from .store.book import MOST_REFUSED
from .store.faults import StoreFault
from .store.folder_lock import FolderInUse, side_by_side
from .store.jobs import BACK, IMPORT, LOOK, PREVIEW, TAKE, Job, Jobs
from .store.open_directory import open_directory

MOST_BEGUN = 3
_NAMED_PROBLEMS = 8
_LEAST_STEP = 0.02  # how much further a job must be for its page to be told
_ENDED = (
    "The server was stopped each time it worked on this. What came of it is whole or not there: ask for it once more, "
    "what is in the book already is not doubled."
)
_FAULT = "Something went wrong on the server, and nothing of this was done. What was saved before is safe."

# The latest process that this one began for a data folder: a third of a second goes by before it is at work, and
# whoever looks meanwhile must not begin another.
_begun: dict[Path, subprocess.Popen[bytes]] = {}


def ask(data: Path, job: Job, fill: Callable[[Path], object] | None = None, store_url: str = "") -> None:
    """Have a job done; StillAtIt and Crowded as of `Jobs.put`."""
    Jobs(data).put(job, fill)
    see_to(data, store_url)


def see_to(data: Path, store_url: str = "") -> None:
    """Begin a process for what waits unless one works; whoever looks at a job calls this, so that none lies there."""
    jobs, begun = Jobs(data), _begun.get(data)
    if jobs.unfinished() and not jobs.at_work() and (not begun or begun.poll() is not None):
        words = [sys.executable, "-m", __name__, str(data.resolve())]
        told = {**os.environ, STORE_URL.variable: store_url}  # not among the words, which every user of a machine sees
        _begun[data] = worker = subprocess.Popen(words, stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, env=told)
        threading.Thread(target=worker.wait, daemon=True).start()


def work_off(data: Path, store_url: str = "") -> None:
    """Do what waits in a data folder, the oldest first."""
    jobs = Jobs(data)
    with suppress(FolderInUse), side_by_side(data):
        while jobs.unfinished():
            with jobs.alone():
                jobs.sweep()
                for job in jobs.unfinished():
                    jobs.end(_done(jobs, job, data, store_url))


def named(reasons: list[str]) -> tuple[str, ...]:
    """The first reasons why a file was not taken, and how many more there are."""
    more = len(reasons) - _NAMED_PROBLEMS
    many = "many" if len(reasons) >= MOST_REFUSED else f"{more}"
    return (*reasons[:_NAMED_PROBLEMS], *([f"And {many} more like these."] if more > 0 else []))


def _done(jobs: Jobs, job: Job, data: Path, store_url: str) -> Job:
    """Do one job; gives it as it ended."""
    if job.begun >= MOST_BEGUN:
        return job.now("refused", words=(_ENDED,))
    job = replace(job, begun=job.begun + 1)
    jobs.note(job.now("running"))
    try:
        return job.now("done", 1.0, _do(jobs, job, data, store_url))
    except NotTaken as error:
        return job.now("refused", words=named(error.reasons))
    except StoreFault as fault:
        return job.now("refused", words=(words_of(fault).message,))
    except Exception as error:
        # An error's own text may quote what a player typed, so only its kind and the lines of our code are written.
        print(type(error).__name__, *traceback.format_tb(error.__traceback__), file=sys.stderr)
        return job.now("refused", words=(_FAULT,))


def _do(jobs: Jobs, job: Job, data: Path, store_url: str) -> tuple[str, ...]:
    told = 0.0

    def tell(share: float) -> None:
        nonlocal told
        if share >= told + _LEAST_STEP:
            told = share
            with suppress(StoreFault):  # a disk too full for these words may still take the job
                jobs.note(job.now("running", share))

    now, file = text_of(datetime.now(UTC)), jobs.file(job.book_id)
    with open_directory(data, store_url=store_url) as directory, directory.open_book(job.book_id) as book:
        if job.what == IMPORT:
            return (take_file(book, file, now, job.most_bytes, tell, job.seen),)
        if job.what in (LOOK, PREVIEW, TAKE, BACK):
            return (waiting_table.step(data, book, job, now, tell),)
        file.unlink(missing_ok=True)  # what a kill left half made
        make_file(book, job.what, file, job.unit, now, tell)
        file.chmod(0o600)
        return ()


if __name__ == "__main__":
    work_off(Path(sys.argv[1]), store_url(os.environ))
