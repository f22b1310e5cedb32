"""Homework on the player's side: read and accepted by plain forms, offered by practice, followed over buckets."""

from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from tests.vectors.of_homework import packed
from webapp.books.follow_homework import followed
from webapp.moments import moment_of, moved
from webapp.practice.homework_code import DAMAGED, NEWER, UNFIT, Asked, Homework, Row, made
from webapp.store import from_coach, reading
from webapp.store.book import Book

from ..factories import NOW, a_bucket, a_club, a_homework, a_shot, a_swing, corrected, raw, the_demo_set
from .visitor import send, words

CONDITIONS = {
    "surface": "mat", "ball": "range", "judged_by": "monitor", "place": "Pellow Fen",
    "wind": "calm", "wind_force": "light",
}  # fmt: skip
OWN_ID = "0a1b2c3d-4e5f-6071-8293-a4b5c6d7e8f9"
SIXTY = Row((Asked("60", 60.0, 135.0),), 5, "swing")
MIXED = Row(tuple(Asked(f"{loft}", float(loft), 90.0) for loft in (46, 51, 56)), 12, "distance")
CODE = made(Homework(OWN_ID, (SIXTY, MIXED), "2025-05-04", "quiet wrists"))


@pytest.fixture
def clubs(app: Flask, book: Book) -> dict[str, str]:
    """The ids of the demo set's wedges by name; the book has no ball."""
    app.config["NOW"] = lambda: moment_of(NOW)
    facts = the_demo_set(moved(NOW, days=-9))
    assert book.add(facts, None, NOW).refused == []
    return {fact["body"]["name"]: fact["id"] for fact in facts if fact["kind"] == "club"}


def take(player: FlaskClient, code: str = CODE, **fields: Any) -> str:
    """What the page says after a code was sent to it."""
    return words(send(player, "/homework", code=code, **fields))


@pytest.mark.parametrize(
    ("path", "told"),
    [("/homework", "holds homework from a coach."), ("/remarks", "holds a coach’s remark."), ("/card", "")],
)
def test_a_link_opened_where_no_book_is_open_says_what_it_holds(client: FlaskClient, path: str, told: str) -> None:
    page = words(client.get(path))
    assert "No book open" in page
    assert ("copy the whole link" in page) == bool(told)
    assert told in page


def test_a_code_is_shown_before_anything_is_kept(player: FlaskClient, book: Book, clubs: dict[str, str]) -> None:
    before = book.cursor
    page = take(player, f"https://range.example/homework#{CODE}")
    assert "From your coach: 26 balls, about 30 minutes" in page
    assert "60 10:30: 5 balls, make the swing" in page
    assert "12 mixed balls, hit the number: 46 9:00, 51 9:00, 56 9:00" in page
    assert "Next-visit nine by Sunday 4 May" in page  # from a calendar
    assert "quiet wrists" in page
    assert book.cursor == before


def test_accepting_makes_a_plan_of_26_that_practice_offers_first(
    player: FlaskClient, book: Book, clubs: dict[str, str]
) -> None:
    assert "Accepted. Practice offers it first." in take(player, do="accept")
    (work,) = from_coach.homework(book)
    assert (work["id"], len(work["plan"]), work["nine_by"], work["focus"]) == (OWN_ID, 26, "2025-05-04", "quiet wrists")
    assert work["plan"][0] == f"{clubs['60']}:135:swing::lesson:0a1b2c3d.1"
    page = player.get("/practice").text
    assert page.index("From your coach") < page.index("How many balls?")
    assert "0 of 26 balls struck. Its next-visit nine is due by Sunday 4 May. Focus: quiet wrists" in words(
        player.get("/practice")
    )
    send(player, "/practice/start", do="homework", **CONDITIONS)
    (bucket,) = reading.buckets(book)
    assert bucket["plan"] == work["plan"][:17]


def test_accepted_twice_is_one_plan(player: FlaskClient, book: Book, clubs: dict[str, str]) -> None:
    take(player, do="accept")
    before = book.cursor
    assert "you accepted this homework before" in take(player, do="accept")
    assert book.cursor == before


def test_what_the_bag_lacks_is_asked_about_and_may_be_left_out(
    player: FlaskClient, book: Book, clubs: dict[str, str]
) -> None:
    code = made(Homework(OWN_ID, (Row((Asked("64", 64.0, 97.5),), 5, "swing"), MIXED)))
    page = take(player, code)
    assert "No 64 in your bag: use the 60?" in page
    assert "No swing of 97.5 degrees among yours: use 9:00?" in page
    take(player, code, do="accept", asked="0", use="0")
    assert from_coach.homework(book)[0]["plan"][0].startswith(f"{clubs['60']}:90:swing")
    other = made(Homework("ffffffff-4e5f-6071-8293-a4b5c6d7e8f9", (Row((Asked("64", 64.0, 97.5),), 5, "swing"), MIXED)))
    take(player, other, do="accept", asked="0")
    assert len(from_coach.homework(book)[0]["plan"]) == 12


def test_a_day_gone_by_is_said(player: FlaskClient, clubs: dict[str, str]) -> None:
    code = made(Homework(OWN_ID, (SIXTY,), "2025-04-30"))
    assert "Next-visit nine by Wednesday 30 April, a day gone by" in take(player, code)


@pytest.mark.parametrize(
    ("code", "says"),
    [
        (CODE[:-1], DAMAGED),
        ("hit some nines", DAMAGED),
        (packed({"v": 2}), NEWER),
        (packed({"v": 1, "r": [[1000, 0, 0, 0, 90]]}), UNFIT),
        ("", "Paste the link or the code first."),
    ],
)
def test_a_code_that_cannot_be_read_is_refused_in_words(
    player: FlaskClient, book: Book, clubs: dict[str, str], code: str, says: str
) -> None:
    before = book.cursor
    answer = send(player, "/homework", code=code, do="accept")
    assert answer.status_code == 400
    assert says in words(answer)
    assert book.cursor == before


def test_without_a_wedge_nothing_is_accepted(player: FlaskClient, book: Book) -> None:
    before = book.cursor
    assert "nothing of it is left" in take(player, made(Homework(OWN_ID, (SIXTY,))), do="accept")
    assert book.cursor == before


def test_balls_of_the_plan_that_homework_took_the_place_of_are_none_of_it(
    app: Flask, player: FlaskClient, book: Book, clubs: dict[str, str]
) -> None:
    work = a_homework(clubs["46"])
    bucket = a_bucket(NOW, plan=[f"{clubs['56']}:45:swing"] * 20)
    first, *late = [
        a_shot(bucket, clubs["56"], 40, moved(NOW, minutes=n), swing_deg=45.0, plan_ref=f"{n}") for n in (1, 2, 3, 4)
    ]
    assert book.add([work, bucket, first], None, NOW).refused == []
    app.config["NOW"] = lambda: moment_of(moved(NOW, minutes=10))
    assert "5 balls are called one after the other" in words(send(player, "/practice/start", do="homework"))
    assert book.add(late, None, moved(NOW, minutes=12)).refused == []  # struck on another phone without signal
    own = a_shot(bucket, clubs["46"], 70, moved(NOW, minutes=13), plan_ref="5")
    assert book.add([own], None, moved(NOW, minutes=14)).refused == []
    assert [one.places for one in followed(book)] == [[4]]


@pytest.mark.parametrize("left", [False, True], ids=["in the bag", "which left it too"])
def test_a_ball_of_the_wedge_that_took_the_place_of_homeworks_counts(
    book: Book, clubs: dict[str, str], left: bool
) -> None:
    old, new = book.history(clubs["46"])[-1], a_club("46", made_at=moved(NOW, days=-8), follows=clubs["46"])
    said = [corrected(old, moved(NOW, days=-8), retired=True), corrected(new, NOW, retired=left)]
    work = a_homework(clubs["46"])
    bucket = a_bucket(NOW, plan=work["body"]["plan"])
    struck_with = (clubs["46"], new, clubs["51"])
    balls = [a_shot(bucket, club, 70, NOW, plan_ref=f"{n}") for n, club in enumerate(struck_with, 1)]
    assert book.add([new, work, bucket, *balls, *said], None, NOW).refused == []
    assert [one.places for one in followed(book)] == [[1, 2]]


def struck(book: Book, clubs: dict[str, str]) -> str:
    """Homework of five balls: places 1 and 2 struck in one bucket, 2 and 3 in another, 4 set aside."""
    homework = a_homework(clubs["56"], made_at=moved(NOW, days=-5), id=OWN_ID)
    plan = homework["body"]["plan"]
    first, second = (a_bucket(moved(NOW, days=-days), plan=own) for days, own in ((4, plan), (2, plan[1:])))
    balls = [
        a_shot(bucket, clubs["56"], 54, moved(bucket["made_at"], minutes=at), plan_ref=ref, aside=aside)
        for at, (bucket, ref, aside) in enumerate(
            [(first, "1", False), (first, "2", False), (second, "1", False), (second, "2", False), (second, "3", True)]
        )
    ]
    over = [corrected(bucket, moved(bucket["made_at"], hours=1), ended_at=NOW) for bucket in (first, second)]
    assert book.add([homework, first, second, *balls, *over], None, NOW).refused == []
    return plan[4]


def test_places_count_once_over_all_buckets_without_balls_set_aside(
    player: FlaskClient, book: Book, clubs: dict[str, str]
) -> None:
    last = struck(book, clubs)
    page = words(player.get("/practice"))
    assert "3 of 5 balls struck" in page
    assert "Go on with the 2 balls" in page
    assert "A plan was stopped" not in page  # what is left of it is homework, and offered as that
    assert "3 of 5" in words(player.get("/homework"))
    send(player, "/practice/start", do="homework", **CONDITIONS)
    assert reading.buckets(book)[0]["plan"][1:] == [last]


def leave(book: Book, club_id: str) -> None:
    """Take a wedge out of the bag."""
    said = book.history(club_id)[-1]["body"]
    assert book.add([raw("club", {**said, "retired": True}, NOW, club_id)], None, NOW).refused == []


def test_a_visit_counts_the_planned_balls_that_homework_counts(
    player: FlaskClient, book: Book, clubs: dict[str, str]
) -> None:
    struck(book, clubs)
    second, first = reading.buckets(book)
    assert "2 of 5 planned ones struck" in words(player.get(f"/visits/{first['id']}"))
    assert "2 of 4 planned ones struck" in words(player.get(f"/visits/{second['id']}"))


def test_what_asks_for_a_wedge_that_left_the_bag_is_said_and_not_offered(
    player: FlaskClient, book: Book, clubs: dict[str, str]
) -> None:
    take(player, do="accept")
    plan = from_coach.homework(book)[0]["plan"]
    gone = sum(clubs["60"] in word for word in plan)
    leave(book, clubs["60"])
    page = words(player.get("/practice"))
    assert f"0 of 26 balls struck. {gone} balls of it ask for a wedge that left your bag." in page
    assert "Start with the 12 balls" in page
    send(player, "/practice/start", do="homework", **CONDITIONS)
    assert len(reading.buckets(book)[0]["plan"]) == 12


def test_what_asks_for_a_swing_that_was_left_out_is_said_and_not_offered(
    player: FlaskClient, book: Book, clubs: dict[str, str]
) -> None:
    take(player, do="accept")
    gone = sum(":135:" in word for word in from_coach.homework(book)[0]["plan"])
    assert book.add([a_swing(deg) for deg in (45, 90, 180)], None, NOW).refused == []
    page = words(player.get("/practice"))
    assert f"0 of 26 balls struck. {gone} balls of it ask for a swing you left out." in page
    assert "Start with the 12 balls" in page
    send(player, "/practice/start", do="homework", **CONDITIONS)
    assert not [word for word in reading.buckets(book)[0]["plan"] if ":135:" in word]


def test_the_wedge_that_took_the_place_strikes_what_is_left(
    player: FlaskClient, book: Book, clubs: dict[str, str]
) -> None:
    take(player, do="accept")
    leave(book, clubs["60"])
    assert book.add([a_club("60", follows=clubs["60"])], None, NOW).refused == []
    page = words(player.get("/practice"))
    assert "Start with the 17 balls" in page
    assert "left your bag" not in page


def test_homework_set_aside_is_offered_no_more_and_can_be_taken_up(
    player: FlaskClient, book: Book, clubs: dict[str, str]
) -> None:
    struck(book, clubs)
    send(player, f"/homework/{OWN_ID}/aside")
    assert 'id="homework" aria-labelledby="homework-title" class="offer" hidden' in player.get("/practice").text
    send(player, f"/homework/{OWN_ID}/aside")
    assert "Go on with the 2 balls" in words(player.get("/practice"))


def test_the_page_says_which_of_two_homeworks_practice_offers(
    player: FlaskClient, book: Book, clubs: dict[str, str]
) -> None:
    says = "Practice offers one homework at a time, the latest first."
    shown = f'<p class="hint" data-older>{says}'
    struck(book, clubs)
    assert shown not in player.get("/homework").text
    assert book.add([a_homework(clubs["60"], made_at=moved(NOW, days=-1))], None, NOW).refused == []
    assert shown in player.get("/homework").text
    send(player, f"/homework/{OWN_ID}/aside")
    assert shown not in player.get("/homework").text


def test_a_nine_is_due_only_while_some_of_it_is_left(player: FlaskClient, book: Book, clubs: dict[str, str]) -> None:
    nine = f"{clubs['56']}:90:distance:49.38:nine:0a1b2c3d.1"
    bucket = a_bucket(moved(NOW, days=-2), plan=[nine])
    homework = a_homework("", id=OWN_ID, made_at=moved(NOW, days=-5), plan=[nine], nine_by="2025-05-04")
    assert book.add([homework, bucket], None, NOW).refused == []
    assert "due by Sunday 4 May" in words(player.get("/homework"))
    ball = a_shot(bucket, clubs["56"], 54, bucket["made_at"], plan_ref="1")
    assert book.add([ball], None, NOW).refused == []
    assert "1 of 1" in words(player.get("/homework"))
    assert "due by" not in words(player.get("/homework"))


def test_what_accepted_homework_asks_can_be_read_also_of_a_wedge_and_a_swing_left_out(
    player: FlaskClient, book: Book, clubs: dict[str, str]
) -> None:
    take(player, made(Homework(OWN_ID, (SIXTY, Row(MIXED.cells, 2, "distance", 50.0)))), do="accept")
    leave(book, clubs["60"])
    assert book.add([a_swing(deg) for deg in (45, 90, 180)], None, NOW).refused == []
    page = words(player.get("/homework"))
    assert "Ball by ball 60 10:30: 5 balls, make the swing" in page
    assert page.count(": 1 ball, hit 55 yd") == 2  # 50 m


def test_its_nine_waits_for_another_day(player: FlaskClient, book: Book, clubs: dict[str, str]) -> None:
    take(player, do="accept")
    form = {"do": "homework-nine", **CONDITIONS}
    assert "it opens your second visit" in words(send(player, "/practice/start", **form))
    bucket = a_bucket(moved(NOW, days=-2))
    book.add([bucket, a_shot(bucket, clubs["56"], 54, bucket["made_at"])], None, NOW)
    send(player, "/practice/start", **form)
    plan = reading.buckets(book)[0]["plan"]
    assert len(plan) == 9
    assert all(":nine:0a1b2c3d." in word for word in plan)
