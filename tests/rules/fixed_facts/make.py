"""Keeps today's answers to fixed facts: `python -m tests.rules.fixed_facts.make`.

Run it when a commit means to change a number, a plan, a word or an export, and say in that commit what moved and why.
Never run it to silence a change that nobody meant. When two changes meet in kept/, take either side and run it again.
"""

import tempfile
from pathlib import Path

from .answers import answers

KEPT = Path(__file__).parent / "kept"


def main() -> None:
    """Write every answer; answers that are given no longer are removed."""
    with tempfile.TemporaryDirectory() as folder:
        made = dict(answers(Path(folder)))
    for path in KEPT.iterdir():
        if path.name not in made:
            path.unlink()
    for name, text in made.items():
        (KEPT / name).write_text(text)


if __name__ == "__main__":
    main()
