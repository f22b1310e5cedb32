"""Clock names of arm angles."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.clock import SWING_DEG_RANGE, clock_name, hour, mirrors, swing_deg_of, swing_deg_typed

PLACES = [(45.0, "7:30", "4:30"), (90.0, "9:00", "3:00"), (135.0, "10:30", "1:30"), (180.0, "full", "full")]


@pytest.mark.parametrize(("swing_deg", "name", "mirrored"), PLACES)
def test_it_names_the_usual_swings(swing_deg: float, name: str, mirrored: str) -> None:
    assert clock_name(swing_deg) == name
    assert clock_name(swing_deg, mirrored=True) == mirrored


@pytest.mark.parametrize(("swing_deg", "name", "mirrored"), PLACES)
def test_it_reads_its_own_names(swing_deg: float, name: str, mirrored: str) -> None:
    assert swing_deg_of(name) == swing_deg_of(mirrored, mirrored=True) == swing_deg


@given(st.integers(2, 360), st.booleans())
def test_every_minute_of_the_dial_reads_back(minutes_after_six: int, mirrored: bool) -> None:
    swing_deg = minutes_after_six / 2
    assert swing_deg_of(clock_name(swing_deg, mirrored), mirrored) == swing_deg


@given(st.floats(*SWING_DEG_RANGE))
def test_a_name_and_its_mirror_image_add_up_to_twelve_hours(swing_deg: float) -> None:
    if swing_deg < 180:
        minutes = [_minutes(clock_name(swing_deg, mirrored)) for mirrored in (False, True)]
        assert sum(minutes) % (12 * 60) == 0


@pytest.mark.parametrize(
    ("text", "swing_deg"), [("105", 105), (" Full ", 180), ("7:00", 30), ("67.5", 67.5), ("133.3333333", 133.33)]
)
def test_it_reads_degrees_and_loose_writing(text: str, swing_deg: float) -> None:
    assert swing_deg_of(text) == swing_deg


@pytest.mark.parametrize(
    "text", ["", "25:00", "9:60", "5:00", "6:00", "0", "181", "nine", "9:00:00", "nan", "inf", "-90"]
)
def test_it_refuses_what_is_no_swing(text: str) -> None:
    with pytest.raises(ValueError, match=r"clock|float|between"):
        swing_deg_of(text)


@pytest.mark.parametrize("text", ["9:00", "6:00", "11:59", "13:00"])
def test_it_refuses_what_is_no_swing_on_a_mirrored_clock(text: str) -> None:
    with pytest.raises(ValueError, match=r"clock|between"):
        swing_deg_of(text, mirrored=True)


def test_the_hour_hand_starts_at_six() -> None:
    assert [hour(swing_deg) for swing_deg in (0, 90, 180)] == [6, 9, 12]


@pytest.mark.parametrize(
    ("hand", "seen_from", "mirrored"),
    [("right", "front", False), ("left", "front", True), ("right", "self", True), ("left", "self", False)],
)
def test_it_mirrors_for_the_other_hand_and_for_the_players_own_eyes(hand: str, seen_from: str, mirrored: bool) -> None:
    assert mirrors(hand, seen_from) is mirrored


def _minutes(name: str) -> int:
    hours, minutes = name.split(":")
    return int(hours) * 60 + int(minutes)


@pytest.mark.parametrize(
    ("typed", "mirrored", "swing_deg"),
    [
        ("9", False, 90), ("9.00", False, 90), ("7,30", False, 45), ("10.30", False, 135), ("12", False, 180),
        ("3", True, 90), ("4.30", True, 45), ("8:15", False, 67.5), ("13", False, 13), ("105", False, 105),
        ("67.5", False, 67.5), ("133.33", False, 133.33), ("full", True, 180),
    ],
)  # fmt: skip
def test_a_person_without_a_colon_types_a_place_on_the_clock_and_degrees_from_13_on(
    typed: str, mirrored: bool, swing_deg: float
) -> None:
    assert swing_deg_typed(typed, mirrored) == swing_deg


@pytest.mark.parametrize("typed", ["", "5", "9.75", "9.5.1", "-9", "nan", "190"])
def test_a_person_types_no_place_on_the_clock(typed: str) -> None:
    with pytest.raises(ValueError, match=r"place on a clock|convert|between"):
        swing_deg_typed(typed)
