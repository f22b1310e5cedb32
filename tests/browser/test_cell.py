"""The rules that phone and server share give the same numbers in the browser as the cases that hold Python to them.

Source of the cases: tests/vectors/one_cell.json with the script that made them, tests/vectors/make.py.
"""

import json
from pathlib import Path
from typing import Any

import pytest

from .player import Player

CASES = json.loads((Path(__file__).resolve().parents[1] / "vectors" / "one_cell.json").read_text())


def test_the_one_cell_rule_gives_the_shared_numbers(player: Player) -> None:
    player.open()
    answers: list[dict[str, Any]] = player.page.evaluate(
        """async (cases) => {
          const base = document.querySelector("script[type=module]").src;
          const { replay } = await import(new URL("rules/cell.js", base));
          return cases.map(({ state, buckets }) => replay(state, buckets));
        }""",
        CASES,
    )
    for case, answer in zip(CASES, answers, strict=True):
        # Both sides compute in double precision; only the library's exp and log may differ in the last places.
        assert answer["m"] == pytest.approx(case["m"], rel=1e-12), case["name"]
        assert answer["v"] == pytest.approx(case["v"], rel=1e-10), case["name"]
        told = [weight for bucket in case["weights"] for weight in bucket]
        assert [weight for bucket in answer["weights"] for weight in bucket] == pytest.approx(told, rel=1e-9)
