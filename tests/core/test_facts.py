"""Facts: what is taken, what is refused and why, and what is shown of them."""

import json
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests import factories as make
from tests.factories import NOW, Raw, numbered
from webapp import facts
from webapp.facts import Fact, canonical, check, check_body, fold
from webapp.moments import moved

ANYTHING = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner, max_size=3),
    max_leaves=6,
)
BUCKET, CLUB = numbered(1), numbered(2)


def a_shot(**more: Any) -> Raw:
    return make.a_shot(BUCKET, CLUB, **more)


@pytest.mark.parametrize(
    "fact",
    [
        make.a_club("56", 56.0, sole_note="bounce 12"),
        make.a_bucket(wind="into", wind_force="strong", temperature_c=11, ended_at=NOW),
        a_shot(),
        a_shot(carry_yd=None),
        a_shot(carry_m=None, landed="over", contact="bladed"),
        a_shot(contact="", delivery={"spin_rpm": 9100, "club_speed_mps": 30.2}),
        make.a_full_carry(CLUB, 85),
        make.a_setting("unit", "m"),
        make.a_swing(105.0, "hip high"),
        make.raw("mark", {"what": "lesson", "on": NOW}),
        make.raw("note", {"words": "soft ground"}),
    ],
    ids=lambda fact: fact["kind"],
)
def test_it_takes_every_kind_and_its_withdrawal(fact: Raw) -> None:
    assert check(fact) is None
    assert check(make.voided(fact)) is None


@pytest.mark.parametrize(
    ("change", "field", "code"),
    [
        ({"id": "7"}, "id", "bad_id"),
        ({"id": None}, "id", "bad_id"),
        ({"root": "x"}, "root", "bad_id"),
        ({"kind": "chip"}, "kind", "unknown_kind"),
        ({"kind": None}, "kind", "unknown_kind"),
        ({"kind": ["shot"]}, "kind", "unknown_kind"),
        ({"made_at": "yesterday"}, "made_at", "bad_time"),
        ({"made_at": None}, "made_at", "bad_time"),
        ({"made_at": "2025-02-30T09:30:00.000Z"}, "made_at", "bad_time"),
        ({"seq": 5}, "", "unknown_field"),
        ({"body": None}, "body", "bad_body"),
        ({"body": [1]}, "body", "bad_body"),
        ({"body": "x"}, "body", "bad_body"),
    ],
)
def test_it_refuses_a_fact_whose_frame_is_wrong(change: Raw, field: str, code: str) -> None:
    problem = check({**a_shot(), **change})
    assert problem is not None
    assert (problem.field, problem.code) == (field, code)


@pytest.mark.parametrize("raw", [None, [], "shot", 7, True, float("nan")])
def test_it_refuses_what_is_no_fact_at_all(raw: Any) -> None:
    problem = check(raw)
    assert problem is not None
    assert problem.code == "not_a_fact"


def test_a_ball_that_does_not_say_how_it_landed_was_seen_and_needs_a_carry() -> None:
    fact = a_shot()
    del fact["body"]["landed"], fact["body"]["carry_m"]
    problem = check(fact)
    assert problem is not None
    assert (problem.field, problem.code) == ("carry_m", "missing")


@pytest.mark.parametrize("name", facts.ENVELOPE)
def test_it_refuses_a_fact_that_lacks_a_part_of_its_frame(name: str) -> None:
    fact = a_shot()
    del fact[name]
    assert check(fact) is not None


@pytest.mark.parametrize(
    ("kind", "change", "field", "code"),
    [
        ("shot", {"carry_m": -1}, "carry_m", "out_of_range"),
        ("shot", {"carry_m": 366}, "carry_m", "out_of_range"),
        ("shot", {"carry_m": "54"}, "carry_m", "out_of_range"),
        ("shot", {"carry_m": float("nan")}, "carry_m", "out_of_range"),
        ("shot", {"carry_m": None}, "carry_m", "missing"),
        ("shot", {"swing_deg": 181}, "swing_deg", "out_of_range"),
        ("shot", {"contact": "pure"}, "contact", "out_of_range"),
        ("shot", {"mode": "fun"}, "mode", "out_of_range"),
        ("shot", {"bucket_id": ""}, "bucket_id", "out_of_range"),
        ("shot", {"colour": "red"}, "colour", "unknown_field"),
        ("shot", {"delivery": {"spin_rpm": 30000}}, "delivery", "out_of_range"),
        ("shot", {"aside": 1}, "aside", "out_of_range"),
        ("club", {"loft_deg": 35.9}, "loft_deg", "out_of_range"),
        ("club", {"loft_deg": 70.1}, "loft_deg", "out_of_range"),
        ("club", {"name": "x" * 41}, "name", "out_of_range"),
        ("club", {"name": "<script>"}, "name", "out_of_range"),
        ("club", {"name": ""}, "name", "out_of_range"),
        ("bucket", {"surface": "ice"}, "surface", "out_of_range"),
        ("bucket", {"temperature_c": 90}, "temperature_c", "out_of_range"),
        ("setting", {"name": "volume"}, "name", "out_of_range"),
        ("setting", {"name": "unit", "value": "ft"}, "value", "out_of_range"),
        ("setting", {"name": "ball_limit", "value": "60"}, "value", "out_of_range"),
    ],
)
def test_it_refuses_a_value_that_does_not_fit(kind: str, change: Raw, field: str, code: str) -> None:
    sound = {"shot": a_shot(), "club": make.a_club(), "bucket": make.a_bucket(), "setting": make.a_setting("unit", "m")}
    problem = check_body(kind, {**sound[kind]["body"], **change})
    assert problem is not None
    assert (problem.field, problem.code) == (field, code)


@pytest.mark.parametrize("kind", facts.KINDS)
def test_every_refusal_says_what_happened_to_the_entry(kind: str) -> None:
    for body in ({}, {"colour": 1}, 7):
        problem = check_body(kind, body)
        if problem is not None:
            assert "not taken" in problem.message
            assert "stays on the phone" in problem.message


@pytest.mark.parametrize("kind", facts.KINDS)
def test_what_a_kind_requires_is_missed_when_it_is_not_there(kind: str) -> None:
    required = [name for name, field in facts.KINDS[kind].items() if field.required]
    problem = check_body(kind, {})
    assert (problem.field if problem else None) == (required[0] if required else None)


@given(ANYTHING)
def test_no_value_whatever_makes_the_check_fail(raw: Any) -> None:
    problem = check(raw)
    assert problem is not None
    assert problem.message


@given(
    st.sampled_from(sorted(facts.KINDS)),
    st.dictionaries(st.sampled_from(sorted({n for k in facts.KINDS.values() for n in k})), ANYTHING, max_size=6),
)
def test_no_body_whatever_makes_the_check_fail(kind: str, body: Raw) -> None:
    problem = check(make.raw(kind, body))
    if problem is None:
        assert json.loads(canonical(body)) == body


def test_equal_contents_are_one_text() -> None:
    assert canonical({"b": 1, "a": "é"}) == canonical({"a": "é", "b": 1}) == '{"a":"é","b":1}'


def test_a_fact_shows_the_usual_value_where_nothing_was_said() -> None:
    filled = _fact(a_shot()).filled()
    assert set(filled) == set(facts.KINDS["shot"])
    assert (filled["lie"], filled["aside"], filled["direction"]) == ("level", False, "")


def _fact(raw: Raw) -> Fact:
    return Fact(raw["id"], raw["root"], raw["kind"], raw["made_at"], raw["body"])


# Few roots, few moments, few ids: so that corrections, voids, equal times and orphans meet often.
FACTS = st.lists(
    st.builds(
        lambda number, root, second, carry: Fact(
            numbered(number),
            numbered(root),
            "shot",
            moved(NOW, seconds=second),
            None if carry == 0 else {"carry_m": carry},
        ),
        st.integers(1, 12),
        st.integers(1, 4),
        st.integers(0, 3),
        st.integers(0, 5),
    ),
    max_size=12,
    unique_by=lambda fact: fact.id,
)


@given(FACTS, st.randoms())
def test_what_is_shown_does_not_hang_on_the_order_of_arrival(some: list[Fact], random: Any) -> None:
    shuffled = list(some)
    random.shuffle(shuffled)
    assert fold(shuffled) == fold(some)


@given(FACTS)
def test_a_fact_that_comes_twice_changes_nothing(some: list[Fact]) -> None:
    assert fold([*some, *some]) == fold(some)
    assert fold(fold(some).values()) == fold(some)


@given(FACTS, st.integers(0, 12))
def test_two_phones_that_exchange_their_facts_show_the_same(some: list[Fact], cut: int) -> None:
    one, other = some[:cut], some[cut:]
    assert fold([*one, *other]) == fold([*other, *one])


@given(FACTS)
def test_a_withdrawn_shot_never_comes_back(some: list[Fact]) -> None:
    gone = {fact.root for fact in some if fact.body is None}
    assert not gone & set(fold(some))


@given(FACTS)
def test_every_root_that_was_not_withdrawn_shows_what_was_said_last(some: list[Fact]) -> None:
    shown = fold(some)
    for root in {fact.root for fact in some} - {fact.root for fact in some if fact.body is None}:
        said = [fact for fact in some if fact.root == root]
        assert shown[root] == sorted(said, key=lambda fact: (fact.made_at, fact.id))[-1]


def test_the_larger_id_wins_between_two_corrections_of_one_moment() -> None:
    root = _fact(make.raw("shot", {"carry_m": 1.0}, id=numbered(1)))
    one = Fact(numbered(2), root.id, "shot", moved(NOW, seconds=1), {"carry_m": 2.0})
    other = Fact(numbered(3), root.id, "shot", moved(NOW, seconds=1), {"carry_m": 3.0})
    assert fold([other, root, one])[root.id] == other


def test_a_correction_may_come_before_what_it_corrects() -> None:
    first = make.a_shot(BUCKET, CLUB, 60)
    later = make.corrected(first, carry_m=40.0)
    assert fold([_fact(later)])[first["root"]].filled()["carry_m"] == 40.0
    assert fold([_fact(later), _fact(first)])[first["root"]].filled()["carry_m"] == 40.0
