"""A test waits for a condition, never for a time: a sleep is too short on a busy machine and too long on others."""

import ast

import pytest

from .found import ROOT, found_in

TESTS = ROOT / "tests"
BY_HAND = {"bench", "engines"}  # a monitor that looks now and then, and drivers that cannot wait for a condition
SLEEPS = {"sleep", "wait_for_timeout"}
SOME = sorted(path for path in TESTS.rglob("*.py") if path.relative_to(TESTS).parts[0] not in BY_HAND)


def test_no_test_sleeps() -> None:
    assert found_in(SOME, lambda path: sleeps(path.read_text())) == {}


@pytest.mark.parametrize(
    "code",
    ["time.sleep(0.01)", "from time import sleep", "page.wait_for_timeout(\n    10\n)", "wait = asyncio.sleep"],
)
def test_a_sleep_is_found_however_it_is_written(code: str) -> None:
    assert len(sleeps(code)) == 1


def sleeps(code: str) -> list[int]:
    """The lines of a program that sleep for a time, or bring in what does."""
    nodes = ast.walk(ast.parse(code))
    return [
        node.lineno
        for node in nodes
        if (isinstance(node, ast.Attribute) and node.attr in SLEEPS)
        or (isinstance(node, ast.ImportFrom) and SLEEPS.intersection(one.name for one in node.names))
    ]
