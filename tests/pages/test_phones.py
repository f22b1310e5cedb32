"""More than one phone: recovery sheet, joining code, the list, cutting off."""

import re
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from webapp import codes
from webapp.moments import moment_of, moved
from webapp.store.book import Book
from webapp.store.directory import Directory

from ..factories import NOW, a_bucket, a_club, a_shot, the_demo_set
from .visitor import page_of, send, send_facts, token, words


@pytest.fixture(autouse=True)
def _at_noon(app: Flask) -> None:
    app.config["NOW"] = lambda: moment_of(NOW)


@pytest.fixture
def other(app: Flask) -> FlaskClient:
    """Another phone, without a book."""
    return app.test_client()


def code_on(page: Any) -> str:
    """The code a page shows."""
    found = re.search(r'<p class="code">([A-Z2-7 ]+)</p>', page.text)
    assert found, words(page)
    return found[1]


def book_of(phone: FlaskClient) -> str | None:
    """The book a phone has open."""
    told = phone.get("/api/session").get_json()
    return told.get("book")


def opened(phone: FlaskClient, code: str) -> Any:
    """The answer to a typed code."""
    return send(phone, "/open", code=code)


def test_the_recovery_sheet_opens_the_book_on_another_phone_again_and_again(
    player: FlaskClient, other: FlaskClient, app: Flask, book: Book
) -> None:
    code = code_on(send(player, "/recovery"))
    assert len(code.replace(" ", "")) == codes.LENGTH
    assert opened(other, code).request.path == "/card"
    assert book_of(other) == book.id
    third = app.test_client()
    opened(third, code)
    assert book_of(third) == book.id


def test_a_phone_that_comes_to_a_book_is_told_what_is_there(player: FlaskClient, app: Flask, book: Book) -> None:
    code = code_on(send(player, "/recovery"))
    elsewhere = "What another phone still keeps comes once that phone has signal."
    assert f"The book is open here: no ball yet. {elsewhere}" in words(opened(app.test_client(), code))
    bag, bucket = the_demo_set(), a_bucket()
    book.add([*bag, bucket, a_shot(bucket, bag[0], 80)], None, NOW)
    said = f"The book is open here: 1 ball, the last visit on 1 May 2025. {elsewhere}"
    assert said in words(opened(app.test_client(), code))


@pytest.mark.files_only
def test_a_damaged_book_is_said_on_its_card_and_uses_no_code_up(player: FlaskClient, app: Flask, book: Book) -> None:
    code = code_on(send(player, "/recovery"))
    book.close()
    for leftover in book.path.parent.glob(f"{book.id}*"):
        leftover.unlink()
    book.path.write_bytes(b"not a database at all" * 1000)
    phone = app.test_client()
    answer = phone.post("/open", data={"code": code, "csrf_token": token(phone)})
    assert (answer.status_code, answer.location) == (302, "/card")
    assert "This book’s file is damaged." in words(phone.get("/card"))


@pytest.mark.parametrize(
    "sloppy",
    [
        str.lower,
        lambda code: code.replace(" ", ""),
        lambda code: code.replace(" ", "-"),
        lambda code: f"  {code}\n",
        lambda code: code.replace("O", "0").replace("I", "1").replace("B", "8"),
        lambda code: f"http://localhost/open#{code.replace(' ', '')}",
    ],
)
def test_a_code_may_be_typed_sloppily(player: FlaskClient, other: FlaskClient, book: Book, sloppy: Any) -> None:
    opened(other, sloppy(code_on(send(player, "/recovery"))))
    assert book_of(other) == book.id


def test_a_new_sheet_ends_the_old_one(player: FlaskClient, other: FlaskClient, book: Book) -> None:
    old = code_on(send(player, "/recovery"))
    assert "A new one ends it." in words(player.get("/phones"))
    new = code_on(send(player, "/recovery"))
    refused = opened(other, old)
    assert refused.status_code == 404
    assert "This code opens no book." in words(refused)
    assert book_of(other) is None
    opened(other, new)
    assert book_of(other) == book.id


def test_a_joining_code_lets_one_phone_in(player: FlaskClient, other: FlaskClient, app: Flask, book: Book) -> None:
    code = code_on(send(player, "/phones/join"))
    opened(other, code)
    assert book_of(other) == book.id
    third = app.test_client()
    assert opened(third, code).status_code == 404
    assert book_of(third) is None


def test_a_joining_code_is_over_after_ten_minutes(
    player: FlaskClient, other: FlaskClient, app: Flask, book: Book
) -> None:
    code = code_on(send(player, "/phones/join"))
    app.config["NOW"] = lambda: moment_of(moved(NOW, minutes=10))
    assert opened(other, code).status_code == 404
    app.config["NOW"] = lambda: moment_of(moved(NOW, minutes=9, seconds=59))
    code = code_on(send(player, "/phones/join"))
    assert opened(other, code).status_code == 200


@pytest.mark.files_only
def test_codes_are_kept_as_fingerprints_and_shown_once(player: FlaskClient, directory: Directory, data: Any) -> None:
    shown = [code_on(send(player, path)) for path in ("/recovery", "/phones/join")]
    directory.conn.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    files = b"".join(file.read_bytes() for file in data.rglob("*") if file.is_file())
    for code in shown:
        assert code.replace(" ", "").encode() not in files
        assert code not in page_of(player, "/phones").text


@pytest.mark.parametrize(
    ("code", "status", "sentence"),
    [
        ("", 400, "Type the code of the sheet."),
        ("A" * 26, 404, "This code opens no book."),
        ("x" * 301, 400, "A code has at most 300 characters."),
        ("ß'; --", 404, "This code opens no book."),
    ],
)
def test_a_wrong_code_opens_nothing_and_says_so(other: FlaskClient, code: str, status: int, sentence: str) -> None:
    answer = opened(other, code)
    assert answer.status_code == status
    assert sentence in words(answer)
    assert other.get_cookie("book") is None


def test_a_wrong_code_leaves_the_open_book_open(player: FlaskClient, book: Book) -> None:
    opened(player, "A" * 26)
    assert book_of(player) == book.id


def test_trying_codes_is_slowed_down(other: FlaskClient) -> None:
    assert [opened(other, "A" * 26).status_code for _ in range(11)][10] == 429


def test_the_phones_of_a_book_are_listed_with_their_minute_and_the_day_last_seen(
    player: FlaskClient, other: FlaskClient, app: Flask, book: Book
) -> None:
    assert "balls that another phone has not sent" not in words(player.get("/delete"))
    app.config["NOW"] = lambda: moment_of(moved(NOW, minutes=20))
    opened(other, code_on(send(player, "/phones/join")))
    assert "balls that another phone has not sent, which it keeps as a file to save" in words(player.get("/delete"))
    app.config["NOW"] = lambda: moment_of(moved(NOW, days=3))
    player.get("/card")
    shown = words(player.get("/phones"))
    assert "Phone (this one) since 1 May 2025, 09:30, last seen 4 May 2025" in shown
    assert "Computer since 1 May 2025, 09:50, last seen 1 May 2025" in shown


def test_a_phone_that_is_cut_off_is_shut_out_at_once_and_the_other_is_not(
    player: FlaskClient, other: FlaskClient, book: Book
) -> None:
    opened(other, code_on(send(player, "/phones/join")))
    cut = re.findall(r'action="(/phones/[^"]+/cut-off)"', player.get("/phones").text)
    assert len(cut) == 1  # there is no button to cut off the phone in the hand
    assert "What it had not sent stays on it" in words(send(player, cut[0]))
    for answer in (other.get("/card"), other.get("/api/facts"), send_facts(other, [a_club()], book.id)):
        assert answer.status_code == 403
    assert other.get("/api/session").get_json()["error"]["code"] == "cut_off"
    assert book.cursor == 0
    assert player.get("/card").status_code == 200
    assert "cut off" in words(player.get("/phones"))


def test_a_phone_does_not_cut_itself_off(player: FlaskClient, directory: Directory, book: Book) -> None:
    (own,) = directory.devices(book.id)
    assert "the phone in your hand" in words(send(player, f"/phones/{own.id.hex()}/cut-off"))
    assert player.get("/card").status_code == 200


@pytest.mark.parametrize("named", ["nobody", "00000000-0000-0000-0000-000000000000"])
def test_cutting_off_a_phone_that_is_not_there_changes_nothing(player: FlaskClient, named: str) -> None:
    assert "There is no such phone. Nothing was changed." in words(send(player, f"/phones/{named}/cut-off"))


def test_a_phone_that_opens_another_book_is_told_what_becomes_of_the_first(player: FlaskClient) -> None:
    assert "without a recovery sheet of that book this phone cannot go back to it" in words(player.get("/open"))


def test_a_cookie_lasts_four_hundred_days_from_the_day_last_used(player: FlaskClient, app: Flask) -> None:
    assert "Set-Cookie" not in player.get("/card").headers
    app.config["NOW"] = lambda: moment_of(moved(NOW, days=2))
    renewed = player.get("/card").headers["Set-Cookie"]
    assert f"Max-Age={400 * 86400}" in renewed
    assert "Set-Cookie" not in player.get("/card").headers
