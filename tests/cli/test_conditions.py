"""The command `conditions`: which carry meets a target in wind, or why none is given."""

import json
from typing import Any

import pytest

from webapp.units import YARD_M

from .conftest import Command


@pytest.fixture
def asked(clockyard: Command) -> Any:
    """Ask the demo book; gives what the command printed as JSON."""
    assert clockyard("demo").exit_code == 0

    def ask(*options: Any) -> dict[str, Any]:
        done = clockyard("conditions", "--book", "demo", "--unit", "yd", *options, "--json")
        assert done.exit_code == 0, done.output
        answer: dict[str, Any] = json.loads(done.stdout)
        return answer

    return ask


def test_80_yards_into_10_mph_play_longer(asked: Any) -> None:
    answer = asked("--carry", 80, "--wind", 10, "--wind-unit", "mph", "--from", "head")
    assert not answer["refused"]
    assert answer["why"] == ""
    assert 84 <= answer["plays_m"] / YARD_M <= 92
    assert answer["low_m"] < answer["plays_m"] < answer["high_m"]


def test_wind_behind_plays_shorter(asked: Any) -> None:
    answer = asked("--carry", 80, "--wind", 16, "--wind-unit", "kmh", "--from", "tail")
    assert 72 <= answer["plays_m"] / YARD_M < 80


def test_without_wind_the_card_stands(asked: Any) -> None:
    assert asked("--carry", 80)["plays_m"] == pytest.approx(80 * YARD_M)


@pytest.mark.parametrize(
    ("options", "why"),
    [
        (("--carry", 110, "--wind", 10), "your longest number flies"),
        (("--carry", 80, "--wind", 60), "A wind of 60 mph against is outside"),
        (("--carry", 80, "--temperature", -40), "A temperature of -40 °C is outside"),
        (("--carry", 300), "These sums hold from 5 yards to 140 yards"),
    ],
)
def test_what_cannot_be_said_is_refused_with_the_reason(asked: Any, options: tuple[Any, ...], why: str) -> None:
    answer = asked(*options)
    assert answer["refused"]
    assert answer["plays_m"] is answer["low_m"] is answer["high_m"] is None
    assert why in answer["why"]


@pytest.mark.parametrize(
    ("options", "why"),
    [
        (("--carry", 80, "--wind", 1000), "A wind of 1,000 mph against is outside"),
        (("--carry", 80, "--wind", "nan"), "A wind has to be a number"),
        (("--carry", "nan"), "A distance must be a plain number."),
        (("--carry", 300), "These sums hold from 5 yards to 140 yards"),
    ],
)
def test_in_words_it_fails_where_nothing_can_be_worked_out(
    clockyard: Command, options: tuple[Any, ...], why: str
) -> None:
    clockyard("demo")
    done = clockyard("conditions", "--book", "demo", "--unit", "yd", *options)
    assert (done.exit_code, done.stdout) == (1, "")
    assert f"Nothing was worked out. {why}" in done.stderr


def test_in_words_it_says_the_range_and_its_reason(clockyard: Command) -> None:
    clockyard("demo")
    done = clockyard("conditions", "--book", "demo", "--carry", 60, "--unit", "yd", "--wind", 5)
    assert done.stdout.startswith("60 yards plays 6")
    assert "wind against adds" in done.stdout
