"""What fits a carry: ranking, words, nothing fits, and questions that cannot be answered.

Sources: the worked examples F4 and F12 are the project's own invented figures; the normal distribution's values behind
F4's chances can be read in any table of it. That bladed balls fly long is common practice, no source. Nine in ten is
the 10% point of a normal: mean less 1.2816 spreads (tables, from memory).
"""

from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.card.strike import Margin, margin
from webapp.estimate.chance import Table, tables
from webapp.estimate.forecast import Forecast, MishitParts
from webapp.estimate.student import normal_below
from webapp.fits import fitting_words as words
from webapp.fits.fitting import Candidate, NoQuestion, answer, plain, question
from webapp.fits.yardage import columns, yardage
from webapp.units import YARD_M

USUAL = Margin(0.08, 4 * YARD_M)


def normal(mean_yd: float, spread_yd: float, **more: Any) -> Candidate:
    """A number whose balls scatter normally, as in the example."""
    steps = np.arange(1, 131)
    below = tuple(normal_below((steps - mean_yd) / spread_yd).tolist())
    told: dict[str, Any] = {
        "club_id": "56", "swing_deg": mean_yd, "club": "56", "swing": f"{mean_yd:g}", "carry_m": mean_yd * YARD_M,
        "nine_in_ten_carry_m": (mean_yd - 1.2816 * spread_yd) * YARD_M, "rough": False, "trust": "settled",
        "n": 24, "visits": 4, "twins": (), "table": Table(1, YARD_M, below),
    }  # fmt: skip
    return Candidate(**{**told, **more})


def heavy_tailed() -> tuple[Candidate, ...]:
    """Two numbers by a forecast with mishits, one of them rough and with a twin."""
    parts = MishitParts(
        np.array([0.35, 0.2, 0.3, 0.15]), np.array([-0.11, -0.33, -0.06, 0.15]), np.array([0.08, 0.25, 0.1, 0.2])
    )
    ahead = Forecast(
        np.log(np.array([61.0, 85.0]) * YARD_M),
        np.array([0.07, 0.1]),
        np.array([14.0, 7.5]),
        np.array([0.18, 0.18]),
        parts,
    )
    nine = ahead.point_m(0.1).tolist()
    first, second = tables(ahead)
    return (
        normal(61, 4, table=first, nine_in_ten_carry_m=nine[0]),
        normal(85, 8, table=second, nine_in_ten_carry_m=nine[1], rough=True, trust="early", twins=("51 10:30",)),
    )


F4 = (normal(60, 5), normal(63, 4), normal(66, 6), normal(67, 5))
HEAVY_TAILED = heavy_tailed()


def ask(flag_yd: float, among: tuple[Candidate, ...] = F4, **more: Any) -> Any:
    in_m = {name: value if name == "must_carry" else value * YARD_M for name, value in more.items()}
    put = question(flag_yd * YARD_M, USUAL, **in_m)
    return put, answer(put, among)


def test_it_puts_the_likeliest_inside_first_though_two_are_nearer_on_average() -> None:
    _, found = ask(66, front_m=58, back_m=70)
    assert [choice.candidate.swing for choice in found.ranked] == ["63", "67", "66", "60"]


def test_it_gives_the_chances_of_the_worked_example_in_whole_per_cent() -> None:
    _, found = ask(66, front_m=58, back_m=70)
    said = {choice.candidate.swing: words.chance_words(choice) for choice in found.ranked}
    assert said == {
        "63": "short 11 / in 85 / long 4",
        "60": "short 35 / in 63 / long 2",
        "66": "short 9 / in 66 / long 25",
        "67": "short 4 / in 69 / long 27",
    }


def test_a_nine_in_ten_carry_a_hair_short_is_not_quite_clear_of_the_trouble() -> None:
    put, _ = ask(66, front_m=58, back_m=70)
    said = [words.more_words(one, put, "yd") for one in F4]
    assert said[1] == "Nine in ten carry 57.9: not quite clear of the trouble to 58."
    assert said[3] == "Nine in ten carry 60.6: clear of the trouble to 58."
    assert "53.6: not clear of" in said[0]


def test_a_nine_in_ten_carry_is_never_rounded_up() -> None:
    one = normal(60, 5, nine_in_ten_carry_m=57.96 * YARD_M)
    assert words.more_words(one, ask(66)[0], "yd") == "Nine in ten carry 57."
    against, _ = ask(66, front_m=58)
    assert words.more_words(one, against, "yd") == "Nine in ten carry 57.9: not quite clear of the trouble to 58."


def test_what_must_be_carried_puts_those_that_clear_it_first() -> None:
    put, found = ask(66, front_m=58, back_m=70, must_carry=True)
    assert [choice.candidate.swing for choice in found.ranked] == ["67", "66", "63", "60"]
    assert words.must_words(found, put, "yd") == ""


def test_it_says_what_is_missing_when_what_must_be_carried_is_not_named() -> None:
    put, found = ask(66, must_carry=True)
    assert (
        words.must_words(found, put, "yd")
        == "To carry the trouble in front, say how far it reaches: “trouble in front to” is empty."
    )
    _, without = ask(66)
    assert [choice.candidate.name for choice in found.ranked] == [choice.candidate.name for choice in without.ranked]


def test_it_says_when_nothing_clears_what_must_be_carried() -> None:
    put, found = ask(66, front_m=61, must_carry=True)
    assert words.must_words(found, put, "yd") == "No number carries 61 nine times in ten. The safest is 56 67."


def test_an_out_of_reach_carry_names_the_closest_and_what_is_missing() -> None:
    put, found = ask(135)
    assert found.ranked == ()
    assert words.nothing_words(found, put, "yd") == "Nothing fits 135. Closest is 56 67: it carries 67, 68 short."
    assert plain(found)["closest"]["missing_m"] == pytest.approx(68 * YARD_M)  # type: ignore[index]


def test_a_carry_shorter_than_all_names_the_closest_as_long() -> None:
    put, found = ask(18)
    assert words.nothing_words(found, put, "yd") == "Nothing fits 18. Closest is 56 60: it carries 60, 42 long."


def test_a_number_lands_in_the_window_one_time_in_four_or_nothing_fits() -> None:
    # 60 with a spread of 5 in 63-70: 0.9772 - 0.7257 = 0.2515; in 63.2-70: 0.9772 - 0.7389 = 0.2383 (any table).
    just, hardly = (ask(66, (normal(60, 5),), front_m=front, back_m=70)[1] for front in (63, 63.2))
    assert [choice.candidate.swing for choice in just.ranked] == ["60"]
    assert hardly.ranked == ()
    assert hardly.missing_m == pytest.approx(6 * YARD_M)


def test_a_flag_less_its_roll_is_the_carry() -> None:
    put, _ = ask(62, roll_m=4, front_m=52)
    assert words.asked_words(put, 62 * YARD_M, "yd") == "Land 58 for a flag at 62, in from 52 to 63"
    back, _ = ask(62, roll_m=-1)
    assert back.carry_m == pytest.approx(63 * YARD_M)


def test_without_trouble_the_window_is_the_players_margin() -> None:
    put, _ = ask(66)
    assert (put.front_m / YARD_M, put.back_m / YARD_M) == pytest.approx((66 - 5.28, 66 + 5.28))
    short, _ = ask(30)
    assert short.back_m - short.carry_m == pytest.approx(4 * YARD_M)


def test_the_margin_is_never_under_the_step_of_judging() -> None:
    assert margin("eye").at(30 * YARD_M) == 5 * YARD_M
    assert margin("monitor").at(30 * YARD_M) == 4 * YARD_M
    assert margin("eye", 2 * YARD_M).at(30 * YARD_M) == 5 * YARD_M
    assert margin("laser", 1 * YARD_M).at(30 * YARD_M) == 2 * YARD_M
    assert margin("monitor", 2 * YARD_M).at(80 * YARD_M) == 2 * YARD_M


@pytest.mark.parametrize(
    ("asked", "sentence"),
    [
        ({"flag_yd": 66, "front_m": 70, "back_m": 58}, "behind the trouble at the back"),
        ({"flag_yd": 66, "front_m": 70}, "short of the trouble in front"),
        ({"flag_yd": 66, "back_m": 60}, "past the trouble at the back"),
        ({"flag_yd": 0}, "at your feet or out of reach"),
        ({"flag_yd": 1e9}, "at your feet or out of reach"),
        ({"flag_yd": 5, "roll_m": 6}, "at your feet or out of reach"),
        ({"flag_yd": float("nan")}, "a plain number"),
        ({"flag_yd": 66, "roll_m": float("inf")}, "a plain number"),
    ],
)
def test_a_question_that_cannot_be_true_is_refused_in_a_sentence(asked: dict[str, float], sentence: str) -> None:
    with pytest.raises(NoQuestion, match=sentence):
        ask(asked.pop("flag_yd"), **asked)


def test_an_empty_card_fits_nothing_and_names_nothing() -> None:
    _, found = ask(66, among=())
    assert plain(found) == {"ranked": [], "closest": None}


def test_one_wedge_is_answered_too() -> None:
    _, found = ask(63, among=(normal(63, 4),))
    assert [choice.candidate.swing for choice in found.ranked] == ["63"]


def test_twins_and_a_rough_nine_in_ten_are_said() -> None:
    put, _ = ask(85, among=HEAVY_TAILED)
    said = words.more_words(HEAVY_TAILED[1], put, "yd")
    assert said.startswith("Nine in ten carry roughly ")
    assert said.endswith(" Twin of 51 10:30.")


def test_bladed_balls_make_far_past_likelier_than_clean_balls_alone() -> None:
    _, mixed = ask(61, among=HEAVY_TAILED[:1], back_m=75)
    _, clean = ask(61, among=(normal(61, 4.3),), back_m=75)
    assert mixed.ranked[0].chances.long > 0.01 > clean.ranked[0].chances.long


@pytest.mark.parametrize(("front", "in_from"), [(58, 58), (46, 46), (45.9, 66 - 5.28), (20, 66 - 5.28)])
def test_trouble_far_in_front_does_not_make_a_short_ball_in(front: float, in_from: float) -> None:
    """Common practice, no source: a ball just over a creek 46 yards short of the flag is not near the flag."""
    put, found = ask(66, (normal(52, 1), normal(66, 8)), front_m=front, must_carry=True)
    assert put.front_m / YARD_M == pytest.approx(in_from)
    assert put.clear_m == pytest.approx(front * YARD_M)
    assert found.ranked[0].candidate.swing == ("52" if front == 46 else "66")


@pytest.mark.parametrize(("back", "in_to"), [(70, 70), (86, 86), (86.1, 66 + 5.28), (150, 66 + 5.28)])
def test_trouble_far_behind_does_not_make_a_long_ball_in(back: float, in_to: float) -> None:
    """Common practice, no source: a ball 15 yards over the flag is not near it for lying short of a far pond."""
    put, found = ask(66, (normal(66, 8), normal(81, 1)), back_m=back)
    assert put.back_m / YARD_M == pytest.approx(in_to)
    assert found.ranked[0].candidate.swing == ("81" if back == 86 else "66")


@given(
    flag=st.floats(20, 120),
    before=st.floats(0.5, 30),
    behind=st.floats(0.5, 30),
    numbers=st.lists(st.tuples(st.floats(30, 110), st.floats(2, 9)), min_size=1, max_size=6),
)
def test_every_answer_adds_up_and_comes_best_first(
    flag: float, before: float, behind: float, numbers: list[tuple[float, float]]
) -> None:
    among = tuple(normal(mean, spread) for mean, spread in numbers)
    _, found = ask(flag, among, front_m=max(flag - before, 1), back_m=flag + behind)
    for choice in (*found.ranked, *((found.closest,) if found.closest else ())):
        assert choice.short + choice.inside + choice.long == 100
        assert choice.chances.short + choice.chances.inside + choice.chances.long == pytest.approx(1)
    inside = [choice.chances.inside for choice in found.ranked]
    assert inside == sorted(inside, reverse=True)
    assert bool(found.ranked) != bool(found.closest)


def test_the_yardage_page_has_a_row_for_every_whole_unit() -> None:
    yards, metres = yardage(F4, USUAL, "yd"), yardage(F4, USUAL, "m")
    assert [row.distance for row in yards] == list(range(60, 68))
    assert [row.distance for row in metres] == list(range(55, 62))
    assert yards[3].choice.candidate.swing == "63"
    assert yardage((), USUAL, "yd") == []


def test_the_yardage_page_marks_a_distance_that_nothing_fits() -> None:
    rows = {row.distance: row for row in yardage((normal(40, 2), normal(80, 3)), USUAL, "yd")}
    assert not rows[60].fits
    assert rows[41].fits
    assert rows[79].fits


@pytest.mark.parametrize(("rows", "lengths"), [(8, [3, 3, 2]), (1, [1]), (0, []), (3, [1, 1, 1])])
def test_columns_hold_all_rows_in_their_order(rows: int, lengths: list[int]) -> None:
    every = yardage((normal(60, 5), normal(59 + rows, 5)), USUAL, "yd")[:rows] if rows else []
    cut = columns(every, 3)
    assert [len(column) for column in cut] == lengths
    assert [row.distance for column in cut for row in column] == [row.distance for row in every]
