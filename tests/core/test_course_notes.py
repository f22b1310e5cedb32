"""Notes of a round: their words, balls logged on the course read as notes, and the count.

Sources: the usual margin of 8%, at least 4 yd and never under the step of judging, is the project's own (common
practice, no source).
"""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.facts import KINDS, LIES
from webapp.fits.course_notes import LANDINGS, CourseNote, Tally, meant_carries, of_ball, read, tally, words_of
from webapp.units import YARD_M


@given(st.floats(1, 365), st.sampled_from(LANDINGS), st.sampled_from(LIES))
def test_a_note_comes_back_from_its_words(meant_m: float, landed: str, lie: str) -> None:
    words = words_of(CourseNote(meant_m, landed, lie))
    assert KINDS["note"]["words"].misfit(words) == ""
    back = read(words)
    assert back
    assert (back.landed, back.lie) == (landed, lie)
    assert back.meant_m == pytest.approx(meant_m, abs=1e-4)


@pytest.mark.parametrize(
    "words",
    ["", "a windy day", "meant_m=nan landed=on lie=level", "meant_m=60 landed=on", "meant_m=60 landed=in lie=level",
     "meant_m=-1 landed=on lie=level", "meant_m=60 landed=on lie=moon", "meant_m=x landed=on lie=level"],
)  # fmt: skip
def test_other_words_are_no_course_note(words: str) -> None:
    assert read(words) is None


@pytest.mark.parametrize(
    ("carry_yd", "more", "landed"),
    [
        (60, {}, "on"),
        (55.1, {}, "on"),
        (54.9, {}, "short"),
        (65.1, {}, "long"),
        (54.9, {"judged_by": "markers"}, "short"),
        (None, {"landed": "under"}, "short"),
        (None, {"landed": "over"}, "long"),
    ],
)
def test_a_ball_logged_on_the_course_reads_as_a_note(carry_yd: float | None, more: dict[str, Any], landed: str) -> None:
    note = of_ball(ball(carry_yd, **more), 5 * YARD_M)
    assert note
    assert note.landed == landed


def test_a_ball_without_a_meant_carry_or_lost_from_sight_is_not_counted() -> None:
    assert of_ball(ball(60, meant_carry_m=None), None) is None
    assert of_ball(ball(None, landed="unseen"), None) is None


def test_the_count_adds_up_and_is_nothing_without_notes() -> None:
    notes = [CourseNote(60, landed, "level") for landed in ("short", "short", "on", "long")]
    assert tally(notes) == Tally(4, 2, 1, 1)
    assert tally([]) == Tally(0, 0, 0, 0)


def ball(carry_yd: float | None, **more: Any) -> dict[str, Any]:
    told = {"meant_carry_m": 60 * YARD_M, "landed": "seen", "lie": "level", "judged_by": "monitor"}
    return {**told, "carry_m": None if carry_yd is None else carry_yd * YARD_M, **more}


def test_the_carries_met_are_those_of_notes_and_of_balls() -> None:
    words = [words_of(CourseNote(60, "on", "level")), "nothing of the kind"]
    assert meant_carries(words, [{"meant_carry_m": 41.5}, {"meant_carry_m": None}]) == [60, 41.5]
