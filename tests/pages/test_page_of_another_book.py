"""A page that was shown for one book changes nothing in another that was opened on the same phone since."""

from collections.abc import Callable
from typing import Any

import pytest
from flask.testing import FlaskClient

from tests.factories import NOW, a_bucket, a_club, a_shot
from webapp.phone_pages import KEPT
from webapp.store.book import Book
from webapp.store.directory import Directory

from .test_older_page import form_of, sent
from .test_tablet import code_of
from .test_typed import Forms
from .visitor import page_of, send, token, words

REFUSED = "Nothing was changed: the page this came from belongs to another book than the one open on this phone now."
OTHERS = ("/settings", "/links", "/phones", "/leaving", "/table", "/delete", "/trends", "/homework", "/remarks")
PAGE_OF = {"/bag/set": "/bag", "/phones/join": "/phones", "/recovery": "/phones", "/bucket/start": "/bucket"}


@pytest.fixture
def reopen(player: FlaskClient, directory: Directory) -> Callable[[str], None]:
    """Open another book on the player's phone, as another tab does."""

    def one(book_id: str) -> None:
        player.set_cookie("book", directory.new_device(book_id, "Phone", NOW))

    return one


@pytest.fixture
def second(directory: Directory) -> Any:
    """Another player's book, with one wedge."""
    with directory.open_book(directory.new_book(NOW)) as opened:
        opened.add([a_club("58")], None, NOW)
        yield opened


@pytest.mark.parametrize(
    ("action", "answers"),
    [
        ("/settings", {"hand": "left"}),
        ("/bag/set", {"do": "keep"}),
        ("/delete", {"yes": "y"}),
        ("/phones/join", {}),
        ("/recovery", {}),
        ("/links", {"label": "coach", "days": "7"}),
        ("/bucket/start", {"do": "start", "place": "Fen"}),
        ("/round", {}),
    ],
)
def test_what_it_sends_is_refused(
    player: FlaskClient,
    directory: Directory,
    book: Book,
    second: Book,
    reopen: Callable[[str], None],
    action: str,
    answers: dict[str, str],
) -> None:
    book.add([a_club("56")], None, NOW)
    older = form_of(page_of(player, PAGE_OF.get(action, action)), action)
    reopen(second.id)
    before = [opened.after(0, 100) for opened in (book, second)]
    answer = sent(player, action, older, **answers)
    assert answer.status_code == 409
    assert REFUSED in words(answer)
    assert "Set-Cookie" not in answer.headers
    assert [opened.after(0, 100) for opened in (book, second)] == before
    assert not directory.is_deleted(second.id)
    reopen(book.id)
    assert sent(player, action, older, **answers).status_code != 409


def test_a_wedge_typed_on_an_older_bag_comes_into_no_other(
    player: FlaskClient, second: Book, reopen: Callable[[str], None]
) -> None:
    older = form_of(page_of(player, "/bag"), "/bag/set")
    reopen(second.id)
    new = {"new-name": "48 gap", "new-loft_deg": "48"}
    assert REFUSED in words(sent(player, "/bag", older, **new))
    assert "48 gap" not in page_of(player, "/bag").text
    assert "48 gap" in sent(player, "/bag", form_of(page_of(player, "/bag"), "/bag/set"), **new).text


def test_every_form_of_a_book_names_it(player: FlaskClient, book: Book) -> None:
    club, bucket = a_club("56"), a_bucket()
    ball = a_shot(bucket, club, 54)
    book.add([club, bucket, ball], None, NOW)
    seen: dict[str, set[str]] = {}
    of_no_book = ("/open", code_of(send(player, "/links/tablet")))
    for path in (*KEPT, *OTHERS, *of_no_book, f"/visits/{bucket['id']}", f"/shots/{ball['id']}"):
        for more in ({}, {"headers": {"X-Kept-Page": "1"}}):
            for form in Forms(page_of(player, path, follow_redirects=True, **more).text).found:
                if form.method == "post":
                    seen.setdefault(form.action.partition("?")[0], set()).add(form.values.get("book", ""))
    assert len(seen) > 20
    assert [seen.pop(path) for path in of_no_book] == [{""}, {""}]
    assert {action: named for action, named in seen.items() if named != {book.id}} == {}


def test_a_form_that_names_no_book_writes_into_the_open_one(
    player: FlaskClient, second: Book, reopen: Callable[[str], None]
) -> None:
    older = form_of(page_of(player, "/settings"), "/settings")
    reopen(second.id)
    del older["book"]
    assert sent(player, "/settings", older, hand="left").status_code == 200
    assert second.after(0, 100)[-1]["body"] == {"name": "hand", "value": "left"}


def test_another_book_is_opened_from_a_page_of_a_third(
    player: FlaskClient, directory: Directory, book: Book, second: Book, reopen: Callable[[str], None]
) -> None:
    older = form_of(page_of(player, "/open"), "/open")
    reopen(second.id)
    directory.set_recovery(book.id, "A" * 26, NOW)
    assert sent(player, "/open", older, code="A" * 26).status_code == 200
    assert player.get("/api/session").get_json()["book"] == book.id


def test_a_phone_whose_book_is_closed_is_told_so(player: FlaskClient, app: Any) -> None:
    older = form_of(page_of(player, "/settings"), "/settings")
    answer = sent(app.test_client(), "/settings", older)
    assert answer.status_code == 401
    assert "This phone has no book open." in words(answer)


def test_a_token_is_fetched_for_a_page_of_the_open_book_alone(
    player: FlaskClient, app: Any, book: Book, second: Book
) -> None:
    for named in ("", "?book=", f"?book={book.id}"):
        assert player.get(f"/api/token{named}").get_json()["csrf"]
    answer = player.get(f"/api/token?book={second.id}")
    assert (answer.status_code, answer.get_json()["error"]["code"]) == (409, "other_book")
    assert "What you typed is still here." in answer.get_json()["error"]["message"]
    assert app.test_client().get(f"/api/token?book={book.id}").get_json()["csrf"]
    assert send(player, "/settings", book=second.id).status_code == 409
    named_in_json = {"facts": [], "book": book.id}
    assert player.post("/api/facts", json=named_in_json, headers={"X-CSRFToken": token(player)}).status_code == 200
