"""Markup in every text there is: refused where it is typed, and shown as text even where it got in."""

from pathlib import Path
from typing import Any

import pytest
from flask import Flask

from tests.factories import NOW, a_bucket, a_club, raw
from tests.pages.visitor import send_facts
from webapp.books.coach_book import CoachBook
from webapp.books.waiting_table import step
from webapp.facts import KINDS, SETTINGS
from webapp.link_profile import Profile
from webapp.moments import moved
from webapp.store import book as book_module
from webapp.store.book import Book
from webapp.store.directory import Directory
from webapp.store.jobs import LOOK, PREVIEW, Job, Jobs
from webapp.store.waiting_tables import WaitingTables
from webapp.tables.chosen import Chosen

from .conftest import Owner, facts_of_a_book, parts_of, rules
from .pages import looked_at

POISON = '</script></title>\'"><poison onfocus=poison() poison="{{7*7}}">'
TEXTS = [
    (kind, name) for kind, body in KINDS.items() for name, field in body.items() if "must not hold" in field.misfit("<")
]
TEXT_SETTINGS = [name for name, field in SETTINGS.items() if "must not hold" in field.misfit("<")]


def test_every_text_of_a_fact_is_looked_at() -> None:
    assert ("club", "name") in TEXTS
    assert ("bucket", "place") in TEXTS
    assert ("note", "words") in TEXTS
    assert TEXT_SETTINGS == ["nickname"]


def test_markup_is_refused_in_every_text_of_every_fact(thief: Owner) -> None:
    club, bucket = a_club(), a_bucket()
    sound = {fact["kind"]: fact for fact in [*facts_of_a_book("Heron", "Pellow Fen"), club, bucket]}
    before = thief.book.cursor
    facts = [raw(kind, {**sound[kind]["body"], name: POISON[:30]}) for kind, name in TEXTS]
    facts += [raw("setting", {"name": name, "value": POISON[:30]}) for name in TEXT_SETTINGS]
    facts += [raw("bucket", {**bucket["body"], "plan": ["<b>"]})]
    told = send_facts(thief.phone, facts).get_json()
    assert told["taken"] == []
    assert {refused["code"] for refused in told["refused"]} == {"out_of_range"}
    assert thief.book.cursor == before


def test_markup_that_got_in_all_the_same_is_text_on_every_page_and_plot(
    app: Flask, thief: Owner, directory: Directory, monkeypatch: pytest.MonkeyPatch
) -> None:
    facts = _poisoned(facts_of_a_book("Heron", "Pellow Fen"))
    with monkeypatch.context() as unchecked:
        unchecked.setattr(book_module, "check", lambda _: None)
        assert thief.book.add(facts, None, NOW).refused == []
    directory.conn.execute("UPDATE links SET label = ?", (POISON,))
    directory.conn.execute("UPDATE devices SET name = ?", (POISON,))
    Jobs(directory.folder).put(Job(thief.book.id, "import", NOW, state="refused", words=(POISON,)))
    _bring_a_table(directory.folder, thief.book)
    link = directory.new_link(thief.book.id, POISON, NOW, moved(NOW, days=14), {"nickname": True, "code": True})
    seen = CoachBook(thief.book, link, Profile())
    coachs = {"key": next(iter(seen.every_club())), "homework_key": seen.homework()[0].key}
    parts = {**thief.parts, **parts_of(facts), "token": link, "code": link, **coachs}
    asked, found = {"coach_remark.write": {"shot": seen.shots(1)[0]["id"]}}, 0
    for rule in rules(app, "GET"):
        address = Owner(thief.phone, "", thief.book, "", parts).address(rule)
        answer = thief.phone.get(address, query_string=asked.get(rule.endpoint))
        assert answer.status_code < 400 or rule.endpoint == "jobs.file", rule
        if answer.mimetype != "text/html":
            assert answer.headers["X-Content-Type-Options"] == "nosniff"
            continue
        seen = looked_at(answer.text)
        assert "poison" not in seen.tags, rule
        assert not {"poison", "onfocus"} & seen.attributes, rule
        assert "49" not in [part for part in answer.text.split() if part == 'poison="49"']
        found += "poison" in answer.text
    assert found >= 5  # it was there to be seen


def test_markup_in_an_address_is_text_too(app: Flask, thief: Owner) -> None:
    for path in ("/card?ball=", "/w/", "/no/", "/print?paper=", "/fits?carry=", "/conditions?carry=", "/yardage?from="):
        answer = thief.phone.get(path + "%3C/script%3E%3Cpoison%20onfocus=x%3E%22%27")
        assert answer.status_code < 500
        assert "poison" not in looked_at(answer.text).tags
        assert not {"onfocus"} & looked_at(answer.text).attributes


def test_templates_escape_whatever_they_show(app: Flask) -> None:
    assert app.jinja_env.autoescape is not False
    assert app.select_jinja_autoescape("any.html") is True


def _bring_a_table(data: Path, book: Book) -> None:
    """A table that waits, with poison in its name, its headings and its words, as far as its preview."""
    waiting = WaitingTables(data)
    text = f"Stick;{POISON.replace(';', '')};When\n{POISON.replace(';', '')};54;2025-05-03\n56;far;2025-05-03\n"
    waiting.begin(book.id, POISON, lambda path: path.write_text(text))
    step(data, book, Job(book.id, LOOK, NOW), NOW)
    chosen = Chosen({"club": 0, "carry": 1, "made_at": 2, "swing": 0}, "yd", "ymd", of_all={"loft_deg": "56"})
    waiting.note(book.id, chosen=chosen.plain())
    step(data, book, Job(book.id, PREVIEW, NOW), NOW)


def _poisoned(facts: list[Any]) -> list[Any]:
    """The facts of a book with poison in every text."""
    for fact in facts:
        for kind, name in TEXTS:
            if fact["kind"] == kind and (kind, name) != ("note", "about"):
                fact["body"][name] = POISON
        if fact["kind"] == "setting":
            fact["body"]["value"] = POISON
    return facts
