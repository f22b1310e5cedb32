"""Arguments of the units: F5 of the design, and lengths where a round trip through metres leaves a hair."""

from typing import Any

from webapp.units import YARD_M

LENGTHS_M = {
    "F5, fifty yards": 45.72,
    "F5, fifteen yards": 15 * YARD_M,
    "nothing": 0.0,
    "a half": 0.5,
    "a hair below a half": 7.4999999999,
    "behind the line": -6 * YARD_M,
}


def cases() -> dict[str, tuple[dict[str, Any], dict[str, list[Any]]]]:
    """The arguments by rule and function, each with what they share."""
    both = {f"{name}, {unit}": [length_m, unit] for name, length_m in LENGTHS_M.items() for unit in ("yd", "m")}
    return {
        "lengths/fromM": ({}, both),
        "lengths/toM": ({}, both),
        "lengths/whole": ({}, both),
        "lengths/halfUp": ({}, {name: [value] for name, value in LENGTHS_M.items()}),
    }
