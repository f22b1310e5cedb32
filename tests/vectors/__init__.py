"""Shared cases of the rules that Python and the phone both hold: one folder a rule, one file a function.

A file tells the arguments of each case and what comes back: `{"cases": [{"name", "args", "gives" or "throws"}]}`.
`gives` names what is compared of an object and may leave fields out; `{"$": "name"}` stands for an entry of the
file's "shared". Where Python has no such rule, "by_hand" says where the answers come from.
"""

import json
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import pytest

HERE = Path(__file__).parent
# Rules that only make sense one after the other are asked in whole chains, in a file of their own with its own maker.
CHAINS = {"conditions": "conditions.json", "condition_words": "conditions.json", "flight": "conditions.json"}


@dataclass(frozen=True)
class Told:
    """The cases of one function of one rule."""

    rule: str
    function: str
    by_hand: str
    cases: list[dict[str, Any]]

    @property
    def name(self) -> str:
        """The rule and its function: "cell/trust"."""
        return f"{self.rule}/{self.function}"


@cache
def files() -> list[Told]:
    """Every file of cases, its shared entries put where they are named."""
    return [read(path) for path in sorted(HERE.glob("*/*.json"))]


def read(path: Path) -> Told:
    """One file of cases."""
    told = json.loads(path.read_text(encoding="utf-8"))
    cases = [put(case, told.get("shared", {})) for case in told["cases"]]
    return Told(path.parent.name, path.stem, told.get("by_hand", ""), cases)


def differs(found: Any, wanted: Any, where: str = "") -> str:
    """Where what was found is not what was wanted, or "": numbers to 1e-9, objects by the fields that are wanted.

    An empty object is only found in an empty object.
    """
    if isinstance(wanted, dict) and wanted and isinstance(found, dict):
        return next(
            (said for name in wanted if (said := differs(found.get(name), wanted[name], f"{where}.{name}"))), ""
        )
    if isinstance(wanted, list) and isinstance(found, list | tuple) and len(wanted) == len(found):
        pairs = enumerate(zip(found, wanted, strict=True))
        return next(filter(None, (differs(*pair, f"{where}[{place}]") for place, pair in pairs)), "")
    numbers = all(isinstance(one, int | float) and not isinstance(one, bool) for one in (found, wanted))
    same = found == pytest.approx(wanted, rel=1e-9, abs=1e-12) if numbers else found == wanted
    return "" if same else f"{where or 'the answer'}: {found!r} instead of {wanted!r}"


def put(value: Any, shared: dict[str, Any]) -> Any:
    if isinstance(value, dict):
        return shared[value["$"]] if value.keys() == {"$"} else {name: put(one, shared) for name, one in value.items()}
    return [put(one, shared) for one in value] if isinstance(value, list) else value
