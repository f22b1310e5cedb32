"""Balls today and this week, and the gentle words at a limit."""

from webapp.moments import moved
from webapp.practice import limits
from webapp.practice.limits import Struck

NOW = "2025-05-01T18:00:00.000Z"


def a_visit(n: int, warm_up_balls: int | None = None, **ago: float) -> dict[str, object]:
    return {
        "made_at": moved(NOW, **{name: -value for name, value in ago.items()}),
        "n": n,
        "warm_up_balls": warm_up_balls,
    }


def test_warm_up_balls_load_the_wrist_too() -> None:
    visits = [a_visit(20, 6, hours=1), a_visit(30, hours=20), a_visit(40, 4, days=6.9), a_visit(50, days=7.1)]
    assert limits.struck(visits, 60, NOW) == Struck(26, 100, 60)


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
    assert limits.wrist_words(10, 41, "mat") == ""
    assert limits.wrist_words(7, 7, "mat") == ""
    assert limits.wrist_words(10, 40, "grass") == ""
