"""A page is the same to the byte whoever asked before: what a process keeps of its work never shows.

Every step is asked for twice: of an app that has answered all steps before it, and of one that never answered anything
of its folder, which is a copy of the very files. The two hear the readers in opposite orders. Pages are asked for as a
phone keeps them, so they hold no form token; what the clock says stands still within a step.
"""

import json
import shutil
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any
from urllib.parse import quote

import pytest
from flask import Flask
from flask.testing import FlaskClient

from tests.conftest import SECRET
from tests.factories import (
    NOW,
    Raw,
    a_bucket,
    a_club,
    a_full_carry,
    a_homework,
    a_setting,
    a_shot,
    a_swing,
    corrected,
    f1_balls,
    raw,
    the_demo_set,
    voided,
)
from webapp import create_app
from webapp.moments import moment_of, moved
from webapp.phone_pages import KEPT
from webapp.store.book import Book
from webapp.store.directory import Directory

PAGES = (*KEPT, "/card?ball=own")
READERS: dict[str, dict[str, Any]] = {
    "plain": {},
    "turned": {"unit": "m", "mirrored": True, "thumb": "left", "sun": True, "temperature_unit": "f"},
    "in a round": {"card_only": True, "card_since": moved(NOW, hours=-30)},
}
Answers = dict[tuple[str, str], tuple[int, str, str]]


class Folder:
    """A data folder with one phone of one book, and the app's clock."""

    def __init__(self, app: Flask, data: Path, directory: Directory, book: Book, aside: Path) -> None:
        self.app, self.data, self.book, self.aside = app, data, book, aside
        self.token, self.now, self.copies = directory.new_device(book.id, "Phone", NOW), NOW, 0
        self.other = create_app({"DATA": aside, "SECRET": SECRET, "NOW": lambda: moment_of(self.now)})
        self.as_made = dict(self.other.extensions)
        self.readers = ["plain", "turned"]
        app.config["NOW"] = lambda: moment_of(self.now)

    def put(self, *facts: Raw) -> None:
        answer = self.book.add(facts, None, self.now)
        assert not answer.refused

    def asked(self) -> Answers:
        """What the app says that has answered before."""
        return self._all(self.app, self.readers)

    def asked_anew(self) -> Answers:
        """What an app says over a copy of the files: what is kept is kept for a path, and this one is new."""
        self.copies += 1
        self.other.config["DATA"] = copy = self.aside / str(self.copies)
        self.other.extensions = dict(self.as_made)
        shutil.copytree(self.data, copy)
        return self._all(self.other, self.readers[::-1])

    def _all(self, app: Flask, readers: Sequence[str]) -> Answers:
        return {
            (name, page): self._one(reader, page)
            for name in readers
            for reader in [self._reader(app, READERS[name])]
            for page in PAGES
        }

    def _one(self, reader: FlaskClient, page: str) -> tuple[int, str, str]:
        answer = reader.get(page, headers={"X-Kept-Page": "1"})
        assert "csrf_token" not in answer.text
        return answer.status_code, answer.headers.get("Content-Location", ""), answer.text

    def _reader(self, app: Flask, told: dict[str, Any]) -> FlaskClient:
        client = app.test_client()
        client.set_cookie("book", self.token)
        client.set_cookie("phone", quote(json.dumps(told), safe=""))
        return client


@pytest.fixture
def folder(app: Flask, data: Path, directory: Directory, book: Book, tmp_path: Path) -> Folder:
    """A set of wedges with a visit of three days ago and one of yesterday."""
    made = Folder(app, data, directory, book, tmp_path / "copies")
    long_ago, yesterday = a_bucket(moved(NOW, days=-3)), a_bucket(moved(NOW, days=-1), ball="own")
    clubs = the_demo_set(moved(NOW, days=-9))
    made.put(*clubs, long_ago, yesterday)
    made.put(*f1_balls(long_ago, clubs[2], moved(NOW, days=-3)), *f1_balls(yesterday, clubs[1], moved(NOW, days=-1)))
    return made


def same(folder: Folder) -> None:
    """Ask both for all pages."""
    kept, fresh = folder.asked(), folder.asked_anew()
    assert {place for place in kept if kept[place] != fresh[place]} == set()


def a_visit(folder: Folder) -> None:
    same(folder)
    club, bucket = a_club("54", made_at=folder.now), a_bucket(folder.now)
    ball = a_shot(bucket, club, 61, moved(folder.now, minutes=1))
    folder.put(club, bucket, ball, a_shot(bucket, club, 64, moved(folder.now, minutes=2)))
    folder.now = moved(folder.now, minutes=5)
    same(folder)
    folder.put(a_shot(bucket, club, 40, folder.now, contact="fat"), corrected(ball, carry_m=50.0))
    same(folder)
    folder.put(voided(ball, folder.now), corrected(bucket, folder.now, ended_at=folder.now))
    same(folder)


def what_is_set(folder: Folder) -> None:
    folder.put(a_setting("unit", "m", folder.now), a_setting("ball", "own", folder.now))
    same(folder)
    folder.put(a_setting("junior", True, folder.now), a_setting("hand", "left", folder.now))
    same(folder)
    folder.put(a_swing(75.0, "hip", folder.now), a_setting("margin_m", 7.0, folder.now))
    same(folder)


def what_is_told(folder: Folder) -> None:
    club = a_club("58", made_at=folder.now)
    folder.put(club, a_full_carry(club, 80, folder.now), a_homework(club, made_at=folder.now))
    same(folder)
    folder.put(raw("eye_check", {"said_m": 50.0, "measured_m": 46.0, "by": "laser"}, folder.now))
    same(folder)
    folder.put(raw("mark", {"what": "lesson", "words": "", "on": moved(NOW, days=-2)}, folder.now))
    folder.put(raw("note", {"words": "meant 60, landed 55", "about": "course"}, folder.now))
    same(folder)


def the_clock(folder: Folder) -> None:
    bucket = a_bucket(folder.now)
    folder.put(bucket, a_shot(bucket, _club_of(folder), 55, moved(folder.now, minutes=1)))
    folder.readers = ["plain", "in a round"]
    for hours in (1, 7, 13, 15, 24 * 60, 0, -30):  # within the visit, after it, over midnight, much later, and back
        folder.now = moved(NOW, hours=hours)
        same(folder)


def _club_of(folder: Folder) -> str:
    found = [fact for fact in folder.book.after(0) if fact["kind"] == "club"]
    return str(found[0]["root"])


@pytest.mark.parametrize("story", [a_visit, what_is_set, what_is_told, the_clock])
@pytest.mark.files_only
def test_every_page_is_the_same_to_the_byte_whoever_asked_before(
    folder: Folder, story: Callable[[Folder], None]
) -> None:
    folder.asked()
    story(folder)
