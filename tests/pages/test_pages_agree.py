"""One figure on two pages, or in two places of one: the same, or said to be another."""

import re
from html import unescape
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from tests.factories import NOW, Raw, a_bucket, a_club, a_shot
from webapp import phone_data
from webapp.books.demo import demo_facts
from webapp.books.read_card import card_of
from webapp.moments import moment_of, moved
from webapp.store.book import Book
from webapp.store.directory import Directory
from webapp.units import YARD_M, whole

from .visitor import words


@pytest.fixture
def demo(app: Flask, book: Book) -> None:
    """The demo book, read today."""
    app.config["NOW"] = lambda: moment_of(NOW)
    assert not book.add(demo_facts(NOW), None, NOW).refused


def link_of(directory: Directory, book: Book) -> str:
    return f"/w/{directory.new_link(book.id, '', NOW, moved(NOW, days=9), {})}"


def test_the_page_of_a_number_repeats_the_range_that_led_to_it(player: FlaskClient, book: Book, demo: None) -> None:
    for cell in card_of(book, NOW).cells.values():
        low, high = (whole(end_m, "yd") for end_m in (cell.two_in_three_low_m, cell.two_in_three_high_m))
        page = words(player.get(f"/card/{cell.club_id}/{cell.swing_deg:g}"))
        assert f"next clean shot, two in three {low} – {high}" in page


def test_the_two_spreads_of_a_number_are_told_apart(player: FlaskClient, book: Book, demo: None) -> None:
    place = max(card_of(book, NOW).cells, key=lambda one: card_of(book, NOW).cells[one].n)
    page = words(player.get(f"/card/{place[0]}/{place[1]:g}"))
    assert re.search(r"spread to expect of clean shots [\d.]+ yd", page)
    assert re.search(r"these shots Spread [\d.]+ of all, [\d.]+ of the clean ones\.", page)


def test_shares_of_the_strike_add_to_a_hundred_on_every_page(
    player: FlaskClient, client: FlaskClient, directory: Directory, book: Book, demo: None
) -> None:
    for club_id, swing_deg in card_of(book, NOW).cells:
        page = player.get(f"/card/{club_id}/{swing_deg:g}").text
        told = re.search(r"<h2>Contact</h2><p>(.*?)</p>", page)
        assert not told or sum(map(int, re.findall(r"(\d+)%", told[1]))) == 100
    for what in ("last", "three"):
        bars = re.search(
            r'class="plain strike-bars">.*?</ul>', client.get(f"{link_of(directory, book)}?what={what}").text
        )
        assert bars
        assert sum(map(int, re.findall(r"(\d+)%", bars[0]))) == 100


def test_the_coach_is_told_that_the_picture_shows_the_last_visits_alone(
    app: Flask, client: FlaskClient, directory: Directory, book: Book
) -> None:
    app.config["NOW"] = lambda: moment_of(NOW)
    club = a_club("56")
    facts = [club]
    for visit in range(6):
        bucket = a_bucket(moved(NOW, days=visit - 20))
        facts += [bucket, *(a_shot(bucket, club, 54 + at, moved(bucket["made_at"], minutes=at)) for at in range(3))]
    assert not book.add(facts, None, NOW).refused
    link = link_of(directory, book)
    assert "The balls behind it by visit, last below" in words(client.get(link))
    bucket = a_bucket(moved(NOW, days=-2))
    assert not book.add([bucket, a_shot(bucket, club, 54, bucket["made_at"])], None, NOW).refused
    page = client.get(link)
    assert "The balls behind it the last 6 of 7 visits, last below" in words(page)
    assert page.text.partition('id="evidence"')[2].partition("</section>")[0].count('class="fig-label"') == 6


def test_what_the_strike_costs_has_one_sign_on_every_page(
    app: Flask, player: FlaskClient, client: FlaskClient, directory: Directory, book: Book
) -> None:
    """One fat ball of ten, 20 yd short, then three of ten: 2.0 and 6.0 a ball, which is 4.0 more."""
    app.config["NOW"] = lambda: moment_of(NOW)
    club = a_club("56")
    facts = [club]
    for day, fat in ((-9, 1), (-2, 3)):
        bucket = a_bucket(moved(NOW, days=day))
        struck = [(40.0, "fat") if ball < fat else (60.0, "clean") for ball in range(10)]
        facts += [
            bucket,
            *(
                a_shot(bucket, club, carry, moved(bucket["made_at"], minutes=at), contact=contact)
                for at, (carry, contact) in enumerate(struck)
            ),
        ]
    assert not book.add(facts, None, NOW).refused
    for page in (player.get("/trends/periods?what=last"), client.get(f"{link_of(directory, book)}/periods?what=last")):
        assert "strike costs, yd a ball 2.0 6.0 perhaps +4.0 ± " in words(page)
    assert re.search(r"cost a ball, yd .{0,40}\b10 0\.0 6\.0 .{0,40}\b10 0\.0 2\.0 ", words(player.get("/trends")))
    assert "The strike costs 6.0 yd a ball." in words(player.get("/trends/periods/balls?what=last&part=counted"))


def test_nine_in_ten_is_rounded_up_on_no_page(
    player: FlaskClient, client: FlaskClient, directory: Directory, book: Book, demo: None
) -> None:
    """46 full of the demo: its page said 99.0 where what fits says 98, since 98.96 is not 99."""
    link, rough = link_of(directory, book), 0
    for cell in card_of(book, NOW).cells.values():
        nine = cell.nine_in_ten_carry_m / YARD_M
        page = words(player.get(f"/card/{cell.club_id}/{cell.swing_deg:g}"))
        told = re.search(r"mishits too (?:rough: under 20 balls )?([\d.]+) yd", page)
        assert told
        assert nine - 0.1 < float(told[1]) <= nine
    for address in set(re.findall(r'href="([^"]*cell=[^"]*#evidence)"', client.get(link).text)):
        sheet = client.get(address.replace("&amp;", "&").partition("#")[0]).text.partition('id="evidence"')[2]
        is_guess = "no balls yet" in sheet.partition("</section>")[0]
        assert not is_guess or "<dt>nine in ten carry, rough</dt>" in sheet
        rough += is_guess
    assert rough


def test_a_gap_is_no_other_number_than_its_carries_make(player: FlaskClient, book: Book, demo: None) -> None:
    """Shown as 85 and 72 the carries are 13 apart, before they are rounded 12.4: only tenths can say so."""
    page = words(player.get("/card"))
    for gap in card_of(book, NOW).gaps:
        assert f"{gap.stronger.name} – {gap.weaker.name} {gap.gap_m / YARD_M:.1f} yd " in page
    assert "carries on the card before they are rounded" in page


def test_what_settled_asks_for_is_said_before_rounding(player: FlaskClient, demo: None) -> None:
    """A number known to 2.4 m shows "still ±2" and is early: 2.5 yd are 2.3 m, and a whole number cannot tell."""
    assert "known to 2.5 yd (2.3 m) either side before rounding" in words(player.get("/card"))


@pytest.mark.parametrize(
    ("path", "made"),
    [
        ("/card", "card_numbers"),
        ("/bucket", "bucket"),
        ("/fits", "fits"),
        ("/fits/leave", "fits"),
        ("/practice", "practice"),
        ("/homework", "homework"),
    ],
)
def test_a_page_tells_the_phone_no_newer_a_fact_than_its_numbers_rest_on(
    app: Flask, player: FlaskClient, book: Book, monkeypatch: pytest.MonkeyPatch, path: str, made: str
) -> None:
    """A ball comes in while the page is made: the phone adds what is newer than the page's cursor, so also this one."""
    app.config["NOW"] = lambda: moment_of(moved(NOW, minutes=1))
    club, today = a_club("56"), a_bucket(NOW)
    assert not book.add([club, today, a_shot(today, club, 61, NOW)], None, NOW).refused
    before, data_of = book.cursor, getattr(phone_data, made)

    def as_a_ball_comes(*asked: Any, **named: Any) -> Any:
        assert not book.add([a_shot(today, club, 58, NOW)], None, NOW).refused
        return data_of(*asked, **named)

    monkeypatch.setattr(phone_data, made, as_a_ball_comes)
    page = player.get(path)
    assert book.cursor == before + 1
    assert re.findall(r'"cursor": ?(\d+)', unescape(page.text)) == [f"{before}"]


def test_the_aim_of_one_afternoon_is_the_same_on_every_page(
    app: Flask, player: FlaskClient, client: FlaskClient, directory: Directory, book: Book
) -> None:
    """Six balls end 4 yd short of 60; those from the rough, of a course, set aside or own ones tell nothing of it."""
    app.config["NOW"] = lambda: moment_of(NOW)
    club, at = a_club("56"), moved(NOW, days=-2)
    buckets = [a_bucket(at), a_bucket(at, aside=True), a_bucket(at, ball="own")]

    def to(meant: int, off: int, n: int, bucket: int = 0, **more: object) -> list[Raw]:
        called = {"mode": "distance", "meant_carry_m": meant * YARD_M, **more}
        return [a_shot(buckets[bucket], club, meant + off, moved(at, minutes=ball), **called) for ball in range(n)]

    shots = [
        *to(60, -4, 6), *to(60, -20, 6, lie="rough"), *to(60, -30, 6, course=True), *to(60, 15, 5, 1), *to(60, 9, 3, 2),
        *to(30, 0, 2), *to(60, 20, 1, aside=True),
    ]  # fmt: skip
    assert not book.add([club, *buckets, *shots], None, NOW).refused
    for page in (player.get("/card"), client.get(link_of(directory, book))):
        assert "Aim: short by 4 yd from 40 to 70 (6 balls to a number)." in words(page)
    assert re.search(r"40 to 70 6 −4\.0 .*\ball 8 −3\.0 ", words(player.get("/trends")))
    assert "0 for the card, 8 to a number, 18 left out" in words(player.get("/trends/periods?what=last"))
    visit = player.get(f"/visits/{buckets[0]['root']}")
    assert "Short by 4 yd from 40 to 70 (6 balls to a number)." in words(visit)
    assert "Balls hit to a number from 40 to 70 6 56 clean" in words(visit)
    assert visit.text.partition('aria-labelledby="aim"')[2].partition("</section>")[0].count("<li>") == 6
