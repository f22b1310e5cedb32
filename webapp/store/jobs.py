"""Long jobs of a server, one at a time: what was asked for, how far it is and what became of it, kept as files.

Knows the folder of jobs inside a data folder; what a job does to a book is working.py's.
"""

import fcntl
import json
import os
import shutil
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from uuid import uuid4

from .connect import settle_on_disk
from .faults import telling_faults

IMPORT = "import"
LOOK, PREVIEW, TAKE, BACK = "table look", "table preview", "table take", "table back"  # the steps of any table
_TAKING = (IMPORT, TAKE, BACK)  # what keeps everything else from being written to the book
MOST_UNFINISHED = 20
_TOLD, _FILE = "job.json", "file"
_AT_WORK, _PUTTING = ".at-work", ".putting"
_KEPT_S, _HALF_PUT_S = 24 * 3600, 3600


class StillAtIt(Exception):
    """A book has one job at a time, and its last one is not done."""


class Crowded(Exception):
    """As many jobs wait as a server takes."""


@dataclass(frozen=True)
class Job:
    """A job for a book: `what` is "import", a step of a table from anywhere, or the name of the file to make.

    `state` is waiting, running, done or refused; `share` how much of it is done; `begun` how often it was begun;
    `words` what became of it. `unit` is that of the file, `most_bytes` how large the book may become,
    `table_id` which table is taken back, `seen` whether a junior's guardian has seen to it.
    """

    book_id: str
    what: str
    asked_at: str
    unit: str = ""
    most_bytes: int = 0
    table_id: str = ""
    seen: bool = False
    state: str = "waiting"
    share: float = 0.0
    begun: int = 0
    words: tuple[str, ...] = ()

    @property
    def is_over(self) -> bool:
        """Whether nothing more will become of it."""
        return self.state in ("done", "refused")

    def now(self, state: str, share: float = 0.0, words: tuple[str, ...] = ()) -> "Job":
        """The same job in another state."""
        return replace(self, state=state, share=share, words=words)


class Jobs:
    """The jobs of one data folder."""

    def __init__(self, data: Path) -> None:
        self.folder = data / "jobs"

    def of(self, book_id: str) -> Job | None:
        """The job of a book, done or not; None when it has none."""
        try:
            told = json.loads((self.folder / book_id / _TOLD).read_text())
            return Job(**{**told, "words": tuple(told["words"])})
        except (OSError, ValueError):
            return None

    def file(self, book_id: str) -> Path:
        """Where the file lies that a job takes or has made."""
        return self.folder / book_id / _FILE

    def unfinished(self) -> list[Job]:
        """What waits and what runs, in the order asked for."""
        found = (self.of(path.name) for path in self._folders() if not path.name.startswith("."))
        return sorted((job for job in found if job and not job.is_over), key=lambda job: (job.asked_at, job.book_id))

    def put(self, job: Job, fill: Callable[[Path], object] | None = None) -> None:
        """Ask for a job; `fill` writes its file. It is there whole or not at all, whatever ends this process.

        StillAtIt and Crowded: nothing was asked for. A job that is over makes room, and its file goes.
        """
        with telling_faults(self.folder.parent):
            self.folder.mkdir(mode=0o700, exist_ok=True)
            half = self.folder / f".{uuid4().hex}"
            half.mkdir(mode=0o700)
            try:
                if fill:
                    fill(half / _FILE)
                    (half / _FILE).chmod(0o600)
                    settle_on_disk(half / _FILE)
                _write(half, job)
                with self._locked(_PUTTING):
                    there = self.of(job.book_id)
                    if there and not there.is_over:
                        raise StillAtIt
                    if len(self.unfinished()) >= MOST_UNFINISHED:
                        raise Crowded
                    self.remove(job.book_id)
                    half.rename(self.folder / job.book_id)
                settle_on_disk(self.folder)
            finally:
                shutil.rmtree(half, ignore_errors=True)

    def note(self, job: Job) -> None:
        """Say how far a job is; one whose book was deleted meanwhile is left alone."""
        with telling_faults(self.folder), suppress(FileNotFoundError):
            _write(self.folder / job.book_id, job)

    def end(self, job: Job) -> None:
        """Say how a job ended; the file that one took goes with that word, before another can be put in its place.

        A kill before the word has the job done again, which needs its file.
        """
        with telling_faults(self.folder), self._locked(_PUTTING):
            self.note(job)
            if job.what == IMPORT:
                self.file(job.book_id).unlink(missing_ok=True)

    def remove(self, book_id: str) -> None:
        """Forget a book's job and its file."""
        remove_whole(self.folder / book_id)

    def sweep(self) -> None:
        """Forget what has been over for a day, and what a kill left half put."""
        for path in self._folders():
            with self._locked(_PUTTING), suppress(FileNotFoundError):
                age_s = time.time() - path.stat().st_mtime
                if path.name.startswith("."):
                    if age_s > _HALF_PUT_S:
                        shutil.rmtree(path, ignore_errors=True)
                elif (job := self.of(path.name)) and job.is_over and age_s > _KEPT_S:
                    self.remove(path.name)

    @contextmanager
    def alone(self) -> Iterator[None]:
        """Wait until no other process works, and be the one that does."""
        with self._locked(_AT_WORK):
            yield

    def at_work(self) -> bool:
        """Whether a process works now."""
        try:
            with self._locked(_AT_WORK, fcntl.LOCK_SH | fcntl.LOCK_NB):
                return False
        except BlockingIOError:
            return True

    def is_taking(self, book_id: str) -> bool:
        """Whether a file is going into this book now, so that nothing else can be written to it."""
        job = self.of(book_id)
        return bool(job and job.what in _TAKING and job.state == "running" and self.at_work())

    def _folders(self) -> list[Path]:
        with suppress(FileNotFoundError):
            return [path for path in self.folder.iterdir() if path.is_dir()]
        return []

    @contextmanager
    def _locked(self, name: str, how: int = fcntl.LOCK_EX) -> Iterator[None]:
        handle = os.open(self.folder / name, os.O_RDWR | os.O_CREAT, 0o600)
        try:
            fcntl.flock(handle, how)
            yield
        finally:
            os.close(handle)


def remove_whole(folder: Path) -> None:
    """Remove a folder, where it is there; at no moment is half of it found under its name."""
    gone = folder.with_name(f".{uuid4().hex}")
    with suppress(FileNotFoundError):
        folder.rename(gone)
        shutil.rmtree(gone, ignore_errors=True)


def _write(folder: Path, job: Job) -> None:
    unfinished = folder / f"{_TOLD}.new"
    with unfinished.open("w") as file:
        json.dump(asdict(job), file)
        file.flush()
        os.fsync(file.fileno())
    unfinished.chmod(0o600)
    unfinished.replace(folder / _TOLD)
