"""What the card says in sentences, and what a printed card is remembered as."""

from dataclasses import replace

import pytest

from tests.demo_card import demo_card
from webapp.card.card_data import Card, CardClub, Gap
from webapp.card.card_words import (
    Length,
    Sentence,
    least_trusted,
    nine_in_ten,
    old_enough_to_check,
    plain_tenths,
    rests_on,
    sentences,
    short_or_long,
    signed_tenths,
)
from webapp.card.printed import differing, read, words_of
from webapp.card.strike import Bias, Cost, Strikes
from webapp.days import day
from webapp.units import YARD_M, whole
from webapp.views.card_view import rungs, view_of


def said(sentence: Sentence) -> str:
    return "".join(str(whole(part.length_m, "yd")) if isinstance(part, Length) else part for part in sentence.parts)


def a_bias(all_yd: float, n: int = 12, low_yd: float | None = 70) -> Bias:
    low_m = None if low_yd is None else low_yd * YARD_M
    return Bias(low_m, None, n, n, all_yd * YARD_M, all_yd * YARD_M, 8, 3, 1)


def with_strikes(bias: Bias) -> Card:
    cost = Cost(40, 30, {"fat": -1.3 * YARD_M, "thin": 0.6 * YARD_M})
    return replace(demo_card(), strikes=Strikes(cost=cost, bias=(bias,), overall=bias))


def test_three_sentences_lead_to_the_balls_behind_them() -> None:
    found = sentences(with_strikes(a_bias(-4)), "yd")
    assert [said(sentence) for sentence in found] == [
        "46 7:30 and 60 10:30 are guesses.",
        "Short by 4 from 70 on (12 balls hit to a number).",
        "Fat costs 1.3 yd a ball (40 balls).",
    ]
    assert found[0].cell == ("46", 45.0)
    assert [sentence.anchor for sentence in found[1:]] == ["aim", "strike"]


@pytest.mark.parametrize(("n", "cost_yd", "told"), [(9, 2, False), (10, 2, True), (40, 0.2, False), (40, 0.4, True)])
def test_the_cost_of_a_strike_is_told_of_ten_balls_and_a_third_of_a_yard(n: int, cost_yd: float, told: bool) -> None:
    card = replace(with_strikes(a_bias(-4)), strikes=Strikes(cost=Cost(n, n - 1, {"fat": -cost_yd * YARD_M})))
    assert any("Fat costs" in said(sentence) for sentence in sentences(card, "yd")) is told


def test_a_band_between_two_distances_is_said_apart_from_the_miss() -> None:
    band = replace(a_bias(-3), low_m=40 * YARD_M, high_m=70 * YARD_M)
    assert "Short by 3 from 40 to 70 (12 balls hit to a number)." in [
        said(sentence) for sentence in sentences(with_strikes(band), "yd")
    ]


def test_a_hole_too_narrow_for_two_numbers_is_one() -> None:
    narrow = replace(demo_card(), uncovered=((66.8 * YARD_M, 67.3 * YARD_M),))
    assert said(sentences(narrow, "yd")[-1]) == "No shot carries 67."
    wide = replace(demo_card(), uncovered=((104 * YARD_M, 107 * YARD_M),))
    assert said(sentences(wide, "yd")[-1]) == "No shot carries 104 to 107."


def test_of_several_holes_the_widest_is_said() -> None:
    holes = tuple((low * YARD_M, high * YARD_M) for low, high in ((66, 68), (104, 107), (20, 22)))
    told = [said(sentence) for sentence in sentences(replace(demo_card(), uncovered=holes), "yd")]
    assert [words for words in told if words.startswith("No shot")] == ["No shot carries 104 to 107."]


@pytest.mark.parametrize(
    ("all_yd", "n", "words"),
    [(-4, 4, ""), (4, 4, ""), (-4, 5, "Short by 4"), (-1.4, 12, ""), (1.4, 12, ""), (-1.6, 12, "Short by 2"),
     (1.6, 12, "Long by 2")],
)  # fmt: skip
def test_nothing_is_said_of_the_aim_on_a_handful_of_balls_or_a_small_miss(all_yd: float, n: int, words: str) -> None:
    """Common practice, no source: five balls, and a yard and a half, short or long."""
    told = [said(sentence) for sentence in sentences(with_strikes(a_bias(all_yd, n)), "yd")]
    assert [sentence for sentence in told if " by " in sentence] == (
        [f"{words} from 70 on ({n} balls hit to a number)."] if words else []
    )


def test_of_numbers_out_of_order_the_one_with_the_fewest_balls_is_named() -> None:
    card = demo_card()
    crossed = {(club, 90.0): replace(card.cells[club, 90.0], out_of_order=True, n=n)
               for club, n in {"46": 20, "51": 9, "56": 10}.items()}  # fmt: skip
    (told,) = [one for one in sentences(replace(card, cells={**card.cells, **crossed}), "yd") if one.cell in crossed]
    assert said(told).startswith("51 9:00 is out of order with another swing")


def test_the_least_trusted_number_is_the_same_whatever_its_wedges_ids_are() -> None:
    card = demo_card(trust={(club, 45.0): "guess" for club in ("46", "51", "56")})
    secret = {"46": "z", "51": "y", "56": "x", "60": "w"}  # what a coach's link calls the wedges
    shared = replace(
        card,
        clubs=tuple(replace(club, id=secret[club.id]) for club in card.clubs),
        cells={(secret[cell.club_id], cell.swing_deg): replace(cell, club_id=secret[cell.club_id])
               for cell in card.cells.values()},
    )  # fmt: skip
    for one in (card, shared):
        told = least_trusted(one)
        assert told
        assert said(told).startswith("46 7:30 is a guess, and so are")


def test_a_cold_card_names_no_single_guess() -> None:
    guesses = {(club, deg): "guess" for club in ("46", "51", "56", "60") for deg in (45.0, 90.0, 135.0)}
    card = replace(demo_card(trust=guesses), uncovered=((104 * YARD_M, 107 * YARD_M),))
    begun = [said(sentence) for sentence in sentences(card, "yd")]
    assert begun[0] == "12 of 16 numbers are still guesses."
    cold = replace(card, cells={place: replace(cell, n=0) for place, cell in card.cells.items()})
    assert said(sentences(cold, "yd")[0]) == "12 of 16 numbers are guesses until balls are hit."
    assert not any("No shot carries" in words for words in begun)  # a hole among guesses is no more than a guess


@pytest.mark.parametrize(
    ("gap_yd", "words"),
    [
        (19, ["From 51 to 56 full swings lie 19 apart, over the limit of 15."]),
        (15.2, ["From 51 to 56 full swings lie just over the limit of 15 apart."]),
        (15, []),
        (13, []),  # as the carries on show are 13 apart, whatever the model expects of them
    ],
)
def test_a_wide_gap_is_named_with_its_limit(gap_yd: float, words: list[str]) -> None:
    clubs = CardClub("51", "51", 51.0), CardClub("56", "56", 56.0)
    gap = Gap(*clubs, 75 * YARD_M - (75 - gap_yd) * YARD_M, 15 * YARD_M, 0.9, True, True, False, 5.0)
    told = [said(sentence) for sentence in sentences(replace(demo_card(), gaps=(gap,)), "yd")]
    assert [sentence for sentence in told if sentence.startswith("From 51 to 56")] == words


def test_a_gap_that_the_model_doubts_is_not_called_though_the_card_shows_it() -> None:
    card = demo_card()
    gap = Gap(*card.clubs[1:3], 16 * YARD_M, 15 * YARD_M, 0.5, False, False, False, 5.0)
    assert not gap.called
    assert replace(gap, warn=True).called
    assert not replace(gap, warn=True, gap_m=15 * YARD_M).called


@pytest.mark.parametrize(("carry_yd", "shown"), [(58.0, "58.0"), (10.1, "10.1"), (57.96, "57.9")])
def test_nine_in_ten_is_what_it_is_and_never_rounded_up(carry_yd: float, shown: str) -> None:
    """58 yd in metres and back make 57.99999999999999."""
    cell = replace(demo_card().cells["56", 90.0], nine_in_ten_carry_m=carry_yd * YARD_M)
    assert nine_in_ten(cell, "yd") == shown


@pytest.mark.parametrize(("length_yd", "words"), [(-1.26, "−1.3"), (0.64, "+0.6"), (0.01, "0.0"), (-0.01, "0.0")])
def test_signed_lengths_have_a_true_minus_and_no_signed_zero(length_yd: float, words: str) -> None:
    assert signed_tenths(length_yd * YARD_M, "yd") == words


@pytest.mark.parametrize(("length_yd", "words"), [(-1.26, "−1.3"), (0.64, "0.6"), (-0.01, "0.0")])
def test_plain_lengths_have_a_minus_alone(length_yd: float, words: str) -> None:
    assert plain_tenths(length_yd * YARD_M, "yd") == words


def test_a_bias_of_nothing_is_on_the_number() -> None:
    assert short_or_long(a_bias(0.2), "yd") == ("on the number",)


def test_counts_are_said_in_the_singular_too() -> None:
    cell = demo_card().cells["56", 90.0]
    assert rests_on(replace(cell, n=1, visits=1)) == "1 ball in 1 visit"
    assert rests_on(cell) == "24 balls in 4 visits"
    assert rests_on(replace(cell, n=0, visits=0)) == "no balls yet"
    assert rests_on(replace(cell, of_latest=True)) == "the latest 24 balls in 4 visits"
    assert rests_on(replace(cell, at_most=9)) == "24 balls in 4 visits, at most 9 a visit"


def test_what_is_told_of_the_latest_balls_alone_says_so() -> None:
    card = with_strikes(a_bias(-4))
    told = [said(one) for one in sentences(replace(card, strikes=replace(card.strikes, latest=1000)), "yd", most=9)]
    assert "Short by 4 from 70 on (12 of the latest 1,000 balls hit to a number)." in told
    assert "Fat costs 1.3 yd a ball (40 of the latest 1,000 balls)." in told


def test_the_list_beside_the_pole_names_twins_and_holes_in_their_place() -> None:
    rows = rungs(demo_card())
    assert [whole(row["at"], "yd") for row in rows] == sorted((whole(row["at"], "yd") for row in rows), reverse=True)
    twins = {row["cell"].key: row["twins"] for row in rows if row["cell"] and row["twins"]}
    assert twins == {"51:135": ["56 full"], "56:180": ["51 10:30"]}
    assert [place for place, row in enumerate(rows) if row["cell"] is None] == [1]


def test_every_number_stands_on_the_pole() -> None:
    pole = view_of(demo_card(), "yd", False)["pole"]
    assert pole.count("data-cell=") == 16


def test_a_printed_card_is_read_back_and_compared_place_by_place() -> None:
    card = demo_card()
    lines = words_of([card], "yd")
    assert all(len(line) <= 400 for line in lines)
    paper = read(lines)
    assert paper is not None
    assert differing(card, paper) == 0
    changed = replace(card.cells["56", 90.0], typical_carry_m=64 * YARD_M)
    assert differing(replace(card, cells={**card.cells, ("56", 90.0): changed}), paper) == 1
    fewer = {place: cell for place, cell in card.cells.items() if place[0] != "60"}
    assert differing(replace(card, cells=fewer), paper) == 4


@pytest.mark.parametrize("lines", [[], [""], ["yd"], ["furlongs a 45=1"], ["yd a 45=x"]])
def test_words_that_tell_of_no_printed_card_are_left_alone(lines: list[str]) -> None:
    assert read(lines) is None


def test_a_day_is_written_as_a_reader_would() -> None:
    assert day("2025-05-01T09:30:00.000Z") == "1 May 2025"
    assert day("2025-11-25T09:30:00.000Z") == "25 Nov 2025"


def test_a_season_has_passed_once_a_third_of_the_numbers_are_old() -> None:
    def with_old(n: int) -> int:
        card = demo_card()
        told = [replace(cell, trust="old" if at < n else "settled") for at, cell in enumerate(card.cells.values())]
        return old_enough_to_check(replace(card, cells=dict(zip(card.cells, told, strict=True))))

    assert [with_old(n) for n in (0, 5, 6, 16)] == [0, 0, 6, 16]
