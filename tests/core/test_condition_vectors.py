"""The phone's rule, in Python: the shared answers are its answers.

The same file is run by a real browser.
"""

import json

import pytest

from tests.vectors.make_conditions import FILE, answered
from webapp.conditions.day import Conditions

TOLD = json.loads(FILE.read_text(encoding="utf-8"))


def test_the_shared_answers_are_the_rules_own():
    for case in TOLD["cases"]:
        found = answered(TOLD["ladders"][case["home"]], case["asked_m"], Conditions(**case["today"]), case["unit"])
        told, name = case["answer"], f"{case['home']} {case['asked_m']:.0f}"
        assert found.keys() == told.keys(), name
        for field in ("doubts", "refused", "at_least", "sentence", "note"):
            assert found.get(field) == told.get(field), name
        if told.get("carry_m") is not None:
            assert (found["carry_m"], found["low_m"], found["high_m"]) == pytest.approx(
                (told["carry_m"], told["low_m"], told["high_m"]), abs=1e-6
            ), name
            assert [part["cause"] for part in found["parts"]] == [part["cause"] for part in told["parts"]], name


def test_every_reason_not_to_answer_is_among_the_cases():
    reasons = {case["answer"].get("refused") for case in TOLD["cases"]}
    assert reasons == {"", "no card", "long", "short", "steep", "no gain", "wide", None}
