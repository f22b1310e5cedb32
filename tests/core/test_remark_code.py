"""The code of a coach's remark: read back as it was made, refused in words when cut, altered, newer or foreign."""

import json
import random
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.vectors.of_homework import WHOLE as HOMEWORK_CODE
from tests.vectors.of_homework import packed
from webapp.draw.qr import qr
from webapp.practice import homework_code
from webapp.practice.code_letters import MOST_LETTERS, Unreadable
from webapp.practice.homework_code import Asked
from webapp.practice.remark_code import DAMAGED, NEWER, UNFIT, Remark, made, read

from .test_homework_code import seen_in

OWN_ID = "0a1b2c3d-4e5f-6071-8293-a4b5c6d7e8f9"
ON_A_NUMBER = Remark(OWN_ID, "Hold the finish till three; früh, ruhig", Asked("60", 60.0, 135.0))
ON_A_BALL = replace(ON_A_NUMBER, ball="0123456789abcdef")
SENTENCES = {DAMAGED, NEWER, UNFIT}
SOUND: dict[str, Any] = {"v": 1, "id": "ChssPU5fYHGCk6S1xtfo-Q", "w": "low hands", "k": [[60, "60"], 135]}
CODE = made(ON_A_BALL)


def told_of(code: str) -> Remark | str:
    """What is read of a text: a remark, or the sentence that it is refused with."""
    try:
        return read(code)
    except Unreadable as refused:
        return str(refused)


@pytest.mark.parametrize("remark", [ON_A_NUMBER, ON_A_BALL])
def test_a_remark_is_read_back_out_of_its_code_a_link_and_a_message(remark: Remark) -> None:
    code = made(remark)
    assert read(code) == remark
    assert read(f"From your coach, on 60 10:30: hold\nhttps://range.example/remarks#{code}\n") == remark
    link = f"https://range.example/remarks#{code}"
    assert seen_in(str(qr(link, "l"))) == link


def test_two_hundred_letters_of_plain_english_fit() -> None:
    words = "Quiet wrists through 7:30; ball a hand back, weight left, hold the finish till three. " * 3
    assert len(made(replace(ON_A_BALL, words=words[:200]))) <= MOST_LETTERS


def test_words_too_long_for_the_code_are_refused_in_a_sentence() -> None:
    words = "".join(chr(0x4E00 + random.Random(place).randrange(20_000)) for place in range(200))
    with pytest.raises(ValueError, match="too long for its code: say it in fewer words"):
        made(replace(ON_A_BALL, words=words))


@pytest.mark.parametrize("words", ["", "  ", "a" * 201, "<b>", "two\nlines"])
def test_no_code_is_made_of_words_that_no_book_takes(words: str) -> None:
    with pytest.raises(Unreadable):
        made(replace(ON_A_BALL, words=words))


@pytest.mark.parametrize(
    ("changed", "sentence"),
    [
        ({}, ""),
        ({"later": 1}, ""),
        ({"v": 2, "k": "otherwise"}, NEWER),
        ({"v": 0}, UNFIT),
        ({"v": "1"}, UNFIT),
        ({"id": "short"}, UNFIT),
        ({"w": ""}, UNFIT),
        ({"w": " "}, UNFIT),
        ({"w": "a" * 201}, UNFIT),
        ({"w": "<b>"}, UNFIT),
        ({"w": "\ud800"}, UNFIT),
        ({"w": 5}, UNFIT),
        ({"k": [[60, "60"]]}, UNFIT),
        ({"k": [[10, "60"], 135]}, UNFIT),
        ({"k": [[60, "<b>"], 135]}, UNFIT),
        ({"k": [[60, "60"], 181]}, UNFIT),
        ({"k": None}, UNFIT),
        ({"b": "0123"}, UNFIT),
        ({"b": "0123456789ABCDEF"}, UNFIT),
        ({"b": 12}, UNFIT),
    ],
)
def test_a_true_code_that_does_not_fit_says_why(changed: dict[str, Any], sentence: str) -> None:
    told = told_of(packed({**SOUND, **changed}))
    assert told == sentence if sentence else isinstance(told, Remark)


@pytest.mark.parametrize("raw", [b"hold the finish", b'{"v": NaN}', b"[" * 3000, b'{"w": "\xff"}', b"null", b"[1]"])
def test_no_json_of_ours_in_a_true_code_is_unfit(raw: bytes) -> None:
    assert told_of(packed(None, raw)) == UNFIT


def test_a_code_that_would_grow_without_end_is_given_up_early() -> None:
    assert told_of(packed(None, json.dumps(SOUND).encode() + b" " * 600_000)) == UNFIT


def test_homework_is_no_remark_and_a_remark_no_homework() -> None:
    assert told_of(HOMEWORK_CODE) == UNFIT
    with pytest.raises(Unreadable, match="This homework asks for something that no bucket holds"):
        homework_code.read(CODE)


@given(st.integers(0, len(CODE) - 1))
def test_a_code_cut_anywhere_is_refused(at: int) -> None:
    assert told_of(CODE[:at]) in SENTENCES


@given(st.integers(0, len(CODE) - 1), st.sampled_from("ABCXYZabcxyz0189-_"))
def test_a_code_with_another_letter_is_refused_or_the_same(at: int, letter: str) -> None:
    told = told_of(CODE[:at] + letter + CODE[at + 1 :])
    assert told in SENTENCES or told == ON_A_BALL  # of the last letter only some bits are of the code


JSON = st.recursive(
    st.none() | st.booleans() | st.integers(-3, 400) | st.floats(allow_nan=False) | st.text(max_size=5),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.sampled_from("vwkb"), inner),
    max_leaves=12,
)


@settings(max_examples=300)
@given(st.sampled_from(["v", "id", "w", "k", "b"]), JSON)
def test_a_true_code_around_anything_is_a_remark_or_a_sentence(name: str, value: Any) -> None:
    told = told_of(packed({**SOUND, name: value}))
    assert isinstance(told, Remark) or told in SENTENCES


@given(st.text(max_size=400))
def test_any_text_at_all_is_refused_in_a_sentence(text: str) -> None:
    assert told_of(text) in SENTENCES
