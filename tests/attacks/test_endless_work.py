"""One book cannot make a page of its own take so long that nobody else is answered."""

import pytest
from flask import Flask

from tests.factories import NOW, a_club, raw, voided
from tests.pages.visitor import send_facts
from webapp.moments import moved
from webapp.store.placing import MOST

from .conftest import Owner


@pytest.mark.parametrize("kind", MOST)
def test_a_book_takes_no_more_wedges_or_swings_than_a_card_can_show(app: Flask, thief: Owner, kind: str) -> None:
    """The card's time grows with the cube of its cells: 150 wedges took 4 s of a server's thread, 600 minutes."""
    make = {
        "club": lambda place: a_club(f"{place}", 40 + place / 10),
        "swing": lambda place: raw("swing", {"swing_deg": 20.5 + place, "name": f"{place}"}),
    }[kind]
    table = {"club": "clubs", "swing": "swings"}[kind]
    facts = [make(place) for place in range(MOST[kind] * 2)]
    told = send_facts(thief.phone, facts, thief.book.id).get_json()
    assert thief.book.conn.execute(f"SELECT COUNT(*) FROM {table}").fetchone()[0] == MOST[kind]
    assert {one["code"] for one in told["refused"]} == {"too_many"}
    assert f"a book holds at most {MOST[kind]} " in told["refused"][0]["message"]
    assert thief.phone.get("/card").status_code == 200
    last = next(fact for fact in reversed(facts) if fact["id"] in told["taken"])
    told = send_facts(thief.phone, [voided(last, moved(NOW, minutes=1))], thief.book.id).get_json()
    assert told["refused"] == []
    assert send_facts(thief.phone, [make(MOST[kind] * 3)], thief.book.id).get_json()["refused"] == []
