"""Whether two periods differ: against scipy's and statsmodels' own answers, and the counts of a trial by chance."""

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.special import polygamma
from scipy.stats import fisher_exact, ttest_ind
from statsmodels.stats.proportion import proportions_ztest

from tests.core.test_period import CELL, a_shot
from webapp.card.strike import losses_m, strikes
from webapp.estimate import drift
from webapp.trends.compare import compare
from webapp.trends.period import Pair, Period
from webapp.trends.verdicts import by_visits, of_aim, of_means, of_shares, of_spread, way_variance
from webapp.units import YARD_M


@pytest.mark.parametrize(("before", "after"), [((3, 30), (9, 30)), ((0, 20), (4, 9)), ((7, 12), (3, 40))])
def test_two_shares_are_set_against_each_other_as_statsmodels_does(
    before: tuple[int, int], after: tuple[int, int]
) -> None:
    found = of_shares(before, after)
    assert found is not None
    z, _ = proportions_ztest([after[0], before[0]], [after[1], before[1]])
    assert found.change / found.error == pytest.approx(z)


@pytest.mark.parametrize(
    ("before", "after", "word"),
    [
        ((0, 85), (1, 25), "no sign"),  # one shank: by its z of 1.85 it would be "perhaps"
        ((3, 9), (9, 9), "moved"), ((5, 9), (8, 9), "perhaps"), ((0, 20), (4, 9), "moved"), ((7, 7), (4, 7), "perhaps"),
        ((0, 9), (0, 9), "no sign"), ((9, 9), (9, 9), "no sign"), ((4, 5000), (5, 9), "moved"),
    ],
)  # fmt: skip
def test_shares_of_few_balls_are_set_against_each_other_by_their_exact_chance_as_scipy_has_it(
    before: tuple[int, int], after: tuple[int, int], word: str
) -> None:
    found = of_shares(before, after)
    assert found is not None
    table = [[hits, n - hits] for hits, n in (before, after)]
    tails = [fisher_exact(table, side).pvalue for side in ("less", "greater")]
    assert found.chance == pytest.approx(min(1, 2 * min(tails)))
    assert found.word == word
    assert found.certainty == pytest.approx(1 - found.chance, abs=1e-12)


def test_the_chance_is_exact_where_a_count_is_expected_to_be_under_five() -> None:
    for before, after, is_exact in (((5, 10), (5, 10), False), ((4, 10), (5, 10), True), ((6, 10), (5, 10), True)):
        found = of_shares(before, after)
        assert found is not None
        assert (found.chance is not None) == is_exact


def test_no_change_bears_no_sign() -> None:
    told = drift.Verdict(60 * YARD_M, 60.02 * YARD_M, YARD_M, "no sign")
    assert by_visits(told, "yd") == ("60.0", "60.0", "0.0 ± 1.0")
    assert by_visits(replace(told, after_m=59.9 * YARD_M), "yd")[2] == "−0.1 ± 1.0"


def test_of_two_numbers_that_moved_the_one_that_moved_further_comes_first() -> None:
    """Longer or shorter, by yards."""
    after = {("46", 90.0): 88, ("51", 90.0): 40, ("56", 90.0): 75, ("60", 90.0): 60}
    days = ((1, dict.fromkeys(after, 60)), (2, dict.fromkeys(after, 60)), (7, after), (8, after))
    shots = [
        a_shot(f"2025-05-{day:02d}", carry, club_id=club, swing_deg=deg)
        for day, carries in days for (club, deg), carry in carries.items() for _ in range(9)
    ]  # fmt: skip
    pair = Pair("since", Period("", "2025-05-05"), Period("2025-05-05", ""))
    told = compare(shots, pair, dict.fromkeys(after, 0.05)).told
    assert [(change.cell[0], change.verdict and change.verdict.word) for change in told] == [
        ("46", "moved"), ("51", "moved"), ("56", "moved"), ("60", "no sign"),
    ]  # fmt: skip
    turned = compare(shots, pair, dict.fromkeys(reversed(after), 0.05)).told
    assert [change.cell for change in turned] == [change.cell for change in told]


def test_two_balls_noted_alike_have_no_spread() -> None:
    """Carries noted to 5 yd are alike by that step and no surer for it."""
    shots = [a_shot(day, 78) for day in ("2025-05-01", "2025-05-07") for _ in range(2)]
    pair = Pair("since", Period("", "2025-05-05"), Period("2025-05-05", ""))
    (change,) = compare(shots, pair, {CELL: 0.05}).told
    assert change.before is not None
    assert (change.before.n_clean, change.before.error_m, change.before.sd_m) == (2, None, None)


def test_two_means_are_set_against_each_other_as_scipy_does() -> None:
    chance = np.random.default_rng(7)
    before, after = chance.normal(0, 1, 12).tolist(), chance.normal(1, 3, 20).tolist()
    found = of_means(before, after)
    assert found is not None
    assert found.change / found.error == pytest.approx(ttest_ind(after, before, equal_var=False).statistic)


@pytest.mark.parametrize("n", [5, 10, 30])
def test_the_error_of_a_spread_is_that_of_the_trigamma_function(n: int) -> None:
    carries = np.random.default_rng(n).normal(60, 3, n).tolist()
    found = of_spread(carries, carries)
    assert found is not None
    exact = math.sqrt(2 * float(polygamma(1, (n - 1) / 2)) / 4)
    assert found.error == pytest.approx(exact, rel=0.03)
    assert found.word == "no sign"


def test_a_spread_that_tripled_is_seen_and_three_balls_are_too_few() -> None:
    carries = np.random.default_rng(5).normal(0, 3, 20)
    found = of_spread((60 + carries).tolist(), (60 + 3 * carries).tolist())
    assert found is not None
    assert (found.word, found.change) == ("moved", pytest.approx(math.log(3)))
    assert of_spread([60, 61], carries.tolist()) is None
    assert of_spread([60, 60, 60], carries.tolist()) is None


def test_by_chance_alone_a_share_seems_to_move_one_time_in_twenty() -> None:
    chance = np.random.default_rng(11)
    found = [of_shares((int(one), 200), (int(other), 200)) for one, other in chance.binomial(200, 0.3, (2000, 2))]
    moved = sum(one is not None and one.word == "moved" for one in found) / len(found)
    assert moved == pytest.approx(0.0455, abs=0.015)  # beyond two standard errors of a normal curve: 4.55%


def test_an_aim_that_moved_is_told_by_visits() -> None:
    def aimed(day: int, off: float) -> list[dict[str, object]]:
        return [
            a_shot(f"2025-05-{day:02d}", 60 + off + at % 3, mode="distance", counted=False, meant_carry_m=60 * YARD_M)
            for at in range(8)
        ]

    before = [*aimed(1, -8), *aimed(2, -8), *aimed(3, -8)]
    found = of_aim(before, [*aimed(6, 0), *aimed(7, 0), *aimed(8, 0)])
    one_day = of_aim(before, aimed(6, 0))
    assert found is not None
    assert one_day is not None
    assert found.word == "moved"
    assert found.change == pytest.approx(8 * YARD_M, rel=0.03)
    assert one_day.error > found.error
    assert of_aim(before[:4], before) is None


def test_what_balls_lost_adds_up_to_the_cost() -> None:
    balls = [a_shot("2025-05-01", carry, contact) for carry, contact in ((60, "clean"), (62, "clean"), (41, "fat"))]
    balls += [a_shot("2025-05-01", 80, club_id="46"), a_shot("2025-05-01", 66, "thin")]
    cost = strikes(balls).cost
    assert cost is not None
    lost = losses_m(balls, cost)
    assert sum(lost) / len(lost) == pytest.approx(cost.lost_m)
    assert cost.n == 5  # a wedge struck clean every time belongs to the balls of which a part was lost
    assert cost.lost_m == pytest.approx(-20 / 5 * YARD_M)


def test_a_nine_and_where_balls_end_are_compared_too() -> None:
    def struck(day: int, carry: float, n: int) -> list[dict[str, object]]:
        return [
            a_shot(f"2025-05-{day:02d}", carry, mode="distance", counted=False, meant_carry_m=60 * YARD_M, nine=True)
            for _ in range(n)
        ]

    shots = [*struck(1, 52, 6), *struck(1, 60, 3), *struck(7, 60, 9)]
    pair = Pair("since", Period("", "2025-05-05"), Period("2025-05-05", ""))
    found = compare(shots, pair, {CELL: 0.05})
    assert (found.before.n_within, found.before.n_nine) == (3, 9)
    assert (found.after.n_within, found.after.n_nine) == (9, 9)
    assert found.verdicts["nine"].word == "moved"
    assert found.verdicts["in"].change == pytest.approx(6 / 9)


def test_what_another_way_of_judging_may_have_made_is_not_told_as_moved() -> None:
    """Judged by eye before and by monitor since, 6% further is what an eye alone may be out (sd 5%)."""

    offs = (-1, -0.5, 0, 0.5, 1)

    def word(before: str, after: str) -> str:
        periods = ((1, 2, 3), 60, before), ((7, 8, 9), 63.6, after)
        shots = [
            a_shot(f"2025-05-{day:02d}", carry + off, judged_by=way)
            for days, carry, way in periods for day in days for off in offs
        ]  # fmt: skip
        (change,) = compare(shots, pair, {CELL: 0.03}).told
        assert change.verdict
        return change.verdict.word

    pair = Pair("since", Period("", "2025-05-05"), Period("2025-05-05", ""))
    assert word("monitor", "monitor") == "moved"
    assert word("eye", "eye") == "moved"  # the same eye is out alike before and after
    assert word("eye", "monitor") == "perhaps"


def test_the_doubt_of_a_way_counts_as_far_as_the_periods_used_it_differently() -> None:
    eye, monitor = {"judged_by": "eye"}, {"judged_by": "monitor"}
    assert way_variance([eye], [eye, eye]) == 0
    assert way_variance([eye, monitor], [monitor]) == pytest.approx(0.5**2 * (0.05**2 + 0.003**2))
