"""Balls of a cell struck another way: when they tell something, and that they are held against the card's number."""

import math
from typing import Any

import pytest

from tests.demo_card import demo_card
from webapp.card.card_data import CardCell
from webapp.card.other_ways import other_ways
from webapp.estimate.model import CELL_SHIFT_SD, VISIT_SHIFT_SD
from webapp.units import YARD_M


@pytest.fixture
def cell() -> CardCell:
    return demo_card().cells["56", 90.0]  # 61 yd


def balls(n: int, carry_yd: float = 55, **more: Any) -> list[dict[str, Any]]:
    usual = {
        "mode": "swing", "landed": "seen", "contact": "clean", "ball": "range", "lie": "level", "flight": "",
        "aside": False, "bucket_aside": 0, "course": False, "strong_wind": False, "monitor_note": "",
        "indoor_counts": 0, "visit_id": "one",
    }  # fmt: skip
    return [{**usual, "carry_m": (carry_yd + place - (n - 1) / 2) * YARD_M, **more} for place in range(n)]


def test_five_gripped_down_get_a_row_of_their_own(cell: CardCell) -> None:
    (way,) = other_ways(balls(5, flight="grip-down"), cell, "range")
    assert (way.name, way.n) == ("grip-down", 5)
    assert way.carry_m == pytest.approx(55 * YARD_M)
    assert way.change_m == pytest.approx(-6 * YARD_M, abs=0.01)
    assert other_ways(balls(4, flight="grip-down"), cell, "range") == ()


def test_eight_from_the_rough_give_a_difference(cell: CardCell) -> None:
    (way,) = other_ways(balls(8, 53, lie="rough"), cell, "range")
    assert (way.name, way.n, way.carry_m) == ("rough", 8, None)
    assert way.change_m == pytest.approx(-8 * YARD_M, abs=0.01)
    assert other_ways(balls(7, 53, lie="rough"), cell, "range") == ()


def test_more_visits_make_a_difference_surer(cell: CardCell) -> None:
    one = balls(12, flight="low")
    four = [{**ball, "visit_id": place % 4} for place, ball in enumerate(one)]
    assert other_ways(four, cell, "range")[0].error_m < other_ways(one, cell, "range")[0].error_m


def test_the_doubt_of_a_difference_is_that_of_its_median_its_visit_and_the_cards_number(cell: CardCell) -> None:
    """Source: pi/2 times a mean's variance for a median (Laplace, from memory); 1.2816 from tables of the normal curve.

    Balls scatter by 5%, the demo number is known to 2.5% either way in eight of ten.
    """
    (way,) = other_ways(balls(5, flight="low"), cell, "range")
    of_own = 55 * math.sqrt(0.05**2 * math.pi / 2 / 5 + VISIT_SHIFT_SD**2 + CELL_SHIFT_SD**2)
    assert way.error_m == pytest.approx(math.hypot(of_own, 61 * 0.025 / 1.2816) * YARD_M, rel=1e-4)


def test_a_slip_of_entry_moves_it_little(cell: CardCell) -> None:
    found = balls(5, flight="high")
    found[4]["carry_m"] = 540 * YARD_M
    assert other_ways(found, cell, "range")[0].carry_m == pytest.approx(55 * YARD_M, abs=YARD_M)


@pytest.mark.parametrize(
    "more",
    [
        {"contact": "fat"}, {"ball": "own"}, {"mode": "distance"}, {"aside": True}, {"bucket_aside": 1},
        {"course": True}, {"strong_wind": True}, {"monitor_note": "indoor"}, {"landed": "unseen"}, {"lie": "wet"},
    ],
    ids=str,
)  # fmt: skip
def test_what_would_not_count_for_the_card_tells_nothing_here(cell: CardCell, more: dict[str, Any]) -> None:
    five = balls(5, flight="grip-down")
    assert other_ways(five, cell, "range")
    assert other_ways([*five[:4], {**five[4], **more}], cell, "range") == ()
