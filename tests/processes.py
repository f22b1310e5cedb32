"""The processes that a process has begun, as tests of long work and of kills look them up (Linux, proc(5))."""

import os
from pathlib import Path


def children_of(process: int | None = None) -> set[int]:
    """The ids of the processes that a process, by default this one, has begun and not yet buried."""
    tasks = Path(f"/proc/{process or os.getpid()}/task").iterdir()
    return {int(child) for task in tasks for child in (task / "children").read_text().split()}
