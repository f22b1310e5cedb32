"""What a rule of the house finds in many files, told at once: a test names every file that breaks it.

Knows no rule; one test a rule rather than one a file keeps a whole run short.
"""

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]


def found_in(paths: Sequence[Path], look: Callable[[Path], Any]) -> dict[str, Any]:
    """What `look` finds, by the file in which it finds anything; a list of no files is refused, as nothing is held."""
    assert paths, "a rule that looks into no file holds nothing"
    return {str(path): found for path in paths if (found := look(path))}
