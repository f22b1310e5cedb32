"""A junior's guardian: the PIN that coach links, homework and switching junior off ask for."""

import hashlib
import io
import json
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from webapp import working
from webapp.codes import new_code
from webapp.moments import moment_of, moved
from webapp.practice.homework_code import Asked, Homework, Row, made
from webapp.store import from_coach, guardians, reading
from webapp.store.book import Book
from webapp.store.directory import Directory

from ..factories import NOW, a_homework, a_remark, a_setting, raw, the_demo_set
from .visitor import send, send_facts, token, words

PIN = "2468"
OWN_ID = "0a1b2c3d-4e5f-6071-8293-a4b5c6d7e8f9"
CODE = made(Homework(OWN_ID, (Row((Asked("60", 60.0, 135.0),), 5, "swing"),)))
SETTINGS = {"hand": "right", "unit": "yd", "seen_from": "front", "judged_by": "markers", "ball": "range", "thumb": ""}


@pytest.fixture(autouse=True)
def quick_hash(monkeypatch: pytest.MonkeyPatch) -> None:
    """PINs at a small part of their hash's cost, which these tests would pay some fifty times."""
    monkeypatch.setitem(guardians._COST, "n", 1 << 4)


@pytest.fixture
def junior(app: Flask, player: FlaskClient, book: Book) -> FlaskClient:
    """A junior's phone, whose guardian has set no PIN yet."""
    app.config["NOW"] = lambda: moment_of(NOW)
    assert book.add([*the_demo_set(moved(NOW, days=-9)), a_setting("junior", True)], None, NOW).refused == []
    return player


@pytest.fixture
def guarded(junior: FlaskClient) -> FlaskClient:
    """The same phone after the guardian made the first link."""
    assert make_link(junior, PIN).status_code == 200
    return junior


def make_link(phone: FlaskClient, pin: str | None = None) -> Any:
    """The answer to a form that makes a coach link."""
    return send(phone, "/links", label="", days="14", shows="shots", **({"pin": pin} if pin is not None else {}))


def said_once(answer: Any, sentence: str) -> bool:
    """Whether a page says a sentence, and that nothing was changed a single time."""
    return sentence in words(answer) and words(answer).count("Nothing was changed") == 1


def codes(answer: Any) -> list[str]:
    """Why the facts of an answer were refused."""
    return [one["code"] for one in answer.get_json()["refused"]]


@pytest.mark.parametrize("pin", [None, "", "123", "123456789", "abcd", "12 34"])
def test_the_first_link_needs_a_pin_of_four_to_eight_digits(
    junior: FlaskClient, directory: Directory, book: Book, pin: str | None
) -> None:
    answer = make_link(junior, pin)
    assert answer.status_code == 403
    assert said_once(answer, "The guardian’s PIN is 4 to 8 digits.")
    assert directory.links(book.id) == []


def test_each_box_that_sets_the_pin_says_so_and_none_that_asks_for_it(junior: FlaskClient) -> None:
    says = "homework and switching junior off ask for them. Once forgotten, only the recovery sheet resets them"
    assert words(junior.get("/links")).count(says) == 2
    make_link(junior, PIN)
    assert says not in words(junior.get("/links"))


def test_later_links_ask_for_the_same_pin(guarded: FlaskClient, directory: Directory, book: Book) -> None:
    refused = make_link(guarded, "1357")
    assert refused.status_code == 403
    assert said_once(refused, "This is not the guardian’s PIN.")
    assert len(directory.links(book.id)) == 1
    assert make_link(guarded, PIN).status_code == 200
    assert len(directory.links(book.id)) == 2


def test_the_pin_is_kept_as_a_slow_hash_alone(
    directory: Directory, book: Book, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.undo()
    assert guardians.set_pin(directory, book.id, PIN, NOW)
    row = directory.conn.execute("SELECT salt, pin_hash FROM guardians").fetchone()
    assert len(row["salt"]) == 16
    assert bytes(row["pin_hash"]) == hashlib.scrypt(PIN.encode(), salt=row["salt"], n=1 << 14, r=8, p=5)


def test_after_five_wrong_pins_even_the_right_one_waits_an_hour(guarded: FlaskClient, app: Flask) -> None:
    for _ in range(5):
        assert "not the guardian’s PIN" in words(make_link(guarded, "0000"))
    assert said_once(make_link(guarded, PIN), "The PIN was wrong five times, so none is looked at for an hour.")
    app.config["NOW"] = lambda: moment_of(moved(NOW, minutes=59))
    assert "none is looked at for an hour" in words(make_link(guarded, PIN))
    app.config["NOW"] = lambda: moment_of(moved(NOW, minutes=61))
    assert make_link(guarded, PIN).status_code == 200


def test_an_empty_box_asks_for_the_pin_and_is_no_try(guarded: FlaskClient) -> None:
    for _ in range(6):
        assert said_once(send(guarded, "/homework", code=CODE, do="accept", pin=""), "Type the guardian’s PIN.")
    assert make_link(guarded, PIN).status_code == 200


def test_a_right_pin_makes_the_wrong_ones_before_it_forgotten(guarded: FlaskClient) -> None:
    for _ in range(2):
        for _ in range(4):
            make_link(guarded, "0000")
        assert make_link(guarded, PIN).status_code == 200


def test_homework_of_a_junior_is_taken_with_the_pin_alone(guarded: FlaskClient, book: Book) -> None:
    club = reading.clubs(book)[0].id
    answer = send_facts(guarded, [a_homework(club), raw("note", {"words": "wet"})])
    assert codes(answer) == ["guardian"]
    assert len(answer.get_json()["taken"]) == 1
    assert "not the guardian’s PIN" in words(send(guarded, "/homework", code=CODE, do="accept", pin="0000"))
    assert from_coach.homework(book) == []
    assert "Accepted" in words(send(guarded, "/homework", code=CODE, do="accept", pin=PIN))
    (work,) = from_coach.homework(book)
    kept = book.history(OWN_ID)[0]
    again = {name: kept[name] for name in ("id", "root", "kind", "made_at", "body")}
    assert codes(send_facts(guarded, [again])) == []  # what the book has, a phone may send again
    assert said_once(send(guarded, f"/homework/{OWN_ID}/aside", pin="0000"), "This is not the guardian’s PIN.")
    assert not from_coach.homework(book)[0]["aside"]
    send(guarded, f"/homework/{OWN_ID}/aside", pin=PIN)
    assert from_coach.homework(book)[0]["aside"]
    assert work["plan"]


def test_homework_waits_for_the_guardians_first_link(junior: FlaskClient, book: Book) -> None:
    page = words(send(junior, "/homework", code=CODE, do="accept", pin=PIN))
    assert "The guardian sets a PIN with the first coach link: make that first." in page
    assert page.count("Nothing was changed") == 1
    assert codes(send_facts(junior, [a_homework(reading.clubs(book)[0].id)])) == ["guardian"]


def bring(phone: FlaskClient, facts: list[Any], **more: str) -> Any:
    """The answer to a book as JSON that is brought back."""
    file = (io.BytesIO(json.dumps({"facts": facts}).encode()), "book.json")
    fields = {"file": file, "csrf_token": token(phone), **more}
    return phone.post("/import", data=fields, follow_redirects=True)


def test_a_juniors_own_book_comes_back_with_its_homework_while_there_is_no_pin(junior: FlaskClient, book: Book) -> None:
    club = reading.clubs(book)[0].id
    page = words(bring(junior, [a_homework(club), a_remark(club)]))
    assert "2 entries came into the book" in page
    assert len(from_coach.homework(book)) == len(from_coach.remarks(book)) == 1


@pytest.mark.parametrize("is_long", [False, True])
def test_a_file_that_holds_homework_of_a_junior_asks_for_the_pin(
    guarded: FlaskClient, app: Flask, data: Path, book: Book, is_long: bool
) -> None:
    app.config["BALLS_AT_ONCE"] = 1 if is_long else 2000
    club = reading.clubs(book)[0].id
    facts = [a_homework(club), a_remark(club), raw("note", {"words": "wet"})]
    for pin, status in (("", 200 if is_long else 400), ("0000", 403)):
        answer = bring(guarded, facts, pin=pin)
        working.work_off(data)
        assert answer.status_code == status
        assert from_coach.homework(book) == []
    assert said_once(answer, "This is not the guardian’s PIN.")
    assert "Guardian’s PIN" in words(guarded.get("/leaving"))
    bring(guarded, facts, pin=PIN)
    working.work_off(data)
    assert len(from_coach.homework(book)) == len(from_coach.remarks(book)) == 1


def test_junior_is_switched_off_with_the_pin_alone(guarded: FlaskClient, book: Book) -> None:
    root = reading.setting_roots(book)["junior"]
    later = moved(NOW, minutes=1)
    tries = [
        a_setting("junior", False, later),
        a_setting("junior", False, later, root),
        a_setting("nickname", "Heron", later, root),
        raw("setting", None, later, root),
    ]
    assert codes(send_facts(guarded, tries)) == ["guardian"] * 4
    assert "not the guardian’s PIN" in words(send(guarded, "/settings", **SETTINGS, pin="0000"))
    empty = send(guarded, "/settings", **SETTINGS, pin="")
    assert empty.status_code == 403
    assert "Type the guardian’s PIN." in words(empty)
    assert reading.settings(book)["junior"]
    assert codes(send_facts(guarded, [a_setting("junior", True, later), a_setting("nickname", "Heron", later)])) == []
    assert "Kept." in words(send(guarded, "/settings", **SETTINGS, pin=PIN))
    assert not reading.settings(book)["junior"]


def test_a_junior_setting_is_guarded_however_its_root_is_written(guarded: FlaskClient, book: Book) -> None:
    root, later = reading.setting_roots(book)["junior"].upper(), moved(NOW, minutes=1)
    away = [raw("setting", None, later, root), a_setting("nickname", "Heron", later, root)]
    assert codes(send_facts(guarded, away)) == ["guardian"] * 2
    assert reading.settings(book)["junior"]


def test_before_there_is_a_pin_junior_can_be_switched_off_again(junior: FlaskClient, book: Book) -> None:
    assert codes(send_facts(junior, [a_setting("junior", False, moved(NOW, minutes=1))])) == []
    assert not reading.settings(book)["junior"]


def test_the_recovery_sheet_sets_a_new_pin_and_the_journal_keeps_it(
    guarded: FlaskClient, directory: Directory, book: Book
) -> None:
    sheet, joining = new_code(), new_code()
    directory.set_recovery(book.id, sheet, NOW)
    directory.set_joining(book.id, joining, NOW, moved(NOW, minutes=10))
    for code, pin, why in (
        ("hit some nines", "1357", "not the code"),
        (joining, "1357", "not the code"),
        (sheet, "135", "4 to 8 digits"),
        (sheet, "", "4 to 8 digits"),
        ("", "1357", "Type the code of the sheet."),
    ):
        answer = send(guarded, "/links/pin", code=code, pin=pin)
        assert said_once(answer, why)
    assert guardians.is_right(directory, book.id, PIN, NOW)
    assert "The new PIN is set" in words(send(guarded, "/links/pin", code=sheet, pin="1357"))
    journal = directory.revocation_journal().revocations
    assert [(one.what, one.book_id) for one in journal][-1] == ("pin_reset", book.id)
    directory.close_again(journal)  # as a restored copy does: the PIN that was set with the reset stays
    assert guardians.is_right(directory, book.id, "1357", NOW)
    assert not guardians.is_right(directory, book.id, PIN, NOW)


def test_a_new_recovery_sheet_is_made_with_the_pin_alone(
    guarded: FlaskClient, directory: Directory, book: Book
) -> None:
    assert "so the guardian makes the sheet" in words(guarded.get("/phones"))
    for wrong, said in (({}, "Type the guardian’s PIN."), ({"pin": "0000"}, "This is not the guardian’s PIN.")):
        refused = send(guarded, "/recovery", **wrong)
        assert refused.status_code == 403
        assert said in words(refused)
        assert not directory.has_recovery(book.id)
    assert send(guarded, "/recovery", pin=PIN).status_code == 200
    assert directory.has_recovery(book.id)


def test_before_there_is_a_pin_a_recovery_sheet_asks_for_none(junior: FlaskClient) -> None:
    assert "PIN" not in words(junior.get("/phones"))
    assert send(junior, "/recovery").status_code == 200


def test_a_deleted_book_leaves_no_pin(guarded: FlaskClient, directory: Directory, book: Book) -> None:
    directory.delete_book(book.id, NOW)
    assert not guardians.has_pin(directory, book.id)


def test_nobody_is_asked_for_a_pin_in_a_book_of_no_junior(
    player: FlaskClient, directory: Directory, book: Book
) -> None:
    assert make_link(player).status_code == 200
    assert "PIN" not in words(player.get("/links"))
    assert not guardians.has_pin(directory, book.id)
