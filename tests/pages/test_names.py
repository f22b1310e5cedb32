"""A wedge that left the bag and a swing with a name of its own are called alike on every page that names them."""

import re
from html import unescape

import pytest
from flask import Flask
from flask.testing import FlaskClient

from webapp.moments import moment_of, moved
from webapp.store.book import Book
from webapp.store.directory import Directory

from ..factories import NOW, Raw, a_bucket, a_club, a_homework, a_remark, a_setting, a_shot, a_swing, f1_balls
from .visitor import words

BALLS = "/periods/balls?what=last&side=both&part=all"


@pytest.fixture
def struck(app: Flask, book: Book) -> dict[str, Raw]:
    """A left-hander's book whose 56 left the bag, with balls at "hip" and one at a swing that was left out."""
    app.config["NOW"] = lambda: moment_of(moved(NOW, hours=1))
    gone, bucket = a_club("56", retired=True), a_bucket(moved(NOW, days=-1))
    swings = [a_swing(90.0, "hip"), a_swing(135.0), a_swing(180.0)]
    balls = f1_balls(bucket, gone, moved(NOW, days=-1))
    noted = a_shot(bucket, gone, 54, moved(NOW, days=-1, minutes=30), course=True)
    left_out = a_shot(bucket, gone, 40, moved(NOW, days=-1, minutes=40), swing_deg=60.0)
    before = a_bucket(moved(NOW, days=-3))
    balls += f1_balls(before, gone, moved(NOW, days=-3))
    facts = [gone, a_club("60"), *swings, a_setting("hand", "left"), bucket, before, *balls, noted, left_out]
    assert book.add([*facts, a_remark(gone), a_homework(gone)], None, NOW).refused == []
    return {"club": gone, "bucket": bucket, "ball": balls[0], "left_out": left_out}


def test_the_players_pages_call_its_swing_by_its_own_name(player: FlaskClient, struck: dict[str, Raw]) -> None:
    for page in (
        f"/card/{struck['club']['id']}/90",
        f"/visits/{struck['bucket']['id']}",
        f"/shots/{struck['ball']['id']}",
        f"/trends{BALLS}",
        "/homework",
        "/remarks",
    ):
        told = words(player.get(page))
        assert "56 hip" in told, page
        assert "56 3:00" not in told, page
    assert "56 4:00" in words(player.get(f"/visits/{struck['bucket']['id']}"))
    assert "56 4:00, one shot" in words(player.get(f"/shots/{struck['left_out']['id']}"))


def test_a_coach_reads_the_same_names(
    app: Flask, directory: Directory, book: Book, player: FlaskClient, struck: dict[str, Raw]
) -> None:
    coach, link = app.test_client(), "/w/" + directory.new_link(book.id, "", NOW, moved(NOW, days=14), {})
    balls = coach.get(f"{link}{BALLS}")
    remark = re.search(r'href="(/w/[^"]*/remark[^"]*shot=[^"]*)"', balls.text)
    assert remark
    written = coach.get(unescape(remark[1]))
    behind = re.search(r'class="back" href="([^"]*)"', written.text)
    assert behind
    for page in (balls, written, coach.get(unescape(behind[1]))):
        assert "56 hip" in words(page)
        assert "56 3:00" not in words(page)
