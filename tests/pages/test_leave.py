"""What to leave through the real app, book and command: the line, its table, the question, card only.

Sources: the demo card is the project's own invented figure; every chance is held to what fits, as the page and the
command of what fits say it.
"""

import json
import re
from pathlib import Path
from typing import Any
from urllib.parse import quote

import pytest
from click.testing import CliRunner
from flask.testing import FlaskClient

from tests.factories import NOW, a_club, a_full_carry, a_setting, the_demo_set
from tests.pages.test_fits import lock, text_of
from webapp.cli import main
from webapp.store.book import Book
from webapp.units import YARD_M

ROW = re.compile(r'<tr><th scope="row">(\d+)</th><td>([^<]+)</td><td>(\d+)</td><td>([\d.]+)</td></tr>')


def rows(page: str) -> list[tuple[int, str, int]]:
    return [(int(left), shot, int(chance)) for left, shot, chance, _ in ROW.findall(page)]


def test_every_yard_or_metre_within_reach_has_its_best_shot_and_chance(demo: FlaskClient) -> None:
    page = demo.get("/fits/leave").text
    told = rows(page)
    assert [left for left, _, _ in told] == list(range(35, 113))
    for left, shot, chance in told[::9]:
        fits = text_of(demo.get(f"/fits?flag={left}").text)
        first = re.search(r"(\d\d) ([\d:]+|full) \d+ of 20 in carries \d+, \w+ · short \d+ / in (\d+)", fits)
        assert first
        assert shot.removesuffix(", a guess") == f"{first[1]} {first[2]}"
        assert abs(chance - int(first[3])) <= 1  # whole per cent there add to 100, here they are rounded alone
    demo.set_cookie("phone", quote(json.dumps({"unit": "m"})))
    assert [left for left, _, _ in rows(demo.get("/fits/leave").text)] == list(range(32, 103))


def test_peaks_and_valleys_are_named_drawn_and_listed(demo: FlaskClient) -> None:
    page = demo.get("/fits/leave").text
    assert "35, 41 and 48 are best for you; 45 and 65 to 66 are worst." in text_of(page)
    named = re.findall(r'class="peak-name"[^>]*>(\d+)<', page)
    assert {"35", "41", "48"} <= set(named)
    assert re.findall(r'data-left="(\d+)"', page) == ["35", "41", "48"]
    assert 'class="chance guessed"' in page
    assert 'class="flag"' not in page


def test_with_a_flag_it_says_what_to_leave(demo: FlaskClient) -> None:
    page = demo.get("/fits/leave?flag=240&roll=3&front=232&back=244").text
    assert "Leave 38: hit 202 now." in text_of(page)
    assert "202 is short of where the trouble ends: look whether it begins well beyond 202." in text_of(page)
    assert rows(page)[0][0] == 38
    assert page.count('class="flag"') == 1
    assert "No number of your card is that short: the shortest carries 35." in demo.get("/fits/leave?flag=20").text


def test_a_flag_in_reach_comes_first_in_answer_line_and_list(demo: FlaskClient) -> None:
    page = demo.get("/fits/leave?flag=62").text
    assert "62 is in reach: 56 9:00, 70 balls in 100 land in." in text_of(page)
    assert "Or leave" not in page
    assert re.findall(r'data-left="(\d+)"', page) == ["62", "35", "41", "48"]
    peaks = re.findall(r'<circle class="peak" cx="([\d.]+)"', page)
    flag = re.search(r'class="flag" d="M([\d.]+)', page)
    assert flag
    assert float(flag[1]) > float(peaks[-2])


@pytest.mark.parametrize("flag", range(26, 37))
def test_a_flag_nearer_than_the_shortest_number_is_in_reach_where_what_fits_names_a_shot(
    demo: FlaskClient, flag: int
) -> None:
    nothing = "Nothing fits" in text_of(demo.get(f"/fits?flag={flag}").text)
    said = text_of(demo.get(f"/fits/leave?flag={flag}").text)
    assert (f"{flag} is in reach: " in said) == (not nothing) == (flag >= 30)
    assert ("No number of your card is that short" in said) == (flag < 30)


def test_metres_in_the_address_are_read_as_metres(demo: FlaskClient) -> None:
    assert rows(demo.get("/fits/leave?flag=200&unit=m").text)[0][0] == 32


@pytest.mark.parametrize(
    "asked",
    [
        "flag=nan", "flag=sixty", "flag=0", "flag=1e9", "flag=240&front=x", "flag=240&front=244&back=232",
        "flag=240&front=250", "flag=5&roll=6", "roll=3", "front=232",
    ],
)  # fmt: skip
def test_a_bad_question_gets_a_sentence_and_the_line_stays(demo: FlaskClient, asked: str) -> None:
    answer = demo.get(f"/fits/leave?{asked}")
    assert answer.status_code == 400
    assert "Nothing was worked out or changed." in answer.text
    assert "35, 41 and 48 are best for you" in answer.text


def test_an_empty_book_and_a_card_all_hidden_say_what_to_do(player: FlaskClient, book: Book) -> None:
    assert "no wedges in your bag" in player.get("/fits/leave").text
    book.add(the_demo_set(), None, NOW)
    found = re.search(r'id="page-data">(.*?)</script>', player.get("/card").text, re.DOTALL)
    assert found
    cells = [f"{cell['club_id']}:{cell['swing_deg']:g}" for cell in json.loads(found[1])["cells"]]
    book.add([a_setting("hidden_cells", cells)], None, NOW)
    assert "Every number of your card is hidden" in player.get("/fits/leave?flag=240").text


def test_one_number_is_enough(player: FlaskClient, book: Book) -> None:
    club = a_club("56")
    book.add([club, a_full_carry(club, 85)], None, NOW)
    found = re.search(r'id="page-data">(.*?)</script>', player.get("/card").text, re.DOTALL)
    assert found
    cells = [f"{cell['club_id']}:{cell['swing_deg']:g}" for cell in json.loads(found[1])["cells"]]
    book.add([a_setting("hidden_cells", cells[1:])], None, NOW)
    page = player.get("/fits/leave?flag=240").text
    assert len(rows(page)) == 1
    assert re.search(r"No ball yet\. \d\d is all there is\.", page)


def test_card_only_shuts_it_and_every_way_to_it(demo: FlaskClient) -> None:
    for path in ("/card", "/fits", "/more"):
        assert 'href="/fits/leave"' in demo.get(path).text
    lock(demo)
    answer = demo.get("/fits/leave?flag=240")
    assert answer.status_code == 403
    assert "made beforehand; the committee decides" in text_of(answer.text)
    for path in ("/card", "/more", "/round"):
        page = demo.get(path).text
        assert 'href="/fits/leave"' not in page
        assert "/fits/leave" not in page.partition('data-keep="')[2].partition('"')[0]
    lock(demo, "lift")
    assert demo.get("/fits/leave").status_code == 200


def command(data: Path, name: str, *asked: str) -> Any:
    return CliRunner().invoke(main, [name, "--data", str(data), "--book", "demo", *asked])


@pytest.mark.files_only
def test_the_command_agrees_with_what_fits_to_the_last_digit(demo: FlaskClient, data: Path) -> None:
    told = json.loads(command(data, "leave", "--unit", "yd", "--json").stdout)
    assert set(told) == {"distances", "peaks_m", "valleys_m"}
    assert [round(one["carry_m"] / YARD_M) for one in told["distances"]] == list(range(35, 113))
    for one in told["distances"][::5]:
        fits = json.loads(
            command(data, "fits", "--carry", f"{one['carry_m'] / YARD_M!r}", "--unit", "yd", "--json").stdout
        )
        best = fits["ranked"][0]
        assert one["best"] == {"club": best["club"], "swing_deg": best["swing_deg"]}
        assert one["chance"] == pytest.approx(best["in"], abs=1e-9)
    assert set(told["peaks_m"]) | set(told["valleys_m"]) <= {one["carry_m"] for one in told["distances"]}


@pytest.mark.files_only
def test_the_command_answers_a_flag_in_words(demo: FlaskClient, data: Path) -> None:
    said = command(data, "leave", "--left", "240", "--roll", "3", "--front", "232", "--back", "244").stdout
    assert said.startswith("Leave 38: hit 202 now.\n")
    assert "of 100" in said


@pytest.mark.parametrize("asked", ["--left nan", "--left 1e9", "--left 240 --front 250", "--roll 3", "--must-carry"])
@pytest.mark.files_only
def test_the_command_refuses_a_bad_question_in_a_sentence(demo: FlaskClient, data: Path, asked: str) -> None:
    ran = command(data, "leave", *asked.split())
    assert ran.exit_code == 1
    assert "Nothing was worked out." in ran.stderr


@pytest.mark.files_only
def test_the_command_says_when_the_card_is_empty(data: Path, book: Book) -> None:
    ran = CliRunner().invoke(main, ["leave", "--data", str(data), "--json"])
    assert json.loads(ran.stdout) == {"distances": [], "peaks_m": [], "valleys_m": []}
    assert "no number on the card" in CliRunner().invoke(main, ["leave", "--data", str(data)]).stdout
