"""The numbers of a book are worked out once for all pages, and never served after something that could move them."""

import itertools
import re
from collections import Counter
from collections.abc import Iterator
from typing import Any

import pytest
from flask.testing import FlaskClient

from tests.factories import NOW, Raw, a_bucket, a_club, a_full_carry, a_remark, a_setting, a_shot, f1_balls, raw
from tests.pages.visitor import send_facts
from webapp.books import read_card
from webapp.books.choose_shot import choosing
from webapp.books.read_card import card_of
from webapp.moments import moment_of, moved
from webapp.store import reading
from webapp.store.book import Book
from webapp.store.directory import Directory

NEWEST = re.compile(r"^SELECT (COALESCE\(MAX\(seq\), 0\) FROM facts|seq, id, received_at FROM facts ORDER BY seq DESC)")


class Counted:
    """The app's clock, and how many estimates a request made."""

    def __init__(self, app: Any, player: FlaskClient) -> None:
        self.player, self.now = player, NOW
        app.config["NOW"] = lambda: moment_of(self.now)

    def ask(self, path: str) -> tuple[str, int]:
        """A page and the number of estimates it took."""
        before = read_card.estimates.made
        answer = self.player.get(path)
        assert answer.status_code == 200
        return answer.text, read_card.estimates.made - before


@pytest.fixture
def counted(app: Any, player: FlaskClient) -> Counted:
    return Counted(app, player)


@pytest.fixture
def facts(book: Book) -> list[Raw]:
    """A wedge, a visit of yesterday with F1's ten balls."""
    club, bucket = a_club("56"), a_bucket(moved(NOW, days=-1))
    put(book, [club, bucket, a_full_carry(club, 85), *f1_balls(bucket, club, moved(NOW, days=-1))])
    return [club, bucket]


def put(book: Book, facts: list[Raw]) -> None:
    answer = book.add(facts, None, max(fact["made_at"] for fact in facts))
    assert not answer.refused


def number(text: str, club: Raw) -> float:
    """The typical carry [m] that the card's page holds for the 9:00 swing."""
    found = re.search(rf'data-cell="{club["id"]}:90".*?data-part="carry" data-m="([^"]+)"', text, re.DOTALL)
    assert found
    return float(found[1])


def test_one_estimate_serves_every_page(counted: Counted, facts: list[Raw]) -> None:
    taken = [
        counted.ask(path)[1]
        for path in (
            "/card",
            f"/card/{facts[0]['id']}/90",
            "/fits",
            "/practice",
            "/trends",
            "/conditions",
            "/bag",
            "/card",
        )
    ]
    assert taken == [1, 0, 0, 0, 0, 0, 0, 0]


@pytest.mark.parametrize(
    "path", ["/card", "/bucket", "/fits", "/fits/leave", "/practice", "/trends", "/visits", "/homework", "/remarks"]
)
def test_a_page_reads_no_row_of_a_book_twice(
    demo: FlaskClient, directory: Directory, monkeypatch: pytest.MonkeyPatch, path: str
) -> None:
    """As of one moment they are the same; only which fact is the newest is asked again: what is kept hangs on that."""
    with directory.open_book(directory.books()[0]["id"]) as book:
        ball = reading.shots(book, most=1)[0]
        put(book, [a_remark(shot_id=ball["id"], words=words) for words in ("low hands", "hold it")])
    asked: list[str] = []
    open_book = type(directory).open_book

    def opened(*named: Any, **more: Any) -> Book:
        book = open_book(*named, **more)
        book.conn.set_trace_callback(asked.append)
        return book

    monkeypatch.setattr(type(directory), "open_book", opened)
    assert demo.get(path).status_code == 200
    read = [one for one in asked if one.startswith("SELECT") and not NEWEST.search(one)]
    assert read
    assert [one for one, times in Counter(read).items() if times > 1] == []


def test_a_ball_that_another_connection_brings_moves_the_number_at_once(
    counted: Counted, facts: list[Raw], book: Book
) -> None:
    club, bucket = facts
    before = number(counted.ask("/card")[0], club)
    put(book, [a_shot(bucket, club, 60, NOW)])
    text, made = counted.ask("/card")
    assert made == 1
    assert number(text, club) > before


def test_a_ball_that_the_phone_sends_moves_the_number_at_once(counted: Counted, facts: list[Raw]) -> None:
    club, bucket = facts
    before = number(counted.ask("/card")[0], club)
    send_facts(counted.player, [a_shot(bucket, club, 48, moved(NOW, minutes=-5))])
    assert number(counted.ask("/card")[0], club) < before


def test_what_fits_is_never_kept_from_before_a_ball_that_came_meanwhile(
    facts: list[Raw], book: Book, directory: Directory
) -> None:
    club, bucket = facts
    place = club["id"], 90
    for before in itertools.count(1):  # the ball comes before the first statement that is read, the second, ...
        with directory.open_book(book.id) as reader:
            statements = itertools.count(1)

            def ball_comes(_: str, at: int = before, seen: Iterator[int] = statements) -> None:
                if next(seen) == at:
                    put(book, [a_shot(bucket, club, 50 + at, moved(NOW, seconds=at - 900))])

            reader.conn.set_trace_callback(ball_comes)
            choosing(reader, NOW)
            reader.conn.set_trace_callback(None)
            found = {(one.club_id, one.swing_deg): one.carry_m for one in choosing(reader, NOW).candidates}
            assert found[place] == card_of(reader, NOW).cells[place].shown_carry_m, before
        if next(statements) <= before:
            break
    assert before > 10


def test_a_setting_and_an_eye_check_are_heard_at_once(counted: Counted, facts: list[Raw], book: Book) -> None:
    counted.ask("/card")
    put(book, [a_setting("gap_limit_m", 9.0, NOW)])
    assert counted.ask("/card")[1] == 1
    put(book, [raw("eye_check", {"said_m": 50.0, "measured_m": 47.0, "by": "laser"}, NOW)])
    assert counted.ask("/card")[1] == 1


def test_a_new_day_and_the_end_of_a_visit_are_worked_out_anew(counted: Counted, facts: list[Raw], book: Book) -> None:
    club = facts[0]
    today = a_bucket(NOW)
    put(book, [today, a_shot(today, club, 54, NOW)])
    counted.now = moved(NOW, hours=1)
    assert counted.ask("/card")[1] == 1
    counted.now = moved(NOW, hours=5)
    assert counted.ask("/card")[1] == 0
    counted.now = moved(NOW, hours=6)  # the visit is over: the phone is sent other numbers to start from
    assert counted.ask("/card")[1] == 1
    counted.now = moved(NOW, hours=14)
    assert counted.ask("/card")[1] == 0
    counted.now = moved(NOW, hours=15)  # past midnight
    assert counted.ask("/card")[1] == 1


def test_the_day_is_the_day_of_the_players_clock(counted: Counted, facts: list[Raw], book: Book) -> None:
    there = a_bucket(moved(NOW, hours=-1), utc_offset_min=-420)
    put(book, [there, a_shot(there, facts[0], 54, moved(NOW, hours=-1))])
    counted.now = moved(NOW, hours=20)  # 5:30 in UTC, 22:30 there
    counted.ask("/card")
    counted.now = moved(NOW, hours=21)
    assert counted.ask("/card")[1] == 0
    counted.now = moved(NOW, hours=22)
    assert counted.ask("/card")[1] == 1


def test_the_numbers_do_not_depend_on_who_asked_first(counted: Counted, facts: list[Raw], book: Book) -> None:
    early, late = moved(NOW, hours=1), moved(NOW, hours=9)
    found = []
    for first in (early, late):
        read_card.estimates.value((str(book.path), False, "range"), None, lambda: None)  # what was kept is given up
        read_card.card_of(book, first)
        found.append(read_card.card_of(book, late))
    assert found[0] == found[1]
    assert found[0].as_of == late


def test_a_clock_set_back_does_not_show_balls_of_later(counted: Counted, facts: list[Raw], book: Book) -> None:
    club = facts[0]
    before = number(counted.ask("/card")[0], club)
    today = a_bucket(moved(NOW, hours=2))
    put(book, [today, a_shot(today, club, 60, moved(NOW, hours=2))])
    counted.now = moved(NOW, hours=3)
    assert number(counted.ask("/card")[0], club) > before
    counted.now = NOW
    assert number(counted.ask("/card")[0], club) == pytest.approx(before, rel=1e-9)


def test_a_mirrored_players_bag_takes_the_numbers_of_the_card(counted: Counted, book: Book, facts: list[Raw]) -> None:
    put(book, [a_setting("hand", "left")])
    assert counted.ask("/card")[1] == 1
    assert counted.ask("/bag")[1] == 0
