"""Rows of a table that say what balls of the book say: other balls stay apart, the same ones do not count twice."""

import io

from flask.testing import FlaskClient
from openpyxl import Workbook
from werkzeug.test import TestResponse

from webapp.moments import moved
from webapp.store import reading, tables
from webapp.store.book import Book
from webapp.units import YARD_M

from ..factories import NOW, a_bucket, a_shot
from .test_table import OF_ALL, boxes, bring
from .visitor import send, words

BY_DAY = {"col-date": "0", "col-club": "1", "col-carry": "2", "unit": "m"}
BY_TIME = {"col-made_at": "0", "col-club": "1", "col-carry": "2", "unit": "m"}
DAYLESS = {"col-club": "0", "col-carry": "1", "unit": "m", "day": "2025-05-01"}
Bag = dict[str, str]


def a_table(*carries: float, day: str = "2025-05-01") -> bytes:
    """A table of balls with one wedge on one day."""
    return ("Day,Stick,Flight\n" + "".join(f"{day},56,{carry}\n" for carry in carries)).encode()


def say_all(player: FlaskClient, bag: Bag, swing: str = "full", columns: Bag = BY_DAY) -> TestResponse:
    """The preview of a table that waits, whose swing is said of all rows."""
    send(player, "/table/columns", **columns)
    box = boxes(player.get("/table/words"))["56"]
    return send(player, "/table/words", **{box: bag["56"], "all-swing": swing}, **OF_ALL)


def previewed(player: FlaskClient, bag: Bag, content: bytes, columns: Bag = BY_DAY) -> str:
    """What the preview of a table says."""
    bring(player, content)
    return words(say_all(player, bag, columns=columns))


def taken(player: FlaskClient, bag: Bag, content: bytes, columns: Bag = BY_DAY) -> str:
    """What is said once a table was taken."""
    previewed(player, bag, content, columns)
    return words(send(player, "/table/take"))


def carries(book: Book) -> list[float]:
    """Every carry in the book [m]."""
    return sorted(ball["carry_m"] for ball in reading.shots(book))


def test_a_ball_of_another_swing_is_another_ball(player: FlaskClient, book: Book, bag: Bag) -> None:
    workbook, kept = Workbook(), io.BytesIO()
    for name, flown in (("ten thirty", (72, 74, 75, 76, 70, 71)), ("full", (76, 78, 80, 75, 82, 79))):
        sheet = workbook.create_sheet(name)
        sheet.append(["Day", "Stick", "Flight"])
        for carry in flown:
            sheet.append(["2025-05-01", "56", carry])
    workbook.save(kept)

    def sheet_in(name: str, swing: str) -> str:
        bring(player, kept.getvalue(), "week.xlsx")
        send(player, "/table/sheet", sheet=name)
        say_all(player, bag, swing)
        return words(send(player, "/table/take"))

    for name, swing in (("ten thirty", "10:30"), ("full", "full")):
        assert "6 balls came into the book; 0 were there already." in sheet_in(name, swing)
    for name, swing in (("ten thirty", "10:30"), ("full", "full")):
        assert "0 balls came into the book; 6 were there already." in sheet_in(name, swing)
    assert sorted(ball["swing_deg"] for ball in reading.shots(book)) == [135.0] * 6 + [180.0] * 6


def test_a_longer_table_brings_only_what_is_new_whatever_swing_is_said(
    player: FlaskClient, book: Book, bag: Bag
) -> None:
    taken(player, bag, a_table(80, 82, 81))
    bring(player, a_table(80, 82, 81, 84))
    page = words(say_all(player, bag, "9:00"))
    assert "1 ball comes in" in page
    assert "no time of day" not in page
    send(player, "/table/take")
    assert carries(book) == [80, 81, 82, 84]


def test_what_two_tables_of_a_day_both_say_is_asked_for(player: FlaskClient, book: Book, bag: Bag) -> None:
    taken(player, bag, a_table(80, 82, 81))
    evening = a_table(81, 82, 83, 80)
    page = previewed(player, bag, evening)
    assert "1 ball comes in" in page
    assert "3 rows say what balls of another table of that day say, and no time of day." in page
    page = words(send(player, "/table/preview", others="y"))
    assert "4 balls come in" in page
    assert "They are the same balls" in page
    assert "1 ball comes in" in words(send(player, "/table/preview", others="n"))
    send(player, "/table/preview", others="y")
    send(player, "/table/take")
    assert carries(book) == [80, 80, 81, 81, 82, 82, 83]
    assert "Nothing new is in this table." in previewed(player, bag, evening)
    for table in (table["id"] for table in tables.tables(book) if table["n"] == 4):
        send(player, f"/table/{table}/back")
    assert "3 rows say what balls of another table" in previewed(player, bag, evening)
    send(player, "/table/preview", others="y")
    send(player, "/table/take")
    assert carries(book) == [80, 80, 81, 81, 82, 82, 83]


def test_rows_that_tell_their_time_are_known_by_it(player: FlaskClient, book: Book, bag: Bag) -> None:
    first = a_table(80, 82, day="2025-05-01 10:00") + a_table(84, day="2025-05-01 10:05").partition(b"\n")[2]
    bring(player, first)
    say_all(player, bag, columns=BY_TIME)
    send(player, "/table/take")
    later = a_table(84, day="2025-05-01 10:05") + a_table(85, day="2025-05-01 10:06").partition(b"\n")[2]
    page = previewed(player, bag, later, BY_TIME)
    assert "1 ball comes in" in page
    assert "They are other balls" not in page


def noted(book: Book, bag: Bag, *carries_m: float) -> None:
    """Balls noted by touch, half a minute apart."""
    bucket = a_bucket()
    balls = [
        a_shot(bucket, bag["56"], carry / YARD_M, moved(NOW, seconds=30 * at)) for at, carry in enumerate(carries_m)
    ]
    assert book.add([bucket, *balls], None, moved(NOW, hours=1)).refused == []


def of_monitor(*carries_m: float, first_s: int = 5) -> bytes:
    """The same balls as a monitor's file has them."""
    rows = [f"{moved(NOW, seconds=first_s + 30 * at)},56,{carry}\n" for at, carry in enumerate(carries_m)]
    return ("When,Stick,Flight\n" + "".join(rows)).encode()


def test_balls_that_were_noted_by_touch_are_told_and_can_be_left_out(player: FlaskClient, book: Book, bag: Bag) -> None:
    noted(book, bag, 80, 81, 82, 83)
    page = previewed(player, bag, of_monitor(80.4, 81.4, 82.4, 83.4, 60), BY_TIME)
    assert "5 balls come in" in page
    assert "4 balls may be noted here already" in page
    page = words(send(player, "/table/preview", leave_noted="y"))
    assert "1 ball comes in" in page
    assert "4 balls that are noted here already are left out." in page
    assert "5 balls come in" in words(send(player, "/table/preview", leave_noted="n"))
    send(player, "/table/preview", leave_noted="y")
    send(player, "/table/take")
    assert carries(book) == [60, 80, 81, 82, 83]


def test_balls_of_another_time_or_carry_are_not_told(player: FlaskClient, book: Book, bag: Bag) -> None:
    noted(book, bag, 80, 81)
    for table in (of_monitor(80, 81, first_s=600), of_monitor(70, 91)):
        assert "may be noted here already" not in previewed(player, bag, table, BY_TIME)


def test_without_a_time_of_day_those_of_the_day_are_told(player: FlaskClient, book: Book, bag: Bag) -> None:
    noted(book, bag, 80, 81)
    assert "2 balls may be noted here already" in previewed(player, bag, a_table(80.5, 81, 80))
    assert "may be noted" not in previewed(player, bag, a_table(80.5, 81, day="2025-05-02"))


def without_a_day(*carries: float) -> bytes:
    """A table of balls with one wedge, whose day its player gives."""
    return ("Stick,Flight\n" + "".join(f"56,{carry}\n" for carry in carries)).encode()


def test_a_longer_table_without_a_day_brings_only_what_is_new(player: FlaskClient, book: Book, bag: Bag) -> None:
    taken(player, bag, without_a_day(80, 82, 80), DAYLESS)
    longer = without_a_day(80, 82, 80, 84)
    page = previewed(player, bag, longer, DAYLESS)
    assert "1 ball comes in" in page
    assert "3 are in the book already" in page
    assert "no time of day" not in page
    send(player, "/table/take")
    assert carries(book) == [80, 80, 82, 84]
    assert "Nothing new is in this table." in previewed(player, bag, longer, DAYLESS)
    assert "5 balls come in" in previewed(
        player, bag, without_a_day(80, 82, 80, 84, 85), {**DAYLESS, "day": "2025-05-02"}
    )


def test_what_a_table_without_a_day_says_of_others_is_asked_for(player: FlaskClient, book: Book, bag: Bag) -> None:
    taken(player, bag, a_table(80, 82, 81))
    evening = without_a_day(81, 82, 83, 80)
    page = previewed(player, bag, evening, DAYLESS)
    assert "1 ball comes in" in page
    assert "3 rows say what balls of another table of that day say, and no time of day." in page
    assert "4 balls come in" in words(send(player, "/table/preview", others="y"))
    send(player, "/table/take")
    assert carries(book) == [80, 80, 81, 81, 82, 82, 83]
    page = previewed(player, bag, evening, DAYLESS)
    assert "Nothing new is in this table." in page
    assert "say what balls of another table" not in page
    page = previewed(player, bag, without_a_day(70, 80), DAYLESS)
    assert "1 row says what a ball of another table of that day says" in page


def test_a_ball_of_another_swing_without_a_day_is_another_ball(player: FlaskClient, book: Book, bag: Bag) -> None:
    taken(player, bag, a_table(80, 82))
    for n_came in (2, 0):
        bring(player, without_a_day(82, 80))
        assert "say what balls of another table" not in words(say_all(player, bag, "9:00", DAYLESS))
        send(player, "/table/take")
        assert sorted((ball["swing_deg"], ball["carry_m"]) for ball in reading.shots(book)) == [
            (90, 80), (90, 82), (180, 80), (180, 82),
        ], n_came  # fmt: skip
