"""The page of refused entries: what it tells the phone, and what it says to one without a script."""

import json
import re
from typing import Any

from flask.testing import FlaskClient

from webapp.facts import KINDS
from webapp.store.book import Book

from ..factories import NOW, a_bucket, a_swing, the_demo_set
from .visitor import words


def told(player: FlaskClient) -> dict[str, Any]:
    """The page's data."""
    found = re.search(r'id="page-data">(.*?)</script>', player.get("/refused").text)
    assert found
    return dict(json.loads(found[1]))


def test_it_names_wedges_swings_and_visits_so_that_the_phone_can_name_its_entries(
    player: FlaskClient, book: Book
) -> None:
    demo, bucket = the_demo_set(), a_bucket()
    retired = {**demo[0], "body": {**demo[0]["body"], "retired": True}}
    assert not book.add([retired, *demo[1:], bucket, a_swing(90, "hip high"), a_swing(105)], None, NOW).refused
    data = told(player)
    assert [club["name"] for club in data["clubs"]] == ["46", "51", "56", "60"]
    assert [swing["name"] for swing in data["swings"]] == ["hip high", "9:30"]
    assert data["buckets"] == [{"id": bucket["id"], "name": "1 May 2025, Pellow Fen"}]


def test_it_tells_the_range_of_every_field_of_every_kind(player: FlaskClient, book: Book) -> None:
    assert not book.add(the_demo_set(), None, NOW).refused
    fields = told(player)["fields"]
    assert {kind: set(of) for kind, of in fields.items()} == {kind: set(of) for kind, of in KINDS.items()}
    carry = fields["shot"]["carry_m"]
    assert (carry["label"], carry["low"], carry["required"]) == ("carry", 0, False)
    assert carry["high"] == KINDS["shot"]["carry_m"].high
    assert fields["bucket"]["surface"]["choices"] == ["mat", "grass"]


def test_a_phone_without_a_script_is_told_that_nothing_waits(player: FlaskClient, book: Book) -> None:
    assert not book.add(the_demo_set(), None, NOW).refused
    assert "Without a script nothing is kept on this phone" in words(player.get("/refused"))
