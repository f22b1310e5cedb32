"""Homework in a bag: what stands in for what is missing, the places of its balls, and how far it has got.

The shared cases (tests/vectors/homework/) hold the phone to the same answers.
"""

from collections import Counter
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.vectors.of_homework import (
    BLOCK,
    CELLS,
    CLUBS,
    HALF_A_DEGREE,
    MIX,
    MIXED,
    NINE,
    NO_60,
    NUMBER,
    ONE,
    OWN_ID,
    PLAN,
    SWINGS,
    bucket,
    nine_oclock,
    shot,
)
from tests.vectors.twins import bag_of, rows_of
from webapp.card.names import given_names
from webapp.facts import KINDS
from webapp.practice.homework import Progress, dealt, head_words, left, matched, of_nine, plan_of, row_words, struck
from webapp.practice.homework_code import Homework
from webapp.practice.plan_words import parse

BAG = bag_of(CLUBS, SWINGS)


def homework(*rows) -> Homework:
    return Homework(OWN_ID, rows)


def test_what_is_in_the_bag_is_matched_without_a_question() -> None:
    (row,) = matched(homework(ONE), *BAG)
    assert row.cells == ((CLUBS[3]["id"], 135.0),)
    assert row.asks == ()


def test_a_missing_wedge_and_swing_get_the_nearest_and_are_asked_about() -> None:
    (row,) = matched(homework(ONE), *bag_of(NO_60, SWINGS))
    assert row.asks == ("No 60 in your bag: use the 58?",)
    (row,) = matched(homework(NUMBER), *BAG)
    assert row.cells == ((CLUBS[2]["id"], 90.0),)
    assert row.asks == ("No Old one in your bag: use the 56?", "No swing of 97.5 degrees among yours: use 9:00?")
    assert matched(homework(ONE), [], BAG[1]) == []


@pytest.mark.parametrize(
    ("swing_deg", "asks"),
    [(90.009, ()), (90.011, ("No swing of 90.011 degrees among yours: use 9:00?",)),
     (88.0, ("No swing of 88 degrees among yours: use 9:00?",))],
)  # fmt: skip
def test_a_swing_off_by_more_than_a_hundredth_of_a_degree_is_asked_about(
    swing_deg: float, asks: tuple[str, ...]
) -> None:
    """Our choice, no source."""
    (row,) = matched(homework(nine_oclock(swing_deg)), *BAG)
    assert (row.cells, row.asks) == (((CLUBS[2]["id"], 90.0),), asks)


def test_a_wedge_of_the_same_name_is_asked_about_by_its_loft() -> None:
    (row,) = matched(homework(MIXED), *bag_of(HALF_A_DEGREE, SWINGS))
    assert row.asks == ("No 56 of 56° in your bag: use the one of 56.5°?",)


def test_the_walks_homework_has_26_balls_each_with_its_place() -> None:
    rows = matched(homework(ONE, MIXED), *BAG)
    nine = [*NINE, *NINE[:3]]
    plan = plan_of(OWN_ID, rows, nine)
    calls = [parse(word) for word in plan]
    assert len(plan) == 26
    assert head_words(len(plan)) == "26 balls, about 30 minutes"
    assert [call.homework_ref for call in calls] == [f"0a1b2c3d.{place}" for place in range(1, 27)]
    assert [call.why for call in calls] == ["lesson"] * 17 + ["nine"] * 9
    assert KINDS["homework"]["plan"].misfit(plan) == ""
    assert of_nine(left(plan, range(1, 6)), nine=False) == plan[5:17]
    assert of_nine(left(plan, range(1, 6)), nine=True) == plan[17:]


def test_the_balls_struck_for_homework_come_oldest_first_each_with_its_place() -> None:
    shots = [
        {**shot(ref, own_id, struck_at=at), "id": ball}
        for ref, own_id, at, ball in (
            ("3", "a", "09:02", "c"), ("1", "a", "09:01", "b"), ("2", "b", "09:00", "d"), ("1", "b", "09:01", "a"),
        )
    ]  # fmt: skip
    found = struck({"id": OWN_ID, "plan": PLAN}, [bucket(), bucket("b", PLAN[1:])], shots, {})
    assert [(ball["id"], ball["homework_place"]) for ball in found] == [("d", 3), ("a", 2), ("b", 1), ("c", 3)]


@given(st.integers(0, 2**32), st.integers(1, 150), st.integers(1, 12))
def test_mixed_balls_never_come_twice_running_and_equally_often(seed: int, balls: int, n: int) -> None:
    cells = [(f"{place}", 90.0) for place in range(n)]
    order = dealt(cells, balls, seed)
    counts = Counter(order)
    assert len(order) == balls
    assert n == 1 or all(one != other for one, other in pairwise(order))
    assert max(counts.values()) - min(counts.get(cell, 0) for cell in cells) <= 1
    assert order == dealt(cells, balls, seed)


def test_other_homework_deals_another_order() -> None:
    orders = {tuple(map(tuple, dealt(CELLS, 12, seed))) for seed in range(20)}
    assert len(orders) > 15


@pytest.mark.parametrize(
    ("progress", "words"),
    [
        (Progress(5, 26, 0, 0, 9), "5 of 26; the nine not struck yet"),
        (Progress(26, 26, 9, 6, 9), "26 of 26; nine: 6 of 9 within 5 yd"),
        (Progress(19, 26, 2, 1, 9), "19 of 26; nine: 1 of 2 within 5 yd, 7 not struck"),
        (Progress(5, 17, 0, 0, 0), "5 of 17"),
    ],
)
def test_progress_in_words(progress: Progress, words: str) -> None:
    assert progress.words("yd") == words


def test_progress_is_told_in_whole_numbers_of_the_readers_unit() -> None:
    assert Progress(9, 9, 9, 6, 9).words("m") == "9 of 9; nine: 6 of 9 within 5 m"  # 5 yd are 4.572 m


def test_rows_in_words() -> None:
    rows = rows_of([BLOCK, MIX])
    assert row_words(rows[0], given_names(*BAG), "yd") == "46 9:00: 2 balls, make the swing"
    assert row_words(rows[1], given_names(*BAG), "yd") == (
        "12 mixed balls, hit the number: 46 9:00, 46 full, 51 9:00, 51 full, 56 9:00, 56 full"
    )
