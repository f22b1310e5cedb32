"""The table that a book's player is bringing in: its lines and what was said of it so far, kept as files for a day.

Knows the folder of such tables inside a data folder; what a line means is not its business. A book has one at a time.
"""

import json
import shutil
import time
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import Any
from uuid import uuid4

from .faults import telling_faults
from .jobs import Jobs, remove_whole

_LINES, _TOLD, _RAW = "lines.csv", "told.json", "file"
_KEPT_S = 24 * 3600


class WaitingTables:
    """The tables that wait in one data folder."""

    def __init__(self, data: Path) -> None:
        self.folder = data / "tables"

    def lines(self, book_id: str) -> Path:
        """Where the lines of a book's table lie."""
        return self.folder / book_id / _LINES

    def raw(self, book_id: str) -> Path:
        """Where the file lies as it came, until it was looked through."""
        return self.folder / book_id / _RAW

    def told(self, book_id: str) -> dict[str, Any]:
        """What was said and found of a book's table; {} when none waits."""
        try:
            return dict(json.loads((self.folder / book_id / _TOLD).read_text()))
        except (OSError, ValueError):
            return {}

    def begin(self, book_id: str, name: str, fill: Callable[[Path], object]) -> None:
        """Keep a file that came in place of the one before; `fill` writes it. Whole or not at all."""
        with telling_faults(self.folder.parent):
            self.folder.mkdir(mode=0o700, exist_ok=True)
            self.sweep()
            half = self.folder / f".{uuid4().hex}"
            half.mkdir(mode=0o700)
            try:
                fill(half / _RAW)
                (half / _RAW).chmod(0o600)
                _write(half, {"name": name})
                self.remove(book_id)
                half.rename(self.folder / book_id)
            finally:
                shutil.rmtree(half, ignore_errors=True)

    def note(self, book_id: str, **said: Any) -> None:
        """Say more of a book's table; one that is gone meanwhile is left alone."""
        with telling_faults(self.folder.parent), suppress(FileNotFoundError):
            _write(self.folder / book_id, {**self.told(book_id), **said})

    def remove(self, book_id: str) -> None:
        """Forget a book's table."""
        remove_whole(self.folder / book_id)

    def sweep(self) -> None:
        """Forget what nobody went on with for a day."""
        with suppress(FileNotFoundError):
            for path in self.folder.iterdir():
                if time.time() - path.stat().st_mtime > _KEPT_S:
                    shutil.rmtree(path, ignore_errors=True)


def forget_files_on_their_way(data: Path, book_id: str) -> None:
    """Forget whatever a book has beside its own file: its job and its waiting table."""
    Jobs(data).remove(book_id)
    WaitingTables(data).remove(book_id)


def _write(folder: Path, told: dict[str, Any]) -> None:
    unfinished = folder / f"{_TOLD}.new"
    unfinished.touch(mode=0o600)
    unfinished.write_text(json.dumps(told))
    unfinished.replace(folder / _TOLD)
