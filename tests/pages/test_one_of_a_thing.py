"""One of a thing is said as one, on every page that a book of one ball leads to. Common practice, no source."""

import re
from html import unescape

import pytest
from flask import Flask
from flask.testing import FlaskClient

from tests.factories import NOW, a_bucket, a_shot, the_demo_set
from tests.pages.visitor import words
from webapp.moments import moment_of, moved
from webapp.store.book import Book

_FILES = ("/export/", "/static/", "/print/")
_SEVERAL = re.compile(r"(?<![\d.,:−–-])1 (?:balls|visits|phones|entries|rows|wedges|days|open coach links)\b[^.]{0,20}")


@pytest.fixture
def one_ball(app: Flask, book: Book, player: FlaskClient) -> FlaskClient:
    """A phone whose book holds four wedges, one visit and one ball."""
    app.config["NOW"] = lambda: moment_of(moved(NOW, hours=1))
    clubs, bucket = the_demo_set(NOW), a_bucket(NOW)
    assert not book.add([*clubs, bucket, a_shot(bucket, clubs[2], 48, NOW)], None, NOW).refused
    return player


def test_no_page_says_one_balls(one_ball: FlaskClient) -> None:
    to_see, seen, wrong = ["/card", "/more", "/delete"], set[str](), dict[str, str]()
    while to_see:
        path = to_see.pop()
        answer = one_ball.get(path, follow_redirects=True)
        seen.add(path)
        if answer.status_code != 200 or answer.mimetype != "text/html":
            continue
        if found := _SEVERAL.search(words(answer)):
            wrong[path] = found[0]
        links = {unescape(link).split("#")[0] for link in re.findall(r'<a[^>]* href="(/[^"]*)"', answer.text)}
        to_see += [one for one in links if one not in seen and one not in to_see and not one.startswith(_FILES)]
        assert len(seen) < 150
    assert any(path.startswith("/visits/") for path in seen)
    assert wrong == {}
