"""A book's balls and facts as files."""

import csv
import io
import json
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from webapp.delivery.readings import FIELD_OF
from webapp.facts import DELIVERY, LONGEST_CARRY_M
from webapp.files import columns, exporting
from webapp.files.ball_row import unshielded
from webapp.files.columns import COLUMNS
from webapp.store.reading import Club
from webapp.units import YARD_M, to_m

from ..factories import NOW, a_club, numbered, raw

CLUB = Club(numbered(2), "56", 56.0, "", False, "", NOW)
VISIT = {"surface": "mat", "place": "Pellow Fen", "judged_by": "monitor", "wind": "calm", "wind_force": "light"}
VISIT |= {"aside": False, "aside_reason": "", "temperature_c": None, "monitor_note": "", "warm_up_balls": None}
VISIT |= {"indoor_counts": False, "flags_checked": "", "utc_offset_min": -420}


def a_row(**changed: Any) -> dict[str, Any]:
    """A ball as store/reading.py gives it."""
    return {
        "id": numbered(1),
        "made_at": NOW,
        "bucket_id": numbered(3),
        "club_id": CLUB.id,
        "swing_deg": 90.0,
        "mode": "swing",
        "meant_carry_m": 54 * YARD_M,
        "raw_carry_m": 52 * YARD_M,
        "roll_m": None,
        "bay_offset_m": None,
        "landed": "seen",
        "contact": "clean",
        "delivery": {},
        "aside": False,
        **changed,
    }


def written(unit: str = "yd", **changed: Any) -> dict[str, str]:
    """The one row of a CSV file of one ball, read by Python's csv module."""
    text = "".join(exporting.shots_csv([a_row(**changed)], {CLUB.id: CLUB}, {numbered(3): VISIT}, unit))
    (row,) = csv.DictReader(io.StringIO(text, newline=""))
    return row


def test_a_ball_is_written_in_the_readers_unit_as_it_was_said() -> None:
    row = written()
    assert (row["club"], row["swing"], row["meant"], row["carry"], row["unit"]) == ("56", "90", "54", "52", "yd")
    assert (row["place"], row["surface"], row["visit_judged_by"]) == ("Pellow Fen", "mat", "monitor")
    assert (row["aside"], row["retired"], row["roll"]) == ("0", "0", "")
    assert (row["utc_offset_min"], row["indoor_counts"], row["flags_checked"]) == ("-420", "0", "")


def test_lines_end_as_rfc_4180_says_and_the_header_names_every_column() -> None:
    text = "".join(exporting.shots_csv([], {}, {}, "yd"))
    assert text == ",".join(COLUMNS) + "\r\n"
    assert all(columns.MEANINGS.values())
    assert set(FIELD_OF) <= set(COLUMNS)


@given(st.floats(0, LONGEST_CARRY_M), st.sampled_from(["yd", "m"]))
def test_every_length_comes_back_to_the_last_digit(carry_m: float, unit: str) -> None:
    row = written(unit, raw_carry_m=carry_m)
    assert to_m(float(row["carry"]), row["unit"]) == carry_m
    assert to_m(float(row["meant"]), row["unit"]) == 54 * YARD_M


@given(st.integers(0, 400))
def test_whole_yards_are_written_as_whole_yards(carry_yd: int) -> None:
    row = written(raw_carry_m=to_m(carry_yd, "yd"))
    assert (row["carry"], row["unit"]) == (str(carry_yd), "yd")


@given(st.text(st.characters(exclude_categories=["Cc", "Cs"]), max_size=40))
def test_no_text_is_run_as_a_formula_and_all_come_back(text: str) -> None:
    cell = written(plan_ref=text)["plan_ref"]
    assert not cell.startswith(("=", "+", "-", "@", "＝", "＋", "－", "＠"))
    assert unshielded(cell) == text


def test_a_negative_number_stays_a_number() -> None:
    row = written(roll_m=-3.5 * YARD_M, delivery={"attack_deg": -4.0})
    assert (row["roll"], row["attack_deg"]) == ("-3.5", "-4")


def test_the_json_holds_the_facts_as_they_go_over_the_wire() -> None:
    told = json.loads("".join(exporting.book_json([{**a_club(), "seq": 1}], NOW)))
    assert [set(fact) for fact in told["facts"]] == [{"id", "root", "kind", "made_at", "body"}]
    assert set(told["fields"]["kinds"]["shot"]["delivery"]) == set(DELIVERY)


def test_the_json_is_whole_whatever_breaks_lines_in_a_note() -> None:
    facts = [raw("note", {"words": words}) for words in ("a\u2028b", "c\x85d", "e\nf")]
    told = "".join(exporting.book_json(facts, NOW))
    assert json.loads(told)["facts"] == facts
    assert told == json.dumps(json.loads(told), ensure_ascii=False, indent=1)
