"""Breaks the program in one place after the other and says which breaks no test notices: `python -m tests.mutants`.

Works on copies in a folder of its own; the checkout stays as it is. A word narrows it: `python -m tests.mutants drift`.
"""

import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from queue import SimpleQueue

from .fault import Fault
from .faults import FAULTS

TOP = Path(__file__).parents[2]
AT_ONCE = 2
WANTED = 0.9
_LEFT_OUT = shutil.ignore_patterns(".*", "__pycache__", "build", "*.egg-info")


def main(word: str = "") -> int:
    """Print a line for each fault and how many were noticed; 0 when at least nine in ten were."""
    chosen = [fault for fault in FAULTS if word in f"{fault.file} {fault.name}"]
    with tempfile.TemporaryDirectory() as folder, ThreadPoolExecutor(AT_ONCE) as workers:
        copies: SimpleQueue[Path] = SimpleQueue()
        for copy in _copies(Path(folder)):
            copies.put(copy)
        killed = 0
        for fault, noticed in zip(chosen, workers.map(lambda fault: _noticed(fault, copies), chosen), strict=True):
            killed += noticed
            known = f" (known: {fault.survives})" if fault.survives else ""
            print(
                f"{'noticed ' if noticed else 'SURVIVED'} {fault.file}: {fault.name}{'' if noticed else known}",
                flush=True,
            )
    print(f"{killed} of {len(chosen)} noticed")
    return 0 if killed >= WANTED * len(chosen) else 1


def _copies(folder: Path) -> Iterator[Path]:
    for number in range(AT_ONCE):
        yield Path(shutil.copytree(TOP, folder / f"{number}", ignore=_LEFT_OUT))


def _noticed(fault: Fault, copies: "SimpleQueue[Path]") -> bool:
    """Whether the fault's tests fail on a copy that has it; the copy is whole again afterwards."""
    copy = copies.get()
    file = copy / fault.file
    whole = file.read_text(encoding="utf-8")
    try:
        file.write_text(fault.planted(whole), encoding="utf-8")
        command = [sys.executable, "-m", "pytest", "-q", "-x", "-p", "no:cacheprovider", *fault.tests]
        path = {**os.environ, "PYTHONPATH": str(copy), "PYTHONDONTWRITEBYTECODE": "1"}
        return subprocess.run(command, cwd=copy, env=path, capture_output=True, check=False).returncode == 1
    finally:
        file.write_text(whole, encoding="utf-8")
        copies.put(copy)


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:2]))
