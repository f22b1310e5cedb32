"""A page that was opened earlier changes only what is answered on it: what was said since stays said."""

import json
from collections.abc import Callable
from typing import Any

import pytest
from flask.testing import FlaskClient

from tests.factories import NOW, Raw, a_bucket, a_club, a_full_carry, a_shot, corrected
from webapp.moments import moment_of, moved
from webapp.store import reading
from webapp.store.book import Book
from webapp.units import YARD_M

from .test_typed import Forms
from .visitor import page_of, send, words

SINCE = moved(NOW, minutes=30)


@pytest.fixture
def put(app: Any, book: Book) -> Callable[..., tuple[Raw, Raw]]:
    """Put a bucket with one ball of a 56 into the book, both judged by eye; gives them."""
    app.config["NOW"] = lambda: moment_of(moved(NOW, hours=1))

    def one(**more: Any) -> tuple[Raw, Raw]:
        club, bucket = a_club("56"), a_bucket(judged_by="eye")
        ball = a_shot(bucket, club, 54, judged_by="eye", **more)
        assert not book.add([club, bucket, ball], None, NOW).refused
        return bucket, ball

    return one


def form_of(page: Any, action: str) -> dict[str, str]:
    """What a browser would send of a form of this page."""
    return next(form.values for form in Forms(page.text).found if form.action == action)


def sent(player: FlaskClient, action: str, form: dict[str, str], **answers: str) -> Any:
    return send(player, action, **{**{name: one for name, one in form.items() if name != "csrf_token"}, **answers})


def said(book: Book, fact: Raw) -> Any:
    return book.history(fact["root"])[-1]["body"]


def test_an_older_visit_leaves_what_the_phone_said_of_its_bucket_since(
    player: FlaskClient, book: Book, put: Callable[..., tuple[Raw, Raw]]
) -> None:
    bucket, ball = put()
    action = f"/visits/{bucket['id']}/right"
    older = form_of(page_of(player, f"/visits/{bucket['id']}"), action)
    since = {"place": "East Field", "surface": "grass", "temperature_c": 12.0, "bay_offset_m": -1.5}
    book.add([corrected(bucket, SINCE, **since)], None, SINCE)
    sent(player, action, older, ball="own")
    assert said(book, bucket) == {**bucket["body"], **since, "ball": "own"}
    assert said(book, ball) == ball["body"]


def test_an_older_ball_leaves_how_its_bucket_was_put_right_since(
    player: FlaskClient, book: Book, put: Callable[..., tuple[Raw, Raw]]
) -> None:
    bucket, ball = put(roll_m=2.0)
    action = f"/shots/{ball['id']}"
    older = form_of(page_of(player, action), action)
    right = f"/visits/{bucket['id']}/right"
    sent(player, right, form_of(page_of(player, f"/visits/{bucket['id']}"), right), judged_by="laser")
    sent(player, action, older, contact="thin")
    assert said(book, ball) == {**ball["body"], "contact": "thin"}
    shown = reading.shot(book, ball["id"])
    assert shown
    assert shown["judged_by"] == "laser"


def test_an_older_ball_leaves_the_carry_and_roll_that_were_put_right_since(
    player: FlaskClient, book: Book, put: Callable[..., tuple[Raw, Raw]]
) -> None:
    _, ball = put()
    action = f"/shots/{ball['id']}"
    older = form_of(page_of(player, action), action)
    since = {"carry_m": 61.23, "roll_m": 2.5}
    book.add([corrected(ball, SINCE, **since)], None, SINCE)
    sent(player, action, older, direction="left")
    assert said(book, ball) == {**ball["body"], **since, "direction": "left"}
    sent(player, action, older, landed="unseen", carry="")
    assert said(book, ball) == {
        **{name: one for name, one in ball["body"].items() if name != "carry_m"},
        "roll_m": 2.5, "direction": "left", "landed": "unseen",
    }  # fmt: skip


def test_older_delivery_numbers_leave_those_that_came_since(
    player: FlaskClient, book: Book, put: Callable[..., tuple[Raw, Raw]]
) -> None:
    _, ball = put(delivery={"attack_deg": -5.123, "path_deg": 2.0})
    action = f"/shots/{ball['id']}/delivery"
    older = form_of(page_of(player, f"/shots/{ball['id']}"), action)
    since = {"attack_deg": -4.0, "path_deg": 2.0, "club_speed_mps": 33.333}
    book.add([corrected(ball, SINCE, delivery=since)], None, SINCE)
    sent(player, action, older, launch_deg="28", path_deg="")
    assert said(book, ball)["delivery"] == {"attack_deg": -4.0, "club_speed_mps": 33.333, "launch_deg": 28.0}


def test_another_unit_beside_an_empty_box_says_nothing(
    player: FlaskClient, book: Book, put: Callable[..., tuple[Raw, Raw]]
) -> None:
    bucket, ball = put()
    visit, shot = f"/visits/{bucket['id']}", f"/shots/{ball['id']}"
    older = form_of(page_of(player, visit), f"{visit}/right")
    delivery = form_of(page_of(player, shot), f"{shot}/delivery")
    book.add([corrected(bucket, SINCE, temperature_c=12.0)], None, SINCE)
    book.add([corrected(ball, SINCE, delivery={"ball_speed_mps": 40.0})], None, SINCE)
    sent(player, f"{visit}/right", older, temperature_unit="f", place="Fen")
    assert said(book, bucket) == {**bucket["body"], "temperature_c": 12.0, "place": "Fen"}
    sent(player, f"{shot}/delivery", delivery, speed_unit="kmh", club_speed="120")
    assert said(book, ball)["delivery"] == {"ball_speed_mps": 40.0, "club_speed_mps": pytest.approx(120 / 3.6)}


def test_an_older_bag_leaves_the_wedge_that_was_changed_since(player: FlaskClient, book: Book) -> None:
    gap, sand = a_club("51"), a_club("56")
    carries = [a_full_carry(gap, 99), a_full_carry(sand, 85)]
    book.add([gap, sand, *carries], None, NOW)
    older = form_of(page_of(player, "/bag"), "/bag/set")
    since = [corrected(sand, SINCE, name="sand", loft_deg=55.0), corrected(carries[1], SINCE, carry_m=80.0)]
    book.add(since, None, SINCE)
    sent(player, "/bag/set", older, **{f"{gap['id']}-loft_deg": "52", "do": "keep"})
    assert [(club.name, club.loft_deg) for club in reading.clubs(book)] == [("51", 52), ("sand", 55)]
    assert reading.full_carries(book) == {gap["id"]: 99 * YARD_M, sand["id"]: 80.0}


def test_an_older_page_that_was_refused_still_knows_what_it_showed(
    player: FlaskClient, book: Book, put: Callable[..., tuple[Raw, Raw]]
) -> None:
    bucket, _ = put()
    action = f"/visits/{bucket['id']}/right"
    older = form_of(page_of(player, f"/visits/{bucket['id']}"), action)
    book.add([corrected(bucket, SINCE, place="East Field")], None, SINCE)
    refused = sent(player, action, older, ball="own", temperature="400")
    assert refused.status_code == 400
    sent(player, action, form_of(refused, action), temperature="12")
    assert said(book, bucket) == {**bucket["body"], "place": "East Field", "ball": "own", "temperature_c": 12.0}


def test_what_was_said_since_as_it_is_answered_here_is_not_said_anew(
    player: FlaskClient, book: Book, put: Callable[..., tuple[Raw, Raw]]
) -> None:
    bucket, _ = put()
    action = f"/visits/{bucket['id']}/right"
    older = form_of(page_of(player, f"/visits/{bucket['id']}"), action)
    book.add([corrected(bucket, SINCE, ball="own")], None, SINCE)
    assert "Nothing differs, so nothing was changed." in words(sent(player, action, older, ball="own"))
    assert len(book.history(bucket["root"])) == 2


def test_a_length_typed_finer_than_its_box_shows_is_kept(player: FlaskClient, book: Book) -> None:
    club = a_club("56")
    book.add([club, a_full_carry(club, 80)], None, NOW)
    for margin in ("5", "5.04"):
        sent(player, "/settings", form_of(page_of(player, "/settings"), "/settings"), margin=margin)
        assert reading.settings(book)["margin_m"] == float(margin) * YARD_M
    again = book.cursor
    sent(player, "/settings", form_of(page_of(player, "/settings"), "/settings"), margin="5.0")
    assert book.cursor == again
    bag = form_of(page_of(player, "/bag"), "/bag/set")
    page = sent(player, "/bag/set", bag, **{f"{club['id']}-carry": "80.04", "do": "keep"})
    assert "The 56 was changed." in words(page)
    assert reading.full_carries(book) == {club["id"]: 80.04 * YARD_M}


@pytest.mark.parametrize(("gap_limit", "ball_limit"), [("", ""), ("14.5", "80")], ids=["empty boxes", "filled boxes"])
def test_settings_opened_before_an_update_leave_what_was_said_since(
    player: FlaskClient, book: Book, gap_limit: str, ball_limit: str
) -> None:
    """The page of the version before told the settings themselves, its lengths in metres."""
    of_before = ("hand", "unit", "seen_from", "judged_by", "ball", "thumb", "junior", "nickname", "ball_limit")
    sent(
        player,
        "/settings",
        form_of(page_of(player, "/settings"), "/settings"),
        gap_limit=gap_limit,
        ball_limit=ball_limit,
    )
    older, told = form_of(page_of(player, "/settings"), "/settings"), reading.settings(book)
    older["shown"] = json.dumps({name: told[name] for name in (*of_before, "gap_limit_m", "margin_m")})
    since = {"gap_limit": "15", "margin": "5", "ball_limit": "100", "nickname": "Heron"}
    sent(player, "/settings", form_of(page_of(player, "/settings"), "/settings"), **since)
    sent(player, "/settings", older, hand="left")
    said = reading.settings(book)
    assert (said["hand"], said["nickname"], said["ball_limit"]) == ("left", "Heron", 100)
    assert (said["gap_limit_m"], said["margin_m"]) == (15 * YARD_M, 5 * YARD_M)


def test_settings_opened_before_an_update_still_change_what_is_typed_on_them(player: FlaskClient, book: Book) -> None:
    older = form_of(page_of(player, "/settings"), "/settings")
    older["shown"] = json.dumps({**reading.settings(book), "gap_limit_m": "wide", "ball_limit": {}})
    sent(player, "/settings", older, gap_limit="15", ball_limit="80", nickname="Heron")
    said = reading.settings(book)
    assert (said["gap_limit_m"], said["ball_limit"], said["nickname"]) == (15 * YARD_M, 80, "Heron")
