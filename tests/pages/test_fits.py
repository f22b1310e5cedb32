"""What fits, the page of all distances, card only and course notes, through the real app and book.

Sources: F4, F12 and the demo card are the project's own invented figures; the Rules of Golf's Rule 4.3a is named from
memory.
"""

import html
import json
import re
from pathlib import Path
from typing import Any
from urllib.parse import quote, unquote

import pytest
from click.testing import CliRunner
from flask import Flask
from flask.testing import FlaskClient

from tests.factories import NOW, a_bucket, a_club, a_full_carry, a_setting, a_shot, the_demo_set
from webapp.cli import main
from webapp.moments import moment_of, moved
from webapp.store import reading
from webapp.store.book import Book
from webapp.units import YARD_M

from .visitor import page_of


@pytest.fixture
def four(app: Flask, book: Book, player: FlaskClient) -> FlaskClient:
    """A phone with the demo wedges and no ball."""
    app.config["NOW"] = lambda: moment_of(moved(NOW, hours=1))
    assert not book.add(the_demo_set(), None, NOW).refused
    return player


def text_of(page: str) -> str:
    return re.sub(r"\s+", " ", html.unescape(re.sub(r"<[^>]+>", " ", page)))


def token(client: FlaskClient) -> str:
    return str(client.get("/api/session").get_json()["csrf"])


def lock(client: FlaskClient, doing: str = "set") -> None:
    assert client.post("/round", data={"do": doing, "csrf_token": token(client)}).status_code == 302


def choices(client: FlaskClient) -> Any:
    """What the phone's readable cookie says."""
    cookie = client.get_cookie("phone")
    assert cookie
    return json.loads(unquote(cookie.value))


def chances(page: str) -> list[tuple[int, int, int]]:
    return [tuple(map(int, found)) for found in re.findall(r"short (\d+) / in (\d+) / long (\d+)", page)]  # type: ignore[misc]


def test_it_ranks_the_demo_cards_numbers_with_chances_that_add_to_100(demo: FlaskClient) -> None:
    page = demo.get("/fits?flag=66&front=58&back=70").text
    found = chances(page)
    assert len(found) == 16
    assert all(sum(one) == 100 for one in found)
    assert [inside for _, inside, _ in found] == sorted((inside for _, inside, _ in found), reverse=True)
    assert "Carry 66, in from 58 to 70" in text_of(page)


def test_trouble_to_be_carried_without_its_end_is_asked_for(demo: FlaskClient) -> None:
    page = demo.get("/fits?flag=66&must=y")
    assert page.status_code == 200
    assert "To carry the trouble in front, say how far it reaches: “trouble in front to” is empty." in page.text
    assert "is empty" not in demo.get("/fits?flag=66&front=58&must=y").text
    assert "is empty" not in demo.get("/fits?flag=66").text


def test_it_offers_the_settled_number_before_the_guess_for_64(demo: FlaskClient) -> None:
    page = text_of(demo.get("/fits?flag=64").text)
    assert page.index("carries 61, settled") < page.index("carries 62, guess")


@pytest.mark.parametrize("address", ["/fits", "/fits/leave", "/yardage"])
def test_it_says_that_chances_hold_the_mishits_that_were_noted(demo: FlaskClient, address: str) -> None:
    assert "with mishits as often as you note them" in text_of(demo.get(address).text)


def test_nothing_fits_135_and_the_closest_is_named(demo: FlaskClient) -> None:
    page = text_of(demo.get("/fits?flag=135").text)
    assert "Nothing fits 135. Closest is 46 full: it carries 112, 23 short." in page


def test_a_flag_with_roll_says_where_to_land(demo: FlaskClient) -> None:
    assert "Land 58 for a flag at 62, in from 52 to 63" in text_of(demo.get("/fits?flag=62&roll=4&front=52").text)


def test_a_bare_page_answers_for_the_middle_of_the_card(demo: FlaskClient) -> None:
    answer = demo.get("/fits")
    assert answer.status_code == 200
    assert "Carry 72, in from 66 to 78" in text_of(answer.text)
    assert len(chances(answer.text)) == 16


def test_twenty_balls_stand_where_their_count_says(demo: FlaskClient) -> None:
    page = demo.get("/fits?flag=66&front=58&back=70").text
    drawn = re.findall(r'<svg class="balls-drawing".*?</svg>', page, re.DOTALL)
    said = [int(found) for found in re.findall(r"<strong>(\d+) of 20</strong>", page)]
    assert len(drawn) == len(said) == 16
    for drawing, inside in zip(drawn, said, strict=True):
        left, wide = (
            float(re.search(rf'{name}="([\d.]+)"', drawing)[1]) for name in ('<rect class="window" x', "width")
        )  # type: ignore[index]
        filled = [float(x) for x in re.findall(r'class="in" cx="([\d.]+)"', drawing)]
        assert len(filled) == inside
        assert drawing.count('class="out"') == 20 - inside
        assert all(left - 0.1 <= x <= left + wide + 0.1 for x in filled)


@pytest.mark.parametrize(
    "asked",
    [
        "flag=66&front=70&back=58", "flag=0", "flag=1e9", "flag=nan", "flag=inf", "flag=sixty", "flag=",
        "flag=5&roll=6", "flag=66&front=-3", "flag=66&front=nan", "flag=66&back=" + "9" * 400, "flag=66&back=60",
        "flag=66&roll=x",
    ],
)  # fmt: skip
def test_a_bad_question_gets_a_sentence_and_keeps_what_was_typed(demo: FlaskClient, asked: str) -> None:
    answer = demo.get(f"/fits?{asked}")
    assert answer.status_code == 400
    assert "Nothing was worked out or changed." in answer.text
    first = asked.split("&")[0].split("=")[1]
    assert f'value="{first}"' in answer.text


def test_metres_in_the_address_are_read_as_metres(demo: FlaskClient) -> None:
    assert "Carry 60, in from 53 to 64" in text_of(demo.get("/fits?flag=60&front=53&back=64&unit=m").text)
    assert "carries 61, settled" in text_of(demo.get("/fits?flag=66&unit=furlong").text)


def test_hidden_numbers_are_not_offered(four: FlaskClient, book: Book) -> None:
    cell = re.findall(r'data-cell="([^"]+)"', four.get("/fits?flag=85").text)[0]
    book.add([a_setting("hidden_cells", [cell])], None, NOW)
    assert cell not in page_of(four, "/fits?flag=85").text


def test_an_empty_book_and_a_card_all_hidden_say_what_to_do(player: FlaskClient, book: Book) -> None:
    assert "no wedges in your bag" in player.get("/fits").text
    assert "no wedges in your bag" in player.get("/yardage").text
    book.add(the_demo_set(), None, NOW)
    cells = [cell["club_id"] + f":{cell['swing_deg']:g}" for cell in _page_data(player.get("/card").text)["cells"]]
    book.add([a_setting("hidden_cells", cells)], None, NOW)
    assert "Every number of your card is hidden" in player.get("/fits?flag=66").text
    assert "Every number of your card is hidden" in player.get("/yardage").text


def test_one_wedge_is_enough(player: FlaskClient, book: Book) -> None:
    club = a_club("56")
    book.add([club, a_full_carry(club, 85)], None, NOW)
    assert chances(player.get("/fits?flag=85").text)[0][1] > 25


def test_the_yardage_page_has_every_yard_or_metre(demo: FlaskClient) -> None:
    rows = re.findall(r'<th scope="row">(\d+)</th>', demo.get("/yardage").text)
    assert [int(row) for row in rows] == list(range(35, 113))
    demo.set_cookie("phone", quote(json.dumps({"unit": "m"})))
    rows = re.findall(r'<th scope="row">(\d+)</th>', demo.get("/yardage").text)
    assert [int(row) for row in rows] == list(range(32, 103))


TRUST_ROW = re.compile(r'<td data-trust="([\w ]+)">.*?<span class="shot">([^<]+)</span>(?:<[^>]+>, (\w+)<)?')


def test_the_yardage_page_says_of_each_shot_how_far_to_trust_it(demo: FlaskClient) -> None:
    trust = {f"{one['club']} {one['swing']}": one["trust"] for one in _page_data(demo.get("/fits").text)["candidates"]}
    told = TRUST_ROW.findall(demo.get("/yardage").text)
    assert len(told) == 78
    assert {word for word, _, _ in told} == {"settled", "early", "old", "guess"}
    assert told == [(trust[shot], shot, "" if trust[shot] == "settled" else trust[shot]) for _, shot, _ in told]


def test_the_yardage_page_of_a_book_without_a_ball_says_so_of_every_shot(four: FlaskClient) -> None:
    assert {(word, said) for word, _, said in TRUST_ROW.findall(four.get("/yardage").text)} == {
        ("told", "told"),
        ("guess", "guess"),
    }


def test_the_phone_gets_the_tables_that_give_the_same_answer(demo: FlaskClient) -> None:
    data = _page_data(demo.get("/fits").text)
    assert len(data["candidates"]) == 16
    assert all(set(one["table"]) == {"first", "step_m", "below"} for one in data["candidates"])
    assert data["margin"] == {"share": 0.08, "least_m": pytest.approx(4 * 0.9144)}


@pytest.mark.parametrize("address", ["/fits", "/fits/leave", "/yardage"])
def test_it_says_why_a_stated_carry_has_its_chances_below_it(four: FlaskClient, book: Book, address: str) -> None:
    why = "A carry that you stated is taken to be 2% too long until a ball of it is hit."
    assert why in four.get(address).text
    bucket, clubs = a_bucket(), reading.clubs(book)
    struck = [a_shot(bucket, club.id, 80, moved(NOW, seconds=at), swing_deg=180.0) for at, club in enumerate(clubs)]
    assert not book.add([bucket, *struck], None, NOW).refused
    assert why not in four.get(address).text


def test_the_margin_that_the_player_chose_is_what_counts_as_in(four: FlaskClient, book: Book) -> None:
    def best() -> int:
        return max(int(one) for one in re.findall(r"/ in (\d+) /", four.get("/fits?flag=66").text))

    usual = best()
    book.add([a_setting("margin_m", 12 * YARD_M, NOW)], None, NOW)
    assert best() > usual + 10
    for page in ("/fits", "/fits/leave"):
        assert _page_data(four.get(page).text)["margin"]["least_m"] == pytest.approx(12 * YARD_M)


@pytest.mark.parametrize("address", ["/fits", "/fits?flag=66", "/yardage"])
def test_card_only_shuts_every_address_of_advice(demo: FlaskClient, address: str) -> None:
    lock(demo)
    answer = demo.get(address)
    assert answer.status_code == 403
    assert "made beforehand; the committee decides" in text_of(answer.text)
    assert "legal" not in answer.text
    assert demo.get("/card").status_code == 200
    lock(demo, "lift")
    assert demo.get(address).status_code == 200


def test_card_only_keeps_the_phones_other_choices(demo: FlaskClient) -> None:
    demo.set_cookie("phone", quote(json.dumps({"unit": "m", "thumb": "left"})))
    lock(demo)
    assert choices(demo) == {"unit": "m", "thumb": "left", "card_only": True, "card_since": moved(NOW, hours=1)}
    lock(demo, "lift")
    assert choices(demo) == {"unit": "m", "thumb": "left", "card_only": False, "card_since": None}


def test_card_only_needs_the_pages_own_form(demo: FlaskClient) -> None:
    assert demo.post("/round", data={"do": "set"}).status_code == 400
    assert demo.get("/fits").status_code == 200


@pytest.mark.parametrize(
    "cookie", ['{"card_only": "yes"}', '{"card_only": 1}', "{", "[]", '{"card_only": true, "card_since": 7}']
)
def test_a_strange_cookie_breaks_nothing(demo: FlaskClient, cookie: str) -> None:
    demo.set_cookie("phone", quote(cookie))
    assert demo.get("/fits").status_code == (403 if "true" in cookie else 200)
    assert demo.get("/round").status_code == 200


def test_the_card_stands_still_from_the_moment_of_the_lock(four: FlaskClient, app: Flask, book: Book) -> None:
    lock(four)
    before = _page_data(four.get("/card").text)["cells"]
    later = moved(NOW, hours=2)
    visit = a_bucket(made_at=later)
    ball = a_shot(visit, before[0]["club_id"], 60, made_at=later)
    assert not book.add([visit, ball], None, later).refused
    app.config["NOW"] = lambda: moment_of(moved(NOW, hours=3))
    assert _page_data(four.get("/card").text)["cells"] == before
    lock(four, "lift")
    assert _page_data(four.get("/card").text)["cells"] != before


def test_lifting_asks_once_and_the_text_defers_to_the_committee(demo: FlaskClient) -> None:
    lock(demo)
    page = text_of(demo.get("/round").text)
    assert "Is the round over?" in page
    assert "Rule 4.3a" in page
    assert "the committee decides" in page


def test_balls_logged_on_the_course_change_no_chance(four: FlaskClient, book: Book) -> None:
    before = four.get("/fits?flag=66").text
    club = re.findall(r'data-cell="([^:"]+)', before)[0]
    visit = a_bucket()
    balls = [a_shot(visit, club, 40, contact="fat", course=True) for _ in range(3)]
    assert not book.add([visit, *balls], None, NOW).refused
    assert chances(four.get("/fits?flag=66").text) == chances(before)
    assert text_of(four.get("/round/notes").text).count(", carried 40") == 3


def test_a_course_note_is_kept_apart_and_counted_beside_the_range(demo: FlaskClient) -> None:
    before = _page_data(demo.get("/card").text)["cells"]
    for landed in ("short", "short", "on"):
        told = {"meant": "66", "landed": landed, "lie": "rough", "csrf_token": token(demo)}
        assert demo.post("/round/notes", data=told).status_code == 302
    page = text_of(demo.get("/round/notes").text)
    assert "on the course 2 1 0 3" in page
    assert "range, hit the number" in page
    assert '<option selected value="rough">' in demo.get("/round/notes").text
    assert _page_data(demo.get("/card").text)["cells"] == before


def test_a_course_note_can_be_taken_away(demo: FlaskClient) -> None:
    demo.post("/round/notes", data={"meant": "66", "landed": "long", "lie": "level", "csrf_token": token(demo)})
    root = re.findall(r"/round/notes/([0-9a-f-]{36})/remove", demo.get("/round/notes").text)[0]
    assert demo.post(f"/round/notes/{root}/remove", data={"csrf_token": token(demo)}).status_code == 302
    assert "No course notes yet." in demo.get("/round/notes").text


@pytest.mark.parametrize(
    "told",
    [{"meant": "x", "landed": "on"}, {"meant": "66", "landed": "in the pond"}, {"landed": "on"}, {"meant": "66"}],
)
def test_a_bad_course_note_is_refused_in_a_sentence(demo: FlaskClient, told: dict[str, str]) -> None:
    answer = demo.post("/round/notes", data={**told, "lie": "level", "csrf_token": token(demo)})
    assert answer.status_code == 400
    assert "Nothing was changed yet" in answer.text


def fits(data: Path, *asked: str) -> Any:
    return CliRunner().invoke(main, ["fits", "--data", str(data), "--book", "demo", *asked])


@pytest.mark.files_only
def test_the_command_answers_as_json(demo: FlaskClient, data: Path) -> None:
    ran = fits(data, "--carry", "66", "--front", "58", "--back", "70", "--unit", "yd", "--json")
    told = json.loads(ran.stdout)
    assert told["closest"] is None
    assert set(told["ranked"][0]) == {"club", "swing_deg", "short", "in", "long", "nine_in_ten_carry_m"}
    assert all(one["short"] + one["in"] + one["long"] == pytest.approx(1) for one in told["ranked"])
    assert [one["in"] for one in told["ranked"]] == sorted((one["in"] for one in told["ranked"]), reverse=True)


@pytest.mark.files_only
def test_the_command_names_the_closest_when_nothing_fits(demo: FlaskClient, data: Path) -> None:
    told = json.loads(fits(data, "--carry", "135", "--json").stdout)
    assert told["ranked"] == []
    assert (told["closest"]["club"], told["closest"]["swing_deg"]) == ("46", 180.0)
    assert "Nothing fits 135" in fits(data, "--carry", "135").stdout


@pytest.mark.parametrize("asked", ["nan", "1e9", "0", "-5", "66 --front 70 --back 58", "66 --roll inf"])
@pytest.mark.files_only
def test_the_command_refuses_a_bad_question_in_a_sentence(demo: FlaskClient, data: Path, asked: str) -> None:
    ran = fits(data, "--carry", *asked.split())
    assert ran.exit_code == 1
    assert "Nothing was worked out." in ran.stderr


@pytest.mark.files_only
def test_the_command_says_when_the_card_is_empty(data: Path, book: Book) -> None:
    ran = CliRunner().invoke(main, ["fits", "--data", str(data), "--carry", "66", "--json"])
    assert json.loads(ran.stdout) == {"ranked": [], "closest": None}


def _page_data(page: str) -> Any:
    found = re.search(r'id="page-data">(.*?)</script>', page, re.DOTALL)
    assert found
    return json.loads(found[1])
