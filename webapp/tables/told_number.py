"""A number in a table from anywhere: with a point or a comma, thousands parted or not, a unit behind it or not.

Knows no column; who reads one says what it may lie between, which tells "1,234" from "1.234" where only one of the two
can be meant. typed.py reads what a player types, where nothing else can tell.
"""

import math
import re

_PARTED = re.compile("[+-]?[0-9]{1,3}(?:[ \u00a0\u202f\u2009'’][0-9]{3})+(?:[.,][0-9]*)?")
_PARTERS = re.compile("[ \u00a0\u202f\u2009'’]")
_GROUPED = re.compile(r"[+-]?[1-9][0-9]{0,2}(?:([.,])[0-9]{3})(?:\1[0-9]{3})*(?:(?!\1)[.,][0-9]+)?")
_PLAIN = re.compile(r"[+-]?(?:[0-9]+[.,]?[0-9]*|[.,][0-9]+)(?:[eE][+-]?[0-9]{1,3})?")
_SIMPLE = re.compile(r"[+-]?[0-9]{1,15}(?:([.,])[0-9]{1,2})?")
_WITH_UNIT = re.compile(r"(.*[0-9.,])\s*([^0-9.,\s]{1,8})")
_LONGEST = 40
SIGNS = {".": "point", ",": "comma"}


def number_told(text: str, low: float = -math.inf, high: float = math.inf, decimal: str = "") -> float:
    """The number that a cell says; ValueError with what is wrong, to stand after its column's name.

    `decimal` is the sign before decimals, "" where each number has to show it. A text that can mean a thousand and a
    fraction is the one of them that lies from `low` to `high`; where both do, or none, it is refused.
    """
    simple = _SIMPLE.fullmatch(text)  # nearly every cell is one
    if simple and (not decimal or simple[1] in (None, decimal)):
        return float(text.replace(",", "."))
    said = text.strip().replace("\N{MINUS SIGN}", "-")
    if len(said) > _LONGEST:
        raise ValueError(f"must be a number, not {text[:20]!r}")
    if _PARTED.fullmatch(said):
        said = _PARTERS.sub("", said)
    found = {value for sign, value in _readings(said) if not decimal or sign in ("", decimal)}
    if not found:
        at_odds = f" with a {SIGNS[decimal]} before decimals" if decimal and _readings(said) else ""
        raise ValueError(f"must be a number{at_odds}, not {text[:20]!r}")
    if len(found) > 1:
        fitting = {value for value in found if low <= value <= high}
        if len(fitting) != 1:
            both = " or ".join(f"{value:g}" for value in sorted(found, reverse=True))
            raise ValueError(f"can be {both}, as {text[:20]!r} shows no sign before decimals")
        found = fitting
    return found.pop()


def parted(text: str) -> tuple[str, str]:
    """A cell's number and what may be the unit behind it; the whole cell and "" where nothing is behind a number."""
    parts = None if text[-1:].isdecimal() else _WITH_UNIT.fullmatch(text)
    return (parts[1], parts[2]) if parts else (text, "")


def shows(text: str) -> str:
    """The sign before decimals that a number shows beyond doubt, "?" where it can mean two, "" where it shows none."""
    found = _readings(text.strip())
    return "?" if len(found) > 1 else found[0][0] if found else ""


def _readings(said: str) -> list[tuple[str, float]]:
    """What a text can mean, each with the sign that then stands before decimals, "" where it shows none."""
    found = []
    if grouped := _GROUPED.fullmatch(said):
        parter = grouped[1]
        found.append(("," if parter == "." else ".", float(said.replace(parter, "").replace(",", "."))))
    if _PLAIN.fullmatch(said):
        sign = "," if "," in said else "." if "." in said else ""
        found.append((sign, float(said.replace(",", "."))))
    return [(sign, value) for sign, value in found if math.isfinite(value)]
