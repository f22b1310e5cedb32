"""The code of homework: short enough for a QR code, read back by another reader, refused in words when it is not whole.

QR codes (ISO/IEC 18004) are read by zxing-cpp, which shares no line with the library that makes them; CRC-32 is zlib's
in Python and ISO/IEC 15948's in the browser (tests/browser/test_rules.py runs the same cases there).
"""

import json
import random
import re
from base64 import urlsafe_b64encode
from pathlib import Path
from typing import Any
from uuid import UUID

import numpy as np
import pytest
import segno
import zxingcpp
from hypothesis import example, given, settings
from hypothesis import strategies as st

from tests.vectors.of_homework import MIXED, ONE, OWN_ID, SOUND, WALK, WHOLE, packed
from webapp.draw.qr import qr
from webapp.practice.code_letters import MOST_LETTERS, Unreadable
from webapp.practice.homework_code import (
    DAMAGED,
    NEWER,
    UNFIT,
    Asked,
    Homework,
    Row,
    made,
    read,
)

SENTENCES = {DAMAGED, NEWER, UNFIT}
FOCUS = "Quiet wrists through 7:30; ball a hand back, weight left, hold the finish till 3"
ADDRESS = f"https://{'r' * 54}.example/homework#"
LOFTS = (46.0, 51.0, 56.0, 60.0)


def eight_rows(chance: random.Random) -> Homework:
    """Homework of eight rows, two of them mixed, with a number to hit in three, a nine and a focus of 80 letters."""
    cells = [Asked(f"{loft:g}", loft, deg) for loft in LOFTS for deg in (45.0, 90.0, 135.0, 180.0)]
    rows = [Row((chance.choice(cells),), 5, "swing") for _ in range(3)]
    rows += [Row((chance.choice(cells),), 8, "distance", round(chance.uniform(20, 110), 2)) for _ in range(3)]
    rows += [Row(tuple(chance.sample(cells, 6)), 12, mode) for mode in ("swing", "distance")]
    return Homework(str(UUID(int=chance.getrandbits(128))), tuple(rows), "2026-11-29", FOCUS)


def seen_in(drawing: str) -> str:
    """What a camera reads of a drawn QR code: its squares as pixels, four to a module."""
    side = int(re.findall(r'viewBox="0 0 (\d+)', drawing)[0])
    pixels = np.full((side, side), 255, dtype=np.uint8)
    for x, y in re.findall(r"M(\d+) (\d+)h1v1h-1z", drawing):
        pixels[int(y), int(x)] = 0
    found = zxingcpp.read_barcodes(np.kron(pixels, np.ones((4, 4), dtype=np.uint8)))
    assert len(found) == 1
    return str(found[0].text)


def test_eight_rows_and_a_focus_fit_into_a_code_a_link_and_a_picture() -> None:
    chance = random.Random(7)
    assert len(FOCUS) == 80
    assert len(ADDRESS) == 80
    longest = ""
    for _ in range(200):
        homework = eight_rows(chance)
        code = made(homework)
        assert read(code) == homework
        longest = max(longest, code, key=len)
    assert len(longest) <= MOST_LETTERS
    link = ADDRESS + longest
    assert len(link) <= 500
    picture = segno.make(link, error="l", micro=False)
    assert int(picture.version) <= 15
    assert seen_in(str(qr(link, "l"))) == link


def test_the_longest_code_still_fits_into_a_picture_of_version_15() -> None:
    link = ADDRESS + "aB-9" * (MOST_LETTERS // 4)
    assert len(link) == 500
    assert int(segno.make(link, error="l", micro=False).version) == 15
    assert seen_in(str(qr(link, "l"))) == link


def test_homework_too_long_for_a_code_is_refused_in_words() -> None:
    focus = "".join(chr(0x4E00 + 97 * place) for place in range(80))
    names = [
        Asked("".join(random.Random(place).choices("abcdefghijkl", k=40)), loft, 90) for place, loft in enumerate(LOFTS)
    ]
    rows = tuple(Row((cell,), 5, "swing") for cell in names)
    with pytest.raises(ValueError, match="too long for its code: shorten the focus or leave a row out"):
        made(Homework(OWN_ID, rows, "", focus))


@pytest.mark.parametrize("balls", [-5, 0, 151, 1000])
def test_no_code_is_made_of_balls_that_no_bucket_holds(balls: int) -> None:
    with pytest.raises(Unreadable):
        made(Homework(OWN_ID, (Row(ONE.cells, balls, "swing"),)))


def test_the_same_homework_is_read_out_of_a_message_that_ends_in_its_link() -> None:
    assert read(f"From your coach, 17 balls and a nine:\nhttps://range.example/homework#{WHOLE}\n") == WALK


def test_a_newer_code_is_told_from_a_broken_one() -> None:
    with pytest.raises(Unreadable, match=re.escape(NEWER)):
        read(packed({**SOUND, "v": 2}))
    with pytest.raises(Unreadable, match=re.escape(DAMAGED)):
        read(packed({**SOUND, "v": 2})[1:])


CELLS = st.builds(
    Asked,
    st.text(st.characters(codec="utf-8", exclude_characters="<>", exclude_categories=["Cc", "Cs"]), max_size=6),
    st.floats(36, 70).map(lambda loft: round(loft, 1)),
    st.floats(1, 180).map(lambda deg: round(deg, 2)),
)
ROWS = st.builds(
    Row,
    st.lists(CELLS, min_size=1, max_size=3).map(tuple),
    st.integers(1, 18),
    st.sampled_from(["swing", "distance"]),
    st.none() | st.floats(0.01, 365).map(lambda carry_m: round(carry_m, 2)),
)
HOMEWORK = st.builds(
    Homework,
    st.uuids().map(str),
    st.lists(ROWS, min_size=1, max_size=4).map(tuple),
    st.just("") | st.dates().map(lambda day: day.isoformat()).filter(lambda day: day < "9999"),
    st.text("abcdefgh äß", max_size=40),
)


def by_hand(homework: Homework) -> str:
    """The code as another program would make it, however long."""
    clubs = list(dict.fromkeys((cell.loft_deg, cell.name) for row in homework.rows for cell in row.cells))
    told: dict[str, Any] = {"v": 1, "id": urlsafe_b64encode(UUID(homework.id).bytes).decode().rstrip("="), "r": []}
    for row in homework.rows:
        cells = [(clubs.index((cell.loft_deg, cell.name)), as_short(cell.swing_deg)) for cell in row.cells]
        mode = ["swing", "distance"].index(row.mode)
        told["r"].append([row.balls, mode, row.carry_m or 0, *(number for cell in cells for number in cell)])
    told["c"] = [[as_short(loft), name] for loft, name in clubs]
    told |= {"n": homework.nine_by} if homework.nine_by else {}
    told |= {"f": homework.focus} if homework.focus else {}
    return packed(None, json.dumps(told, separators=(",", ":"), ensure_ascii=False).encode())


def as_short(number: float) -> float:
    return int(number) if number == int(number) else number


RARE = [Asked("".join(chr(0x4E00 + 97 * (6 * at + letter)) for letter in range(6)), 36.1 + at, 90) for at in range(12)]


@given(HOMEWORK)
@example(Homework(OWN_ID, tuple(Row(tuple(RARE[at : at + 3]), 5, "swing") for at in range(0, 12, 3))))
def test_whatever_is_made_is_read_back(homework: Homework) -> None:
    code = by_hand(homework)
    assert read(code) == homework
    if len(code) > MOST_LETTERS:
        with pytest.raises(ValueError, match="too long for its code"):
            made(homework)
    else:
        assert made(homework) == code


def told_of(code: str) -> Homework | str:
    """What is read of a text: homework, or the sentence that it is refused with."""
    try:
        return read(code)
    except Unreadable as refused:
        return str(refused)


@given(st.integers(0, len(WHOLE) - 1))
def test_a_code_cut_anywhere_is_refused(at: int) -> None:
    assert told_of(WHOLE[:at]) in SENTENCES


@given(st.integers(0, len(WHOLE) - 1), st.sampled_from("ABCXYZabcxyz0189-_"))
def test_a_code_with_another_letter_is_refused_or_the_same(at: int, letter: str) -> None:
    told = told_of(WHOLE[:at] + letter + WHOLE[at + 1 :])
    assert told in SENTENCES or told == WALK  # of the last letter only some bits are of the code


JSON = st.recursive(
    st.none() | st.booleans() | st.integers(-3, 400) | st.floats(allow_nan=False) | st.text(max_size=5),
    lambda inner: st.lists(inner, max_size=6) | st.dictionaries(st.sampled_from("vcrnf") | st.just("id"), inner),
    max_leaves=20,
)


@settings(max_examples=300)
@given(st.sampled_from(["v", "id", "c", "r", "n", "f"]), JSON)
@example("r", [[5, 0, 0, 0, float("inf")]])
def test_a_true_code_around_anything_is_homework_or_a_sentence(name: str, value: Any) -> None:
    told = told_of(packed({**SOUND, name: value}))
    assert isinstance(told, Homework) or told in SENTENCES


@given(st.text(max_size=400))
def test_any_text_at_all_is_refused_in_a_sentence(text: str) -> None:
    assert told_of(text) in SENTENCES


@given(st.binary(max_size=300))
def test_any_bytes_in_a_true_code_are_refused_in_a_sentence(raw: bytes) -> None:
    assert told_of(packed(None, raw)) in SENTENCES


def test_a_code_that_would_grow_without_end_is_given_up_early() -> None:
    bomb = packed(None, json.dumps(SOUND).encode() + b" " * 600_000)  # sound JSON, were it read
    assert len(bomb) <= 1000
    assert told_of(bomb) == UNFIT


def test_mixed_balls_keep_their_cells_in_order() -> None:
    assert read(made(Homework(OWN_ID, (MIXED,)))).rows == (MIXED,)


def test_the_cases_of_the_browser_name_every_sentence() -> None:
    told = (Path(__file__).parents[1] / "vectors" / "homework_code" / "read.json").read_text()
    assert all(sentence in told for sentence in SENTENCES)
