"""How a number that a person typed is read: with a point or a comma, or refused in words.

Knows no form, unit or range. static/rules/typed.js reads the same way; tests/vectors/typed/ holds the two together.
"""

import math
import re
from decimal import Decimal

from .units import CLOSE

NO_NUMBER = "must be a number, such as 54 or 54.5"
_NUMBER = re.compile(r"[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)")
# One to three digits, a mark and three more: some write a thousand like that, others a small fraction.
_READ_IN_TWO_WAYS = re.compile(r"([+-]?[1-9][0-9]{0,2})[.,]([0-9]{3})")


def number_typed(text: str) -> Decimal | None:
    """The number that `text` says, None where it says nothing; ValueError with what is wrong, to stand after its name.

    A minus may be the hyphen or the sign (U+2212) that our own pages print.
    """
    said = text.strip().replace("\N{MINUS SIGN}", "-")
    if not said:
        return None
    if two := _READ_IN_TWO_WAYS.fullmatch(said):
        small = f"{two[1]}.{two[2]}".rstrip("0").rstrip(".")
        raise ValueError(f"must be {two[1]}{two[2]} or {small}: {text.strip()} can mean both")
    number = said.replace(",", ".")
    if not _NUMBER.fullmatch(number):
        raise ValueError(NO_NUMBER)
    return Decimal(number)


def is_read_in_two_ways(text: str) -> bool:
    """Whether a text such as "1,234" can mean a thousand or a fraction."""
    return _READ_IN_TWO_WAYS.fullmatch(text) is not None


def bounds_words(low: float, high: float, unit_name: str) -> str:
    """What is said of a number outside `low` to `high`, in whole `unit_name`, to stand after its name."""
    words = f"must be from {math.ceil(low - CLOSE)} to {math.floor(high + CLOSE)} {unit_name}".rstrip()
    return words.replace("-", "−")
