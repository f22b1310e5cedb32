"""What changed: series over visits and their verdicts, checked with the worked example of a moved number."""

import math
from typing import Any

import pytest

from tests.core.estimate_players import bag
from tests.core.test_scores import a_ball
from tests.demo_card import demo_card
from webapp.card.strike import strikes
from webapp.draw import charts
from webapp.estimate.balls import Ball
from webapp.estimate.pool import pool
from webapp.moments import moved
from webapp.trends import trend_rows
from webapp.trends.series import WayOut, may_have_moved, number_series, strike_series, verdict_words, ways_out
from webapp.units import YARD_M

DAY = "2025-05-01T10:00:00.000Z"
CELL = ("56", 90.0)


def a_visit(day: int, carries_yd: list[float], **more: Any) -> list[dict[str, Any]]:
    start = moved(DAY, days=day)
    return [
        a_ball(carry, moved(start, seconds=30 * at), bucket_id=f"day {day}", surface="mat", **more)
        for at, carry in enumerate(carries_yd)
    ]


def spread(mean: float, n: int, sd: float = 4.0) -> list[float]:
    """n carries with this mean and about this spread."""
    return [mean + (sd if at % 2 else -sd) for at in range(n)]


@pytest.mark.parametrize(("change", "word"), [(0, "no sign"), (-4, "perhaps"), (-8, "moved")])
def test_it_says_moved_only_of_what_visits_bear_out(change: float, word: str) -> None:
    before = a_visit(0, spread(80, 10)) + a_visit(7, spread(80, 10)) + a_visit(14, spread(80, 10))
    now = a_visit(21, spread(80 + change, 10))
    found = number_series(CELL, before + now, sigma=4 / 80)
    assert [visit.n for visit in found.visits] == [10, 10, 10, 10]
    assert found.verdict is not None
    assert found.verdict.word == word


def test_a_number_said_to_have_moved_is_compared_from_then_on() -> None:
    old = a_visit(0, spread(80, 10)) + a_visit(7, spread(80, 10))
    new = a_visit(14, spread(70, 10))
    since = moved(DAY, days=14)
    assert may_have_moved(number_series(CELL, old + new, 4 / 80), [])
    told = number_series(CELL, old + new, 4 / 80, moved_at=since)
    assert verdict_words(told) == "one visit since it moved, nothing to compare yet"
    assert not may_have_moved(told, [""])
    again = number_series(CELL, old + new + a_visit(21, spread(70, 10)), 4 / 80, moved_at=since)
    assert verdict_words(again) == "no sign"
    assert {"day": since, "what": "moved"} in trend_rows.marks([], again)


def test_a_chart_that_rings_asks_of_the_numbers_it_is_about() -> None:
    steady = number_series(CELL, a_visit(0, spread(80, 10)) + a_visit(7, spread(80, 10)), 4 / 80)
    assert may_have_moved(steady, [""])
    assert may_have_moved(steady, [CELL[0]])
    assert not may_have_moved(steady, ["another club"])
    assert not may_have_moved(number_series(CELL, a_visit(0, [80]), 4 / 80), [""])


def test_one_visit_has_nothing_to_be_compared_with() -> None:
    found = number_series(CELL, a_visit(0, [50, 52]), 0.06)
    assert found.verdict is None
    assert verdict_words(found) == "one visit, nothing to compare yet"
    assert verdict_words(number_series(CELL, [], 0.06)) == "no balls yet"


def test_a_visits_interval_narrows_with_its_balls() -> None:
    found = number_series(CELL, a_visit(0, [50]) + a_visit(1, [50] * 9), 0.06)
    one, nine = found.visits
    assert math.log(one.high_m / one.mean_m) == pytest.approx(1.2816 * 0.06, rel=1e-3)  # normal 90% point, tables
    assert math.log(nine.high_m / nine.mean_m) == pytest.approx(math.log(one.high_m / one.mean_m) / 3)


def test_balls_that_do_not_count_change_no_number() -> None:
    aside = [{**ball, "counted": False} for ball in a_visit(3, [20, 20])]
    assert number_series(CELL, a_visit(0, [50, 52]) + aside, 0.06) == number_series(CELL, a_visit(0, [50, 52]), 0.06)


def test_a_long_and_a_short_cell_in_one_visit_widen_nothing() -> None:
    short = a_visit(0, [48, 50, 52])
    long = [{**ball, "swing_deg": 180.0, "carry_m": ball["carry_m"] + 40 * YARD_M} for ball in short]
    (visit,) = strike_series([*short, *long])
    assert visit.spread_m == pytest.approx(2 * YARD_M)
    assert visit.n == 6
    assert strike_series(a_visit(0, [50]))[0].spread_m is None
    assert strike_series([]) == []


def test_a_visit_says_what_its_fat_ball_cost() -> None:
    fat = a_visit(0, [40])[0] | {"contact": "fat"}
    (visit,) = strike_series([*a_visit(0, [50, 50, 50]), fat])
    assert visit.cost is not None
    assert visit.cost.lost_m == pytest.approx(-2.5 * YARD_M)


def test_the_plots_rows_are_in_the_readers_unit() -> None:
    series = number_series(CELL, a_visit(0, [50]) + a_visit(9, [52]), 0.06)
    assert [round(row["carry"]) for row in trend_rows.number(series, "yd")] == [50, 52]
    assert [round(row["carry"]) for row in trend_rows.number(series, "m")] == [46, 48]
    rows, holes = trend_rows.coverage(demo_card(), "m")
    assert len(rows) == 16
    assert holes == [{"low": pytest.approx(95.1, abs=0.05), "high": pytest.approx(97.8, abs=0.05)}]


def test_each_guess_among_where_the_shots_land_is_a_dashed_box() -> None:
    card = demo_card()
    told = trend_rows.coverage(card, "yd")
    drawn = str(charts.coverage(*told, [club.name for club in card.clubs], "yd", trend_rows.coverage_said(card, "yd")))
    guesses = [row for row in told[0] if row["trust"] == "guess"]
    assert drawn.count('stroke-dasharray="4,3"') == len(guesses) == 2


def test_a_band_of_one_call_still_has_a_line_to_be_seen() -> None:
    aimed = a_visit(0, [50, 52], mode="distance", lie="level", bucket_aside=False, course=False)
    balls, bands = trend_rows.aim(aimed, strikes(aimed), "yd")
    assert [round(ball["off"]) for ball in balls] == [-4, -2]
    assert [(band["low"] < 54 < band["high"], band["label"]) for band in bands] == [(True, "−3.0, n 2")]


def test_only_marks_between_the_visits_are_drawn() -> None:
    series = number_series(CELL, a_visit(0, [50]) + a_visit(9, [52]), 0.06)
    found = [{"on": moved(DAY, days=day), "what": "lesson"} for day in (-3, 4, 20)]
    assert trend_rows.marks(found, series) == [{"day": moved(DAY, days=4), "what": "lesson"}]
    assert trend_rows.marks(found, number_series(CELL, [], 0.06)) == []


def test_who_begins_to_measure_what_was_judged_by_eye_has_not_moved():
    """Three visits by an eye that sees 10% long, then one that is measured."""
    old = [ball for day in (0, 7, 14) for ball in a_visit(day, spread(80 * 1.1, 10), judged_by="eye")]
    now = a_visit(21, spread(80, 10), judged_by="monitor")
    assert number_series(CELL, old + now, 4 / 80).verdict.word == "moved"
    known = {"eye": WayOut(math.log(1.1), 0.01**2), "monitor": WayOut(0.0, 0.003**2)}
    assert number_series(CELL, old + now, 4 / 80, ways=known).verdict.word == "no sign"
    unsure = {**known, "eye": WayOut(0.0, 0.05**2)}
    assert number_series(CELL, old + now, 4 / 80, ways=unsure).verdict.word == "perhaps"
    same = [{**ball, "judged_by": "eye"} for ball in now]
    assert number_series(CELL, old + same, 4 / 80, ways=unsure).verdict.word == "moved"


def test_a_way_is_out_as_far_as_the_estimate_has_it():
    noted = [(50.0, "monitor"), (54.0, "eye")] * 6
    balls = [Ball(9, carry_m, "clean", day, 1.0, order=day, judged_by=way) for day, (carry_m, way) in enumerate(noted)]
    found = ways_out(pool(bag(), balls))
    assert 0.03 < found["eye"].ln_m < math.log(54 / 50)
    assert found["monitor"].variance < found["eye"].variance < 0.05**2
