"""The words of a plan, by the cases that the phone's own rule must meet too."""

import json
from pathlib import Path
from typing import Any

import pytest

from webapp.facts import KINDS
from webapp.practice.plan_words import Call, call_of, changed, done, parse, place_of, rest, written

CASES = json.loads((Path(__file__).parents[1] / "vectors" / "plan.json").read_text())
CLUB = "00000000-0000-0000-0000-000000000056"


@pytest.mark.parametrize("case", CASES["words"], ids=lambda case: case["name"])
def test_it_reads_the_word_or_says_it_is_none(case: dict[str, Any]) -> None:
    assert parse(case["word"]) == (None if case["call"] is None else Call(**case["call"]))


@pytest.mark.parametrize(
    "case", [case for case in CASES["words"] if case.get("written")], ids=lambda case: case["name"]
)
def test_it_writes_the_word_it_read(case: dict[str, Any]) -> None:
    assert written(Call(**case["call"])) == case["word"]


@pytest.mark.parametrize("case", CASES["next"], ids=lambda case: case["name"])
def test_it_knows_what_is_left_of_a_plan(case: dict[str, Any]) -> None:
    assert len(rest(case["plan"], [{"plan_ref": ref} for ref in case["refs"]])) == case["rest"]


def test_the_longest_word_fits_into_a_bucket() -> None:
    longest = written(Call(CLUB, 112.25, "distance", 365.76, "lesson"))
    assert KINDS["bucket"]["plan"].misfit([longest] * 300) == ""


def test_a_shot_of_the_players_own_choice_has_no_call() -> None:
    plan = [f"{CLUB}:90:swing"]
    assert call_of(plan, {"plan_ref": ""}) is None
    assert place_of({"plan_ref": "1"}) == 1
    assert call_of(plan, {"plan_ref": "1"}) == Call(CLUB, 90.0, "swing")
    assert call_of(plan, {"plan_ref": "2"}) is None


def test_a_new_plan_in_an_open_bucket_keeps_the_places_of_what_was_struck() -> None:
    old = [f"{CLUB}:{deg}:swing" for deg in (45, 90, 135)]
    struck = [{"plan_ref": "1"}, {"plan_ref": "2"}]
    new = changed(old, struck, [f"{CLUB}:180:swing"])
    assert new == [*old[:2], f"{CLUB}:180:swing"]
    assert rest(new, struck) == [f"{CLUB}:180:swing"]
    assert done([]) == 0
