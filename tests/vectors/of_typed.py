"""Texts as people type numbers, what is no number, and what is said of numbers beyond a range.

English groups digits by a comma and German by a point (CLDR number formats, from memory).
"""

from typing import Any

from webapp.units import MPH_MPS

TYPED = {
    "a whole number": "54",
    "a point": "54.5",
    "a comma": "4,5",
    "a comma alone before the digits": ",5",
    "a point after the digits": "54.",
    "nothing": "",
    "only spaces": "  ",
    "spaces around it": " 54,5 ",
    "below zero": "-6",
    "below zero with the sign that pages print": "\N{MINUS SIGN}6,5",
    "a plus": "+6",
    "four digits": "1200",
    "a thousand in English or a fraction in German": "1,200",
    "a thousand in German or a fraction in English": "1.250",
    "a thousand that may be one": "1,000",
    "three digits after nought are a fraction": "0,125",
    "four digits after the comma": "1,2005",
    "a thousand and a fraction": "1,200.5",
    "a thousand below zero": "-1,200",
    "two commas": "1,2,3",
    "letters": "warm",
    "a number and its unit": "54 yd",
    "a power of ten": "1e3",
    "what computers call no number": "NaN",
    "without end": "Infinity",
    "digits of another script": "\N{ARABIC-INDIC DIGIT FIVE}",
    "an underscore": "1_0",
    "a sign alone": "-",
    "a comma alone": ",",
    "two signs": "--6",
}
BOUNDS = {
    "carries in yards": [0.0, 365.76 / 0.9144, "yards"],
    "carries in metres": [0.0, 365.76, "metres"],
    "an offset in yards": [-50 / 0.9144, 50 / 0.9144, "yards"],
    "degrees": [-20.0, 50.0, "\N{DEGREE SIGN}C"],
    "no unit": [36.0, 70.0, ""],
    "a hair above a whole number": [2.0000000001, 60.0, "yards"],
}

CALM = {"temperature_c": 15.0, "altitude_m": 0.0, "tail_mps": 0.0, "wind_at": "forecast", "target_up_m": 0.0}
DAYS: dict[str, list[Any]] = {
    "nothing is wrong": [CALM, 50.0, "yd", "c", "m"],
    "a hair too cold": [{**CALM, "temperature_c": -20.4}, 50.0, "yd", "c", "m"],
    "a hair too warm in Fahrenheit": [{**CALM, "temperature_c": 50.1}, 50.0, "yd", "f", "m"],
    "a hair too high": [{**CALM, "altitude_m": 4000.4}, 50.0, "yd", "c", "m"],
    "far too high": [{**CALM, "altitude_m": 12_345_678.9}, None, "yd", "c", "ft"],
    "a hair too much wind against, in miles an hour": [{**CALM, "tail_mps": -20.4 * MPH_MPS}, 50.0, "yd", "c", "m"],
    "a hair too much wind behind, in kilometres an hour": [{**CALM, "tail_mps": 32.2 / 3.6}, 50.0, "m", "c", "m"],
    "a target a hair too far down": [{**CALM, "target_up_m": -9.2}, 50.0, "m", "c", "m"],
    "all of it, and the carry too": [
        {**CALM, "temperature_c": 60.0, "altitude_m": -101.0, "tail_mps": 30.0, "target_up_m": 20.0},
        200.0, "yd", "c", "m",
    ],
}  # fmt: skip


def cases() -> dict[str, tuple[dict[str, Any], dict[str, list[Any]]]]:
    """The arguments by rule and function, each with what they share."""
    return {
        "typed/numberTyped": ({}, {name: [text] for name, text in TYPED.items()}),
        "typed/boundsWords": ({}, BOUNDS),
        "condition_words/doubts": ({}, DAYS),
    }
