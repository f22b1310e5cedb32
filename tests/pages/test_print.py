"""The card on paper: what is laid out, what is noted as printed, and where paper is behind, through the real app."""

import re
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from tests.factories import NOW, Raw, a_bucket, a_club, a_full_carry, a_setting, a_shot, corrected
from webapp.moments import moment_of, moved
from webapp.store.book import Book

from .test_card import page, put, token, wedge
from .visitor import words


def was_printed(player: FlaskClient, text: str) -> Any:
    """The answer to the button of a laid-out page."""
    lines = re.findall(r'name="line" value="([^"]+)"', text)
    return player.post("/print", data={"csrf_token": token(text), "line": lines}, follow_redirects=True)


def test_a_printed_card_says_where_it_differs(player: FlaskClient, book: Book, demo_set: list[Raw]) -> None:
    text = page(player, "/print")
    answer = was_printed(player, text)
    assert "says the same" in answer.text
    assert '<p class="notice" data-before-balls>Your printed' not in answer.text, "it lies over no dial"
    put(book, [a_full_carry(wedge(demo_set, "56"), 86, moved(NOW, minutes=90))])
    differs = re.search(r'<p class="notice"[^>]*>[^<]*differs in (\d+) places?', page(player))
    assert differs
    assert 1 <= int(differs[1]) <= 5


def test_one_changed_number_is_one_place(player: FlaskClient, book: Book) -> None:
    club = a_club("56")
    put(book, [club, a_setting("hidden_cells", [f"{club['root']}:{deg}" for deg in (45, 90, 135)])])
    told = a_full_carry(club, 85)
    put(book, [told])
    was_printed(player, page(player, "/print"))
    put(book, [corrected(told, carry_m=90 * 0.9144)])
    assert "differs in 1 place." in page(player)


def test_what_was_laid_out_is_noted_as_printed_and_not_what_the_card_says_by_now(
    player: FlaskClient, book: Book, demo_set: list[Raw]
) -> None:
    laid_out = page(player, "/print")
    put(book, [a_full_carry(wedge(demo_set, "46"), 90, moved(NOW, minutes=1))])
    assert re.search(r"Your printed card of 1 May 2025 differs in \d+ places?\.", was_printed(player, laid_out).text)


def test_a_card_for_the_players_own_balls_is_noted_as_it_was_printed(
    player: FlaskClient, book: Book, demo_set: list[Raw]
) -> None:
    for ball, carry in (("range", 60), ("own", 70)):
        bucket = a_bucket(ball=ball)
        put(book, [bucket, *(a_shot(bucket, demo_set[2], carry) for _ in range(20))])
    was_printed(player, page(player, "/print?ball=own"))
    assert "says the same" in page(player, "/card?ball=own")
    assert "Your printed card" not in page(player, "/card")


def test_each_kind_of_ball_has_its_own_paper(app: Flask, player: FlaskClient, book: Book, demo_set: list[Raw]) -> None:
    for ball, carry in (("range", 60), ("own", 70)):
        bucket = a_bucket(ball=ball)
        put(book, [bucket, *(a_shot(bucket, demo_set[2], carry) for _ in range(20))])
    for hours, ball in enumerate(("own", "range"), start=2):
        later = moment_of(moved(NOW, hours=hours))
        app.config["NOW"] = later.replace  # called without a field it gives the moment itself
        was_printed(player, page(player, f"/print?ball={ball}"))
    for ball in ("own", "range"):
        assert "says the same" in page(player, f"/card?ball={ball}")
        assert "says the same" in page(player, f"/print?ball={ball}")


def test_paper_of_before_its_kind_was_kept_is_that_of_the_cards_own_kind(
    player: FlaskClient, book: Book, demo_set: list[Raw]
) -> None:
    put(book, [a_setting("ball", "own")])
    text = page(player, "/print").replace('value="yd own ', 'value="yd ')
    assert "says the same" in was_printed(player, text).text
    assert "Your printed card" not in page(player, "/card?ball=range")


@pytest.mark.parametrize(
    "lines",
    [[], [""], ["yd"], ["yd 0a1b2c3d"], ["mile 0a1b2c3d 90=61"], ["yd 0a1b2c3d 9.0.0=61"], ["yd 0a1b2c3d 90=61000"],
     ["yd <b> 90=61"], ["yd 0a1b2c3d" + " 90=61" * 65], ["yd 0a1b2c3d 90=61"] * 21],
)  # fmt: skip
def test_lines_that_no_paper_holds_are_not_noted(
    player: FlaskClient, book: Book, demo_set: list[Raw], lines: list[str]
) -> None:
    cursor, text = book.cursor, page(player, "/print")
    answer = player.post("/print", data={"csrf_token": token(text), "line": lines}, follow_redirects=True)
    assert "could not be read. Nothing was changed" in words(answer)
    assert book.cursor == cursor


def test_the_print_page_holds_two_faces_a_card_and_a_label_a_wedge(player: FlaskClient, demo_set: list[Raw]) -> None:
    text = page(player, "/print")
    assert text.count('<div class="wallet-face">') == 2
    assert text.count('<svg class="shaft-label"') == 4
    assert "the rule on attachments to clubs applies" in text
    assert "right-handed" in text
    assert "1 May 2025" in text


def test_more_than_four_wedges_go_to_a_second_card(player: FlaskClient, book: Book, demo_set: list[Raw]) -> None:
    put(book, [a_club("64")])
    text = page(player, "/print")
    assert text.count('<div class="wallet-face">') == 4
    assert page(player).count('<svg class="dial"') == 2


@pytest.mark.parametrize(
    ("called", "loft_deg", "drawn"),
    [
        ("LW", 60.0, "46° 51 SW LW"),
        ("Lob wedge", 60.0, "46° 51 56° 60°"),
        ("1000", 60.0, "46° 51 56° 60°"),
        ("Lob wedge", 56.0, "46° 51 56° SW"),
    ],
)
def test_a_wedge_has_one_name_in_every_drawing(
    player: FlaskClient, book: Book, demo_set: list[Raw], called: str, loft_deg: float, drawn: str
) -> None:
    names = drawn.replace("°", "").split()
    changed = {"51": {"loft_deg": 52.0}, "56": {"name": "SW"}, "60": {"name": called, "loft_deg": loft_deg}}
    clubs = [fact for fact in demo_set if fact["kind"] == "club" and fact["body"]["name"] in changed]
    book.add([corrected(club, **changed[club["body"]["name"]]) for club in clubs], None, NOW)
    card, paper = player.get("/card").text, player.get("/print").text
    assert re.findall(r'<g class="tab">.*?<text[^>]*>([^<]*)', card) == names
    assert set(re.findall(r'<text class="loft"[^>]*>([^<]*)', card)) == set(drawn.split())
    assert set(re.findall(r'<g class="tab">.*?<text[^>]*>([^<]*)', paper)) == set(names)
    assert set(re.findall(r'<text class="tab-text"[^>]*>([^<]*)', paper)) == set(names)
