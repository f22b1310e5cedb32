"""Scores of practice, from invented balls with answers worked out by hand."""

import math
from typing import Any

import pytest

from webapp.card.card_words import Length
from webapp.moments import moved
from webapp.practice import scores
from webapp.units import YARD_M

DAY = "2025-05-01T10:00:00.000Z"
CLUB = "00000000-0000-0000-0000-000000000056"
NINE_PLAN = [f"{CLUB}:90:distance:45.72:nine"] * 9 + [f"{CLUB}:90:swing::early"] * 5


def a_ball(carry_yd: float | None = 54, at: str = DAY, **more: Any) -> dict[str, Any]:
    ball = {
        "id": at, "bucket_id": "one", "club_id": CLUB, "swing_deg": 90.0, "mode": "swing", "meant_carry_m": 54 * YARD_M,
        "carry_m": None if carry_yd is None else carry_yd * YARD_M, "landed": "unseen" if carry_yd is None else "seen",
        "contact": "clean", "aside": False, "counted": True, "run_index": None, "judged_by": "monitor", "plan_ref": "",
        "struck_at": at, "local_at": at.removesuffix("Z"), "ball": "range", "lie": "level", "flight": "",
        "bucket_aside": 0, "course": False, "monitor_note": "", "indoor_counts": False,
    }  # fmt: skip
    return {"visit_id": more.get("bucket_id", "one"), **ball, **more}


def a_nine(day: int, within: int, bucket: str, struck: int = 9) -> list[dict[str, Any]]:
    """A nine meant 50 yd of which `within` land 5 yd off and the others 6."""
    start = moved(DAY, days=day)
    return [
        a_ball(55 if at < within else 44, moved(start, seconds=40 * at), bucket_id=bucket, mode="distance",
               meant_carry_m=45.72, plan_ref=str(at + 1))
        for at in range(struck)
    ]  # fmt: skip


def words_of(parts: tuple[str | Length, ...]) -> str:
    return "".join(part if isinstance(part, str) else f"{part.length_m / YARD_M:.0f}" for part in parts)


def visits(*ids: str) -> list[dict[str, Any]]:
    return [{"id": id, "plan": NINE_PLAN} for id in ids]


def test_a_nine_is_compared_with_the_cold_one_before_it() -> None:
    scored = scores.nines(visits("one", "two"), a_nine(0, 5, "one") + a_nine(8, 7, "two"))
    assert words_of(scores.nine_words(scored)) == "7 of 9 within 5; last time 5 of 9"
    assert words_of(scores.nine_words(scored[1:])) == "5 of 9 within 5; the first one"
    assert scores.nine_words([]) == ()


def test_a_ball_set_aside_is_not_one_of_the_nine() -> None:
    nine = a_nine(0, 5, "one")
    nine[0]["aside"] = True
    scored = scores.nines(visits("one"), nine)
    assert (scored[0].n, scored[0].within) == (8, 4)
    assert words_of(scores.nine_words(scored)) == "4 of 8 within 5; 1 of the nine were not struck"


def test_a_nine_after_practice_is_not_compared() -> None:
    practised = [a_ball(54, moved(DAY, days=8, minutes=-20), bucket_id="two")]
    scored = scores.nines(visits("one", "two"), a_nine(0, 5, "one") + practised + a_nine(8, 7, "two"))
    assert not scored[0].cold
    assert "not compared" in words_of(scores.nine_words(scored))
    last = scores.nines(
        visits("one", "two"), a_nine(0, 5, "one") + practised + a_nine(8, 7, "two") + a_nine(20, 6, "one")
    )
    assert "last time" not in words_of(scores.nine_words([last[0]]))


def test_an_earlier_nine_struck_after_practice_is_passed_over() -> None:
    practised = [a_ball(54, moved(DAY, days=8, minutes=-20), bucket_id="two")]
    shots = a_nine(0, 5, "one") + practised + a_nine(8, 9, "two") + a_nine(16, 7, "three")
    assert words_of(scores.nine_words(scores.nines(visits("one", "two", "three"), shots))).endswith("last time 5 of 9")


@pytest.mark.parametrize(("struck", "before"), [(8, "5 of 9"), (9, "6 of 9")])
def test_an_earlier_nine_that_was_stopped_is_passed_over(struck: int, before: str) -> None:
    shots = a_nine(0, 5, "one") + a_nine(8, 6, "two", struck) + a_nine(16, 7, "three")
    scored = scores.nines(visits("one", "two", "three"), shots)
    assert [nine.cold for nine in scored] == [True] * 3
    assert words_of(scores.nine_words(scored)).endswith(f"last time {before}")


def test_a_nine_that_was_stopped_says_so() -> None:
    scored = scores.nines(visits("one"), a_nine(0, 4, "one", struck=6))
    assert words_of(scores.nine_words(scored)) == "4 of 6 within 5; 3 of the nine were not struck"


def test_a_ball_lost_from_sight_is_not_within() -> None:
    shots = a_nine(0, 9, "one")
    shots[3] = {**shots[3], "carry_m": None, "landed": "unseen"}
    assert scores.nines(visits("one"), shots)[0].within == 8


def test_the_miss_is_taken_from_distance_called_balls_alone() -> None:
    aimed = [a_ball(50, mode="distance", meant_carry_m=50 * YARD_M + off) for off in (-2 * YARD_M, 4 * YARD_M)]
    found = scores.miss([*aimed, a_ball(20)])
    assert found is not None
    assert found.n == 2
    assert found.miss_m == pytest.approx(3 * YARD_M)
    assert found.share == pytest.approx((2 / 48 + 4 / 54) / 2)
    assert scores.miss(aimed, low_m=50 * YARD_M) == scores.Miss(1, pytest.approx(4 * YARD_M), pytest.approx(4 / 54))
    assert scores.miss([a_ball(20)]) is None


def test_a_run_of_six_gives_one_first_ball() -> None:
    runs = [a_ball(60, run_index=1), *(a_ball(54, run_index=at) for at in range(2, 7)), a_ball(50, run_index=1)]
    found = scores.runs(runs)
    assert found is not None
    assert (found.n_first, found.n_rest) == (2, 5)
    mean = (60 + 5 * 54 + 50) / 7
    assert found.first_m == pytest.approx(YARD_M * math.sqrt(((60 - mean) ** 2 + (50 - mean) ** 2) / 2))
    assert found.rest_m == pytest.approx(YARD_M * abs(54 - mean))


def test_first_balls_are_not_spoken_of_until_there_are_two_of_each() -> None:
    assert scores.runs([]) is None
    assert scores.runs([a_ball(54, run_index=1), a_ball(55, run_index=2), a_ball(55, run_index=3)]) is None


def test_twenty_of_thirty_eye_judged_balls_on_the_call_are_a_pull() -> None:
    balls = [a_ball(55 if at < 20 else 65, judged_by="eye", meant_carry_m=55 * YARD_M) for at in range(30)]
    assert scores.pull(balls) == scores.Pull(30, 20)
    assert scores.pull(balls).warns
    assert not scores.pull(balls[:29]).warns
    assert not scores.pull([a_ball(54)] * 40).warns
    assert not scores.pull([{**ball, "carry_m": 65 * YARD_M} for ball in balls[:15]] + balls[:15]).warns
