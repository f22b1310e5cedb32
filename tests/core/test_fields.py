"""The kinds of value a fact may hold."""

import json
import math
import re
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp import fields
from webapp.facts import KINDS, SETTINGS

ANYTHING = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner, max_size=3),
    max_leaves=6,
)
EVERY_FIELD = [*SETTINGS.values(), *(field for kind in KINDS.values() for field in kind.values())]


@pytest.mark.parametrize("value", [0, 400, 12.5])
def test_a_number_may_lie_anywhere_in_its_range(value: float) -> None:
    assert fields.number("carry", 0, 400).misfit(value) == ""


@pytest.mark.parametrize("value", [-1, 400.1, "12", True, math.nan, math.inf, -math.inf, [], {}, 10**400])
def test_a_number_outside_or_of_another_type_is_refused_in_words(value: Any) -> None:
    assert fields.number("carry", 0, 400, "m").misfit(value) == "must be a number from 0 to 400 m"


@pytest.mark.parametrize(
    ("low_m", "high_m", "says"),
    [
        (0, 365.76, "must be a number from 0 to 400 yd (365 m)"),
        (-50, 50, "must be a number from −54 to 54 yd (−50 to 50 m)"),
        (1, 60, "must be a number from 2 to 65 yd (1 to 60 m)"),
    ],
)
def test_a_length_names_its_range_in_yards_and_metres_that_are_taken(low_m: float, high_m: float, says: str) -> None:
    field = fields.length("carry", low_m, high_m)
    assert field.misfit(high_m + 0.1) == says
    named = [float(figure) for figure in re.findall(r"-?\d+", says.replace("−", "-"))]
    yards, metres = named[:2], named[2:]
    assert [field.misfit(yard * 0.9144) for yard in yards] == ["", ""]
    assert not any(field.misfit(metre) for metre in metres)


def test_a_number_may_be_left_open_only_where_it_is_not_required() -> None:
    assert fields.number("carry", 0, 400).misfit(None) == ""
    assert fields.number("loft", 36, 70, required=True).misfit(None) != ""


@pytest.mark.parametrize("value", [0, 41, 3.0, "3", True])
def test_a_whole_number_is_whole_and_in_range(value: Any) -> None:
    assert fields.whole("balls", 1, 40).misfit(value) != ""
    assert fields.whole("balls", 1, 40).misfit(40) == ""


@pytest.mark.parametrize("value", ["<b>", "a > b", "tab\t", "line\n", "nul\x00", "x" * 41, 7, None])
def test_text_is_short_and_free_of_markup(value: Any) -> None:
    assert fields.text("name", 40).misfit(value) != ""


@pytest.mark.parametrize("value", ["", "Ünï·cødé 名", "x" * 40, "'; DROP TABLE--", "=1+1"])
def test_any_plain_text_is_kept_as_it_is(value: str) -> None:
    assert fields.text("name", 40).misfit(value) == ""


@pytest.mark.parametrize("value", ["", "  "])
def test_a_required_text_is_not_blank(value: str) -> None:
    assert fields.text("name", required=True).misfit(value) == "must not be empty"


def test_a_choice_takes_its_words_and_its_default_only() -> None:
    contact = fields.choice("contact", ("fat", "clean"), "")
    assert [contact.misfit(word) for word in ("fat", "clean", "")] == ["", "", ""]
    assert contact.misfit("Fat") == "must be one of: fat, clean, (empty)"
    assert fields.choice("surface", ("mat", "grass"), required=True).misfit("") != ""


@pytest.mark.parametrize("value", [0, 1, "true", None])
def test_a_flag_is_true_or_false_and_nothing_like_it(value: Any) -> None:
    assert fields.flag("aside").misfit(value) == "must be true or false"


@pytest.mark.parametrize(
    "value",
    ["2025-05-01", "2025-05-01T09:30:00Z", "2025-05-01T09:30:00.000+00:00", "", 0, "2025-05-01T09:30:00.000Z\n"],
)
def test_a_moment_has_the_one_format(value: Any) -> None:
    assert fields.moment("on").misfit(value) != ""


@pytest.mark.parametrize(
    "value",
    [
        "2025-13-01T09:30:00.000Z",
        "2025-02-30T09:30:00.000Z",
        "2025-05-01T25:30:00.000Z",
        "0000-01-01T00:00:00.000Z",
        "9999-12-31T23:59:59.999Z",
    ],
)
def test_a_moment_is_a_day_and_hour_there_is(value: str) -> None:
    assert fields.moment("on").misfit(value) != ""


@pytest.mark.parametrize(
    "value", ["2025-02-30", "2025-5-1", "1 May", "2025-05-01T09:30:00.000Z", None, 5, "2025-05-01 "]
)
def test_a_day_is_one_of_the_calendar(value: Any) -> None:
    assert fields.day("by").misfit(value) == "must be a day such as 2025-05-01"
    assert fields.day("by").misfit("2024-02-29") == fields.day("by").misfit("") == ""


@pytest.mark.parametrize("value", ["x", "urn:uuid:" + "0" * 27, "{" + "0" * 34 + "}", "0" * 32, "0" * 36, None, 5])
def test_an_id_is_a_uuid_in_its_usual_form(value: Any) -> None:
    assert not fields.is_uuid(value)


def test_an_id_may_be_left_empty_only_where_it_is_not_required() -> None:
    assert fields.identity("replaces", required=False).misfit("") == ""
    assert fields.identity("club").misfit("") != ""


def test_a_group_names_the_value_that_does_not_fit() -> None:
    delivery = fields.group("delivery numbers", {"spin_rpm": fields.number("spin", 0, 20000, "rpm")})
    assert delivery.misfit({"spin_rpm": 9000}) == ""
    assert delivery.misfit({"spin_rpm": -1}) == "spin must be a number from 0 to 20000 rpm"
    assert "colour" in delivery.misfit({"colour": 1})
    assert delivery.misfit([]) != ""


@pytest.mark.parametrize("value", [["x" * 61], ["<i>"], ["a"] * 4, "a", [1]])
def test_a_list_of_words_is_short_in_every_way(value: Any) -> None:
    assert fields.words("plan", 60, 3).misfit(value) != ""


@pytest.mark.parametrize("value", [math.nan, math.inf, "\ud800", {"\ud800": 1}, [{"deep": -math.inf}]])
def test_an_object_of_json_holds_only_what_a_book_can_keep(value: Any) -> None:
    chosen = fields.plain("what its columns mean", 40)
    assert chosen.misfit({"a": value}) == "must hold finite numbers and whole characters"


def test_an_object_of_json_is_few_levels_deep() -> None:
    """What takes the object in looks into it, and Python ends a program that goes a thousand calls deep."""
    chosen = fields.plain("what its columns mean", 4000)
    too_deep = "must be at most 100 levels deep"
    for levels, said in ((fields.MOST_LEVELS, ""), (fields.MOST_LEVELS + 1, too_deep), (990, too_deep)):
        value: Any = "x"
        for _ in range(levels - 1):
            value = [value]
        assert chosen.misfit({"a": value}) == said, levels


def test_an_object_of_json_is_as_long_as_it_is_kept() -> None:
    chosen = fields.plain("what its columns mean", 13)
    assert chosen.misfit({"a": "Äß"}) == ""
    assert chosen.misfit({"a": "Äßx"}) == "must be at most 13 bytes of JSON"


@given(st.sampled_from(EVERY_FIELD), ANYTHING)
def test_any_value_fits_or_is_refused_in_a_sentence(field: fields.Field, value: Any) -> None:
    said = field.misfit(value)
    assert said == "" or said.startswith(("must", "holds")) or " " in said


@given(st.sampled_from(EVERY_FIELD), ANYTHING)
def test_what_fits_can_be_written_as_plain_json(field: fields.Field, value: Any) -> None:
    if field.misfit(value) == "" and field.label != "value":
        assert json.loads(json.dumps(value, allow_nan=False)) == value
