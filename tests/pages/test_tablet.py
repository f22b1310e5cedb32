"""The tablet beside the mat: a code of ten minutes that opens once, and a look that tells nothing else."""

import html
import re

import pytest
from flask import Flask
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from webapp.moments import moment_of, moved
from webapp.store.book import Book
from webapp.store.directory import Directory

from ..factories import NOW, a_bucket, a_setting, a_shot, the_demo_set
from .visitor import page_of, send, token, words


@pytest.fixture
def tablet(app: Flask) -> FlaskClient:
    """A tablet that never saw the app, at the factories' moment."""
    at(app)
    return app.test_client()


def at(app: Flask, **later: int) -> None:
    """Set the clock so much after the factories' moment."""
    app.config["NOW"] = lambda: moment_of(moved(NOW, **later))


def code_of(page: TestResponse) -> str:
    """The address of a tablet's code, as the page shows it once."""
    found = re.search(r'href="http://localhost(/tablet/[^"]+)"', page.text)
    assert found, words(page)
    return found[1]


def follow(tablet: FlaskClient, code: str) -> TestResponse:
    """What the tablet gets for using a code up."""
    return tablet.post(code, data={"csrf_token": token(tablet)})


def link_of(answer: TestResponse) -> str:
    """The link that a tablet was given."""
    assert answer.status_code == 303
    way, _, secret = answer.location.partition("#")
    assert way == "/tablet"
    return f"/w/{secret}"


def test_a_code_opens_once_and_gives_the_tablet_a_link_of_six_hours(
    app: Flask, player: FlaskClient, tablet: FlaskClient
) -> None:
    code = code_of(send(player, "/links/tablet"))
    assert "Follow on this tablet?" in words(tablet.get(code))
    assert "Follow on this tablet?" in words(tablet.get(code)), "looking at the address uses nothing up"
    link = link_of(follow(tablet, code))
    assert tablet.get(link).status_code == 200
    for again in (tablet.get(code), follow(app.test_client(), code)):
        assert again.status_code == 410
        assert "This link is closed." in words(again)
    listed = words(player.get("/links"))
    assert "a tablet : open until 1 May 2025, 15:30, opened on 1 May 2025" in listed
    assert "a tablet’s code : closed, opened on 1 May 2025" in listed
    at(app, hours=6, seconds=-1)
    assert tablet.get(f"{link}/newest").status_code == 200
    at(app, hours=6)
    assert tablet.get(f"{link}/newest").status_code == 410


def test_a_tablet_leads_to_no_form_where_a_coach_writes(player: FlaskClient, book: Book, tablet: FlaskClient) -> None:
    bag = the_demo_set()
    bucket = a_bucket()
    book.add([*bag, bucket, a_shot(bucket, bag[0], 80)], None, NOW)
    link = link_of(follow(tablet, code_of(send(player, "/links/tablet"))))
    page = page_of(tablet, link).text
    shots = html.unescape(re.search(r'href="([^"]+)">All shots of it', page)[1])  # type: ignore[index]
    assert "remark" not in page
    assert "shot-link" in page_of(tablet, shots).text
    assert "remark" not in page_of(tablet, shots).text
    balls = page_of(tablet, f"{link}/periods/balls?what=three&side=after&part=all").text
    assert "clean" in balls
    assert "remark" not in balls


def test_a_code_is_good_for_ten_minutes(app: Flask, player: FlaskClient, tablet: FlaskClient) -> None:
    code = code_of(send(player, "/links/tablet"))
    at(app, minutes=10, seconds=-1)
    assert tablet.get(code).status_code == 200
    at(app, minutes=10)
    assert follow(tablet, code).status_code == 410
    assert "a tablet’s code : closed, never opened" in words(player.get("/links"))


def test_the_player_ends_what_a_tablet_follows(
    player: FlaskClient, tablet: FlaskClient, directory: Directory, book: Book
) -> None:
    link = link_of(follow(tablet, code_of(send(player, "/links/tablet"))))
    own = next(one for one in directory.links(book.id) if one.label == "a tablet")
    send(player, f"/links/{own.id}/end")
    assert tablet.get(f"{link}/newest").status_code == 410


def test_an_ordinary_link_is_no_code(
    player: FlaskClient, tablet: FlaskClient, directory: Directory, book: Book
) -> None:
    secret = directory.new_link(book.id, "", NOW, moved(NOW, days=14), {})
    for answer in (tablet.get(f"/tablet/{secret}"), follow(tablet, f"/tablet/{secret}")):
        assert answer.status_code == 404
        assert "This is no tablet’s code." in words(answer)
    assert [one.is_open(NOW) for one in directory.links(book.id)] == [True]


@pytest.mark.parametrize("code", ["/tablet/x", "/tablet/%00", f"/tablet/{'A' * 32}", f"/tablet/{'A' * 3000}"])
def test_a_code_that_nobody_made_opens_nothing(tablet: FlaskClient, code: str) -> None:
    assert tablet.get(code).status_code == 410
    assert follow(tablet, code).status_code == 410
    assert tablet.get(f"{code.replace('/tablet', '/w')}/newest").status_code == 410


def test_without_a_form_token_a_code_is_not_used_up(player: FlaskClient, tablet: FlaskClient) -> None:
    code = code_of(send(player, "/links/tablet"))
    assert tablet.post(code).status_code == 400
    assert follow(tablet, code).status_code == 303


def test_a_look_tells_that_something_was_noted_and_which_number_was_struck_last(
    player: FlaskClient, tablet: FlaskClient, directory: Directory, book: Book
) -> None:
    clubs, bucket = the_demo_set(), a_bucket()
    book.add([*clubs, bucket], None, NOW)
    link = link_of(follow(tablet, code_of(send(player, "/links/tablet"))))
    first = tablet.get(f"{link}/newest").json
    assert first
    assert first == tablet.get(f"{link}/newest").json
    assert first["cell"] == ""
    book.add([a_shot(bucket, clubs[2], 54, moved(NOW, seconds=1))], None, NOW)
    second = tablet.get(f"{link}/newest").json
    assert second
    assert second["state"] != first["state"]
    assert f"cell={second['cell']}" in tablet.get(link).text.replace("%3A", ":")
    assert not {"made_at", "place"} & second.keys()
    assert clubs[2]["id"] not in str(second)
    assert [one.opened_days for one in directory.links(book.id) if one.label == "a tablet"] == [1], (
        "the card was opened"
    )


def test_of_a_card_alone_a_look_names_no_number(tablet: FlaskClient, directory: Directory, book: Book) -> None:
    clubs, bucket = the_demo_set(), a_bucket()
    book.add([*clubs, bucket, a_shot(bucket, clubs[2], 54, moved(NOW, seconds=1))], None, NOW)
    secret = directory.new_link(book.id, "", NOW, moved(NOW, days=14), {"shows": "card"})
    told = tablet.get(f"/w/{secret}/newest").json
    assert told
    assert told["cell"] == ""
    assert [one.opened_days for one in directory.links(book.id)] == [0], "a look counts as no opening"


def test_a_juniors_code_asks_for_the_guardians_pin(player: FlaskClient, directory: Directory, book: Book) -> None:
    book.add([a_setting("junior", True)], None, NOW)
    first = send(player, "/links/tablet", pin="2468")
    assert code_of(first)
    refused = send(player, "/links/tablet", pin="1357")
    assert refused.status_code == 403
    assert "This is not the guardian’s PIN." in words(refused)
    assert len(directory.links(book.id)) == 1
