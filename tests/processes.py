"""What tests ask of a process: which others it has begun (Linux, proc(5)), and what it says."""

import os
from collections.abc import Iterable
from contextlib import suppress
from pathlib import Path


def children_of(process: int | None = None) -> set[int]:
    """The ids of the processes that a process, by default this one, has begun and not yet buried.

    A thread that ends meanwhile leaves its processes to another thread.
    """
    children: set[int] = set()
    for task in Path(f"/proc/{process or os.getpid()}/task").iterdir():
        with suppress(FileNotFoundError, ProcessLookupError):
            children |= {int(child) for child in (task / "children").read_text().split()}
    return children


def said_until(lines: Iterable[str], words: str) -> list[str]:
    """What a process says, line by line, up to the line with these words; all of it where it ends before."""
    said = []
    for line in lines:
        said.append(line)
        if words in line:
            break
    return said
