"""What tests of several pages share: the demo book, the demo set, a bag, and a book with all that a ball can say."""

from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from tests.factories import (
    NOW,
    Raw,
    a_bucket,
    a_club,
    a_homework,
    a_remark,
    a_setting,
    a_shot,
    corrected,
    f1_balls,
    the_demo_set,
    voided,
)
from webapp.books.demo import load_demo
from webapp.moments import moment_of, moved
from webapp.store.book import Book
from webapp.store.directory import Directory
from webapp.units import YARD_M


@pytest.fixture
def demo(app: Flask, data: Path, directory: Directory) -> FlaskClient:
    """A phone with the demo book."""
    app.config["NOW"] = lambda: moment_of(moved(NOW, hours=1))
    client = app.test_client()
    client.set_cookie("book", directory.new_device(load_demo(directory, NOW), "phone", NOW))
    return client


@pytest.fixture
def demo_set(app: Flask, book: Book, player: FlaskClient) -> list[Raw]:
    """The demo set in the player's book, read a little later."""
    app.config["NOW"] = lambda: moment_of(moved(NOW, hours=1))
    facts = the_demo_set()
    assert book.add(facts, None, NOW).refused == []
    return facts


@pytest.fixture
def bag(book: Book) -> dict[str, str]:
    """A bag with two wedges: their ids by name."""
    clubs = [a_club("51", loft_deg=51), a_club("56", loft_deg=56)]
    book.add([*clubs, a_setting("unit", "m")], None, NOW)
    return {club["body"]["name"]: club["id"] for club in clubs}


@pytest.fixture
def full_book(book: Book) -> Book:
    """A book with everything a ball can say: odd lies, winds, delivery numbers, corrections, voids."""
    clubs = the_demo_set()
    fifty_six = next(fact for fact in clubs if fact["body"].get("name") == "56")
    homework = a_homework(fifty_six, nine_by="2025-05-04", focus="quiet wrists")
    old = a_club("56", loft_deg=55, retired=True)
    plain = a_bucket()
    windy = a_bucket(
        wind="left", wind_force="strong", temperature_c=11.5, bay_offset_m=-2 * YARD_M, place="'=Pellow, Fen"
    )
    grass = a_bucket(surface="grass", ball="own", judged_by="laser", monitor_note="outdoor", warm_up_balls=7)
    aside = a_bucket(aside=True, aside_reason='rain, "hard"')
    balls = f1_balls(plain, fifty_six)
    strange = [
        a_shot(windy, fifty_six, 54),
        a_shot(windy, fifty_six, 53, wind="calm"),
        a_shot(plain, fifty_six, 51, wind="into", wind_force="strong"),
        a_shot(plain, fifty_six, 40, lie="wet", direction="left", swing_check="longer", roll_m=-3.25),
        a_shot(plain, fifty_six, 55, flight="low", run_index=4, plan_ref="=mix:3"),
        a_shot(plain, fifty_six, 56, coarse=True),
        a_shot(plain, fifty_six, 57, course=True, lie="sand"),
        a_shot(plain, fifty_six, 58, aside=True),
        a_shot(plain, fifty_six, None),
        a_shot(plain, fifty_six, 70, landed="over", carry_m=None, contact="bladed"),
        a_shot(plain, fifty_six, 62, mode="distance", meant_carry_m=60 * YARD_M),
        a_shot(
            grass,
            fifty_six,
            None,
            landed="seen",
            carry_m=47.123456789012345,
            swing_deg=97.5,
            contact="",
            judged_apart=True,
        ),
        a_shot(
            grass,
            old,
            80,
            swing_deg=180.0,
            judged_apart=True,
            delivery={"attack_deg": -3.5, "spin_rpm": 8123.0, "club_speed_mps": 33.123456789},
        ),
        a_shot(aside, fifty_six, 30),
    ]
    moved_ball, withdrawn = corrected(balls[0], carry_m=50 * YARD_M), voided(balls[1])
    facts = [
        *clubs,
        old,
        plain,
        windy,
        grass,
        aside,
        *balls,
        *strange,
        moved_ball,
        withdrawn,
        homework,
        a_remark(fifty_six),
        a_remark(shot_id=balls[0]["id"], words='=early, "low"'),
        a_setting("junior", True),
    ]
    assert book.add(facts, None, moved(NOW, days=1)).refused == []
    return book


@pytest.fixture
def fresh(app: Flask, directory: Directory) -> Any:
    """Another phone with an empty book: the phone and the book."""
    with directory.open_book(directory.new_book(NOW)) as opened:
        client = app.test_client()
        client.set_cookie("book", directory.new_device(opened.id, "Phone", NOW))
        yield client, opened
