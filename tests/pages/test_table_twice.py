"""A table taken in before the phone's own balls come: which are told twice, leaving them out, and having them again."""

from datetime import timedelta
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from webapp.books.alike import without_time
from webapp.moments import moment_of, moved
from webapp.store import reading, tables
from webapp.store.book import Book

from ..factories import NOW, Raw, a_bucket, a_club, a_shot, corrected, voided
from .test_table import OF_ALL, boxes, bring
from .test_table_alike import BY_DAY, BY_TIME, Bag, a_table, of_monitor, previewed
from .visitor import page_of, send, send_facts, words

METRES = 1 / 0.9144  # a yard's, for makers of facts that take yards


def take(player: FlaskClient, bag: Bag, content: bytes, columns: Bag = BY_TIME) -> str:
    """The id of a table that is taken in."""
    before = previewed(player, bag, content, columns)
    assert "come in" in before or "comes in" in before
    page = words(send(player, "/table/take"))
    assert "came into the book" in page
    return brought(page)


def brought(page: str) -> str:
    """What a page says of the tables that were brought in."""
    return page.partition("Brought in")[2]


def noted(bag: Bag, *carries_m: float, first_s: int = 0) -> list[Raw]:
    """Balls noted by touch, half a minute apart, with their bucket."""
    bucket = a_bucket(moved(NOW, seconds=first_s))
    return [
        bucket,
        *(
            a_shot(bucket, bag["56"], carry * METRES, moved(NOW, seconds=first_s + 30 * at))
            for at, carry in enumerate(carries_m)
        ),
    ]


def sent(player: FlaskClient, facts: list[Raw]) -> None:
    """Facts that a phone sends, all taken."""
    assert send_facts(player, facts).json["refused"] == []


def carries(book: Book) -> list[float]:
    """Every carry in the book [m], to the millimetre: those of the phone were yards."""
    return sorted(round(ball["carry_m"], 3) for ball in reading.shots(book))


def the_table(book: Book) -> dict[str, Any]:
    """The one table of a book."""
    (one,) = tables.tables(book)
    return one


def leave_out(player: FlaskClient, book: Book) -> str:
    """What is said once the balls that were told twice were left out of the one table."""
    return words(send(player, f"/table/{the_table(book)['id']}/once"))


def test_balls_that_a_phone_sends_after_the_table_are_told_and_left_out_at_one_touch(
    player: FlaskClient, book: Book, bag: Bag
) -> None:
    assert "sent later" not in take(player, bag, of_monitor(53, 56, 55, 58, 52))
    sent(player, noted(bag, 52.6, 55.6, 54.6, 57.6, 51.6, 60))
    assert "5 of its balls are like balls that a phone noted and sent later" in brought(words(player.get("/table")))
    visit = f"/visits/{reading.buckets(book)[0]['id']}"
    assert "5 balls of a table are like balls that a phone noted and sent later" in words(player.get(visit))
    assert "11 balls in 2 buckets" in words(player.get("/visits"))

    page = leave_out(player, book)
    assert "5 balls of the table were left out." in page
    assert "sent later" not in page
    assert ": 0 balls" in brought(page)
    assert carries(book) == [51.6, 52.6, 54.6, 55.6, 57.6, 60]
    assert "6 balls" in words(player.get("/visits"))
    assert "buckets" not in words(player.get("/visits"))
    before = book.cursor
    assert "left out" not in leave_out(player, book)
    assert book.cursor == before


def test_what_was_left_out_stays_away_until_the_table_is_taken_back(player: FlaskClient, book: Book, bag: Bag) -> None:
    table = of_monitor(53, 56, 55)
    take(player, bag, table)
    sent(player, noted(bag, 52.6, 55.6, 54.6))
    leave_out(player, book)
    assert "Nothing new is in this table." in previewed(player, bag, table, BY_TIME)
    longer = table + f"{moved(NOW, minutes=9)},56,50\n".encode()
    assert "1 ball comes in" in previewed(player, bag, longer, BY_TIME)
    send(player, f"/table/{the_table(book)['id']}/back")
    assert tables.tables(book) == []
    page = previewed(player, bag, table, BY_TIME)
    assert "3 balls come in" in page
    assert "3 balls may be noted here already" in page
    assert "sent later" not in brought(words(send(player, "/table/take"))), "they were kept on purpose"
    assert carries(book) == [52.6, 53, 54.6, 55, 55.6, 56]
    send(player, f"/table/{the_table(book)['id']}/back")
    assert carries(book) == [52.6, 54.6, 55.6]


def test_rows_of_a_table_whose_bucket_was_emptied_still_come_in(player: FlaskClient, book: Book, bag: Bag) -> None:
    table = of_monitor(53, 56) + f"{moved(NOW, seconds=90)},51,80\n".encode()

    def preview(of_51: str) -> str:
        bring(player, table)
        send(player, "/table/columns", **BY_TIME)
        box = boxes(player.get("/table/words"))
        return words(
            send(player, "/table/words", **{box["56"]: bag["56"], box["51"]: of_51, "all-swing": "full"}, **OF_ALL)
        )

    preview("-")
    send(player, "/table/take")
    sent(player, noted(bag, 52.6, 55.6))
    leave_out(player, book)
    assert "1 ball comes in" in preview(bag["51"])
    send(player, "/table/take")
    assert "3 balls in 2 buckets" in words(player.get("/visits"))
    assert {ball["club_id"] for ball in reading.shots(book) if ball["counted"]} == {bag["56"], bag["51"]}
    assert the_table(book)["n"] == 1
    send(player, f"/table/{the_table(book)['id']}/back")
    assert carries(book) == [52.6, 55.6]


def test_a_table_keeps_the_balls_that_no_phone_told(player: FlaskClient, book: Book, bag: Bag) -> None:
    take(player, bag, of_monitor(53, 70, 55))
    sent(player, noted(bag, 52.6))
    assert "1 of its balls is like a ball that a phone noted and sent later" in words(player.get("/table"))
    assert "1 ball of the table was left out." in leave_out(player, book)
    assert carries(book) == [52.6, 55, 70]
    assert "3 balls in 2 buckets" in words(player.get("/visits"))


def test_what_was_taken_in_beside_noted_balls_on_purpose_is_told_no_more(
    player: FlaskClient, book: Book, bag: Bag
) -> None:
    sent(player, noted(bag, 52.6, 55.6, 54.6))
    assert "3 balls may be noted here already" in previewed(player, bag, of_monitor(53, 56, 55), BY_TIME)
    send(player, "/table/take")
    sent(player, noted(bag, 54, 55, first_s=90))
    assert "sent later" not in words(player.get("/table"))


def test_of_a_visit_that_was_sent_in_part_only_the_rest_is_told(player: FlaskClient, book: Book, bag: Bag) -> None:
    bucket, *balls = noted(bag, 58, 61, 62, 63, 61, 62, 59)
    sent(player, [bucket, *balls[:3]])
    previewed(player, bag, of_monitor(58.4, 61.4, 62.4, 63.4, 61.4, 62.4, 59.4, first_s=-20), BY_TIME)
    send(player, "/table/preview", leave_noted="y")
    send(player, "/table/take")
    assert len(carries(book)) == 7
    sent(player, balls[3:])
    assert "4 of its balls are like balls" in words(player.get("/table"))
    leave_out(player, book)
    assert carries(book) == [58, 59, 61, 61, 62, 62, 63]


def test_without_a_time_of_day_those_of_the_day_are_told(player: FlaskClient, book: Book, bag: Bag) -> None:
    take(player, bag, a_table(80.4, 82.4, 60), BY_DAY)
    sent(player, noted(bag, 80, 82))
    assert "2 of its balls are like balls" in words(player.get("/table"))
    leave_out(player, book)
    assert carries(book) == [60, 80, 82]


def test_balls_of_another_time_or_carry_or_set_aside_are_not_told(player: FlaskClient, book: Book, bag: Bag) -> None:
    take(player, bag, of_monitor(53, 56))
    sent(player, noted(bag, 53, 56, first_s=600) + noted(bag, 70, 40))
    assert "sent later" not in words(player.get("/table"))
    bucket, *balls = noted(bag, 53, 56)
    sent(player, [bucket, *balls, corrected(bucket, aside=True)])
    assert "sent later" not in words(player.get("/table"))
    sent(player, [corrected(bucket, moved(NOW, seconds=9), aside=False)])
    assert "2 of its balls are like balls" in words(player.get("/table"))


def test_who_keeps_both_is_told_for_two_weeks(app: Flask, player: FlaskClient, book: Book, bag: Bag) -> None:
    take(player, bag, of_monitor(53, 56))
    sent(player, noted(bag, 53, 56))
    came = reading.shots(book)[0]["received_at"]
    for days, is_told in ((13, True), (15, False)):
        app.config["NOW"] = lambda days=days: moment_of(came) + timedelta(days=days)
        assert ("sent later" in words(player.get("/table"))) is is_told
    sent(player, noted(bag, 70))
    assert "sent later" not in words(player.get("/table")), "a ball that comes now is not like the table's"


def test_a_ball_at_the_calendars_beginning_shuts_no_page(app: Flask, player: FlaskClient, book: Book) -> None:
    app.config["NOW"] = lambda: moment_of(NOW)
    bucket, club = a_bucket(), a_club()
    assert book.add([bucket, club, a_shot(bucket, club, 60, "0001-01-01T00:00:00.000Z")], None, NOW).refused == []
    page_of(player, "/table")


def test_a_table_of_days_on_a_clock_far_ahead_tells_no_time_either(player: FlaskClient, book: Book, bag: Bag) -> None:
    for ahead in (120, 780):
        rows = "".join(f"2025-05-01,56,{carry},{ahead}\n" for carry in (80.4, 82.4, 60))
        columns = {**BY_DAY, "col-utc_offset_min": "3"}
        take(player, bag, f"Day,Stick,Flight,Ahead\n{rows}".encode(), columns)
        balls = noted(bag, 80, 82)
        sent(player, balls)
        assert "2 of its balls are like balls" in words(player.get("/table"))
        send(player, f"/table/{the_table(book)['id']}/back")
        sent(player, [voided(ball) for ball in balls[1:]])


@pytest.mark.parametrize("ahead_min", [-480, 330, 780])
@pytest.mark.parametrize("is_known", [True, False], ids=["its clock is known", "its clock is not known yet"])
def test_balls_of_the_players_clock_are_told_however_far_it_is_from_utc(
    player: FlaskClient, book: Book, bag: Bag, ahead_min: int, is_known: bool
) -> None:
    """By time and by day, as the table comes in and when the phone comes later; at three in the afternoon."""
    clock = "2025-05-01T15:00:00.000Z"
    if is_known:
        assert book.add([a_bucket(moved(NOW, days=-9), utc_offset_min=ahead_min)], None, NOW).refused == []
    timed = "When,Stick,Flight\n" + "".join(
        f"{moved(clock, seconds=30 * at + 5)[:19]},56,{carry}\n" for at, carry in enumerate((80.4, 82.4))
    )
    for table, columns in ((timed.encode(), BY_TIME), (a_table(80.4, 82.4, 60), BY_DAY)):
        take(player, bag, table, columns)
        bucket, *balls = noted(bag, 80, 82, first_s=(moment_of(clock) - moment_of(NOW)).seconds - 60 * ahead_min)
        bucket["body"]["utc_offset_min"] = ahead_min
        sent(player, [bucket, *balls])
        assert "2 of its balls are like balls" in words(player.get("/table"))
        send(player, f"/table/{the_table(book)['id']}/back")
        assert "2 balls may be noted here already" in previewed(player, bag, table, columns)
        sent(player, [voided(fact) for fact in (bucket, *balls)])


def test_a_bucket_that_tells_no_time_is_known_by_the_midday_of_its_clock() -> None:
    def found(*moments: str, ahead_min: int | None = None) -> dict[str, int]:
        balls = [{"bucket_id": "one", "made_at": at, "utc_offset_min": ahead_min} for at in moments]
        return without_time(balls)

    assert found("2025-05-01T12:00:00.002Z", "2025-05-01T12:00:00.003Z") == {"one": 0}
    assert found("2025-04-30T23:00:00.002Z", ahead_min=780) == {"one": 780}
    assert found("2025-05-01T12:00:00.002Z", ahead_min=-240) == {}, "eight in the morning by its clock"
    assert found("2025-05-01T12:00:00.002Z", "2025-04-30T23:00:00.002Z", ahead_min=780) == {}
    assert found("2025-05-01T12:00:10.000Z") == found("2025-05-01T11:58:00.002Z", "2025-05-01T12:00:00.003Z") == {}


def test_a_ball_struck_about_midday_is_known_by_its_time(player: FlaskClient, book: Book, bag: Bag) -> None:
    for clocks in (["12:00:10"], ["11:58", "12:00"]):
        rows = "".join(f"2025-05-01 {clock},56,53\n" for clock in clocks)
        take(player, bag, f"When,Stick,Flight\n{rows}".encode())
        sent(player, noted(bag, 53))
        assert "sent later" not in words(player.get("/table"))
        send(player, f"/table/{the_table(book)['id']}/back")


def test_what_does_not_count_counts_not_twice(player: FlaskClient, book: Book, bag: Bag) -> None:
    take(player, bag, of_monitor(53, 56, 55))
    bucket, of_course, of_sand, plain = noted(bag, 53, 56, 55)
    of_course["body"]["course"] = True
    of_sand["body"]["lie"] = "sand"
    sent(player, [bucket, of_course, of_sand, plain])
    assert "1 of its balls is like a ball" in words(player.get("/table"))
    leave_out(player, book)
    assert sorted(round(ball["carry_m"]) for ball in reading.shots(book) if ball["counted"]) == [53, 55, 56]


def test_a_ball_of_a_table_that_does_not_count_counts_not_twice_either(
    player: FlaskClient, book: Book, bag: Bag
) -> None:
    take(player, bag, of_monitor(53, 56))
    shortest = min(reading.shots(book), key=lambda ball: ball["carry_m"])
    send(player, f"/shots/{shortest['id']}/aside", do="aside")
    sent(player, noted(bag, 53, 56))
    assert "1 of its balls is like a ball" in words(player.get("/table"))
