"""The phone's rules give the shared answers in a real browser: every case of every rule in one blank page.

Source of the cases: tests/vectors/, one folder a rule; tests/core/test_rule_twins.py holds Python to the same files.
"""

import pytest
from playwright.sync_api import Page

from tests.vectors import Told, differs, files

from .blank import answers_of


@pytest.mark.parametrize("told", files(), ids=lambda told: told.name)
def test_the_phone_gives_the_shared_answers(blank: Page, told: Told) -> None:
    calls = [case["args"] for case in told.cases]
    for case, answer in zip(told.cases, answers_of(blank, told.rule, told.function, calls), strict=True):
        wanted = {name: case[name] for name in ("gives", "throws") if name in case}
        assert differs(answer, wanted) == "", case["name"]
