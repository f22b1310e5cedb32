"""Two stretches of the player's own days: what an address asks for, which balls they hold, what is said of them."""

from typing import Any

import pytest

from tests.core.test_strike import a_row
from tests.demo_card import demo_card
from webapp.trends.compare import compare
from webapp.trends.period import Filters, NoPeriod, Pair, Period, begins_at, filters_of, pair_of
from webapp.units import YARD_M
from webapp.views import periods_view

CLOCK = "2025-05-14T12:00:00.000"  # a Wednesday, from a calendar
CELL = ("56", 90.0)


def a_shot(day: str, carry_yd: float = 54, contact: str = "clean", **more: Any) -> dict[str, Any]:
    clock = f"{day}T10:00:00.000"
    its = {"struck_at": f"{clock}Z", "local_at": clock, "visit_id": day, "bucket_id": day, "run_index": 1}
    return a_row(carry_yd, contact, **{**its, "id": f"{day} {carry_yd} {contact}", **more})


def a_visit(day: str, bucket: str = "") -> list[dict[str, Any]]:
    return [{"id": bucket or day, "begun_at": f"{day}T10:00:00.000Z", "local_at": f"{day}T10:00:00.000"}]


def a_mark(**more: Any) -> dict[str, Any]:
    return {"id": "m", "what": "lesson", "on": "2025-05-05T00:00:00.000Z", "bucket_id": "", "shot_id": "", **more}


DAYS = [f"2025-05-{day:02d}" for day in (13, 10, 7, 3)]
VISITS = [a_visit(day) for day in DAYS]


def pair(marks: list[dict[str, Any]] | None = None, **asked: str) -> Pair:
    return pair_of(asked, VISITS, marks or [], [a_shot(day) for day in DAYS], CLOCK)


@pytest.mark.parametrize(
    ("asked", "before", "after", "earlier"),
    [
        ({}, ("", "2025-05-07T10:00:00.000Z"), ("2025-05-07T10:00:00.000Z", ""), "before the last three visits"),
        ({"what": "last"}, ("", "2025-05-13T10:00:00.000Z"), ("2025-05-13T10:00:00.000Z", ""), "before the last visit"),
        ({"what": "days"}, ("2025-01-14", "2025-03-15"), ("2025-03-15", ""), "in the 60 days before"),
        ({"what": "weeks"}, ("2025-05-05", "2025-05-12"), ("2025-05-12", ""), "last week"),
        (
            {"what": "dates", "from": "2025-05-01", "to": "2025-05-03", "after_from": "2025-05-04",
             "after_to": "2025-05-04"},
            ("2025-05-01", "2025-05-04"), ("2025-05-04", "2025-05-05"), "in the first period",
        ),
    ],
)  # fmt: skip
def test_an_address_names_two_periods(
    asked: dict[str, str], before: tuple[str, str], after: tuple[str, str], earlier: str
) -> None:
    found = pair(**asked)
    assert (found.before.start, found.before.end) == before
    assert (found.after.start, found.after.end) == after
    assert found.earlier == earlier


def test_since_the_lesson_comes_first_where_there_is_one() -> None:
    assert (pair([a_mark()]).name, pair([a_mark()]).earlier) == ("since the lesson", "before the lesson")
    assert pair([a_mark()]).after.start == "2025-05-05T00:00:00.000"


def test_a_mark_begins_at_its_ball_else_its_bucket_else_its_day() -> None:
    ball = a_shot("2025-05-07")
    later = {**ball, "struck_at": "later Z", "local_at": "later"}
    assert begins_at(a_mark(bucket_id="2025-05-07", shot_id=ball["id"]), VISITS, [later]) == ("later Z", "later")
    clock, midnight = "2025-05-07T10:00:00.000", "2025-05-05T00:00:00.000"
    assert begins_at(a_mark(bucket_id="2025-05-07"), VISITS, [ball]) == (f"{clock}Z", clock)
    assert begins_at(a_mark(bucket_id="gone"), VISITS, [ball]) == (midnight, midnight)


@pytest.mark.parametrize("what", ["last", "lesson"])
def test_a_visit_before_a_flight_is_earlier_though_its_clock_stood_later(what: str) -> None:
    """Half past six in the evening at 13 hours before UTC, then three in the afternoon of that day at 8 behind it."""
    there = {"struck_at": "2025-11-10T05:30:00.000Z", "local_at": "2025-11-10T18:30:00.000"}
    here = {"struck_at": "2025-11-10T23:00:00.000Z", "local_at": "2025-11-10T15:00:00.000"}
    shots = [a_shot("there", **there), a_shot("here", **here)]
    visits = [[{"id": day, "begun_at": at["struck_at"], "local_at": at["local_at"]}]
              for day, at in (("here", here), ("there", there))]  # fmt: skip
    found = pair_of({"what": what}, visits, [a_mark(bucket_id="here")], shots, CLOCK)
    assert found.begins_on == here["local_at"]
    assert [[one["visit_id"] for one in of.of(shots)] for of in (found.before, found.after)] == [["there"], ["here"]]


@pytest.mark.parametrize(
    ("asked", "why"),
    [
        ({"what": "lesson"}, "no such mark"),
        ({"what": "for ever"}, "no such period"),
        ({"what": "dates"}, "Give four days"),
        ({"what": "dates", "from": "2025-05-03", "to": "2025-05-01", "after_from": "2025-05-04",
          "after_to": "2025-05-05"}, "wrong way round"),
        ({"surface": "ice"}, "no surface called 'ice'"),
    ],
)  # fmt: skip
def test_a_question_that_names_no_period_is_refused_in_words(asked: dict[str, str], why: str) -> None:
    with pytest.raises(NoPeriod, match=why):
        pair(**asked)


def test_without_a_visit_there_is_nothing_to_compare() -> None:
    for visits in ([], VISITS):
        with pytest.raises(NoPeriod, match="no visit with balls yet"):
            pair_of({}, visits, [], [], CLOCK)


def test_a_ball_at_the_end_of_a_period_belongs_to_the_next() -> None:
    shots = [a_shot(f"2025-05-{day:02d}") for day in (1, 2, 3)]
    before, after = Period("2025-05-01", "2025-05-02"), Period("2025-05-02", "2025-05-03")
    assert [len(period.of(shots)) for period in (before, after)] == [1, 1]


def test_filters_let_through_what_fits_all_of_them() -> None:
    shots = [a_shot("2025-05-01"), a_shot("2025-05-02", surface="grass"), a_shot("2025-05-03", surface="grass")]
    shots[2]["run_index"] = 2
    chosen = filters_of({"surface": "grass", "first": "1"})
    assert [shot["local_at"][:10] for shot in Period(filters=chosen).of(shots)] == ["2025-05-02"]
    assert chosen.words == "grass, first of a run"
    assert Filters().words == ""


def a_comparison(shots: list[dict[str, Any]], sigma: float = 0.07) -> Any:
    begins = "2025-05-05"
    return compare(shots, Pair("since", Period("", begins), Period(begins, "")), {CELL: sigma, ("46", 90.0): sigma})


def test_the_parts_of_a_period_add_up_to_its_balls() -> None:
    shots = [a_shot("2025-05-01"), a_shot("2025-05-01", 50, mode="distance", counted=False)]
    shots += [a_shot("2025-05-01", 40, lie="rough", counted=False), a_shot("2025-05-06", 41, "fat")]
    found = a_comparison(shots)
    assert (found.before.n, found.before.n_counted, found.before.n_aimed, found.before.n_out) == (3, 1, 1, 1)
    assert (found.after.n, found.after.n_counted, found.after.contacts.counts) == (1, 1, {"fat": 1})


def test_a_side_without_balls_says_so_and_gets_no_verdict() -> None:
    found = a_comparison([a_shot("2025-05-01")])
    assert found.told == ()
    by_cell = {change.cell: change for change in found.untold}
    assert by_cell[CELL].after is None
    assert by_cell["46", 90.0].before is None
    assert found.after.cost is None


def test_a_number_that_moved_comes_before_one_that_held() -> None:
    shots = []
    for day, mean in ((1, 60), (3, 60), (6, 70), (8, 70)):
        for off in (-2, 0, 2):
            shots.append(a_shot(f"2025-05-{day:02d}", mean + off))
            shots.append(a_shot(f"2025-05-{day:02d}", 80 + off, club_id="46"))
    found = a_comparison(shots)
    assert [(change.cell[0], change.verdict.word) for change in found.told] == [("56", "moved"), ("46", "no sign")]
    after = found.told[0].after
    assert after is not None
    assert (after.n, after.visits, after.n_clean) == (6, 2, 6)
    assert after.mean_m == pytest.approx(70 * YARD_M)
    # the sample sd of 68, 70, 72 twice: sqrt(16/5), and of the mean: divided by sqrt 6
    assert after.sd_m == pytest.approx((16 / 5) ** 0.5 * YARD_M)
    assert after.error_m == pytest.approx((16 / 5 / 6) ** 0.5 * YARD_M)


@pytest.mark.parametrize(("part", "n"), [("nine", 0), ("counted", 2), ("aimed", 1), ("out", 1)])
def test_a_list_of_balls_tells_them_by_their_ids_and_compares_none_with_another(part: str, n: int) -> None:
    class Alone(dict[str, Any]):
        """A ball that may be compared with no other: of 5,000 balls that would be millions of times."""

        __hash__ = None  # type: ignore[assignment]

        def __eq__(self, other: object) -> bool:
            raise AssertionError("two balls were compared")

    balls = [Alone(a_shot("2025-05-13", carry_yd)) for carry_yd in (54, 55, 56)]
    balls[0] |= {"mode": "distance", "meant_carry_m": 50.0}
    balls[2] |= {"counted": False}
    card = demo_card()
    found = periods_view.asked({"what": "last"}, card, VISITS, [], [*balls, a_shot("2025-05-07")], CLOCK)
    told = periods_view.balls(found, card, {"part": part}, "yd", None)
    assert told is not None
    assert len(told["balls"]) == n
