"""Codes that open a book: their strength, and how they are read."""

import re
import string

import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp import codes

ALPHABET = string.ascii_uppercase + "234567"  # RFC 4648, table 3
a_code = st.text(ALPHABET, min_size=codes.LENGTH, max_size=codes.LENGTH)


def test_a_code_is_26_base32_characters_and_never_the_same() -> None:
    made = {codes.new_code() for _ in range(500)}
    assert len(made) == 500
    assert all(re.fullmatch(r"[A-Z2-7]{26}", code) for code in made)
    assert codes.LENGTH * 5 == 130  # bits: five a character


def test_a_code_uses_its_whole_alphabet() -> None:
    assert set("".join(codes.new_code() for _ in range(500))) == set(ALPHABET)


def test_a_code_is_printed_in_groups_of_five() -> None:
    assert codes.in_groups(ALPHABET[:26]) == "ABCDE FGHIJ KLMNO PQRST UVWXY Z"
    assert codes.in_groups("") == ""


@given(a_code)
def test_what_is_printed_is_read_as_the_code(code: str) -> None:
    assert codes.as_typed(codes.in_groups(code)) == code


@given(a_code, st.sampled_from([" ", "-", "–", ".", "\t", "\n"]), st.booleans())
def test_case_and_what_stands_between_do_not_matter(code: str, between: str, small: bool) -> None:
    typed = between.join(codes.in_groups(code).split())
    assert codes.as_typed(typed.lower() if small else typed) == code


@pytest.mark.parametrize(("digit", "letter"), [("0", "O"), ("1", "I"), ("8", "B")])
def test_digits_that_no_code_holds_are_read_as_the_letters_they_resemble(digit: str, letter: str) -> None:
    assert digit not in ALPHABET
    assert codes.as_typed(digit * 3) == letter * 3


@given(a_code)
def test_a_whole_address_is_read_as_the_code_behind_its_sign(code: str) -> None:
    assert codes.as_typed(f"https://example.org/open#{code}") == code


@given(st.text())
def test_any_text_is_read_as_something(text: str) -> None:
    assert codes.as_typed(text).isalnum() or codes.as_typed(text) == ""
