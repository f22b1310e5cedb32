"""Texts as people type numbers: a point, a comma, a sign, and what is no number.

English groups digits by a comma and German by a point (CLDR number formats, from memory).
"""

from typing import Any

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


def cases() -> dict[str, tuple[dict[str, Any], dict[str, list[Any]]]]:
    """The arguments by rule and function, each with what they share."""
    return {
        "typed/numberTyped": ({}, {name: [text] for name, text in TYPED.items()}),
        "typed/boundsWords": ({}, BOUNDS),
    }
