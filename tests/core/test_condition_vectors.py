"""The phone's rule, in Python: the shared answers are its answers, and they stay by the solver's.

The same file is run by a real browser in tests/browser/test_conditions.py.
"""

import json

import pytest

from tests.vectors.make_conditions import FILE, RULES, table_of
from webapp.conditions.today import Conditions, carry_to_play, carry_today
from webapp.units import YARD_M

TOLD = json.loads(FILE.read_text(encoding="utf-8"))
TABLES = {name: table_of(table) for name, table in TOLD["tables"].items()}
SOLVERS = {"plays": carry_to_play, "flies": carry_today}
ANSWERED = [case for case in TOLD["cases"] if case["answer"]]


@pytest.mark.parametrize("case", TOLD["cases"], ids=lambda case: f"{case['home']} {case['verb']} {case['asked_m']:.0f}")
def test_the_shared_answers_are_the_rules_own(case):
    told = case["answer"]
    answer = RULES[case["verb"]](TABLES[case["home"]], case["asked_m"], Conditions(**case["today"]), case["unit"])
    assert (answer is None) == (told is None)
    if answer is not None:
        assert (answer.carry_m, answer.low_m, answer.high_m) == pytest.approx(
            (told["carry_m"], told["low_m"], told["high_m"]), abs=1e-9
        )
        assert answer.at_least is told["at_least"]
        assert answer.sentence == told["sentence"]
        assert [part.cause for part in answer.parts] == [part["cause"] for part in told["parts"]]


@pytest.mark.parametrize("case", ANSWERED, ids=lambda case: f"{case['home']} {case['verb']} {case['asked_m']:.0f}")
def test_as_sent_to_a_phone_the_answers_stay_within_half_a_yard_of_the_solver(case):
    table = TABLES[case["home"]]
    home = Conditions(table.home_temperature_c, table.home_altitude_m)
    solved = SOLVERS[case["verb"]](case["asked_m"], home, Conditions(**case["today"]), case["unit"])
    assert case["answer"]["carry_m"] == pytest.approx(solved.carry_m, abs=0.5 * YARD_M)


def test_most_shared_questions_have_an_answer_and_some_wait_for_the_solver():
    assert 0.6 * len(TOLD["cases"]) < len(ANSWERED) < len(TOLD["cases"])
