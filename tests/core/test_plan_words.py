"""The words of a plan; how each is read is held by the shared cases (tests/vectors/plan/)."""

from webapp.facts import KINDS
from webapp.practice.plan_words import Call, call_of, changed, done, place_of, rest, written

CLUB = "00000000-0000-0000-0000-000000000056"


def test_the_longest_word_fits_into_a_bucket() -> None:
    longest = written(Call(CLUB, 112.25, "distance", 365.76, "lesson", "0a1b2c3d.300"))
    assert KINDS["bucket"]["plan"].misfit([longest] * 300) == ""


def test_a_shot_of_the_players_own_choice_has_no_call() -> None:
    plan = [f"{CLUB}:90:swing"]
    assert call_of(plan, {"plan_ref": ""}) is None
    assert place_of({"plan_ref": "1"}) == 1
    assert call_of(plan, {"plan_ref": "1"}) == Call(CLUB, 90.0, "swing")
    assert call_of(plan, {"plan_ref": "2"}) is None


def test_a_new_plan_in_an_open_bucket_keeps_the_places_of_what_was_struck() -> None:
    old = [f"{CLUB}:{deg}:swing" for deg in (45, 90, 135)]
    struck = [{"plan_ref": "1", "aside": False}, {"plan_ref": "2", "aside": False}]
    new = changed(old, struck, [f"{CLUB}:180:swing"])
    assert new == [*old[:2], f"{CLUB}:180:swing"]
    assert rest(new, struck) == [f"{CLUB}:180:swing"]
    assert done([]) == 0
