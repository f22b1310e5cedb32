"""Writes the cases whose answers are Python's: `python -m tests.vectors.make`.

Their figures are also stated by hand or from other sources in tests/core; this only carries them to the browser with
all digits. Files with "by_hand" are written by hand and stay as they are.
"""

import json
from dataclasses import asdict
from pathlib import Path
from typing import Any

from tests.vectors import (
    of_balls,
    of_cell,
    of_estimate,
    of_eye,
    of_fitting,
    of_homework,
    of_leave,
    of_lengths,
    of_plan,
    of_shot,
    of_typed,
    of_visit,
    put,
)
from tests.vectors.twins import TWINS

HERE = Path(__file__).parent


def main() -> None:
    """Write every file that has a Python twin."""
    of_rules = (of_balls, of_cell, of_estimate, of_eye, of_fitting, of_homework, of_leave, of_lengths, of_plan, of_shot)
    for made in (*of_rules, of_typed, of_visit):
        for name, (shared, cases) in made.cases().items():
            write(name, shared, cases)


def write(name: str, shared: dict[str, Any], cases: dict[str, list[Any]]) -> None:
    """One case a line, so that a change shows which case it is."""
    lines = []
    for said, args in cases.items():
        given = put(json.loads(json.dumps(args, default=asdict)), shared)
        try:
            answer = {"gives": json.loads(json.dumps(TWINS[name](*given), default=asdict))}
        except ValueError as refused:
            answer = {"throws": str(refused)}
        lines.append(json.dumps({"name": said, "args": args, **answer}, default=asdict))
    path = HERE / f"{name}.json"
    path.parent.mkdir(exist_ok=True)
    head = json.dumps({"shared": shared}, default=asdict)
    path.write_text(f'{head[:-1]}, "cases": [\n' + ",\n".join(lines) + "\n]}\n", encoding="utf-8")


if __name__ == "__main__":
    main()
