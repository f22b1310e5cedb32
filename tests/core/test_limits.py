"""Balls today and this week, and the gentle words at a limit."""

from webapp.moments import local, moved
from webapp.practice import limits
from webapp.practice.limits import Struck

NOW = "2025-05-01T18:00:00.000Z"


def a_bucket(n: int, warm_up_balls: int | None = None, ahead_min: int = 0, **ago: float) -> dict[str, object]:
    begun = moved(NOW, **{name: -value for name, value in ago.items()})
    return {"begun_at": begun, "local_at": local(begun, ahead_min), "n": n, "warm_up_balls": warm_up_balls}


def test_warm_up_balls_load_the_wrist_too() -> None:
    buckets = [a_bucket(20, 6, hours=1), a_bucket(30, hours=20), a_bucket(40, 4, days=6), a_bucket(50, days=7)]
    assert limits.struck(buckets, 60, NOW) == Struck(26, 100, 60)


def test_today_is_the_day_of_the_players_clock() -> None:
    def today(ahead_min: int, *buckets: dict[str, object]) -> int:
        return limits.struck(buckets, None, NOW, ahead_min).today

    west = -7 * 60  # eleven in the morning where it is 18:00 UTC
    assert today(west, a_bucket(20, None, west, hours=10)) == 20
    assert today(west, a_bucket(20, None, west, hours=12)) == 0
    east = 10 * 60  # four in the morning of the next day
    assert today(east, a_bucket(20, None, east, hours=5)) == 20  # practice that runs past midnight
    assert today(east, a_bucket(20, None, east, hours=8)) == 0


def test_it_speaks_at_the_players_limit_and_lets_noting_go_on() -> None:
    assert limits.words(Struck(19, 19, 20)) == ""
    assert "your limit is 20" in limits.words(Struck(20, 20, 20))
    assert "noting goes on" in limits.words(Struck(25, 25, 20))


def test_it_says_beforehand_that_a_plan_goes_over_the_limit() -> None:
    assert "40 balls with the 30 struck today are more than your limit of 60" in limits.words(Struck(30, 30, 60), 40)
    assert limits.words(Struck(20, 20, 60), 40) == ""
    assert "61 balls are more than your limit of 60" in limits.words(Struck(0, 30, 60), 61)


def test_every_twentieth_ball_asks_for_a_rest() -> None:
    assert "rest" in limits.words(Struck(40, 90, None))
    assert limits.words(Struck(41, 90, None)) == ""
    assert limits.words(Struck(0, 0, None)) == ""


def test_it_suggests_fewer_to_a_junior() -> None:
    assert (limits.suggested(False), limits.suggested(True)) == (60, 40)


def test_many_fat_balls_off_a_mat_bring_a_word_about_the_wrist() -> None:
    assert "wrist" in limits.wrist_words(10, 40, "mat")
    assert "wrist" in limits.wrist_words(8, 8, "mat")
    assert limits.wrist_words(10, 41, "mat") == ""
    assert limits.wrist_words(7, 7, "mat") == ""
    assert limits.wrist_words(10, 40, "grass") == ""
