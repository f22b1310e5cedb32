"""The page where a coach writes homework: what it makes of any address, and that nothing is kept of it."""

import math
import re
from html import unescape
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.conftest import UNTIMED
from tests.demo_card import demo_card
from webapp.card.card_words import name_of
from webapp.moments import moment_of, moved
from webapp.practice.homework_code import Homework, read
from webapp.store import from_coach, reading
from webapp.store.book import Book
from webapp.store.directory import Directory
from webapp.trends.compare import CellChange, CellSide
from webapp.trends.verdicts import Found
from webapp.units import YARD_M
from webapp.views.homework_view import suggestions

from ..factories import NOW, a_bucket, a_homework, a_setting, a_shot, f1_balls, raw, the_demo_set
from .visitor import words

KEY = re.compile(r'name="add" value="([0-9a-f]{12}:[0-9.]+)" aria-label="add (\S+ \S+),')
SEED = "0123456789abcdef" * 2


@pytest.fixture
def written_at(app: Flask, directory: Directory, book: Book) -> str:
    """The address of the page, for the 56 of example F1 a week ago and balls of it scattered wider since."""
    app.config["NOW"] = lambda: moment_of(NOW)
    clubs = the_demo_set(moved(NOW, days=-30))
    fifty_six = next(fact for fact in clubs if fact["body"].get("name") == "56")
    facts = [*clubs, a_setting("nickname", "Heron")]
    for days in (-20, -18, -16):
        bucket = a_bucket(moved(NOW, days=days))
        facts += [bucket, *f1_balls(bucket, fifty_six, moved(NOW, days=days))]
    for days in (-4, -3, -2):
        bucket = a_bucket(moved(NOW, days=days))
        wide = [
            a_shot(bucket, fifty_six, carry, moved(NOW, days=days, minutes=carry)) for carry in (40, 47, 54, 61, 68)
        ]
        facts += [bucket, *wide]
    assert book.add(facts, None, NOW).refused == []
    return "/w/" + directory.new_link(book.id, "", NOW, moved(NOW, days=14), {"nickname": True}) + "/homework"


def keys(client: FlaskClient, address: str) -> dict[str, str]:
    """The link's own names of the card's numbers, by what they are called."""
    return {name: key for key, name in KEY.findall(client.get(address).text)}


def asked(client: FlaskClient, address: str, **args: Any) -> tuple[Homework | None, str]:
    """The homework that an address makes, and the page in words."""
    answer = client.get(address, query_string={"seed": SEED, **args})
    assert answer.status_code == 200
    found = re.search(r'class="secret" href="http://localhost/homework#([^"]+)"', answer.text)
    return (read(unescape(found[1])) if found else None), words(answer)


def test_each_touch_adds_five_balls_and_the_code_holds_what_is_written(client: FlaskClient, written_at: str) -> None:
    own = keys(client, written_at)
    assert len(own) == 16
    first, page = asked(client, written_at, add=own["60 10:30"])
    assert first is not None
    assert [(row.cells[0].name, row.cells[0].swing_deg, row.balls, row.mode) for row in first.rows] == [
        ("60", 135.0, 5, "swing")
    ]
    assert "5 balls, about 5 minutes" in page
    row = {"cells": own["60 10:30"], "balls": "5", "mode": "swing", "carry": ""}
    again, _ = asked(client, written_at, **row, add=own["60 10:30"])
    other, _ = asked(client, written_at, **row, add=own["60 9:00"])
    assert again is not None
    assert other is not None
    assert [one.balls for one in again.rows] == [10]
    assert [one.balls for one in other.rows] == [5, 5]
    mixed = [own[f"{loft} 9:00"] for loft in (46, 51, 56)]
    both, page = asked(client, written_at, **row, mix="1", mixed=mixed, nine_by="2025-05-04", focus="quiet wrists")
    assert both is not None
    assert [len(row.cells) for row in both.rows] == [1, 3]
    assert both.balls == 17
    assert (both.nine_by, both.focus) == ("2025-05-04", "quiet wrists")
    assert "26 balls, about 30 minutes" in page
    assert "Next-visit nine by Sunday 4 May" in page  # from a calendar
    assert (
        asked(client, written_at, **row, nine_by="+3")[0] == asked(client, written_at, **row, nine_by="2025-05-04")[0]
    )


def test_the_same_page_gives_the_same_homework_and_other_content_another(client: FlaskClient, written_at: str) -> None:
    own = keys(client, written_at)
    ids = [asked(client, written_at, add=own[name])[0] for name in ("60 10:30", "60 10:30", "60 9:00")]
    assert ids[0] == ids[1]
    assert ids[0] is not None
    assert ids[2] is not None
    assert ids[0].id != ids[2].id


def test_a_page_to_write_on_does_not_say_that_it_is_read_only(client: FlaskClient, written_at: str) -> None:
    link, _, _ = written_at.rpartition("/")
    remark = re.search(r'href="(/w/[^"]*/remark[^"]*)"', client.get(link).text)
    assert remark
    for writing in (written_at, unescape(remark[1])):
        page = words(client.get(writing))
        assert "What you write leaves as a code alone. Open until 15 May 2025" in page
        assert "Read only" not in page
    assert "Read only, open until 15 May 2025" in words(client.get(f"{link}/periods"))


def test_a_number_to_hit_is_kept_in_metres(client: FlaskClient, written_at: str) -> None:
    own = keys(client, written_at)
    row = {"cells": own["56 9:00"], "balls": "7", "mode": "distance"}
    in_yards, _ = asked(client, written_at, **row, carry="54,5")
    in_metres, _ = asked(client, written_at, **row, carry="50", unit="m")
    its_own, _ = asked(client, written_at, **row, carry="")
    assert [one.rows[0].carry_m for one in (in_yards, in_metres, its_own) if one] == [round(54.5 * YARD_M, 2), 50, None]


def test_the_ticks_are_named_by_what_they_choose(client: FlaskClient, written_at: str) -> None:
    ticks = re.search(r"<fieldset><legend>([^<]+)</legend>\s*<div class=\"ticks\">", client.get(written_at).text)
    assert ticks
    assert ticks[1] == "The mixed balls come from"


def test_two_cells_are_suggested_with_their_reasons(client: FlaskClient, written_at: str) -> None:
    page = words(client.get(written_at))
    assert "56 9:00 its spread widened most, from 2.3 to" in page  # three times the eight clean balls of F1
    assert "(15 clean balls; 24 before)" in page
    assert re.search(r"a plan would build it (first|next): ", page)


def widened(place: tuple[str, float], by_m: float, error: float) -> CellChange:
    """A cell whose spread grew from 4 m by so much, with the standard error of the change of its logarithm."""
    sides = [CellSide(20, 3, 20, 50.0, 1.0, sd_m) for sd_m in (4.0, 4.0 + by_m)]
    return CellChange(place, *sides, None, Found(math.log(1 + by_m / 4), error))


@pytest.mark.parametrize(("by_m", "suggested"), [(1.4, "46 9:00"), (1.6, "56 9:00")])
def test_of_two_numbers_that_widened_the_surer_one_is_suggested(by_m: float, suggested: str) -> None:
    """A metre that is hardly doubted against more that is as likely chance: .683 of one error, from normal tables."""
    card = demo_card()
    sure = widened(("46", 90.0), 1.0, 0.01)
    unsure = widened(("56", 90.0), by_m, math.log(1 + by_m / 4))
    (told,) = suggestions(card, None, [sure, unsure], lambda place: name_of(card, place), "yd")
    assert told.name == suggested


def test_what_cannot_be_struck_is_refused_in_words_and_stays_in_its_box(client: FlaskClient, written_at: str) -> None:
    own = keys(client, written_at)
    row = {"cells": own["56 9:00"], "mode": "distance", "carry": "54"}
    for changes, says in (
        ({"balls": "-5"}, "56 9:00: balls are a whole number from 1 to 150."),
        ({"balls": "1000"}, "56 9:00: balls are a whole number from 1 to 150."),
        ({"balls": ""}, "56 9:00: balls are a whole number from 1 to 150."),
        ({"balls": "5", "carry": "far"}, "56 9:00: the carry must be a number"),
        ({"balls": "5", "carry": "900"}, "56 9:00: the carry must be from 2 to 400 yards."),
        ({"balls": "5", "focus": "<b>"}, "The focus is plain text"),
        ({"balls": "5", "focus": "a" * 81}, "The focus is plain text"),
        ({"balls": "5", "cells": "ffffffffffff:90"}, "A number that is not on this card was left out."),
    ):
        homework, page = asked(client, written_at, **{**row, **changes})
        assert homework is None
        assert says in page
    homework, page = asked(client, written_at, cells=[own["56 9:00"]] * 2, balls=["100", "51"], mode=["swing"] * 2)
    assert homework is None
    assert "more than the 150 balls of one homework" in page
    homework, page = asked(client, written_at, cells=[own["56 9:00"]] * 8, balls=["5"] * 8, add=own["56 full"])
    assert "at most 8 rows" in page


def test_a_focus_too_long_for_the_code_in_its_own_letters_stays_in_its_box_with_a_sentence(
    client: FlaskClient, written_at: str
) -> None:
    own = keys(client, written_at)
    mixed = " ".join([key for name, key in own.items() if name != "56 9:00"][:12])
    focus = "".join(chr(0x4E00 + 97 * place) for place in range(80))
    rows = {"cells": [own["56 9:00"], *[mixed] * 7], "balls": [str(5 + at) for at in range(8)], "mode": ["swing"] * 8}
    homework, page = asked(client, written_at, **rows, focus=focus, nine_by="2025-05-04")
    assert homework is None
    assert "No code was made yet: This homework is too long for its code: shorten the focus or leave a row out." in page
    answer = client.get(written_at, query_string={"seed": SEED, **rows, "focus": focus, "nine_by": "2025-05-04"})
    assert f'name="focus" value="{focus}"' in answer.text
    assert answer.text.count('name="cells"') == 8
    assert '<option value="2025-05-04" selected>' in answer.text
    shorter, _ = asked(client, written_at, **rows, focus=focus[:10], nine_by="2025-05-04")
    assert shorter is not None
    assert (shorter.focus, len(shorter.rows)) == (focus[:10], 8)


def test_a_row_can_be_taken_out(client: FlaskClient, written_at: str) -> None:
    own = keys(client, written_at)
    rows = {"cells": [own["56 9:00"], own["60 9:00"]], "balls": ["5", "6"], "mode": ["swing", "swing"]}
    homework, _ = asked(client, written_at, **rows, drop="0")
    assert homework is not None
    assert [row.balls for row in homework.rows] == [6]


def test_nothing_of_homework_is_kept_by_the_server(
    client: FlaskClient, written_at: str, book: Book, directory: Directory
) -> None:
    own = keys(client, written_at)
    before = book.cursor, directory.links(book.id)
    asked(client, written_at, add=own["60 10:30"], focus="quiet wrists")
    assert (book.cursor, directory.links(book.id)) == before
    for method in ("post", "put", "delete", "patch"):
        assert getattr(client, method)(written_at).status_code == 405
    assert book.cursor == before[0]


def test_a_page_of_a_link_that_has_ended_is_closed(client: FlaskClient, app: Flask, written_at: str) -> None:
    app.config["NOW"] = lambda: moment_of(moved(NOW, days=15))
    assert client.get(written_at).status_code == 410


NAMES = st.sampled_from(
    ["cells", "balls", "mode", "carry", "add", "mix", "mixed", "drop", "nine_by", "focus", "seed", "unit"]
)
VALUES = st.text(max_size=12) | st.sampled_from(
    ["KEY", "KEY KEY", "5", "0", "-1", "distance", "2025-05-04", "9999-12-31"]
)


@settings(max_examples=60, suppress_health_check=[*UNTIMED, HealthCheck.function_scoped_fixture])
@given(st.dictionaries(NAMES, st.lists(VALUES, max_size=10)))
def test_any_address_is_answered_with_the_page(
    client: FlaskClient, written_at: str, args: dict[str, list[str]]
) -> None:
    some = next(iter(keys(client, written_at).values()))
    asked_for = {name: [value.replace("KEY", some) for value in values] for name, values in args.items()}
    answer = client.get(written_at, query_string=asked_for)
    assert answer.status_code == 200
    assert "<script" not in answer.text


@pytest.fixture
def followed(written_at: str, book: Book) -> str:
    """The same page with homework of five balls and a nine of two: three places struck, of the nine one too far off."""
    fifty_six = next(club for club in reading.clubs(book) if club.name == "56")
    own_id = "0a1b2c3d-4e5f-6071-8293-a4b5c6d7e8f9"
    homework = a_homework(fifty_six.id, 5, moved(NOW, days=-2), own_id)
    homework["body"]["plan"] += [f"{fifty_six.id}:90:distance:49.38:nine:0a1b2c3d.{place}" for place in (6, 7)]
    plan = homework["body"]["plan"]
    bucket, later = a_bucket(moved(NOW, days=-1), plan=plan[:5]), a_bucket(NOW, plan=plan[5:])
    balls = [
        a_shot(bucket, fifty_six.id, 54, moved(bucket["made_at"], minutes=at), plan_ref=f"{at}") for at in (1, 2, 3)
    ]
    balls += [a_shot(bucket, fifty_six.id, 54, moved(bucket["made_at"], minutes=9), plan_ref="3")]
    balls += [a_shot(bucket, fifty_six.id, 54, moved(bucket["made_at"], minutes=11), plan_ref="4", aside=True)]
    balls += [
        a_shot(later, fifty_six.id, yards, moved(NOW, minutes=-at), plan_ref=f"{at}", mode="distance")
        for at, yards in ((1, 56), (2, 64))
    ]
    assert book.add([homework, bucket, later, *balls], None, NOW).refused == []
    return written_at


def test_the_first_screen_tells_how_far_homework_has_got(client: FlaskClient, followed: str) -> None:
    link = followed.removesuffix("/homework")
    page = client.get(link)
    assert "Homework: 5 of 7; nine: 1 of 2 within 5 yd." in words(page)
    at = re.search(r'<a href="([^"]+)">Homework: 5 of 7', page.text)
    assert at
    balls = client.get(unescape(at[1]))
    assert "6 balls of homework" in words(balls)  # one place was struck twice
    assert len(re.findall(r"<li\b", balls.text)) == 6


def test_each_part_of_the_progress_opens_its_balls_by_weeks(client: FlaskClient, followed: str) -> None:
    page = client.get(followed)
    assert "Accepted week 18; 5 of 7 ; nine: 1 of 2 within 5 yd ." in words(page)  # 29 April 2025 by ISO 8601
    at = re.search(r'<a href="([^"]+part=nine[^"]*)">nine: 1 of 2', page.text)
    assert at
    balls = client.get(unescape(at[1]))
    assert "2 balls of homework, of its nine" in words(balls)
    assert len(re.findall(r"<li\b", balls.text)) == 2
    assert client.get(f"{followed}/ffffffffffff").status_code == 404


def test_a_link_to_the_card_alone_tells_nothing_of_homework(
    client: FlaskClient, followed: str, directory: Directory, book: Book
) -> None:
    link = "/w/" + directory.new_link(book.id, "", NOW, moved(NOW, days=14), {"shows": "card"})
    assert "Homework:" not in words(client.get(link))
    page = words(client.get(f"{link}/homework"))
    assert "Accepted" not in page
    assert "This link will not show how far it got." in page
    assert "This link will not show" not in words(client.get(followed))


def test_homework_set_aside_is_told_no_more(client: FlaskClient, followed: str, book: Book) -> None:
    (work,) = from_coach.homework(book)
    body = {"plan": work["plan"], "aside": True}
    assert book.add([raw("homework", body, NOW, root=work["id"])], None, NOW).refused == []
    assert "Homework:" not in words(client.get(followed.removesuffix("/homework")))
