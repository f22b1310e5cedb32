"""What to leave: every distance as what fits answers it, peaks and valleys, invented books by their truth.

Sources: what is said of a distance is held to webapp/fits/fitting.py, which has its own; the mean of |carry - meant| is
held to a sum over the quantiles of the same table, and of a normal to its closed form, spread x sqrt(2 / pi) (any
table). The generator of tests/bench has curves of its own, so no book is measured against its own prior.
"""

import math
import re
from statistics import median
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.bench.leave import book
from tests.core.test_fitting import F4, HEAVY_TAILED, USUAL, normal
from webapp.draw.leave_line import Point, leave_line
from webapp.estimate.chance import Table, chances
from webapp.estimate.every_table import every_table
from webapp.fits.fitting import Candidate, NoQuestion, answer, question
from webapp.fits.leave import MOST_PEAKS, Ahead, Leave, leave, listed, plain
from webapp.fits.leave_words import answer_words, as_text, best_words, chances_words, trouble_words, worst_m
from webapp.fits.yardage import yardage
from webapp.units import LENGTH_M, YARD_M, whole

FAR_APART = (normal(61, 3), normal(85, 4))
SHORT = "{0} is short of where the trouble ends: look whether it begins well beyond {0}."


def fits_says(among: tuple[Candidate, ...], left_m: float, ahead: Ahead | None) -> Any:
    """What fitting.answer puts first, or calls the closest, once `left_m` is left."""
    if ahead is None:
        found = answer(question(left_m, USUAL), among)
    else:
        nearer_m = ahead.flag_m - left_m
        ends_m = [None if end_m is None else end_m - nearer_m for end_m in (ahead.front_m, ahead.back_m)]
        found = answer(question(left_m, USUAL, ahead.roll_m, *ends_m, ahead.must_carry), among)
    return found.ranked[0] if found.ranked else found.closest


def yards(lengths_m: Any) -> list[int]:
    return [whole(length_m, "yd") for length_m in lengths_m]


@pytest.mark.parametrize("far", [{"front_m": 91.44}, {"front_m": 91.44, "must_carry": True}, {"back_m": 237.7}])
def test_trouble_far_from_the_flag_changes_no_chance(far: dict[str, Any]) -> None:
    """A creek that the ball has passed, carries anyway or never reaches makes no ball land nearer to the flag."""
    without = leave(FAR_APART, USUAL, "yd", Ahead(180 * YARD_M))
    found = leave(FAR_APART, USUAL, "yd", Ahead(180 * YARD_M, **far))
    assert [one.chance for one in found.distances] == [one.chance for one in without.distances]
    assert yards(one.left_m for one in found.peaks) == [61, 85]


numbers = st.lists(
    st.tuples(st.integers(30, 110), st.floats(2, 9)), min_size=1, max_size=8, unique_by=lambda one: one[0]
)
ahead_of = st.one_of(
    st.none(),
    st.builds(
        lambda flag, roll, front, back, must: Ahead(
            flag * YARD_M, roll * YARD_M, front and (flag - roll - front) * YARD_M,
            back and (flag + back) * YARD_M, must,
        ),
        st.floats(70, 300), st.floats(-3, 8), st.one_of(st.none(), st.floats(0.5, 12)),
        st.one_of(st.none(), st.floats(5, 20)), st.booleans(),
    ),
)  # fmt: skip


@settings(max_examples=40, deadline=None)
@given(numbers=numbers, unit=st.sampled_from(["yd", "m"]), ahead=ahead_of)
def test_every_distance_says_what_fits_says(numbers: Any, unit: str, ahead: Ahead | None) -> None:
    among = tuple(normal(mean, spread) for mean, spread in numbers)
    found = leave(among, USUAL, unit, ahead)
    for one in found.distances:
        said = fits_says(among, one.left_m, ahead)
        assert (one.best, one.in_100) == (said.candidate, said.inside)
        assert one.chance == pytest.approx(said.chances.inside, abs=1e-9)


@pytest.mark.parametrize("among", [F4, HEAVY_TAILED, (*F4, *HEAVY_TAILED)], ids=["F4", "mishits", "both"])
@pytest.mark.parametrize("ahead", [None, Ahead(240 * YARD_M, 3 * YARD_M, 232 * YARD_M, 243 * YARD_M, True)])
def test_it_agrees_with_what_fits_where_mishits_are_and_trouble_must_be_carried(among: Any, ahead: Any) -> None:
    distances = leave(among, USUAL, "yd", ahead).distances
    assert distances
    for one in distances:
        said = fits_says(among, one.left_m, ahead)
        assert (one.best, one.in_100) == (said.candidate, said.inside)
        assert one.chance == pytest.approx(said.chances.inside, abs=1e-9)


def test_of_two_alike_inside_the_one_whose_worse_side_is_smaller_comes_first() -> None:
    shapes = {"lopsided": (0.0, 0.4, 0.6, 0.9, 1.0), "even": (0.0, 0.25, 0.5, 0.75, 1.0)}
    among = tuple(normal(62, 1, swing=name, table=Table(60, YARD_M, below)) for name, below in shapes.items())
    ahead = Ahead(62 * YARD_M, 0.0, 61 * YARD_M, 63 * YARD_M)
    found = leave(among, USUAL, "yd", ahead).distances
    assert [one.best.swing for one in found] == [fits_says(among, 62 * YARD_M, ahead).candidate.swing] == ["even"]


def test_many_carries_are_read_as_one_is_before_within_and_beyond_a_table() -> None:
    tables = [one.table for one in HEAVY_TAILED]
    edges_m = np.arange(0.0, 400.0, 0.37) * YARD_M
    for cell, told in enumerate(every_table(tables).below_at(np.arange(len(tables))[:, None], edges_m)):
        wanted = [chances(tables[cell], float(edge_m), float(edge_m)).short for edge_m in edges_m]
        assert told.tolist() == pytest.approx(wanted, abs=1e-12)


@pytest.mark.parametrize(("unit", "low", "high"), [("yd", 60, 67), ("m", 55, 61)])
def test_there_is_every_whole_unit_from_the_shortest_to_the_longest_number(unit: str, low: int, high: int) -> None:
    found = leave(F4, USUAL, unit)
    assert [whole(one.left_m, unit) for one in found.distances] == list(range(low, high + 1))
    assert found.distances[0].left_m == pytest.approx(low * LENGTH_M[unit])


def test_the_miss_of_a_normal_is_its_spread_times_the_root_of_two_over_pi() -> None:
    found = leave((normal(61, 4),), USUAL, "yd")
    assert found.distances[0].miss_m == pytest.approx(4 * YARD_M * math.sqrt(2 / math.pi), rel=0.01)


@pytest.mark.parametrize("meant_yd", [20, 50, 61.4, 70, 85, 130])
def test_the_miss_is_the_mean_over_the_tables_own_quantiles(meant_yd: float) -> None:
    for one in HEAVY_TAILED:
        steps = np.arange(one.table.first, one.table.first + len(one.table.below))
        shares = (np.arange(200_000) + 0.5) / 200_000
        carries = np.interp(shares, one.table.below, steps) * one.table.step_m
        told = every_table([HEAVY_TAILED[0].table, one.table]).miss_m(np.array([1]), np.array([meant_yd * YARD_M]))
        assert float(told[0]) == pytest.approx(float(np.abs(carries - meant_yd * YARD_M).mean()), rel=1e-3)


def test_two_numbers_far_apart_have_two_peaks_and_a_valley_between() -> None:
    found = leave(FAR_APART, USUAL, "yd")
    assert yards(one.left_m for one in found.peaks) == [61, 85]
    assert yards(one.at.left_m for one in found.valleys) == [73]
    assert best_words(found, FAR_APART, "yd") == "61 and 85 are best for you; 73 is worst."
    # 61 with 3 carries 67.2 once in 50.
    assert chances_words(found) == "From the best, 90 to 91 balls in 100 land in; from the worst, 2."


def test_no_stretch_that_is_worst_holds_a_peak() -> None:
    for seed in range(30):
        rng = np.random.default_rng(seed)
        among = tuple(
            normal(float(mean), float(spread))
            for mean, spread in zip(rng.uniform(35, 110, 7), rng.uniform(2, 8, 7), strict=True)
        )
        found = leave(among, USUAL, "yd")
        peaks_m = [one.left_m for one in found.peaks]
        assert not [peak for peak in peaks_m for low, high in worst_m(found) if low <= peak <= high]
        middle = median(one.chance for one in found.distances)
        assert all(one.chance > middle for one in found.peaks)
        assert all(one.at.chance < middle for one in found.valleys)


def test_the_best_distance_is_a_peak_wherever_there_are_any() -> None:
    found = leave((*F4, *HEAVY_TAILED), USUAL, "yd")
    assert found.by_chance[0].chance == max(one.chance for one in found.distances)


def test_distances_that_are_alike_are_said_to_be() -> None:
    among = tuple(normal(carry, 6) for carry in range(50, 54))
    assert best_words(leave(among, USUAL, "yd"), among, "yd") == "From 50 to 53 every distance is much the same."
    assert leave((), USUAL, "yd") == Leave((), (), ())
    assert best_words(Leave((), (), ()), (), "yd") == chances_words(Leave((), (), ())) == ""


def test_a_distance_whose_best_shot_is_a_guess_says_so() -> None:
    found = leave((normal(61, 3), normal(70, 4, trust="guess"), normal(80, 4, trust="told")), USUAL, "yd")
    assert {one.best.swing for one in found.distances if one.guess} == {"70"}
    assert ", a guess" in as_text(found, FAR_APART, None, "yd")


@pytest.mark.parametrize(
    ("trust", "said"),
    [
        (("settled", "early"), "61 and 85 are best for you; 73 is worst."),
        (("settled", "guess"), "61 is best for you; 85 stands out without a ball; 73 is worst."),
        (("told", "old"), "85 is best for you; 61 stands out without a ball; 73 is worst."),
        (("told", "guess"), "No ball yet. 61 and 85 stand out; 73 is worst."),
    ],
)
def test_no_number_without_a_ball_is_called_best_for_you(trust: tuple[str, str], said: str) -> None:
    balls = [0 if word in ("guess", "told") else 12 for word in trust]
    among = normal(61, 3, trust=trust[0], n=balls[0]), normal(85, 4, trust=trust[1], n=balls[1])
    assert best_words(leave(among, USUAL, "yd"), among, "yd") == said


def test_with_no_ball_on_the_card_that_is_said_first() -> None:
    among = tuple(normal(carry, 6, trust="guess", n=0) for carry in range(50, 54))
    much = "From 50 to 53 every distance is much the same."
    assert best_words(leave(among, USUAL, "yd"), among, "yd") == f"No ball yet. {much}"
    hit = (*among, normal(51, 20, trust="early"))  # is never the best shot, yet a ball of the card
    assert best_words(leave(hit, USUAL, "yd"), hit, "yd") == much


def test_as_many_distances_are_listed_as_are_named() -> None:
    among = tuple(normal(carry, 2) for carry in range(40, 120, 15))
    found = leave(among, USUAL, "yd")
    assert len(found.peaks) > MOST_PEAKS
    named = [f"{whole(one.left_m, 'yd')}" for one in sorted(listed(found, None, "yd"), key=lambda one: one.left_m)]
    assert best_words(found, among, "yd").startswith(f"{', '.join(named[:-1])} and {named[-1]} are best for you")


def test_roll_moves_every_distance_along() -> None:
    bare, rolling = leave(FAR_APART, USUAL, "yd"), leave(FAR_APART, USUAL, "yd", Ahead(240 * YARD_M, 5 * YARD_M))
    assert yards(one.left_m for one in rolling.distances) == [
        at + 5 for at in yards(one.left_m for one in bare.distances)
    ]
    assert [one.chance for one in rolling.distances] == pytest.approx([one.chance for one in bare.distances])


def test_no_more_is_left_than_there_is() -> None:
    assert yards([leave(FAR_APART, USUAL, "yd", Ahead(65 * YARD_M)).distances[-1].left_m]) == [65]
    short = Ahead(30 * YARD_M)
    found = leave(FAR_APART, USUAL, "yd", short)
    assert found.distances == ()
    said = answer_words(found, FAR_APART, short.flag_m, "yd")
    assert said == "No number of your card is that short: the shortest carries 61."


def test_what_must_be_carried_puts_distances_that_clear_it_first() -> None:
    # 61 with a spread of 3 carries 57.2 nine times in ten, 85 with 4 79.9: 5 short of the flag only the first clears.
    ahead = Ahead(240 * YARD_M, 0.0, 235 * YARD_M, None, True)
    found = leave(FAR_APART, USUAL, "yd", ahead)
    assert found.by_chance[0].clears
    assert {one.best.swing for one in found.distances if one.clears} == {"61", "85"}
    assert trouble_words(found, ahead, "yd") == SHORT.format(179)
    none = Ahead(240 * YARD_M, 0.0, 239.9 * YARD_M, None, True)
    assert "nine times in ten" in trouble_words(leave((normal(61, 3),), USUAL, "yd", none), none, "yd")
    assert "is empty" in trouble_words(found, Ahead(240 * YARD_M, must_carry=True), "yd")


@pytest.mark.parametrize(
    ("front_yd", "must", "said"),
    [
        (235, False, SHORT.format(179)),
        (235, True, SHORT.format(179)),
        (179.5, False, SHORT.format(179)),
        (179, False, ""),
    ],
)
def test_a_lay_up_short_of_the_end_of_trouble_says_so(front_yd: float, must: bool, said: str) -> None:
    ahead = Ahead(240 * YARD_M, 0.0, front_yd * YARD_M, None, must)
    assert trouble_words(leave(FAR_APART[:1], USUAL, "yd", ahead), ahead, "yd") == said
    there = Ahead(61 * YARD_M, 0.0, 55 * YARD_M, None, must)  # is played for, and clears
    assert trouble_words(leave(FAR_APART[:1], USUAL, "yd", there), there, "yd") == ""


@pytest.mark.parametrize(
    "ahead",
    [
        Ahead(1e9), Ahead(float("nan")), Ahead(240 * YARD_M, front_m=250 * YARD_M),
        Ahead(240 * YARD_M, front_m=239 * YARD_M, back_m=230 * YARD_M), Ahead(5.0, 6.0),
    ],
)  # fmt: skip
def test_a_flag_that_cannot_be_true_is_refused_in_a_sentence(ahead: Ahead) -> None:
    with pytest.raises(NoQuestion, match=r"\.$"):
        leave(FAR_APART, USUAL, "yd", ahead)


def test_as_json_it_has_every_distance_and_names_peaks_and_valleys() -> None:
    told: Any = plain(leave(FAR_APART, USUAL, "yd"))
    assert set(told) == {"distances", "peaks_m", "valleys_m"}
    assert set(told["distances"][0]) == {"carry_m", "best", "chance", "miss_m", "guess"}
    assert told["distances"][0]["best"] == {"club": "56", "swing_deg": 61}
    with_flag: Any = plain(leave(FAR_APART, USUAL, "yd", Ahead(240 * YARD_M, 2 * YARD_M)), has_flag=True)
    assert with_flag["distances"][0]["left_m"] - with_flag["distances"][0]["carry_m"] == pytest.approx(2 * YARD_M)
    assert told["peaks_m"] == pytest.approx([61 * YARD_M, 85 * YARD_M])


def test_in_twenty_invented_books_the_distance_named_first_beats_the_median_distance() -> None:
    rng = np.random.default_rng(20)
    books = [book(rng) for _ in range(20)]
    assert sum(one.first > median(one.every) for one in books) >= 18
    assert np.mean([one.first - median(one.every) for one in books]) > 0.1


def test_the_line_is_dashed_from_and_to_guesses_and_bears_peaks_hatching_and_flag() -> None:
    points = [Point(at * YARD_M, 0.5, at in (63, 64)) for at in range(60, 70)]
    drawing = leave_line(points, [points[1]], [(66 * YARD_M, 67 * YARD_M)], 61 * YARD_M, "yd")
    assert drawing.count('class="chance guessed"') == 1
    assert drawing.count('class="chance"') == 2
    assert '<text class="peak-name"' in drawing
    assert ">61</text>" in drawing
    assert drawing.count('class="trouble"') == drawing.count('class="flag"') == 1
    assert 'class="flag"' not in leave_line(points, [], [], None, "yd")
    assert leave_line(points[:1], [], [], None, "yd").count('class="chance') == 0


def test_figures_below_a_long_line_stand_as_far_apart_as_they_are_wide() -> None:
    drawing = leave_line([Point(at * YARD_M, 0.5, False) for at in range(35, 201)], [], [], None, "yd")
    assert re.findall(r'text-anchor="middle">(\d+)<', drawing) == [f"{at}" for at in range(40, 201, 20)]


@pytest.mark.parametrize(("unit", "last"), [("yd", 400), ("m", 365)])
def test_no_distance_is_asked_about_that_is_longer_than_any_carry(unit: str, last: int) -> None:
    among = normal(380, 9), normal(400, 9)  # 365.76 m, which is 366 in whole metres
    assert whole(leave(among, USUAL, unit).distances[-1].left_m, unit) == last
    assert yardage(among, USUAL, unit)[-1].distance == last
