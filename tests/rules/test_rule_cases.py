"""Every rule of the phone has shared cases, and every function that a rule offers is in one of them."""

import ast
import re
from pathlib import Path

import pytest

from tests.vectors import CHAINS, HERE, files
from tests.vectors.twins import TWINS

ROOT = Path(__file__).resolve().parents[2]
PACKAGE, RULES = ROOT / "webapp", sorted((ROOT / "static" / "rules").glob("*.js"))
OFFERED = re.compile(r"^export (?:async )?function (\w+)|^export const (\w+)", re.MULTILINE)


@pytest.mark.parametrize("path", RULES, ids=lambda path: path.name)
def test_every_function_of_a_rule_has_cases(path: Path) -> None:
    told = {one.function.split(".")[0] for one in files() if one.rule == path.stem and one.cases}
    offered = {a or b for a, b in OFFERED.findall(path.read_text())}
    assert offered
    assert offered <= told or (HERE / CHAINS[path.stem]).is_file()


@pytest.mark.parametrize("told", files(), ids=lambda told: told.name)
def test_cases_belong_to_a_rule_and_are_pythons_too_or_say_where_they_come_from(told) -> None:
    assert told.rule in {path.stem for path in RULES}
    assert (told.name in TWINS) != bool(told.by_hand)


@pytest.mark.parametrize("path", RULES, ids=lambda path: path.name)
def test_a_rule_knows_no_page_store_network_or_clock(path: Path) -> None:
    text = re.sub(r"//[^\n]*|/\*.*?\*/", "", path.read_text(), flags=re.DOTALL)
    assert not re.search(r"\b(document|window|indexedDB|fetch|navigator|location|localStorage|setTimeout)\b", text)
    assert not re.search(r"Date\.now|new Date\(\)|Math\.random", text)


def test_a_number_that_python_writes_too_is_written_in_no_rule() -> None:
    in_python = {
        target.id.strip("_")
        for path in sorted(PACKAGE.rglob("*.py"))
        for node in ast.parse(path.read_text()).body
        if isinstance(node, ast.Assign)
        and isinstance(node.value, ast.Constant)
        and isinstance(node.value.value, int | float)
        for target in node.targets
        if isinstance(target, ast.Name)
    }
    here = {
        (path.name, name) for path in RULES for name in re.findall(r"^const ([A-Z_\d]+) = \d", path.read_text(), re.M)
    }
    assert here
    assert {(file, name) for file, name in here if name in in_python} == set()
