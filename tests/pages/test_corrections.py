"""A correction changes the fields it is about: whatever else was said of a thing stays said.

A field is added as the recipes of DEVELOPERS.md begin, with its kind and its column; no row and no form carries it.
"""

from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from webapp import fields
from webapp.facts import KINDS
from webapp.moments import moment_of, moved
from webapp.practice import remark_code
from webapp.practice.homework_code import Asked, Homework, Row, made
from webapp.practice.remark_code import Remark
from webapp.store.book import Book
from webapp.store.derived import TABLES

from ..factories import NOW, Raw, a_bucket, a_club, a_homework, a_remark, a_shot, corrected, raw
from .visitor import send

ADDED = "of a later version"


@pytest.fixture
def wedge(app: Flask, book: Book, monkeypatch: pytest.MonkeyPatch) -> Raw:
    """A wedge in a book whose wedges, swings, homework and remarks may say one thing more, read an hour later."""
    app.config["NOW"] = lambda: moment_of(moved(NOW, hours=1))
    for kind in ("club", "swing", "homework", "remark"):
        monkeypatch.setitem(KINDS[kind], "later", fields.text("later", 40))
        book.conn.execute(f"ALTER TABLE {TABLES[kind]} ADD COLUMN later TEXT")
    club = a_club("56", sole_note="10 wide", later=ADDED)
    put(book, club)
    return club


def put(book: Book, *facts: Raw) -> None:
    """Put sound facts into the book."""
    for fact in facts:
        assert book.add([fact], None, NOW).refused == []


def told(book: Book, fact: Raw) -> list[Any]:
    """What was said last of a thing, and how often something was said of it."""
    said = book.history(fact["root"])
    return [said[-1]["body"], len(said)]


def of_a_form(wedge: Raw, **changed: str) -> dict[str, str]:
    """The set as the bag's form sends it."""
    fields = {"name": "56", "loft_deg": "56", "sole_note": "10 wide", "carry": "", **changed}
    return {f"{wedge['id']}-{name}": value for name, value in fields.items()}


def test_a_wedge_keeps_what_its_form_does_not_show(player: FlaskClient, book: Book, wedge: Raw) -> None:
    send(player, "/bag/set", do="keep", **of_a_form(wedge, loft_deg="57"))
    assert told(book, wedge) == [{**wedge["body"], "loft_deg": 57}, 2]
    send(player, "/bag/set", do=f"retire {wedge['id']}", **of_a_form(wedge, loft_deg="57"))
    assert told(book, wedge) == [{**wedge["body"], "loft_deg": 57, "retired": True}, 3]
    send(player, "/bag/back", club=wedge["id"])
    assert told(book, wedge) == [{**wedge["body"], "loft_deg": 57}, 4]


def test_a_wedge_that_gives_its_place_back_keeps_it_too(player: FlaskClient, book: Book, wedge: Raw) -> None:
    new = a_club("60", follows=wedge["id"], later=ADDED)
    put(book, corrected(wedge, retired=True), new)
    form = {name.replace(wedge["id"], new["id"]): value for name, value in of_a_form(wedge).items()}
    form |= {f"{new['id']}-name": "60", f"{new['id']}-loft_deg": "60", f"{new['id']}-sole_note": ""}
    send(player, "/bag/set", do=f"undo {new['id']}", **form)
    assert told(book, new) == [None, 2]
    assert told(book, wedge) == [wedge["body"], 3]


def test_a_swing_keeps_it_under_another_name(player: FlaskClient, book: Book, wedge: Raw) -> None:
    swings = [raw("swing", {"swing_deg": swing_deg, "name": "", "later": ADDED}) for swing_deg in (60.0, 90.0, 135.0)]
    put(book, *swings)
    send(player, "/settings/swings", do="name", swing_deg="90.0", name="hip")
    assert told(book, swings[1]) == [{**swings[1]["body"], "name": "hip"}, 2]


def test_homework_keeps_it_set_aside_and_taken_up_again(player: FlaskClient, book: Book, wedge: Raw) -> None:
    work = a_homework(wedge, focus="quiet wrists", nine_by="", later=ADDED)
    put(book, work)
    send(player, f"/homework/{work['id']}/aside")
    assert told(book, work) == [{**work["body"], "aside": True}, 2]
    send(player, f"/homework/{work['id']}/aside")
    assert told(book, work) == [{**work["body"], "aside": False}, 3]
    send(player, f"/homework/{work['id']}/aside")
    code = made(Homework(work["id"], (Row((Asked("56", 56.0, 90.0),), 5, "swing"),)))
    send(player, "/homework", code=code, do="accept")
    assert told(book, work) == [work["body"], 5]


def test_a_remark_keeps_it_set_aside_and_kept_again(player: FlaskClient, book: Book, wedge: Raw) -> None:
    remark = a_remark(wedge, later=ADDED)
    put(book, remark)
    send(player, f"/remarks/{remark['id']}/aside")
    assert told(book, remark) == [{**remark["body"], "aside": True}, 2]
    code = remark_code.made(Remark(remark["id"], "hold the finish", Asked("56", 56.0, 90.0)))
    send(player, "/remarks", code=code, do="keep")
    assert told(book, remark) == [{**remark["body"], "aside": False}, 3]


def test_a_ball_of_a_phone_that_is_kept_as_it_stands_is_not_said_anew(
    player: FlaskClient, book: Book, wedge: Raw
) -> None:
    """A phone writes null where a ball was meant to carry nothing."""
    bucket = a_bucket()
    ball = a_shot(bucket, wedge, meant_carry_m=None)
    put(book, bucket, ball)
    send(player, f"/shots/{ball['id']}", landed="seen", contact="clean", carry="54")
    assert told(book, ball) == [ball["body"], 1]
    send(player, f"/shots/{ball['id']}/aside", do="aside")
    assert told(book, ball) == [{**ball["body"], "aside": True}, 2]
