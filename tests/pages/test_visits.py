"""The page of a visit puts right what was said of its buckets, and says which balls that changes."""

import csv
import io
import re
from collections import Counter
from collections.abc import Callable
from html import unescape
from pathlib import Path
from typing import Any
from uuid import uuid4

import pytest
from flask.testing import FlaskClient

from tests.factories import NOW, Raw, a_bucket, a_club, a_shot, voided
from webapp.books import make_facts
from webapp.books.import_balls import import_balls
from webapp.moments import moment_of, moved
from webapp.store import reading
from webapp.store.book import Book
from webapp.units import YARD_M

from .visitor import page_of, send, words

AS_IT_STOOD = {
    "ball": "range", "surface": "mat", "judged_by": "monitor", "place": "Pellow Fen", "wind": "calm",
    "wind_force": "light", "bay_offset": "", "temperature": "", "temperature_unit": "c", "monitor_note": "",
    "flags_checked": "",
}  # fmt: skip


@pytest.fixture
def put(app: Any, book: Book) -> Callable[..., tuple[Raw, list[Raw]]]:
    """Put one bucket with three balls of a 56 into the book; gives the bucket and its balls."""
    app.config["NOW"] = lambda: moment_of(moved(NOW, hours=1))
    club = a_club("56")

    def one(made_at: str = NOW, **said: Any) -> tuple[Raw, list[Raw]]:
        bucket = a_bucket(made_at, **said)
        balls = [a_shot(bucket, club, 50 + at, moved(made_at, minutes=at)) for at in range(3)]
        assert not book.add([club, bucket, *balls], None, NOW).refused
        return bucket, balls

    return one


def said(book: Book, fact: Raw) -> list[Any]:
    """What was said last of a thing, and how often something was said of it."""
    history = book.history(fact["root"])
    return [history[-1]["body"], len(history)]


def right(player: FlaskClient, bucket: Raw, **answers: str) -> Any:
    return send(player, f"/visits/{bucket['id']}/right", **{**AS_IT_STOOD, **answers})


def test_every_visit_of_many_years_is_found_a_page_at_a_time(player: FlaskClient, book: Book) -> None:
    begun = [moved(NOW, days=-visit) for visit in range(430)]
    again = [moved(at, minutes=20) for at in begun[:30]]  # some have two buckets, at which a page may not be cut
    book.add_whole([a_bucket(at) for at in [*begun, *again]], None, NOW)
    found, address = list[str](), "/visits"
    while address:
        page = page_of(player, address).text
        found += re.findall(r'<li><a href="/visits/([0-9a-f-]{36})">', page)
        more = re.search(r'href="(/visits\?before=[^"]+)">Earlier visits<', page)
        address = unescape(more[1]) if more else ""
    assert len(found) == len({*found}) == 430


def test_the_kind_of_ball_and_the_surface_of_a_bucket_are_put_right(
    player: FlaskClient, book: Book, put: Callable[..., tuple[Raw, list[Raw]]]
) -> None:
    bucket, balls = put(plan=["mix"], bay_offset_m=-1.2345678)
    page = right(player, bucket, ball="own", surface="grass", bay_offset="-1.4")
    assert "Kept: the bucket is put right." in words(page)
    assert "Pellow Fen, grass, own balls, judged by monitor" in words(page)
    assert said(book, bucket) == [{**bucket["body"], "ball": "own", "surface": "grass"}, 2]
    assert {shot["ball"] for shot in reading.shots(book)} == {"own"}
    assert [said(book, ball)[1] for ball in balls] == [1, 1, 1]


def judged(book: Book, *balls: Raw) -> list[str]:
    """How balls are judged."""
    return [found["judged_by"] for ball in balls if (found := reading.shot(book, ball["id"]))]


def test_how_a_bucket_is_judged_holds_for_its_balls_and_not_for_one_noted_otherwise(
    player: FlaskClient, book: Book, put: Callable[..., tuple[Raw, list[Raw]]]
) -> None:
    bucket, balls = put()
    others = put(moved(NOW, minutes=10))[1]
    send(player, f"/shots/{balls[1]['id']}", landed="seen", contact="clean", carry="51", judged_by="laser")
    for way in ("eye", "laser", "eye", "markers"):
        right(player, bucket, judged_by=way)
        assert judged(book, *balls, *others) == [way, "laser", way, "monitor", "monitor", "monitor"]
    assert [said(book, ball)[1] for ball in balls] == [1, 2, 1]
    book.rebuild()
    assert judged(book, *balls) == ["markers", "laser", "markers"]


def test_a_ball_goes_by_its_bucket_until_it_is_judged_apart(
    player: FlaskClient, book: Book, put: Callable[..., tuple[Raw, list[Raw]]]
) -> None:
    bucket, balls = put()
    right(player, bucket, judged_by="eye")
    stood = {"landed": "seen", "contact": "clean", "carry": "55", "judged_by": "eye"}
    assert "Kept." in words(send(player, f"/shots/{balls[0]['id']}", **{**stood, "contact": "thin"}))
    assert judged(book, *balls) == ["eye", "eye", "eye"]
    for way in ("monitor", "laser"):
        assert "Kept." in words(send(player, f"/shots/{balls[0]['id']}", **{**stood, "judged_by": way}))
        assert judged(book, *balls) == [way, "eye", "eye"]
    told = words(page_of(player, f"/shots/{balls[0]['id']}"))
    assert "judged by monitor → laser (holds now)" in told
    assert "judged apart from its bucket, by monitor" in told
    right(player, bucket, judged_by="markers")
    assert judged(book, *balls) == ["laser", "markers", "markers"]
    assert "Kept." in words(send(player, f"/shots/{balls[0]['id']}", **{**stood, "judged_by": "markers"}))
    right(player, bucket, judged_by="laser")
    assert judged(book, *balls) == ["laser", "laser", "laser"]


def test_balls_noted_between_two_corrections_of_their_bucket_go_by_it_too(
    player: FlaskClient, book: Book, put: Callable[..., tuple[Raw, list[Raw]]]
) -> None:
    bucket, balls = put()
    right(player, bucket, judged_by="laser")
    club_id = balls[0]["body"]["club_id"]
    said = [("laser", {"judged_apart": False}), ("monitor", {"judged_apart": True}), ("laser", {})]
    later = [a_shot(bucket, club_id, 54, moved(NOW, minutes=9), judged_by=way, **more) for way, more in said]
    book.add(later, None, NOW)
    for way in ("monitor", "eye"):  # back to what it was, and on to another
        right(player, bucket, judged_by=way)
        assert judged(book, *balls, *later) == [way, way, way, way, "monitor", "laser"]
    book.add([voided(bucket, moved(NOW, minutes=90))], None, NOW)
    assert judged(book, *later) == ["laser", "monitor", "laser"]
    book.rebuild()
    assert judged(book, *later) == ["laser", "monitor", "laser"]


def test_balls_that_are_judged_apart_or_put_right_are_known_in_the_table_that_tells_them(
    player: FlaskClient, book: Book, put: Callable[..., tuple[Raw, list[Raw]]], tmp_path: Path
) -> None:
    bucket, balls = put()
    club_id = balls[0]["body"]["club_id"]
    apart = a_shot(bucket, club_id, 54, moved(NOW, minutes=9), judged_by="laser", judged_apart=True)
    as_all = a_shot(bucket, club_id, 54, moved(NOW, minutes=10), judged_apart=False)
    book.add([apart, as_all], None, NOW)
    before = taken_away(player)
    right(player, bucket, judged_by="eye")
    rows = taken_away(player)
    for table in (before, rows):
        again = import_balls(book, enumerate(table, 1), NOW)
        assert (again.taken, again.known, again.refused) == (0, 5, [])
    with Book(tmp_path / f"{uuid4()}.sqlite") as fresh:
        import_balls(fresh, enumerate(rows, 1), NOW)
        for was, way in (("eye", "laser"), ("eye", "markers")):
            said = make_facts.changed(fresh, "bucket", bucket["id"], NOW, judged_by=way, judged_was=was)
            assert not fresh.add([said], None, NOW).refused
        assert judged(fresh, *balls, apart) == ["markers", "markers", "markers", "laser"]


def taken_away(player: FlaskClient) -> list[list[str]]:
    return list(csv.reader(io.StringIO(player.get("/export/shots.csv").text)))


def test_a_withdrawn_bucket_says_nothing_of_its_balls_any_more(
    player: FlaskClient, book: Book, put: Callable[..., tuple[Raw, list[Raw]]]
) -> None:
    bucket, balls = put()
    right(player, bucket, judged_by="eye")
    book.add([voided(bucket, moved(NOW, minutes=90))], None, NOW)
    before = judged(book, *balls)
    book.rebuild()
    assert judged(book, *balls) == before == ["monitor", "monitor", "monitor"]


def test_the_judging_goes_to_every_ball_of_a_bucket_that_a_large_table_filled(
    player: FlaskClient, book: Book, put: Callable[..., tuple[Raw, list[Raw]]]
) -> None:
    bucket, balls = put()
    more = [a_shot(bucket, balls[0]["body"]["club_id"], 50, moved(NOW, minutes=5)) for _ in range(reading.MOST_SHOTS)]
    book.add_whole(more, None, NOW)
    length = book.cursor
    right(player, bucket, judged_by="eye")
    assert Counter(shot["judged_by"] for shot in reading.every_shot(book)) == {"eye": len(more) + len(balls)}
    assert book.cursor == length + 1


def test_wind_bay_and_temperature_are_put_right_too(
    player: FlaskClient, book: Book, put: Callable[..., tuple[Raw, list[Raw]]]
) -> None:
    bucket, _ = put(wind="into", wind_force="strong", temperature_c=11.55)
    assert "No ball counts for the card: strong wind." in words(page_of(player, f"/visits/{bucket['id']}"))
    right(player, bucket, wind_force="light", wind="into", temperature="11.6", bay_offset="-2", place=" Low  Field ")
    body, times = said(book, bucket)
    assert times == 2
    assert body["bay_offset_m"] == pytest.approx(-2 * YARD_M)
    assert (body["temperature_c"], body["wind_force"], body["place"]) == (11.55, "light", "Low  Field")
    assert all(shot["counted"] for shot in reading.shots(book))
    right(player, bucket, wind="into", temperature="", bay_offset="", place="Low  Field")
    assert not said(book, bucket)[0].keys() & {"bay_offset_m", "temperature_c"}


def test_a_bucket_kept_as_it_stands_is_not_said_anew(
    player: FlaskClient, book: Book, put: Callable[..., tuple[Raw, list[Raw]]]
) -> None:
    bucket, _ = put()
    assert "Nothing differs, so nothing was changed." in words(right(player, bucket))
    assert said(book, bucket)[1] == 1


@pytest.mark.parametrize(
    ("n", "told"),
    [
        (0, "No ball is noted in it yet."),
        (1, "It holds for the bucket’s one ball; a"),
        (2, "all 2 balls of the bucket; a"),
    ],
)
def test_it_says_how_many_balls_of_the_bucket_it_holds_for(player: FlaskClient, book: Book, n: int, told: str) -> None:
    club, bucket = a_club("56"), a_bucket()
    book.add([club, bucket, *(a_shot(bucket, club) for _ in range(n))], None, NOW)
    assert told in words(page_of(player, f"/visits/{bucket['id']}"))


def test_each_bucket_of_a_visit_has_its_own_form(
    player: FlaskClient, book: Book, put: Callable[..., tuple[Raw, list[Raw]]]
) -> None:
    first, _ = put()
    second, _ = put(moved(NOW, minutes=10), ball="own")
    page = page_of(player, f"/visits/{first['id']}")
    for bucket in (first, second):
        assert f'action="/visits/{bucket["id"]}/right"' in page.text
    assert words(page).count("Put the bucket of") == 2
    right(player, second, ball="range")
    assert [bucket["ball"] for bucket in reading.buckets(book)] == ["range", "range"]
    assert said(book, first)[1] == 1


@pytest.mark.parametrize(
    ("wrong", "sentence"),
    [
        ({"ball": "moon"}, "Choose one of the answers offered."),
        ({"judged_by": ""}, "Choose one of the answers offered."),
        ({"place": "x" * 41}, "A place has at most 40 characters."),
        ({"bay_offset": "far"}, "Bay offset"),
        ({"temperature": "400"}, "Temperature must be from"),
    ],
)
def test_what_no_bucket_can_hold_is_refused_and_nothing_changes(
    player: FlaskClient, book: Book, put: Callable[..., tuple[Raw, list[Raw]]], wrong: Raw, sentence: str
) -> None:
    bucket, _ = put()
    page = right(player, bucket, surface="grass", **wrong)
    assert page.status_code == 400
    assert f"Nothing was changed yet: {sentence}" in words(page)
    assert said(book, bucket)[1] == 1


def test_a_form_without_its_token_changes_no_bucket(
    player: FlaskClient, book: Book, put: Callable[..., tuple[Raw, list[Raw]]]
) -> None:
    bucket, _ = put()
    answer = player.post(f"/visits/{bucket['id']}/right", data={**AS_IT_STOOD, "ball": "own"})
    assert answer.status_code == 400
    assert said(book, bucket)[1] == 1


def test_each_ball_of_a_visit_leads_to_its_own_page(
    player: FlaskClient, put: Callable[..., tuple[Raw, list[Raw]]]
) -> None:
    bucket, balls = put(wind="into", wind_force="strong")
    page = page_of(player, f"/visits/{bucket['id']}").text
    listed = page[page.index('<details id="all"') :]
    assert [f'href="/shots/{ball["id"]}"' in listed for ball in balls] == [True, True, True]
