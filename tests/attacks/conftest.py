"""Two books on one server, so that every attack has somebody to rob.

Knows how a book is filled; what an attacker tries stands in the tests.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from werkzeug.routing import Rule

from tests.factories import NOW, Raw, a_bucket, a_setting, f1_balls, raw, the_demo_set
from webapp.books.coach_book import CoachBook
from webapp.link_profile import Profile
from webapp.moments import moment_of, moved
from webapp.store.book import Book
from webapp.store.directory import Directory
from webapp.throttle import limiter

# Words of the robbed player that no other reader may ever see.
PRIVATE_WORDS = ("Kestrel", "Hidden Fen", "worn sole", "sore wrist")


@dataclass
class Owner:
    """A player with a full book: the phone, its secret, and what stands for each part of an address."""

    phone: FlaskClient
    secret: str
    book: Book
    link: str
    parts: dict[str, str]

    def state(self, directory: Directory) -> Any:
        """Everything an attack could change."""
        return self.book.cursor, directory.devices(self.book.id), directory.links(self.book.id)

    def address(self, rule: Rule) -> str:
        """An address of a route that names what is this player's; a new kind of part must be told here."""
        unknown = rule.arguments - set(self.parts)
        assert not unknown, f"say in tests/attacks/conftest.py what stands for {unknown} in {rule}"
        return str(rule.build({name: self.parts[name] for name in rule.arguments}, append_unknown=False)[1])  # type: ignore[index]


@pytest.fixture
def app(app: Flask) -> Flask:
    """The app as it is served, its limits on tries aside: an attacker has many addresses."""
    limiter.enabled = False
    app.config.update(TESTING=False, NOW=lambda: moment_of(moved(NOW, hours=2)))
    return app


@pytest.fixture
def owner(app: Flask, directory: Directory) -> Iterator[Owner]:
    """Who is attacked."""
    yield from _an_owner(app, directory, "Kestrel", "Hidden Fen")


@pytest.fixture
def thief(app: Flask, directory: Directory) -> Iterator[Owner]:
    """Who attacks, with a sound book of their own."""
    yield from _an_owner(app, directory, "Heron", "Pellow Fen")


def rules(app: Flask, method: str) -> list[Rule]:
    """Every route that answers a method, the static files aside."""
    return [rule for rule in app.url_map.iter_rules() if method in (rule.methods or ()) and rule.endpoint != "static"]


def parts_of(facts: list[Raw]) -> dict[str, str]:
    """What stands for each part of an address, by the first fact of a kind."""
    first = {fact["kind"]: fact["id"] for fact in reversed(facts)}
    return {
        "club_id": next(fact["body"]["club_id"] for fact in facts if fact["kind"] == "shot"),
        "swing": "90",
        "swing_deg": "90",
        "shot_id": first["shot"],
        "bucket_id": first["bucket"],
        "mark_id": first["mark"],
        "check_id": first["eye_check"],
        "table_id": first["table"],
        "root": first["note"],
    }


def facts_of_a_book(nickname: str, place: str) -> list[Raw]:
    """Every kind of fact, with words to look for."""
    clubs = the_demo_set()
    clubs[0]["body"]["sole_note"] = "worn sole" if nickname == "Kestrel" else "new"
    bucket = a_bucket(place=place)
    return [
        *clubs,
        a_setting("nickname", nickname),
        raw("swing", {"swing_deg": 90, "name": "half"}),
        bucket,
        *f1_balls(bucket, clubs[2]),
        raw("mark", {"what": "lesson", "words": "sore wrist" if nickname == "Kestrel" else "grip", "on": NOW}),
        raw("note", {"words": "meant 54, landed short, lie level", "about": "course"}),
        raw("homework", {"plan": [f"{clubs[2]['root']}:90:swing::lesson:0a1b2c3d.1"], "focus": "keep the wrist quiet"}),
        raw("remark", {"words": "keep the wrist quiet", "club_id": clubs[2]["root"], "swing_deg": 90}),
        raw("table", {"name": "night.csv", "headings": "", "chosen": {}, "made": ["no id"]}),
        raw("eye_check", {"said_m": 50.0, "measured_m": 47.0, "by": "laser"}),
    ]


def _an_owner(app: Flask, directory: Directory, nickname: str, place: str) -> Iterator[Owner]:
    facts = facts_of_a_book(nickname, place)
    with directory.open_book(directory.new_book(NOW)) as book:
        assert book.add(facts, None, NOW).refused == []
        secret = directory.new_device(book.id, "Phone", NOW)
        directory.new_device(book.id, "Second phone", moved(NOW, minutes=1))
        link = directory.new_link(book.id, "a coach", NOW, moved(NOW, days=14), {"nickname": False})
        phone = app.test_client()
        phone.set_cookie("book", secret)
        parts = {
            **parts_of(facts),
            "link_id": directory.links(book.id)[0].id,
            "device_id": directory.devices(book.id)[1].id.hex(),
            "token": link,
            "code": link,
            "homework_key": (seen := CoachBook(book, link, Profile())).homework()[0].key,
            "key": next(key for key, club in seen.every_club().items() if club.name == "56"),
        }
        yield Owner(phone, secret, book, link, parts)
