"""Where a phone without signal goes on from the server's card, it comes to what the server says of the same balls.

Source: none outside; each book is put to both. That the numbers of one visit differ by less than a yard is the bound of
tests/core/test_estimate_players.py for nine phones in ten.
"""

import json
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page

from tests.factories import FULL_CARRIES_YD, Raw, a_bucket, a_club, a_setting, a_shot, corrected
from webapp import phone_data
from webapp.books import read_card
from webapp.moments import moved
from webapp.store.book import Book
from webapp.units import YARD_M

from .blank import answers_of

OLD, BEGUN = "2025-01-01T00:00:00.000Z", "2025-06-10T08:00:00.000Z"
PAGE_MADE, READ = moved(BEGUN, minutes=30), moved(BEGUN, minutes=90)
CLUBS = [a_club(name, made_at=OLD) for name in FULL_CARRIES_YD]
FIFTY_SIX = CLUBS[2]

Books = tuple[list[Raw], list[Raw], str]  # what the server knew, what the phone noted since, when both are read


def struck(bucket: Raw, carries_yd: Sequence[float | None], minutes: int = 0, club: Raw = FIFTY_SIX) -> list[Raw]:
    """Balls of a bucket, one a minute; None is one lost from sight."""
    begun = bucket["made_at"]
    return [a_shot(bucket, club, yd, moved(begun, minutes=minutes + at)) for at, yd in enumerate(carries_yd)]


def practised(carries_yd: list[float], days: int = 5) -> list[Raw]:
    """The bag, the card of range balls, and one visit some days ago."""
    bucket = a_bucket(moved(BEGUN, days=-days))
    return [*CLUBS, a_setting("ball", "range", OLD), bucket, *struck(bucket, carries_yd)]


def one_more_bucket() -> Books:
    bucket = a_bucket(moved(BEGUN, minutes=40))
    return practised([54, 57, 52, 55]), [bucket, *struck(bucket, [60, 58, 61])], READ


def own_balls_struck_before() -> Books:
    own, bucket = a_bucket(BEGUN, ball="own"), a_bucket(moved(BEGUN, minutes=40))
    return [*practised([54, 55]), own, *struck(own, [62] * 15)], [bucket, *struck(bucket, [80], club=CLUBS[0])], READ


def a_bucket_without_balls_between() -> Books:
    first, empty, last = (a_bucket(moved(BEGUN, hours=hours)) for hours in (0, 5, 10))
    noted = [first, *struck(first, [54] * 5), empty, last, *struck(last, [54] * 3)]
    return practised([54] * 5), noted, moved(BEGUN, hours=11)


def the_two_hundredth_ball_long_ago() -> Books:
    visits = [a_bucket(moved(BEGUN, days=-days)) for days in range(2, 7)]
    known = [shot for visit in visits for shot in struck(visit, [54 + at % 5 for at in range(42)])]
    bucket = a_bucket(moved(BEGUN, minutes=40))
    return [*CLUBS, *visits, *known], [bucket, *struck(bucket, [54] * 5)], READ


def more_balls_of_one_visit_than_are_heard() -> Books:
    """The visit begins on the page and goes on after it, and another follows; both have more balls than are heard."""
    visits = [a_bucket(moved(BEGUN, days=-days)) for days in range(2, 7)]
    known = [shot for visit in visits for shot in struck(visit, [52 + at % 5 for at in range(10)])]
    here, later = a_bucket(BEGUN), a_bucket(moved(BEGUN, hours=9))
    known += [here, *struck(here, [54 + at % 5 for at in range(30)])]
    noted = [
        *struck(here, [56 + at % 5 for at in range(40)], 35),
        later,
        *struck(later, [54 + at % 5 for at in range(60)]),
    ]
    return [*CLUBS, *visits, *known], noted, moved(BEGUN, hours=11)


def visits_that_push_older_ones_out() -> Books:
    visits = [a_bucket(moved(BEGUN, days=-days)) for days in range(2, 7)]
    known = [shot for visit in visits for shot in struck(visit, [52 + at % 5 for at in range(45)])]
    first, last = a_bucket(moved(BEGUN, minutes=40)), a_bucket(moved(BEGUN, hours=9))
    noted = [
        first,
        *struck(first, [54 + at % 5 for at in range(44)]),
        last,
        *struck(last, [53 + at % 5 for at in range(44)]),
    ]
    return [*CLUBS, *visits, *known], noted, moved(BEGUN, hours=11)


def balls_lost_from_sight() -> Books:
    """They are read, do not count, and push older ones out: of the oldest visit lost ones alone are left."""
    visits = [a_bucket(moved(BEGUN, days=-days)) for days in range(6, 1, -1)]
    known = [
        shot
        for lost, visit in zip([30, 0, 5, 9, 0], visits, strict=True)
        for shot in struck(visit, [None if 10 <= at < 10 + lost else 53.0 + at % 5 for at in range(40)])
    ]
    bucket = a_bucket(moved(BEGUN, minutes=40))
    seen_and_lost = [None if at % 6 == 3 else 54.0 + at % 4 for at in range(10)]
    return [*CLUBS, *visits, *known], [bucket, *struck(bucket, seen_and_lost)], READ


def a_visit_of_many_balls_that_falls_out(noted: int = 40) -> Books:
    visits = [a_bucket(moved(BEGUN, days=-days)) for days in range(6, 1, -1)]
    known = [
        shot
        for many, visit in zip([60, 30, 30, 30, 30], visits, strict=True)
        for shot in struck(visit, [53 + at % 5 for at in range(many)])
    ]
    bucket = a_bucket(moved(BEGUN, minutes=40))
    return [*CLUBS, *visits, *known], [bucket, *struck(bucket, [54] * noted)], READ


def a_visit_of_many_balls_with_room_for_all_that_are_heard() -> Books:
    """The two hundredth ball is its fiftieth: whether it has more is not asked any more."""
    return a_visit_of_many_balls_that_falls_out(noted=30)


def a_visit_of_many_balls_with_room_for_one_more() -> Books:
    return a_visit_of_many_balls_that_falls_out(noted=29)


def a_number_that_moved_amid_its_latest_balls() -> Books:
    """The older ones are read and do not count any more."""
    visits = [a_bucket(moved(BEGUN, days=-days)) for days in range(6, 1, -1)]
    known = [shot for visit in visits for shot in struck(visit, [52 + at % 5 for at in range(42)])]
    move = f"{FIFTY_SIX['root']}:90 {moved(BEGUN, days=-3, hours=-1)}"
    told = a_setting("moved_cells", [move], moved(BEGUN, days=-1))
    bucket = a_bucket(moved(BEGUN, minutes=40))
    return [*CLUBS, *visits, *known, told], [bucket, *struck(bucket, [54] * 5)], READ


BOOKS = [
    one_more_bucket, own_balls_struck_before, a_bucket_without_balls_between, the_two_hundredth_ball_long_ago,
    more_balls_of_one_visit_than_are_heard, visits_that_push_older_ones_out,
    balls_lost_from_sight, a_visit_of_many_balls_that_falls_out, a_visit_of_many_balls_with_room_for_all_that_are_heard,
    a_visit_of_many_balls_with_room_for_one_more, a_number_that_moved_amid_its_latest_balls,
]  # fmt: skip


def both(blank: Page, folder: Path, books: Books) -> tuple[dict[str, Any], Any]:
    """What the phone makes of its balls, and the server's card with them."""
    known, noted, read_at = books
    with Book(folder / "book.sqlite") as book:
        assert not book.add(known, None, PAGE_MADE).refused
        card = read_card.card_of(book, PAGE_MADE)
        data = json.loads(json.dumps(phone_data.card_numbers(book, {"unit": "yd", "junior": False}, card)))
        seqs = {fact["id"]: fact["seq"] for fact in book.after(0, 5000)}
        rows = [{**fact, "state": "taken", "seq": seqs[fact["id"]]} for fact in known if fact["kind"] != "club"]
        rows += [{**fact, "state": "waiting"} for fact in noted]
        assert not book.add(noted, None, read_at).refused
        (answer,) = answers_of(blank, "moved", "movedCells", [[data, rows]])
        return answer["gives"], read_card.card_of(book, read_at)


@pytest.mark.parametrize("books", BOOKS, ids=lambda books: books.__name__)
def test_the_phone_comes_to_the_servers_numbers(blank: Page, tmp_path: Path, books: Callable[[], Books]) -> None:
    said, card = both(blank, tmp_path, books())
    assert said["waiting"] == []
    for cell in card.cells.values():
        phone = said["moved"][cell.key]
        assert (phone["n"], phone["visits"], phone["trust"]) == (cell.n, cell.visits, cell.trust), cell.key
        assert (phone["of_latest"], phone["at_most"]) == (cell.of_latest, cell.at_most), cell.key
        assert phone["carry_m"] == pytest.approx(cell.typical_carry_m, abs=YARD_M), cell.key


@pytest.mark.parametrize("minutes", [-60, 5], ids=["before the visit", "within it"])
def test_a_number_said_to_have_moved_waits_for_the_server(blank: Page, tmp_path: Path, minutes: int) -> None:
    """Only the server knows what balls from before the move still say."""
    here = a_bucket(BEGUN)
    moment = moved(BEGUN, minutes=minutes)
    told = a_setting("moved_cells", [f"{FIFTY_SIX['root']}:90 {moment}"], moment)
    known = [*practised([54] * 10), here, *(struck(here, [54] * 3) if minutes > 0 else []), told]
    said, card = both(blank, tmp_path, (known, struck(here, [64] * 3, minutes=45), READ))
    key = f"{FIFTY_SIX['root']}:90"
    assert said["waiting"] == [key]
    assert key not in said["moved"]
    assert set(said["moved"]) == {cell.key for cell in card.cells.values()} - {key}


def test_a_number_moves_again_once_a_ball_of_its_own_came_after_the_move(blank: Page, tmp_path: Path) -> None:
    since = a_bucket(moved(BEGUN, days=-1))
    told = a_setting("moved_cells", [f"{FIFTY_SIX['root']}:90 {moved(BEGUN, days=-2)}"], moved(BEGUN, days=-2))
    bucket = a_bucket(moved(BEGUN, minutes=40))
    known = [*practised([54] * 10), told, since, *struck(since, [64] * 3)]
    said, _ = both(blank, tmp_path, (known, [bucket, *struck(bucket, [64] * 3)], READ))
    assert said["waiting"] == []
    assert said["moved"][f"{FIFTY_SIX['root']}:90"]["n"] == 6


def test_the_end_of_a_bucket_of_another_kind_of_ball_moves_nothing(blank: Page, tmp_path: Path) -> None:
    own = a_bucket(BEGUN, ball="own")
    known = [*practised([54] * 5), own, *struck(own, [62] * 5)]
    said, _ = both(blank, tmp_path, (known, [corrected(own, READ, ended_at=READ)], READ))
    assert said == {"moved": {}, "waiting": [], "since": 0}


def test_a_corrected_ball_of_an_older_visit_waits_for_the_server(blank: Page, tmp_path: Path) -> None:
    known = practised([54] * 5)
    said, _ = both(blank, tmp_path, (known, [corrected(known[-1], READ, carry_m=40 * YARD_M)], READ))
    assert said["waiting"] == [f"{FIFTY_SIX['root']}:90"]
