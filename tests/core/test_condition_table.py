"""The phone's coefficients stand for the solver within half a yard, and stop where they are not offered."""

import random

import pytest

from webapp.conditions.condition_table import carry_by_table_m, condition_table, play_by_table_m
from webapp.conditions.today import (
    ALTITUDE_M_RANGE,
    TEMPERATURE_C_RANGE,
    WIND_MPS_RANGE,
    Conditions,
    reference_flight,
    reference_speed_mps,
)
from webapp.units import MPH_MPS, YARD_M

HALF_A_YARD_M = 0.5 * YARD_M
HOMES = {"lowland": Conditions(20.0, 50.0), "mountain": Conditions(5.0, 1500.0)}
TABLES = {name: condition_table([carry * YARD_M for carry in range(15, 136, 5)], home) for name, home in HOMES.items()}


def offered(draw, most_m):
    """Conditions anywhere in the offered ranges, their corners included."""
    return Conditions(
        draw.choice([*TEMPERATURE_C_RANGE, draw.uniform(*TEMPERATURE_C_RANGE)]),
        draw.choice([*ALTITUDE_M_RANGE, draw.uniform(*ALTITUDE_M_RANGE)]),
        draw.choice([*WIND_MPS_RANGE, draw.uniform(*WIND_MPS_RANGE)]),
        draw.choice(["forecast", "ball"]),
        draw.choice([-most_m, most_m, draw.uniform(-most_m, most_m)]),
    )


@pytest.mark.parametrize("name", HOMES)
def test_every_number_flies_as_the_solver_says_within_half_a_yard(name):
    draw, table = random.Random(7), TABLES[name]
    for number in table.numbers:
        speed_mps = reference_speed_mps(number.card_m, HOMES[name])
        for _ in range(20):
            today = offered(draw, number.target_up_m_most)
            solved_m = reference_flight(speed_mps, today).carry_m
            assert carry_by_table_m(table, number, today) == pytest.approx(solved_m, abs=HALF_A_YARD_M), today


@pytest.mark.parametrize("name", HOMES)
def test_the_carry_to_play_is_the_solvers_within_half_a_yard(name):
    draw, table, home, answered = random.Random(8), TABLES[name], HOMES[name], 0
    for _ in range(150):
        target_m = draw.uniform(20.0, 110.0) * YARD_M
        today = offered(draw, 0.05 * target_m)
        play_m = play_by_table_m(table, target_m, today)
        if play_m is not None:
            answered += 1
            solved_m = reference_flight(reference_speed_mps(target_m, today), home).carry_m
            assert play_m == pytest.approx(solved_m, abs=HALF_A_YARD_M), (target_m, today)
    assert answered > 75, "most targets in the offered ranges get an answer"


@pytest.mark.parametrize("name", HOMES)
def test_home_gives_every_number_back(name):
    for number in TABLES[name].numbers:
        assert carry_by_table_m(TABLES[name], number, HOMES[name]) == pytest.approx(number.card_m, abs=1e-9)


def test_a_target_steeper_than_offered_waits_for_the_solver():
    table = TABLES["lowland"]
    short = table.numbers[0]
    assert carry_by_table_m(table, short, Conditions(target_up_m=short.target_up_m_most + 0.01)) is None
    assert play_by_table_m(table, 20 * YARD_M, Conditions(target_up_m=9 * YARD_M)) is None


def test_a_target_outside_the_numbers_has_no_carry():
    table = TABLES["lowland"]
    assert play_by_table_m(table, 5 * YARD_M, Conditions()) is None
    assert play_by_table_m(table, 150 * YARD_M, Conditions()) is None


def test_where_longer_numbers_hardly_fly_further_it_says_nothing():
    assert play_by_table_m(TABLES["lowland"], 100 * YARD_M, Conditions(tail_mps=-20 * MPH_MPS, wind_at="ball")) is None


def test_numbers_outside_wedges_and_repeats_are_left_out():
    table = condition_table([60 * YARD_M, 60 * YARD_M, 1.0, 300.0], Conditions())
    assert [number.card_m for number in table.numbers] == [60 * YARD_M]
    assert condition_table([], Conditions()).numbers == ()
