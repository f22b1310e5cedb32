"""What was kept with a new wedge that is undone since: homework, a stopped plan, its name and the way to its number.

Source: Decision 10, one wedge takes another's place, and undoing it loses no ball of a plan; the plans are invented.
"""

import pytest
from flask import Flask
from flask.testing import FlaskClient

from webapp.moments import moment_of, moved
from webapp.store import reading
from webapp.store.book import Book

from ..factories import NOW, Raw, a_bucket, a_homework, a_shot, the_demo_set
from .test_bag import id_of, replaced, shown
from .visitor import page_of, send, send_facts, words

LATER = moved(NOW, minutes=5)
STARTED = {"surface": "mat", "ball": "range", "judged_by": "eye", "wind": "calm", "wind_force": "light"}


@pytest.fixture
def demo_bag(app: Flask, book: Book) -> Book:
    """The book with the wedges 46, 51, 56 and 60, read an hour later."""
    app.config["NOW"] = lambda: moment_of(moved(NOW, hours=1))
    assert book.add(the_demo_set(), None, NOW).refused == []
    return book


def undone(player: FlaskClient, book: Book, new: str) -> None:
    """Put the old wedge back in place of a new one."""
    send(player, "/bag/set", do=f"undo {new}", **shown(book))
    assert new not in [club.id for club in reading.clubs(book)]


def planned(wedge: str, balls: int = 10) -> Raw:
    """A bucket that ended before the first ball of its plan was struck."""
    return a_bucket(LATER, plan=[f"{wedge}:90:swing"] * balls, ended_at=moved(LATER, minutes=9))


def test_homework_accepted_for_it_goes_to_the_old_one_and_is_read_as_before(
    player: FlaskClient, demo_bag: Book
) -> None:
    _, new = replaced(player, demo_bag)
    assert demo_bag.add([a_homework(new)], None, NOW).refused == []
    asked = "Ball by ball 56 9:00: 5 balls, make the swing"
    assert asked in words(page_of(player, "/homework"))
    undone(player, demo_bag, new)
    assert asked in words(page_of(player, "/homework"))
    page = words(page_of(player, "/practice"))
    assert "Start with the 5 balls" in page
    assert "a wedge that left your bag" not in page
    send(player, "/practice/start", do="homework", **STARTED)
    assert len(reading.buckets(demo_bag)[0]["plan"]) == 5


def test_a_plan_of_it_that_was_stopped_goes_on_with_the_old_one(player: FlaskClient, demo_bag: Book) -> None:
    old, new = replaced(player, demo_bag)
    assert demo_bag.add([planned(new)], None, LATER).refused == []
    undone(player, demo_bag, new)
    assert "10 of 10 balls are left" in words(page_of(player, "/practice"))
    send(player, "/practice/start", do="rest", **STARTED)
    assert reading.buckets(demo_bag)[0]["plan"] == [f"{old}:90:swing"] * 10


def test_a_plan_of_it_is_said_to_be_gone_where_the_old_one_is_another(player: FlaskClient, demo_bag: Book) -> None:
    old = id_of(demo_bag, "56")
    changed = shown(demo_bag, wedge_56={"name": "58", "loft_deg": "58"})
    send(player, "/bag/set", do=f"replace {old}", **changed)
    new = id_of(demo_bag, "58")
    assert demo_bag.add([planned(new)], None, LATER).refused == []
    undone(player, demo_bag, new)
    assert "The rest was for the 58, which left the bag." in words(page_of(player, "/practice"))


def test_a_ball_that_went_to_the_old_one_tells_both_by_name(player: FlaskClient, demo_bag: Book) -> None:
    _, new = replaced(player, demo_bag)
    undone(player, demo_bag, new)
    ball = a_shot(bucket := a_bucket(), new, 54, LATER)
    send_facts(player, [bucket, ball])
    assert "wedge 56 → 56" in words(page_of(player, f"/shots/{ball['id']}"))


def test_its_number_leads_to_that_of_the_old_one(player: FlaskClient, demo_bag: Book) -> None:
    old, new = replaced(player, demo_bag)
    undone(player, demo_bag, new)
    page = page_of(player, f"/card/{new}/90")
    assert "56 9:00 is no longer on the card: another wedge took its place" in words(page)
    assert f'href="/card/{old}/90"' in page.text


def test_undone_twice_nothing_more_is_said_to_change(player: FlaskClient, demo_bag: Book) -> None:
    _, new = replaced(player, demo_bag)
    page = shown(demo_bag)
    undone(player, demo_bag, new)
    assert "Nothing differs, so nothing was changed." in words(send(player, "/bag/set", do=f"undo {new}", **page))


def test_one_that_has_balls_since_its_page_came_says_why_it_is_not_undone(player: FlaskClient, demo_bag: Book) -> None:
    old, new = replaced(player, demo_bag)
    older_page = shown(demo_bag)
    send_facts(player, [bucket := a_bucket(), a_shot(bucket, new, 54, LATER)])
    told = words(send(player, "/bag/set", do=f"undo {new}", **older_page))
    assert "The 56 has balls by now, so the old 56 was not put back. Say first that the 56 left the bag." in told
    assert "Nothing differs" not in told
    assert id_of(demo_bag, "56") == new
    send(player, "/bag/set", do=f"retire {new}", **shown(demo_bag))
    send(player, "/bag/back", club=old)
    assert id_of(demo_bag, "56") == old


def test_one_that_stands_in_nobodys_place_by_now_has_nothing_to_put_back(player: FlaskClient, demo_bag: Book) -> None:
    told = words(send(player, "/bag/set", do=f"undo {id_of(demo_bag, '46')}", **shown(demo_bag)))
    assert "The 46 stands in no other one’s place by now, so nothing was put back." in told
    assert "Nothing differs" not in told
