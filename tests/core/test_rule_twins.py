"""Python gives the answers that stand in the shared cases, so that the phone's rules are held to Python's.

Sources: the makers beside the cases say where their figures come from; tests/browser/test_rules.py runs the same files.
"""

import re

import pytest

from tests.vectors import differs, files
from tests.vectors.twins import TWINS

TOLD = {told.name: told for told in files() if not told.by_hand}


@pytest.mark.parametrize("name", TOLD)
def test_python_gives_the_shared_answers(name: str) -> None:
    twin = TWINS[name]
    for case in TOLD[name].cases:
        if "throws" in case:
            with pytest.raises(ValueError, match=f"^{re.escape(case['throws'])}$"):
                twin(*case["args"])
        else:
            assert differs(twin(*case["args"]), case["gives"]) == "", case["name"]
