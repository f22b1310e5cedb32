"""The first page: a book in two touches."""

import re
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from webapp import create_app
from webapp.moments import moment_of
from webapp.store import reading
from webapp.store.directory import Directory
from webapp.units import YARD_M

from ..conftest import SECRET
from ..factories import NOW
from .visitor import send, words

THE_SET = {"hand": "right", "unit": "yd", "loft_1": "46", "loft_2": "51", "loft_3": "56", "loft_4": "60"}


def started(client: FlaskClient, **changed: Any) -> Any:
    """The answer to the start form with some answers changed."""
    return send(client, "/start", **{**THE_SET, **changed})


def the_only_book(directory: Directory) -> Any:
    """The one book that was started."""
    (found,) = directory.books()
    return directory.open_book(found["id"])


def test_it_shows_a_card_two_touches_after_opening(client: FlaskClient) -> None:
    assert "Start my book" in words(client.get("/"))
    answer = started(client)
    assert answer.status_code == 200
    assert answer.request.path == "/card"
    assert client.get("/").headers["Location"] == "/card"


def test_it_keeps_hand_unit_lofts_and_the_full_carry(client: FlaskClient, directory: Directory) -> None:
    started(client, hand="left", unit="yd", known_loft="56", known_carry="85")
    with the_only_book(directory) as book:
        settings, clubs = reading.settings(book), reading.clubs(book)
        carries = reading.full_carries(book)
    assert (settings["hand"], settings["unit"]) == ("left", "yd")
    assert [(club.name, club.loft_deg) for club in clubs] == [("46", 46), ("51", 51), ("56", 56), ("60", 60)]
    assert carries == {clubs[2].id: 85 * YARD_M}


def test_the_wedge_whose_carry_is_asked_for_is_named_from_the_start(client: FlaskClient) -> None:
    boxes = dict(re.findall(r'name="(known_loft|loft_3)"[^>]*value="(\d+)"', client.get("/").text))
    assert boxes["known_loft"] == boxes["loft_3"]


def test_it_reads_metres_where_metres_were_chosen(client: FlaskClient, directory: Directory) -> None:
    started(client, unit="m", known_loft="56", known_carry="78")
    with the_only_book(directory) as book:
        assert list(reading.full_carries(book).values()) == [78]


def test_it_starts_with_one_wedge_and_a_comma_in_a_number(client: FlaskClient, directory: Directory) -> None:
    send(client, "/start", hand="right", unit="yd", loft_1="58,5")
    with the_only_book(directory) as book:
        assert [(club.name, club.loft_deg) for club in reading.clubs(book)] == [("58.5", 58.5)]


@pytest.mark.parametrize(
    ("changed", "sentence"),
    [
        ({"loft_1": ""}, "Give at least one loft."),
        ({"loft_1": "35.9"}, "The first wedge’s loft must be from 36 to 70°."),
        ({"loft_2": "71"}, "The second wedge’s loft must be from 36 to 70°."),
        ({"loft_1": "steep"}, "First wedge must be a number, such as 54 or 54.5."),
        ({"loft_1": "NaN"}, "First wedge must be a number, such as 54 or 54.5."),
        ({"loft_1": "sNaN"}, "First wedge must be a number, such as 54 or 54.5."),
        ({"loft_1": "Infinity"}, "First wedge must be a number, such as 54 or 54.5."),
        ({"loft_2": "", "loft_3": "46"}, "Two wedges have the same loft."),
        ({"known_loft": "56", "known_carry": "-5"}, "Its full carry must be from 1 to 400 yards."),
        ({"known_loft": "56", "known_carry": "401"}, "Its full carry must be from 1 to 400 yards."),
        ({"known_loft": "56", "known_carry": "400", "unit": "m"}, "Its full carry must be from 1 to 365 metres."),
        ({"known_loft": "56", "known_carry": "far"}, "Its full carry must be a number, such as 54 or 54.5."),
        (
            {"known_loft": "58", "known_carry": "85"},
            "None of your wedges has a loft of 58°. Say which of them",
        ),
        ({"known_carry": "85"}, "Say which of them carries this far."),
        ({"hand": "both"}, "Choose one of the answers offered."),
        ({"unit": "feet"}, "Choose one of the answers offered."),
    ],
)
def test_it_says_what_is_wrong_and_starts_nothing(
    client: FlaskClient, directory: Directory, changed: dict[str, str], sentence: str
) -> None:
    answer = started(client, **changed)
    assert answer.status_code == 400
    assert sentence in words(answer)
    assert "Nothing was changed" in words(answer)
    assert directory.books() == []


def test_the_picture_beside_a_refusal_is_of_the_set_that_was_typed(app: Flask, client: FlaskClient) -> None:
    app.config["NOW"] = lambda: moment_of(NOW)  # the picture bears the day
    mine = {"hand": "left", "loft_1": "50", "loft_2": "54", "loft_3": "58", "loft_4": ""}
    right = client.get("/start/dial", query_string={"unit": "yd", **mine}).text
    refused = started(client, **mine, known_loft="56", known_carry="82").text
    assert right in refused
    assert right not in started(client, **{**mine, "loft_2": "x"}).text


def test_it_gives_back_what_was_typed_beside_the_refusal(client: FlaskClient) -> None:
    assert 'value="58.25"' in started(client, loft_3="58.25", known_carry="900").text


def test_a_second_touch_starts_no_second_book(client: FlaskClient, directory: Directory) -> None:
    started(client)
    assert "no other was opened" in words(started(client))
    assert len(directory.books()) == 1


def test_a_private_server_asks_for_its_word(data: Path, directory: Directory) -> None:
    private = create_app({"DATA": data, "SECRET": SECRET, "TESTING": True, "JOIN_CODE": "heron nest"}).test_client()
    assert "word of this private server" in words(private.get("/"))
    refused = started(private, join_code="guess")
    assert refused.status_code == 400
    assert "ask its owner for the word" in words(refused)
    assert directory.books() == []
    assert started(private, join_code=" heron nest ").request.path == "/card"


def test_it_limits_how_many_books_one_address_starts(app: Flask) -> None:
    app.config["STARTS_AN_HOUR"] = 5
    codes = [started(app.test_client()).status_code for _ in range(7)]
    assert codes == [*[200] * 5, 429, 429]


def test_a_request_without_a_book_does_not_make_the_counts_begin_anew(app: Flask) -> None:
    app.config["STARTS_AN_HOUR"] = 2
    codes = []
    for _ in range(4):
        codes.append(started(app.test_client()).status_code)
        assert app.test_client().get("/export/shots.csv").status_code == 401
    assert codes == [200, 200, 429, 429]


def test_a_clinic_on_one_network_may_start_sixty_books_an_hour_unless_told_otherwise(app: Flask) -> None:
    assert app.config["STARTS_AN_HOUR"] == 60


def test_the_demo_is_offered_and_opened_only_where_the_server_has_it(data: Path, directory: Directory) -> None:
    directory.new_book(NOW, alias="demo")
    with_demo = create_app({"DATA": data, "SECRET": SECRET, "TESTING": True, "DEMO": True}).test_client()
    without = create_app({"DATA": data, "SECRET": SECRET, "TESTING": True}).test_client()
    assert "See a filled-in book" in words(with_demo.get("/"))
    assert send(with_demo, "/demo").request.path == "/card"
    assert "demo" not in words(without.get("/"))
    refused = send(without, "/demo")
    assert refused.status_code == 404
    assert "offers no demo book" in words(refused)


def test_the_demo_does_not_take_the_place_of_ones_own_book(data: Path, directory: Directory) -> None:
    directory.new_book(NOW, alias="demo")
    client = create_app({"DATA": data, "SECRET": SECRET, "TESTING": True, "DEMO": True}).test_client()
    started(client)
    own = client.get_cookie("book")
    assert "no other was opened" in words(send(client, "/demo"))
    assert client.get_cookie("book") == own


def test_the_dial_of_the_first_page_is_drawn_for_what_is_answered_so_far(client: FlaskClient) -> None:
    assert '<svg class="dial"' in client.get("/").text
    drawn = client.get("/start/dial", query_string={**THE_SET, "known_loft": "56", "known_carry": "85"})
    assert drawn.mimetype == "image/svg+xml"
    assert 'data-trust="told"' in drawn.text
    assert ">9:00<" in drawn.text
    left = client.get("/start/dial", query_string={**THE_SET, "hand": "left"}).text
    assert ">3:00<" in left
    assert 'data-trust="told"' not in left


@pytest.mark.parametrize("changed", [{"loft_1": ""}, {"loft_1": "71"}, {"loft_2": "46"}, {"known_carry": "401"}])
def test_answers_that_make_no_set_draw_no_dial(client: FlaskClient, changed: dict[str, str]) -> None:
    answer = client.get("/start/dial", query_string={**THE_SET, **changed})
    assert (answer.status_code, answer.data) == (204, b"")


def test_without_signal_the_first_page_says_what_needs_it_and_shows_guesses(client: FlaskClient) -> None:
    said = client.get("/start/without-signal").text
    assert "needs it once" in said
    assert said.count('data-trust="guess"') == 16


def test_what_is_said_without_signal_names_no_book(player: FlaskClient) -> None:
    for address in ("/without-signal", "/start/without-signal"):
        answer = player.get(address)
        assert "X-Book" not in answer.headers
        assert 'data-book=""' in answer.text
        assert address in player.get("/sw.js").text
