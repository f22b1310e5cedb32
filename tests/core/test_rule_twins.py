"""Python gives the answers that stand in the shared cases, so that the phone's rules are held to Python's.

Sources: the makers beside the cases say where their figures come from; tests/browser/test_rules.py runs the same files.
"""

import re
from typing import Any

import pytest

from tests.vectors import Told, differs, files
from tests.vectors.twins import TWINS

CASES = [(told, case) for told in files() if not told.by_hand for case in told.cases]


@pytest.mark.parametrize(("told", "case"), CASES, ids=[f"{told.name}: {case['name']}" for told, case in CASES])
def test_python_gives_the_shared_answer(told: Told, case: dict[str, Any]) -> None:
    twin = TWINS[told.name]
    if "throws" in case:
        with pytest.raises(ValueError, match=f"^{re.escape(case['throws'])}$"):
            twin(*case["args"])
    else:
        assert differs(twin(*case["args"]), case["gives"]) == ""
