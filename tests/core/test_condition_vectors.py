"""The phone's rule, in Python: the shared answers are its answers.

The same file is run by a real browser.
"""

import json

import pytest

from tests.vectors.make_conditions import FILE, answered
from webapp.conditions.day import Conditions

TOLD = json.loads(FILE.read_text(encoding="utf-8"))


@pytest.mark.parametrize("case", TOLD["cases"], ids=lambda case: f"{case['home']} {case['asked_m']:.0f}")
def test_the_shared_answers_are_the_rules_own(case):
    found = answered(TOLD["ladders"][case["home"]], case["asked_m"], Conditions(**case["today"]), case["unit"])
    told = case["answer"]
    assert found.keys() == told.keys()
    for name in ("doubts", "refused", "at_least", "sentence", "note"):
        assert found.get(name) == told.get(name)
    if told.get("carry_m") is not None:
        assert (found["carry_m"], found["low_m"], found["high_m"]) == pytest.approx(
            (told["carry_m"], told["low_m"], told["high_m"]), abs=1e-6
        )
        assert [part["cause"] for part in found["parts"]] == [part["cause"] for part in told["parts"]]


def test_every_reason_not_to_answer_is_among_the_cases():
    reasons = {case["answer"].get("refused") for case in TOLD["cases"]}
    assert reasons == {"", "no card", "long", "short", "steep", "no gain", "wide", None}
