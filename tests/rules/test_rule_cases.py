"""Every rule of the phone has shared cases, and every function that a rule offers is in one of them."""

import ast
import re
from pathlib import Path

from tests.vectors import CHAINS, HERE, files
from tests.vectors.twins import TWINS

from .found import ROOT, found_in

PACKAGE, RULES = ROOT / "webapp", sorted((ROOT / "static" / "rules").glob("*.js"))
OFFERED = re.compile(r"^export (?:async )?function (\w+)|^export const (\w+)", re.MULTILINE)


def test_every_function_of_a_rule_has_cases() -> None:
    told = {(one.rule, one.function.split(".")[0]) for one in files() if one.cases}

    def without_cases(path: Path) -> set[str]:
        offered = {a or b for a, b in OFFERED.findall(path.read_text())}
        assert offered, path
        in_a_chain = path.stem in CHAINS and (HERE / CHAINS[path.stem]).is_file()
        return set() if in_a_chain else {name for name in offered if (path.stem, name) not in told}

    assert found_in(RULES, without_cases) == {}


def test_cases_belong_to_a_rule_and_are_pythons_too_or_say_where_they_come_from() -> None:
    told = files()
    assert {one.rule for one in told} <= {path.stem for path in RULES}
    assert [one.name for one in told if (one.name in TWINS) == bool(one.by_hand)] == []


def test_a_rule_knows_no_page_store_network_or_clock() -> None:
    outside = re.compile(
        r"\b(?:document|window|indexedDB|fetch|navigator|location|localStorage|setTimeout)\b"
        r"|Date\.now|new Date\(\)|Math\.random"
    )
    comment = re.compile(r"//[^\n]*|/\*.*?\*/", re.DOTALL)
    assert found_in(RULES, lambda path: outside.findall(comment.sub("", path.read_text()))) == {}


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
