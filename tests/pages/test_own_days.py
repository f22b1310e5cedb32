"""Days are those of the player's own clock on every page, however far that clock is from UTC."""

import json
import re
from collections.abc import Callable
from datetime import datetime
from urllib.parse import quote

import pytest
from flask import Flask
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from webapp.days import day
from webapp.moments import local, moment_of, moved
from webapp.phone_pages import KEPT
from webapp.store import reading, tables
from webapp.store.book import Book
from webapp.store.directory import Directory

from ..factories import NOW, a_bucket, a_club, a_setting, a_shot, f1_balls, numbered
from .test_table import OF_ALL, boxes, bring
from .test_table_alike import BY_DAY, BY_TIME, Bag, a_table, previewed, taken
from .visitor import send, words

CLUB = numbered(1)
PAGES: dict[str, Callable[[FlaskClient], TestResponse]] = {
    "a note of the course": lambda phone: send(phone, "/round/notes", meant="50", landed="on", lie="level"),
    "since when card only is on": lambda phone: send(phone, "/round", do="set"),
    "the phones": lambda phone: phone.get("/phones"),
    "the recovery sheet": lambda phone: send(phone, "/recovery"),
    "the printed card": lambda phone: send(phone, "/print", line="yd 0a1b2c3d 90=61") and phone.get("/print"),
    "the balls behind a number that moved": lambda phone: phone.get(f"/card/{CLUB}/90"),
}


FAR = pytest.mark.parametrize(
    ("ahead_min", "now", "today", "in_a_week"),
    [(-660, NOW, "30 Apr 2025", "7 May 2025"), (780, "2025-05-01T12:30:00.000Z", "2 May 2025", "9 May 2025")],
)


@pytest.fixture
def phone(app: Flask, directory: Directory, book: Book, ahead_min: int, now: str) -> FlaskClient:
    """A phone of a book with balls of just now, by a clock far from UTC."""
    app.config["NOW"] = lambda: moment_of(now)
    bucket, club = a_bucket(now, utc_offset_min=ahead_min), {**a_club(), "id": CLUB, "root": CLUB}
    number_moved = a_setting("moved_cells", [f"{CLUB}:90 {now}"])
    assert book.add([bucket, club, *f1_balls(bucket, club, now), number_moved], None, now).refused == []
    client = app.test_client()
    client.set_cookie("book", directory.new_device(book.id, "Phone", now))
    return client


@FAR
@pytest.mark.parametrize("asked", PAGES)
def test_a_day_is_the_one_that_the_players_clock_showed(
    phone: FlaskClient, asked: str, today: str, in_a_week: str
) -> None:
    page = words(PAGES[asked](phone))
    assert today in page
    assert " 1 May 2025" not in page


@FAR
def test_a_coachs_link_ends_on_the_day_that_the_players_clock_will_show(
    app: Flask, phone: FlaskClient, today: str, in_a_week: str
) -> None:
    page = send(phone, "/links", days="7")
    assert f"open until {in_a_week}, not opened yet" in words(page)
    (address,) = set(re.findall(r"/w/[\w-]{20,}", page.text))
    assert f"Read only, open until {in_a_week} unless" in words(app.test_client().get(address))


@pytest.mark.parametrize("path", [*KEPT, "/trends", "/trends/periods?what=last", "/trends/year", "/visits"])
def test_a_page_is_of_one_day_though_midnight_falls_while_it_is_made(
    app: Flask, player: FlaskClient, book: Book, path: str
) -> None:
    midnight, club, bucket = "2025-05-02T00:00:00.000Z", a_club(), a_bucket(NOW)
    assert not book.add([club, bucket, *f1_balls(bucket, club, NOW)], None, NOW).refused
    before, read = moved(midnight, seconds=-1), []

    def clock() -> datetime:
        read.append(midnight if read else before)
        return moment_of(read[-1])

    app.config["NOW"] = clock
    told = player.get(path, headers={"X-Kept-Page": "1"})
    assert (told.status_code, read) == (200, [before])
    app.config["NOW"] = lambda: moment_of(before)
    assert player.get(path, headers={"X-Kept-Page": "1"}).text == told.text


# Half past seven in the evening west of UTC, half past eight in the morning far east of it, evening half an hour off.
TABLE_CLOCKS = pytest.mark.parametrize(
    ("ahead_min", "now"),
    [(-480, "2025-11-10T03:30:00.000Z"), (780, "2025-11-09T19:30:00.000Z"), (330, "2025-11-09T14:00:00.000Z")],
)


def a_clock_is_told(app: Flask, book: Book, bag: Bag, ahead_min: int, now: str) -> None:
    """Have a phone tell its clock with a ball of eight hours ago."""
    app.config["NOW"] = lambda: moment_of(now)
    begun = moved(now, hours=-8)
    bucket = a_bucket(begun, utc_offset_min=ahead_min)
    assert book.add([bucket, a_shot(bucket, bag["51"], 90, begun)], None, now).refused == []


def told(moments: list[str], ahead_min: int) -> bytes:
    """A table of balls struck at these moments, as the player's own clock showed them."""
    rows = (f"{local(at, ahead_min)[:19].replace('T', ' ')},56,{80 + n}\n" for n, at in enumerate(moments))
    return ("When,Stick,Flight\n" + "".join(rows)).encode()


def of_56(book: Book, bag: Bag) -> list[dict[str, str]]:
    """The balls of a table in the order struck."""
    return sorted((one for one in reading.shots(book) if one["club_id"] == bag["56"]), key=lambda one: one["struck_at"])


@TABLE_CLOCKS
def test_balls_of_a_table_of_today_lie_where_the_players_clock_stood(
    app: Flask, player: FlaskClient, book: Book, bag: Bag, ahead_min: int, now: str
) -> None:
    a_clock_is_told(app, book, bag, ahead_min, now)
    struck = [moved(now, minutes=-60, seconds=10 * at) for at in range(6)]
    shown = day(local(struck[0], ahead_min))
    assert shown in previewed(player, bag, told(struck, ahead_min), BY_TIME)
    page = words(send(player, "/table/take"))
    assert page.count(shown) == 2, "when it came, and of which day its balls are"
    balls = of_56(book, bag)
    assert [ball["struck_at"] for ball in balls] == struck
    assert [ball["local_at"] for ball in balls] == [local(at, ahead_min) for at in struck]
    assert [len(visit) for visit in reading.visits(book)] == [1, 1]
    assert reading.visits(book)[0][0]["local_at"] == local(struck[0], ahead_min)
    assert f"{shown.removesuffix(' 2025')} " in words(player.get("/visits"))
    assert reading.utc_offset_min(book) == ahead_min


@TABLE_CLOCKS
def test_in_a_book_that_knows_no_clock_a_table_lies_where_that_of_the_phone_stands(
    app: Flask, player: FlaskClient, book: Book, bag: Bag, ahead_min: int, now: str
) -> None:
    app.config["NOW"] = lambda: moment_of(now)
    struck = [moved(now, minutes=-60, seconds=10 * at) for at in range(7)]
    for clock_min, n in ((ahead_min, 6), (0, 7)):  # the longer one comes from a phone whose clock stands elsewhere
        player.set_cookie("phone", quote(json.dumps({"ahead_min": clock_min}), safe=""))
        taken(player, bag, told(struck[:n], ahead_min), BY_TIME)
        balls = of_56(book, bag)
        assert [ball["struck_at"] for ball in balls] == struck[:n]
        assert [ball["local_at"] for ball in balls] == [local(at, ahead_min) for at in struck[:n]]
    assert len(reading.visits(book)) == 1
    assert reading.utc_offset_min(book) == ahead_min


@TABLE_CLOCKS
def test_a_day_alone_is_one_of_the_players_clock(
    app: Flask, player: FlaskClient, book: Book, bag: Bag, ahead_min: int, now: str
) -> None:
    a_clock_is_told(app, book, bag, ahead_min, now)
    today, before = (local(moved(now, days=-days), ahead_min)[:10] for days in (0, 1))
    rows = a_table(80, 81, day=before) + a_table(82, 83, day=today).partition(b"\n")[2]
    assert day(before) in previewed(player, bag, rows)
    send(player, "/table/take")
    balls = of_56(book, bag)
    assert [ball["local_at"][:10] for ball in balls] == [before] * 2 + [today] * 2
    assert [ball["local_at"] for ball in balls[:2]] == [f"{before}T12:00:00.00{line}" for line in (2, 3)]


@pytest.mark.parametrize("of_book", [None, -480, 330])
@pytest.mark.parametrize("ahead_min", [-480, 780, 330])
def test_a_row_whose_offset_is_told_goes_by_it_once(
    app: Flask, player: FlaskClient, book: Book, bag: Bag, ahead_min: int, of_book: int | None
) -> None:
    now = "2025-11-12T00:00:00.000Z"
    if of_book is not None:
        a_clock_is_told(app, book, bag, of_book, now)
    ahead = f"{'-' if ahead_min < 0 else '+'}{abs(ahead_min) // 60:02}:{abs(ahead_min) % 60:02}"
    rows = [
        f"2025-11-09 18:30:00,56,80,{ahead_min}", f"2025-11-10,56,81,{ahead_min}", f"2025-11-11 06:30:00{ahead},56,82,",
    ]  # fmt: skip
    content = ("When,Stick,Flight,Ahead\n" + "\n".join(rows) + "\n").encode()
    page = previewed(player, bag, content, {**BY_TIME, "col-utc_offset_min": "3"})
    assert [shown in page for shown in ("9 Nov", "10 Nov", "11 Nov", "8 Nov", "12 Nov")] == [True] * 3 + [False] * 2
    send(player, "/table/take")
    clocks = ["2025-11-09T18:30:00.000", "2025-11-10T12:00:00.003", "2025-11-11T06:30:00.000"]
    assert [ball["local_at"] for ball in of_56(book, bag)] == clocks
    assert [ball["made_at"] for ball in of_56(book, bag)] == [moved(clock, minutes=-ahead_min) for clock in clocks]


@TABLE_CLOCKS
@pytest.mark.parametrize("columns", [BY_TIME, BY_DAY])
def test_a_table_that_came_before_its_players_clock_was_known_is_known_again(
    app: Flask, player: FlaskClient, book: Book, bag: Bag, ahead_min: int, now: str, columns: dict[str, str]
) -> None:
    app.config["NOW"] = lambda: moment_of(now)
    rows = told([moved(now, minutes=-90, seconds=10 * at) for at in range(4)], ahead_min)
    if columns is BY_DAY:
        rows = re.sub(rb" [0-9:]{8}", b"", rows)
    taken(player, bag, rows, columns)
    ids = {ball["id"] for ball in of_56(book, bag)}
    a_clock_is_told(app, book, bag, ahead_min, now)
    assert "Nothing new is in this table." in previewed(player, bag, rows, columns)
    longer = rows + rows.splitlines()[-1].replace(b",83", b",84") + b"\n"
    page = previewed(player, bag, longer, columns)
    assert "1 ball comes in" in page
    assert "4 are in the book already" in page
    assert "another table" not in page
    send(player, "/table/take")
    assert len(of_56(book, bag)) == 5
    (new,) = [ball for ball in of_56(book, bag) if ball["id"] not in ids]
    assert new["local_at"][:10] == local(now, ahead_min)[:10]
    for again in (rows, longer):
        assert "Nothing new is in this table." in previewed(player, bag, again, columns)


@pytest.mark.parametrize(
    ("first_min", "later_min"), [(-480, -420), (-480, 780), (None, 780)], ids=["summer time", "a flight", "not told"]
)
def test_a_longer_table_goes_on_by_the_clock_of_the_shorter_one(
    app: Flask, player: FlaskClient, book: Book, bag: Bag, first_min: int | None, later_min: int
) -> None:
    now = "2025-11-10T03:30:00.000Z"
    app.config["NOW"] = lambda: moment_of(now)
    if first_min is not None:
        a_clock_is_told(app, book, bag, first_min, now)
    struck = [moved(now, minutes=10 * at - 60) for at in range(5)]
    taken(player, bag, told(struck[:3], first_min or 0), BY_TIME)
    a_clock_is_told(app, book, bag, later_min, moved(now, days=1))
    assert "2 balls come in" in previewed(player, bag, told(struck, first_min or 0), BY_TIME)
    send(player, "/table/take")
    assert [ball["struck_at"] for ball in of_56(book, bag)] == struck
    assert len({ball["visit_id"] for ball in of_56(book, bag)}) == 1


def test_an_old_table_goes_by_the_clock_that_the_book_knows_of_its_days(
    app: Flask, player: FlaskClient, book: Book, bag: Bag
) -> None:
    now = "2025-11-10T03:30:00.000Z"
    a_clock_is_told(app, book, bag, -480, now)
    a_clock_is_told(app, book, bag, 780, moved(now, days=9))
    struck = [moved(now, minutes=10 * at - 60) for at in range(3)]
    taken(player, bag, told(struck, -480), BY_TIME)
    assert [ball["struck_at"] for ball in of_56(book, bag)] == struck


@TABLE_CLOCKS
def test_rows_that_join_a_bucket_go_by_its_clock(
    app: Flask, player: FlaskClient, book: Book, bag: Bag, ahead_min: int, now: str
) -> None:
    app.config["NOW"] = lambda: moment_of(moved(now, days=2))
    struck = [moved(now, minutes=-60, seconds=10 * at) for at in range(4)]
    rows = told(struck, ahead_min).replace(b",56,81", b",51,81").replace(b",56,82", b",51,82")

    def take(of_51: str) -> str:
        bring(player, rows)
        send(player, "/table/columns", **BY_TIME)
        box = boxes(player.get("/table/words"))
        answers = {box["56"]: bag["56"], box["51"]: of_51, "all-swing": "full"}
        page = words(send(player, "/table/words", **answers, **OF_ALL))
        send(player, "/table/take")
        return page

    assert "2 balls come in" in take("-")
    (bucket,) = reading.buckets(book)
    a_clock_is_told(app, book, bag, ahead_min, moved(now, days=-2))
    app.config["NOW"] = lambda: moment_of(moved(now, days=2))
    assert "2 balls come in" in take(bag["51"])
    balls = sorted(reading.shots_of_bucket(book, bucket["id"]), key=lambda one: one["struck_at"])
    assert [ball["local_at"] for ball in balls] == [local(at, ahead_min) for at in struck]


@TABLE_CLOCKS
def test_a_table_taken_back_comes_in_anew_by_the_clock_that_is_known_now(
    app: Flask, player: FlaskClient, book: Book, bag: Bag, ahead_min: int, now: str
) -> None:
    app.config["NOW"] = lambda: moment_of(now)
    struck = [moved(now, minutes=-60, seconds=10 * at) for at in range(3)]
    taken(player, bag, told(struck, ahead_min), BY_TIME)
    a_clock_is_told(app, book, bag, ahead_min, now)
    assert [ball["made_at"] for ball in of_56(book, bag)] != struck
    send(player, f"/table/{tables.tables(book)[0]['id']}/back")
    assert "3 balls come in" in previewed(player, bag, told(struck, ahead_min), BY_TIME)
    send(player, "/table/take")
    assert [ball["made_at"] for ball in of_56(book, bag)] == struck
