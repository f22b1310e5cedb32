"""A longer table that tells no day brings only what is new, whatever became of the balls of the shorter one since."""

from collections.abc import Callable

import pytest
from flask.testing import FlaskClient

from webapp.books import make_facts
from webapp.moments import moved
from webapp.store import reading, tables
from webapp.store.book import Book
from webapp.units import YARD_M

from ..factories import NOW, a_bucket, a_shot
from .test_bag import shown
from .test_table_alike import BY_DAY, DAYLESS, Bag, a_table, carries, previewed, without_a_day
from .visitor import send, send_facts, words

ONE_COMES = ("1 ball comes in", "3 are in the book already")
QUESTION = "another table of that day"


def the_ball(book: Book, carry_m: float) -> str:
    """The ball of that carry."""
    return next(ball["id"] for ball in reading.shots(book) if ball["carry_m"] == carry_m)


def _carry_set_right(player: FlaskClient, book: Book, bag: Bag) -> None:
    send(player, f"/shots/{the_ball(book, 82)}", landed="seen", contact="clean", carry="85")
    assert carries(book) == [80, 81, 85]


def _lost(player: FlaskClient, book: Book, bag: Bag) -> None:
    send(player, f"/shots/{the_ball(book, 82)}", landed="unseen", contact="clean", carry="")
    assert [ball["landed"] for ball in reading.shots(book)].count("unseen") == 1


def _another_wedge(player: FlaskClient, book: Book, bag: Bag) -> None:
    right = make_facts.changed(book, "shot", the_ball(book, 82), NOW, club_id=bag["51"])
    assert send_facts(player, [right]).json["refused"] == []
    assert {ball["club_id"] for ball in reading.shots(book)} == {bag["51"], bag["56"]}


def _wedge_replaced(player: FlaskClient, book: Book, bag: Bag) -> None:
    send(player, "/bag/set", do=f"replace {bag['56']}", **shown(book))
    bag["56"] = next(club.id for club in reading.clubs(book) if club.follows == bag["56"])


def _all_of_another_wedge(player: FlaskClient, book: Book, bag: Bag) -> None:
    """The word was answered wrongly and every ball put right: the longer table is answered rightly at once."""
    bag["56"] = bag["51"]
    right = [make_facts.changed(book, "shot", ball["id"], NOW, club_id=bag["51"]) for ball in reading.shots(book)]
    assert send_facts(player, right).json["refused"] == []


def _withdrawn(player: FlaskClient, book: Book, bag: Bag) -> None:
    gone = make_facts.withdrawn(book, "shot", the_ball(book, 82), NOW)
    assert send_facts(player, [gone]).json["refused"] == []
    assert carries(book) == [80, 81]


def _left_out(player: FlaskClient, book: Book, bag: Bag) -> None:
    """A phone sends two of the balls, and the table's are left out."""
    bucket = a_bucket("2025-05-01T09:00:00.000Z")
    noted = [
        a_shot(bucket, bag["56"], carry / YARD_M, moved("2025-05-01T09:00:00.000Z", seconds=30 * at))
        for at, carry in enumerate((80.4, 82.4))
    ]
    assert send_facts(player, [bucket, *noted]).json["refused"] == []
    (table,) = tables.tables(book)
    assert "2 balls of the table were left out." in words(send(player, f"/table/{table['id']}/once"))


def _all_left_out(player: FlaskClient, book: Book, bag: Bag) -> None:
    """As `_left_out`, and the last one is withdrawn too, with the bucket that is empty then."""
    _left_out(player, book, bag)
    ball = the_ball(book, 81)
    bucket = next(one["bucket_id"] for one in reading.shots(book) if one["id"] == ball)
    gone = [make_facts.withdrawn(book, kind, root, NOW) for kind, root in (("shot", ball), ("bucket", bucket))]
    assert send_facts(player, gone).json["refused"] == []


@pytest.mark.parametrize("tells_day", [True, False])
@pytest.mark.parametrize(
    "became",
    [
        _carry_set_right, _lost, _another_wedge, _wedge_replaced, _all_of_another_wedge,
        _withdrawn, _left_out, _all_left_out,
    ],
)  # fmt: skip
def test_a_longer_table_brings_only_what_is_new_whatever_became_of_its_balls(
    player: FlaskClient, book: Book, bag: Bag, became: Callable[[FlaskClient, Book, Bag], None], tells_day: bool
) -> None:
    made, columns = (a_table, BY_DAY) if tells_day else (without_a_day, DAYLESS)
    previewed(player, bag, made(80, 82, 81), columns)
    send(player, "/table/take")
    assert carries(book) == [80, 81, 82]
    became(player, book, bag)
    before = [ball["id"] for ball in reading.shots(book)]
    page = previewed(player, bag, made(80, 82, 81, 90), columns)
    assert all(line in page for line in ONE_COMES), page
    assert QUESTION not in page
    assert "1 ball came into the book" in words(send(player, "/table/take"))
    assert [ball["carry_m"] for ball in reading.shots(book) if ball["id"] not in before] == [90]
    assert "Nothing new is in this table." in previewed(player, bag, made(80, 82, 81, 90), columns)


def test_what_went_with_its_table_comes_with_the_longer_one(player: FlaskClient, book: Book, bag: Bag) -> None:
    previewed(player, bag, without_a_day(80, 82, 81), DAYLESS)
    send(player, "/table/take")
    _withdrawn(player, book, bag)
    send(player, f"/table/{tables.tables(book)[0]['id']}/back")
    assert "4 balls come in" in previewed(player, bag, without_a_day(80, 82, 81, 90), DAYLESS)
    send(player, "/table/take")
    assert carries(book) == [80, 81, 82, 90]


@pytest.mark.parametrize("ahead_min", [-480, 330, 780])
@pytest.mark.parametrize("is_first_of_days", [True, False])
def test_it_brings_only_what_is_new_though_the_players_clock_was_told_only_since(
    player: FlaskClient, book: Book, bag: Bag, ahead_min: int, is_first_of_days: bool
) -> None:
    shorter, columns = (a_table(80, 82, 81), BY_DAY) if is_first_of_days else (without_a_day(80, 82, 81), DAYLESS)
    previewed(player, bag, shorter, columns)
    send(player, "/table/take")
    told = a_bucket(moved(NOW, days=-3), utc_offset_min=ahead_min)
    assert book.add([told], None, NOW).refused == []
    page = previewed(player, bag, without_a_day(80, 82, 81, 84), DAYLESS)
    assert [sentence in page for sentence in ONE_COMES] == [True, True]
    send(player, "/table/take")
    assert carries(book) == [80, 81, 82, 84]
    page = previewed(player, bag, without_a_day(80, 82, 81, 84, 85), DAYLESS)
    assert "1 ball comes in" in page
    assert "4 are in the book already" in page
    assert {ball["local_at"][:10] for ball in reading.shots(book)} == {"2025-05-01"}
