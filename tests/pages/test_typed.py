"""Numbers typed with a comma are taken, and letters refused in words, in every box of every form of every page.

The forms are read from the pages themselves, so that a new one is tried without being named here.
"""

from dataclasses import dataclass, field
from html.parser import HTMLParser

import pytest
from flask.testing import FlaskClient

from tests.factories import NOW, a_bucket, f1_balls, the_demo_set
from webapp.store.book import Book

from .visitor import send, words

PAGES = ("/bag", "/bucket", "/conditions", "/eye-check", "/fits", "/practice", "/round/notes", "/settings")
CALM = {"wind": "calm", "wind_force": "light", "temperature_unit": "c", "monitor_note": "", "flags_checked": ""}
NOTHING_DONE = ("Nothing was", "nothing was", "was not")


@dataclass
class Form:
    """One form of a page: where it goes, what it holds, and which of its boxes take a number."""

    action: str
    method: str
    values: dict[str, str] = field(default_factory=dict)
    numbers: list[str] = field(default_factory=list)


class Forms(HTMLParser):
    """Reads the forms of a page as a browser would send them."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.found: list[Form] = []
        self.types: set[str] = set()
        self._select, self._inside = "", False
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Take note of a form, a box or a choice."""
        told = {name: value or "" for name, value in attrs}
        if tag == "form":
            self.found.append(Form(told.get("action", ""), told.get("method", "get")))
            self._inside = True
        if tag == "input":
            self.types.add(told.get("type", "text"))
        if not self._inside:
            return
        form, name = self.found[-1], told.get("name", "")
        if tag == "input":
            if told.get("type") not in ("radio", "checkbox") or "checked" in told:
                form.values[name] = told.get("value", "")
            if "data-typed" in told:
                form.numbers.append(name)
        elif tag == "select":
            self._select = name
        elif tag == "option" and ("selected" in told or self._select not in form.values):
            form.values[self._select] = told.get("value", "")
        elif tag == "button" and told.get("type") != "button" and name and name not in form.values:
            form.values[name] = told.get("value", "")

    def handle_endtag(self, tag: str) -> None:
        """Leave a form: what follows is not sent with it."""
        if tag == "form":
            self._inside = False


@pytest.fixture
def shot(book: Book) -> str:
    """A book with balls; the address of one of them."""
    bucket, clubs = a_bucket(), the_demo_set()
    balls = f1_balls(bucket, clubs[2])
    assert book.add([*clubs, bucket, *balls], None, NOW).refused == []
    return f"/shots/{balls[0]['id']}"


def forms(client: FlaskClient, path: str) -> list[Form]:
    answer = client.get(path)
    assert answer.status_code == 200, path
    read = Forms(answer.text)
    assert "number" not in read.types, f"{path}: the browser's own number box loses what it cannot read"
    return [form for form in read.found if form.numbers]


def sent(client: FlaskClient, form: Form, box: str, typed: str) -> str:
    """What the page says to one box filled so, the others as they stand."""
    fields = {**form.values, box: typed}
    if form.method == "get":
        return words(client.get(form.action, query_string=fields))
    fields.pop("csrf_token", None)
    return words(send(client, form.action, **fields))


@pytest.mark.parametrize("path", [*PAGES, "an open bucket", "a shot", "the first page"])
def test_every_box_for_a_number_takes_a_comma_and_refuses_letters_in_words(
    client: FlaskClient, player: FlaskClient, shot: str, path: str
) -> None:
    who = client if path == "the first page" else player
    if path == "an open bucket":
        send(player, "/bucket/start", surface="mat", ball="range", judged_by="laser", **CALM)
    at = {"the first page": "/", "a shot": shot, "an open bucket": "/bucket"}.get(path, path)
    # The form of a ball stands on the page of a bucket that is still to be begun too, hidden and of no use.
    found = [form for form in forms(who, at) if path != "/bucket" or form.action != "/bucket/shot"]
    assert found
    boxes = [(form, box) for form in found for box in form.numbers]
    for form, box in boxes:
        said = sent(who, form, box, "warm")
        assert "must be a number, such as 54 or 54.5." in said, (path, box)
        assert any(sentence in said for sentence in NOTHING_DONE) or form.method == "get", (path, box)
    for form, box in boxes:
        assert "must be a number" not in sent(who, form, box, "54,5"), (path, box)


@pytest.mark.parametrize(
    ("typed", "why"),
    [
        ("1,200", "“Warn of gaps above” must be 1200 or 1.2: 1,200 can mean both."),
        ("66", "“Warn of gaps above” must be from 2 to 65 yards."),
    ],
)
def test_a_number_that_can_be_read_in_two_ways_or_lies_outside_is_refused(
    player: FlaskClient, shot: str, typed: str, why: str
) -> None:
    (form,) = forms(player, "/settings")
    assert why in sent(player, form, "gap_limit", typed)


def test_a_count_is_whole(player: FlaskClient, shot: str) -> None:
    (form,) = forms(player, "/settings")
    assert "“Most balls a day” must be a whole number from 5 to 500." in sent(player, form, "ball_limit", "5,5")
    assert "The number of balls must be a whole number from 5 to 150." in words(player.get("/practice?other=4,5"))
