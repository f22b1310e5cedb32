"""Plans: they add up to the balls bought, say why, never repeat where they must not, and keep the nine back."""

import random
from collections import Counter
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as some

from tests.demo_card import demo_card
from webapp.card.card_data import Card
from webapp.estimate.pool import pool
from webapp.estimate.prior import Cell
from webapp.practice import plans
from webapp.practice.course_use import course_use, often_needed
from webapp.practice.plan_words import WHY, parse
from webapp.practice.plans import Plan, Wish
from webapp.units import YARD_M

SIX = [("46", 90.0), ("46", 180.0), ("51", 90.0), ("56", 90.0), ("56", 135.0), ("60", 90.0)]
ORDER = [("60", 135.0), ("46", 45.0), ("51", 135.0)]


def a_plan(balls: int, nine: bool = False, wish: Wish | None = None, card: Card | None = None, seed: int = 1) -> Plan:
    return plans.plan(card or demo_card(), ORDER, balls, "yd", random.Random(seed), nine, wish)


@given(balls=some.integers(5, 150), nine=some.booleans(), seed=some.integers(0, 999))
def test_a_plan_adds_up_to_the_balls_bought(balls: int, nine: bool, seed: int) -> None:
    plan = a_plan(balls, nine, seed=seed)
    assert sum(part.balls for part in plan.parts) == balls
    assert all(part.why for part in plan.parts)
    assert all(len(part.calls) in (0, part.balls) for part in plan.parts)


def test_forty_balls_name_why_each_part_is_there() -> None:
    plan = a_plan(40, nine=True)
    assert [(part.name, part.balls) for part in plan.parts] == [
        ("warm-up", 6), ("next-visit nine", 9), ("card-building", 10), ("mixed", 11), ("yours", 4),
    ]  # fmt: skip
    building = plan.parts[2]
    assert [(line.cell, line.balls, line.why) for line in building.lines] == [
        (("60", 135.0), 5, WHY["guess"]),
        (("46", 45.0), 5, WHY["guess"]),
    ]


def test_at_most_fifteen_balls_build_the_card_while_there_is_something_to_mix() -> None:
    for balls in range(20, 151):
        building = next(part for part in a_plan(balls).parts if part.name == "card-building")
        assert building.balls <= 15


def test_nothing_is_planned_for_the_last_balls() -> None:
    last = a_plan(60).parts[-1]
    assert (last.name, last.balls, last.calls) == ("yours", 4, ())


@pytest.mark.parametrize("balls", [4, 151])
def test_it_makes_no_plan_for_a_number_of_balls_nobody_buys(balls: int) -> None:
    with pytest.raises(ValueError, match="5 to 150"):
        a_plan(balls)


@given(seed=some.integers(0, 9999))
def test_thirty_mixed_calls_never_repeat_and_give_each_of_six_three_to_eight(seed: int) -> None:
    deal = plans.dealt(SIX, 30, random.Random(seed))
    assert all(one != other for one, other in pairwise(deal))
    assert set(Counter(deal)) == set(SIX)
    assert all(3 <= n <= 8 for n in Counter(deal).values())


@given(cells=some.integers(2, 12), balls=some.integers(1, 120), seed=some.integers(0, 999))
def test_mixed_calls_never_repeat_however_many_cells_there_are(cells: int, balls: int, seed: int) -> None:
    deal = plans.dealt([(str(at), 90.0) for at in range(cells)], balls, random.Random(seed))
    assert len(deal) == balls
    assert all(one != other for one, other in pairwise(deal))


def test_mixed_calls_come_as_a_swing_a_number_and_a_distance() -> None:
    card = demo_card()
    plan = a_plan(30, wish=Wish(tuple(SIX), only_mixed=True))
    assert len(plan.calls) == 30
    swings, numbers, distances = plan.calls[0::3], plan.calls[1::3], plan.calls[2::3]
    assert {call.mode for call in swings} == {"swing"}
    assert {call.mode for call in (*numbers, *distances)} == {"distance"}
    for call in numbers:
        assert round(call.meant_carry_m / YARD_M) == round(
            card.cells[call.club_id, call.swing_deg].shown_carry_m / YARD_M
        )
    off = [call.meant_carry_m - card.cells[call.club_id, call.swing_deg].shown_carry_m for call in distances]
    assert any(abs(one) > YARD_M for one in off)
    assert all(abs(call.meant_carry_m / YARD_M - round(call.meant_carry_m / YARD_M)) < 0.01 for call in distances)


def test_the_player_may_ask_for_numbers_alone() -> None:
    plan = a_plan(12, wish=Wish(tuple(SIX), ("number",), only_mixed=True))
    assert {call.mode for call in plan.calls} == {"distance"}


@pytest.mark.parametrize("clubs", [1, 2, 4])
def test_the_nine_are_nine_different_calls_however_small_the_bag(clubs: int) -> None:
    card = demo_card()
    few = replace(
        card, clubs=card.clubs[:clubs],
        cells={place: cell for place, cell in card.cells.items() if place[0] in ["46", "51", "56", "60"][:clubs]},
    )  # fmt: skip
    plan = plans.nine_alone(few, "yd", random.Random(3))
    assert len(plan.calls) == 9
    assert len(set(plan.words)) == 9
    assert {call.why for call in plan.calls} == {"nine"}
    assert {call.mode for call in plan.calls} == {"distance"}


@pytest.mark.parametrize(("balls", "n_nine"), [(23, 0), (24, 9)])
def test_a_bucket_opens_with_the_nine_from_24_balls_on(balls: int, n_nine: int) -> None:
    """Common practice, no source."""
    assert [call.why for call in a_plan(balls, nine=True).calls].count("nine") == n_nine


def test_the_nine_of_one_number_lie_three_yards_apart_about_it() -> None:
    """Common practice, no source."""
    card = demo_card()
    one = replace(card, cells={("56", 90.0): card.cells["56", 90.0]})
    asked = sorted(call.meant_carry_m for call in plans.nine_alone(one, "yd", random.Random(3)).calls)
    assert [round(carry_m / YARD_M) for carry_m in asked] == [61 + off for off in range(-12, 13, 3)]


def test_the_nine_are_refused_for_twelve_hours_after_the_last_ball() -> None:
    struck = "2025-05-01T18:00:00.000Z"
    assert plans.nine_opens_at(struck, "2025-05-01T20:00:00.000Z") == "2025-05-02T06:00:00.000Z"
    assert plans.nine_opens_at(struck, "2025-05-02T05:59:59.000Z") != ""
    assert plans.nine_opens_at(struck, "2025-05-02T06:00:00.000Z") == ""
    assert plans.nine_opens_at(None, struck) == ""


def test_the_spring_check_hits_a_few_balls_for_each_old_number() -> None:
    plan = plans.spring_check(demo_card(trust={("56", 90.0): "old"}))
    assert Counter((call.club_id, call.swing_deg) for call in plan.calls) == {("51", 135.0): 3, ("56", 90.0): 3}
    fresh = demo_card(trust={("51", 135.0): "settled"})
    assert plans.spring_check(fresh).calls == ()


def test_one_cell_alone_is_built_and_nothing_is_mixed() -> None:
    card = demo_card()
    one = replace(card, cells={("56", 90.0): card.cells["56", 90.0]})
    plan = plans.plan(one, [("56", 90.0)], 20, "yd", random.Random(1))
    assert {part.name for part in plan.parts} == {"warm-up", "card-building", "yours"}
    assert sum(part.balls for part in plan.parts) == 20


def test_the_same_book_and_mix_give_the_same_plan() -> None:
    assert a_plan(40, seed=5).words == a_plan(40, seed=5).words
    assert a_plan(40, seed=5).words != a_plan(40, seed=6).words


def test_every_call_can_be_read_from_its_word_except_its_clubs_id() -> None:
    club = "00000000-0000-0000-0000-000000000056"
    for call in a_plan(60, nine=True).calls:
        named = replace(call, club_id=club)
        assert parse(plans.written(named)) == named


@pytest.mark.parametrize(
    ("trust", "why"), [("guess", "guess"), ("told", "told"), ("old", "old"), ("early", "early"), ("settled", "near")]
)
def test_it_says_why_a_cell_is_worth_balls(trust: str, why: str) -> None:
    cell = demo_card(trust={("56", 90.0): trust}).cells["56", 90.0]
    assert plans.why_build(cell) == why
    if trust == "settled":
        assert plans.why_build(replace(cell, out_of_order=True)) == "order"
        wide = {share: replace(cell, typical_high_m=cell.typical_low_m + share * cell.typical_carry_m)
                for share in (0.119, 0.121)}  # fmt: skip
        assert {share: plans.why_build(cell) for share, cell in wide.items()} == {0.119: "near", 0.121: "wide"}


def test_balls_go_to_the_cells_of_the_card_that_are_used_most() -> None:
    card = demo_card()
    cells = [Cell(club.id, club.loft_deg, swing.swing_deg, "range") for club in card.clubs for swing in card.swings]
    others = [Cell("46", 46.0, 45.0, "before range")]
    order = plans.to_build(card, pool([*cells, *others], []), blocks=8)
    assert len(order) == 8
    assert set(order) <= set(card.cells)
    hidden = replace(card, hidden=frozenset(cell.key for place, cell in card.cells.items() if place[0] == "46"))
    assert sum(place[0] == "46" for place in plans.to_build(hidden, pool(cells, []), blocks=8)) < sum(
        place[0] == "46" for place in order
    )


@pytest.mark.parametrize(("shown_yd", "chosen"), [(29, "hidden"), (31, "shown")])
def test_a_hidden_number_weighs_three_tenths_of_its_yards(shown_yd: float, chosen: str) -> None:
    """Of two numbers equally unknown the one that is used more comes first; three tenths are our choice."""
    card = demo_card()
    places = {"hidden": ("46", 90.0), "shown": ("51", 90.0)}
    carries_m = {places["hidden"]: 100 * YARD_M, places["shown"]: shown_yd * YARD_M}
    two = replace(
        card, clubs=card.clubs[:2], swings=card.swings[1:2], hidden=frozenset({"46:90"}),
        cells={at: replace(card.cells[at], typical_carry_m=carry_m) for at, carry_m in carries_m.items()},
    )  # fmt: skip
    pooled = pool([Cell("46", 46.0, 90.0), Cell("51", 51.0, 90.0)], [])
    alike = replace(pooled, V=np.diag([0.01, 0.01]), sigma=np.array([0.05, 0.05]))
    assert plans.to_build(two, alike, blocks=1) == [places[chosen]]


@pytest.mark.parametrize(("n", "is_often"), [(19, False), (21, True)])
def test_twenty_carries_meant_make_a_number_often_needed(n: int, is_often: bool) -> None:
    """Of three numbers n carries ask (20/3 + n) / ((20 + n)/3) times the mean, twice it from 20 on; our choice."""
    card = demo_card()
    three = replace(card, cells={at: card.cells[at] for at in (("46", 90.0), ("51", 90.0), ("56", 90.0))})
    assert (("51", 90.0) in often_needed(three, [71 * YARD_M] * n)) is is_often


def test_what_the_course_asks_for_is_practised_more() -> None:
    card = demo_card()
    cells = [Cell(club.id, club.loft_deg, swing.swing_deg, "range") for club in card.clubs for swing in card.swings]
    pooled = pool(cells, [])
    met_m = [carry_yd * YARD_M for carry_yd in (34, 35, 36, 35) * 15]
    usual, asked = plans.to_build(card, pooled, blocks=8), plans.to_build(card, pooled, blocks=8, course_m=met_m)
    assert asked.count(("60", 45.0)) > usual.count(("60", 45.0))
    assert plans.to_build(card, pooled, blocks=8, course_m=[200 * YARD_M] * 99) == usual


def test_a_plan_says_which_of_its_balls_the_course_asks_for() -> None:
    card = demo_card()
    often = often_needed(card, [62 * YARD_M] * 20)
    assert often == {("60", 135.0), ("56", 90.0)}
    building = plans.plan(card, ORDER, 40, "yd", random.Random(1), often=often).parts[1]
    assert [line.why for line in building.lines if line.cell == ("60", 135.0)] == [
        f"{WHY['guess']}; often needed on the course"
    ]
    assert not [line for line in building.lines if line.cell not in often and "course" in line.why]


@given(met_yd=some.lists(some.floats(1, 150), max_size=60))
def test_the_course_shares_out_what_it_asks(met_yd: list[float]) -> None:
    use = course_use(demo_card(), [carry_yd * YARD_M for carry_yd in met_yd])
    assert sum(share**2 for share in use.values()) == pytest.approx(len(use))
    assert min(use.values()) > 0


def test_the_thinner_of_two_cells_out_of_order_comes_first() -> None:
    card = demo_card()
    crossed = {("51", 90.0): 9, ("51", 135.0): 20}
    cells = {place: replace(card.cells[place], out_of_order=True, n=n) for place, n in crossed.items()}
    marked = replace(card, cells={**card.cells, **cells})
    pooled = pool([Cell(club.id, club.loft_deg, swing.swing_deg) for club in card.clubs for swing in card.swings], [])
    order = plans.to_build(marked, pooled, blocks=4)
    assert order[0] == ("51", 90.0)
    assert order[1:] == plans.to_build(card, pooled, blocks=4)[:3]
