"""What to leave of the way to a flag: whether it is in reach, as what fits has it, and what to lay up from it.

Source: webapp/fits/fitting.py, which has its own; the shares that are stated are those of a normal (any table).
"""

import math
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.core.test_fitting import USUAL, normal
from tests.core.test_leave import FAR_APART, SHORT, ahead_of, numbers, yards
from webapp.card.strike import Margin
from webapp.fits.fitting import answer, question
from webapp.fits.leave import LEAST_LAY_UP_M, Ahead, at_flag, in_reach, leave, listed
from webapp.fits.leave_words import answer_words, best_words, trouble_words
from webapp.units import LENGTH_M, YARD_M, whole


@settings(max_examples=150, deadline=None)
@given(numbers=numbers, unit=st.sampled_from(["yd", "m"]), tenths=st.integers(100, 1400), about=ahead_of)
def test_a_flag_that_something_fits_is_in_reach(numbers: Any, unit: str, tenths: int, about: Ahead | None) -> None:
    among = tuple(normal(mean, spread) for mean, spread in numbers)
    flag_m = tenths / 10 * LENGTH_M[unit]
    ahead = Ahead(flag_m)
    if about:  # the same roll and trouble about another flag
        ends_m = [end_m and end_m + flag_m - about.flag_m for end_m in (about.front_m, about.back_m)]
        ahead = Ahead(flag_m, about.roll_m, *ends_m, about.must_carry)
    asked = question(flag_m, USUAL, ahead.roll_m, ahead.front_m, ahead.back_m, ahead.must_carry)
    found = leave(among, USUAL, unit, ahead)
    here = found.distances and at_flag(found, flag_m, unit)
    between = [whole(one.carry_m + ahead.roll_m, unit) for one in among]
    reached = bool(answer(asked, among).ranked) or 0 <= flag_m - max(between) * LENGTH_M[unit] < LEAST_LAY_UP_M - 1e-9
    assert bool(here) == (reached or min(between) <= math.floor(tenths / 10) <= max(between))
    if here and in_reach(found, flag_m, unit):
        assert "in reach" in answer_words(found, among, flag_m, unit)
    elif here:  # another distance clears
        assert trouble_words(found, ahead, unit).startswith("From here no number carries the trouble")


def test_with_a_flag_it_says_what_to_leave_and_what_to_hit() -> None:
    ahead = Ahead(240 * YARD_M)
    assert answer_words(leave(FAR_APART, USUAL, "yd", ahead), FAR_APART, ahead.flag_m, "yd") == "Leave 85: hit 155 now."


@pytest.mark.parametrize(
    ("flag_yd", "said"),
    [  # 61 and 85 land in 91 and 90 times in 100; within twice the flag's own chance none is left for them
        (62, "62 is in reach: 56 61, 88 balls in 100 land in."),
        (85, "85 is in reach: 56 85, 91 balls in 100 land in."),
        (70, "70 is in reach: 56 61, 13 balls in 100 land in. Or leave 61: hit 9 now."),
        (88, "88 is in reach: 56 85, 84 balls in 100 land in."),
        (94, "94 is in reach: 56 85, 36 balls in 100 land in. Or leave 85: hit 9 now."),
        (100, "Leave 85: hit 15 now."),
        (60, "60 is in reach: 56 61, 87 balls in 100 land in."),
        (57, "57 is in reach: 56 61, 57 balls in 100 land in."),
    ],
)
def test_a_flag_in_reach_is_played_for_and_laid_up_from_only_for_twice_the_chance(flag_yd: int, said: str) -> None:
    flag_m = flag_yd * YARD_M
    found = leave(FAR_APART, USUAL, "yd", Ahead(flag_m))
    assert answer_words(found, FAR_APART, flag_m, "yd") == said
    assert ("in reach" in said) == (whole(listed(found, flag_m, "yd")[0].left_m, "yd") == flag_yd)


def test_a_flag_that_trouble_shuts_is_not_called_in_reach_where_another_distance_clears() -> None:
    # 85 carries 79.9 nine times in ten, 61 57.2: 5 short of the flag only 61 clears.
    ahead = Ahead(85 * YARD_M, 0.0, 80 * YARD_M, None, True)
    found = leave(FAR_APART, USUAL, "yd", ahead)
    why = "From here no number carries the trouble in front nine times in ten."
    assert trouble_words(found, ahead, "yd") == f"{why} {SHORT.format(24)}"
    assert answer_words(found, FAR_APART, 85 * YARD_M, "yd") == "Leave 61: hit 24 now."
    assert whole(listed(found, 85 * YARD_M, "yd")[0].left_m, "yd") == 61
    shut = leave(FAR_APART[1:], USUAL, "yd", Ahead(85 * YARD_M, 0.0, 80 * YARD_M, None, True))  # for every distance
    assert "in reach" in answer_words(shut, FAR_APART, 85 * YARD_M, "yd")


@pytest.mark.parametrize(
    ("flag_yd", "said"),
    [  # 85 with a spread of 4 lands within 1 of 87 .17 of the time, of 88 .15, of 89 .12: nothing fits them
        (87, "87 is in reach: 56 85, 17 balls in 100 land in."),
        (88, "88 is in reach: 56 85, 15 balls in 100 land in."),
        (88.9, "89 is in reach: 56 85, 15 balls in 100 land in."),
        (89, "Leave 85: hit 4 now."),
    ],
)
def test_no_ball_is_spent_on_less_than_a_shot_to_lay_up_from_a_flag_beyond_the_longest_number(
    flag_yd: float, said: str
) -> None:
    narrow = Margin(0.0, YARD_M)
    found = leave(FAR_APART[1:], narrow, "yd", Ahead(flag_yd * YARD_M))
    assert answer_words(found, FAR_APART[1:], flag_yd * YARD_M, "yd") == said


@pytest.mark.parametrize(
    ("flag_yd", "front_yd", "said"),
    [  # 61 carries 57.2 nine times in ten: 6 short of the flag it clears the trouble from 63 on, likeliest from 62
        (64, 58, "64 is in reach: 56 61, 84 balls in 100 land in."),
        (66, 60, "Leave 62: hit 4 now."),
    ],
)
def test_no_ball_is_spent_on_less_than_a_shot_to_lay_up_from_trouble(
    flag_yd: float, front_yd: float, said: str
) -> None:
    among, ahead = FAR_APART[:1], Ahead(flag_yd * YARD_M, 0.0, front_yd * YARD_M, None, True)
    found = leave(among, USUAL, "yd", ahead)
    assert answer_words(found, among, ahead.flag_m, "yd") == said
    assert trouble_words(found, ahead, "yd").startswith("From here no number carries the trouble in front nine times")
    first = listed(found, ahead.flag_m, "yd")[0]
    assert whole(first.left_m, "yd") == (flag_yd if "in reach" in said else 62)


@pytest.mark.parametrize(("flag_yd", "left"), [(60.6, [60]), (54.9, [54]), (54.2, [])])
def test_a_flag_a_little_nearer_than_the_shortest_number_is_all_there_is(flag_yd: float, left: list[int]) -> None:
    # 61 with a spread of 3 lands within 4.4 of 54.9 more than one time in four, of 54.2 less often.
    found = leave(FAR_APART, USUAL, "yd", Ahead(flag_yd * YARD_M))
    assert yards(one.left_m for one in found.distances) == left
    assert best_words(found, FAR_APART, "yd") == "".join(f"{at} is all there is." for at in left)
