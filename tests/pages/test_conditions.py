"""The page of conditions without any script: what it answers, what it leaves out, and when it is shut."""

import json
import re
from typing import Any
from urllib.parse import quote, urlencode

import pytest
from flask.testing import FlaskClient

from tests.factories import NOW, a_bucket, a_setting, a_shot, corrected, the_demo_set
from webapp import units
from webapp.books.book_conditions import carry_to_play
from webapp.conditions.day import Conditions
from webapp.moments import moment_of, moved
from webapp.store import reading
from webapp.store.book import Book
from webapp.units import MPH_MPS, YARD_M


@pytest.fixture
def demo(app: Any, book: Book) -> Book:
    """The demo set, its card made at 20 degrees and 50 m."""
    app.config["NOW"] = lambda: moment_of(moved(NOW, hours=1))
    facts = [*the_demo_set(), a_setting("home_temperature_c", 20), a_setting("home_altitude_m", 50)]
    assert not book.add(facts, None, NOW).refused
    return book


def asked(player: FlaskClient, **question: Any) -> Any:
    return player.get(f"/conditions?{urlencode(question)}")


def sentence(book: Book, target_m: float, today: Conditions, unit: str = "yd") -> str:
    """The sentence that the page has to say."""
    return carry_to_play(book, moved(NOW, hours=1), target_m, today, unit)[1]


def words(text: str, part: str) -> str:
    """What the answer says in one of its parts."""
    found = re.search(rf'data-part="{part}"[^>]*>([^<]*)<', text[text.index('id="answer"') :])
    assert found
    return found[1].strip()


def carries(text: str) -> list[tuple[int, str]]:
    """Each number of the card with what it becomes today."""
    rows = re.findall(r'<td data-m="[^"]+">(\d+)</td>\s*<td data-part="flies">([^<]*)</td>', text)
    return [(int(card), today.strip()) for card, today in rows]


def token(text: str) -> str:
    found = re.search(r'name="csrf_token" value="([^"]+)"', text)
    assert found
    return found[1]


def keep_home(player: FlaskClient, temperature: str, altitude: str) -> Any:
    """Send the form of home; each number with its unit behind it."""
    sent = {"csrf_token": token(player.get("/conditions").text)}
    for name, words in {"home_temperature": temperature, "home_altitude": altitude}.items():
        sent[name], sent[f"{name}_unit"] = words.split()
    return player.post("/conditions/home", data=sent, follow_redirects=True)


def said_of_home(text: str) -> set[str]:
    """What the page says of where the card was made."""
    return set(re.findall(r'data-home="\w+">([^<]*)<', text))


def test_before_a_question_every_number_is_as_on_the_card(player: FlaskClient, demo: Book) -> None:
    text = player.get("/conditions").text
    assert len(carries(text)) == 16
    assert all(str(card) == today for card, today in carries(text))
    assert 'id="answer" hidden' in text


def test_it_says_the_range_and_its_reason(player: FlaskClient, demo: Book) -> None:
    answer = asked(player, carry=60, wind=10, speed_unit="mph", wind_to="into", wind_at="ball", height=3, side="down")
    today = Conditions(20.0, 50.0, -10 * MPH_MPS, "ball", -3 * YARD_M)
    expected = sentence(demo, 60 * YARD_M, today)
    assert answer.status_code == 200
    assert words(answer.text, "sentence") == expected
    low, high = words(answer.text, "range").split("–")
    assert expected.startswith(f"60 yards plays {low} to {high}:")
    assert "Wind across is left out" in answer.text


def test_what_is_left_empty_is_as_at_home(player: FlaskClient, demo: Book) -> None:
    assert "nothing differs" in words(asked(player, carry=60).text, "sentence")


def test_in_the_cold_a_hundred_yards_lose_two_to_four_and_fifty_under_one(player: FlaskClient, demo: Book) -> None:
    """Common practice, no source: a card made at 20 and played at 4."""
    text = asked(player, temperature=4).text
    assert '<span id="or-less">, or less</span>' in text
    for card, today in carries(text):
        low, _, high = today.partition("–")
        if 96 <= card <= 104:
            assert 2 <= card - int(low) <= 4
        if card <= 50:
            assert card - int(high or low) <= 1


def test_in_the_cold_a_target_plays_at_least_so_much(player: FlaskClient, demo: Book) -> None:
    assert words(asked(player, carry=100, temperature=4).text, "more") == "or more"
    assert words(asked(player, carry=100, temperature=30).text, "more") == ""


def test_in_the_mountains_a_hundred_yards_gain_four_to_eight_and_fifty_two_at_most(
    player: FlaskClient, demo: Book
) -> None:
    """Common practice, no source: 1500 m."""
    for card, today in carries(asked(player, altitude=1500).text):
        low, _, high = today.partition("–")
        if 96 <= card <= 104:
            assert 4 <= (int(low) + int(high or low)) / 2 - card <= 8
        if card <= 50:
            assert 0 <= (int(low) + int(high or low)) / 2 - card <= 2


def test_a_target_above_the_flight_cannot_be_reached_and_no_carry_is_given(player: FlaskClient, demo: Book) -> None:
    answer = asked(player, carry=15, height=9, side="up")
    assert "Cannot get there" in answer.text
    assert 'id="answer" hidden' in answer.text


@pytest.mark.parametrize(
    ("question", "says"),
    [
        ({"wind": 200, "speed_unit": "mph"}, "A wind of 200 mph against is outside"),
        ({"temperature": -60}, "A temperature of -60 °C is outside -20 °C to 50 °C"),
        ({"temperature": 150, "temperature_unit": "f"}, "A temperature of 150 °F is outside -4 °F to 122 °F"),
        ({"altitude": 12000}, "An altitude of 12,000 m"),
        ({"altitude": 20000, "altitude_unit": "ft"}, "An altitude of 20,000 ft is outside -328 ft to 13,123 ft"),
        ({"temperature": 45, "temperature_unit": "k"}, "Choose one of the answers offered."),
        ({"altitude": "9" * 308, "altitude_unit": "ft"}, "An altitude of "),
        ({"height": 90}, "A target height of 90 yards"),
        ({"temperature": "warm"}, "Temperature must be a number"),
        ({"altitude": "1e999"}, "Altitude must be a number, such as 54 or 54.5."),
        ({"altitude": "9" * 400}, "An altitude has to be a number"),
        ({"wind": 5, "speed_unit": "knots"}, "Choose one of the answers offered."),
    ],
)
def test_what_it_cannot_work_with_is_said_plainly_and_changes_nothing(
    player: FlaskClient, demo: Book, question: dict[str, Any], says: str
) -> None:
    before = demo.cursor
    answer = asked(player, **question)
    assert answer.status_code == 400
    assert says in answer.text
    assert all(str(card) == today for card, today in carries(answer.text))
    assert demo.cursor == before


def test_a_target_beyond_todays_reach_is_refused_with_the_reason(player: FlaskClient, demo: Book) -> None:
    answer = asked(player, carry=110, wind=10, speed_unit="mph", wind_to="into")
    assert answer.status_code == 200
    assert "your longest number flies" in answer.text
    assert 'id="answer" hidden' in answer.text


def test_own_readings_of_a_cell_replace_the_usual_launch(player: FlaskClient, demo: Book) -> None:
    club = next(club for club in reading.clubs(demo) if club.name == "46")
    visit = a_bucket(NOW)
    low = {"launch_deg": 18, "spin_rpm": 5000, "ball_speed_mps": 36}
    shots = [a_shot(visit, {"root": club.id}, 112, NOW, swing_deg=180, mode="distance", delivery=low) for _ in range(5)]
    wind = Conditions(20.0, 50.0, -10 * MPH_MPS)
    before = sentence(demo, 97 * YARD_M, wind)
    assert not demo.add([visit, *shots[:4]], None, NOW).refused
    assert sentence(demo, 97 * YARD_M, wind) == before
    assert not demo.add(shots[4:], None, NOW).refused
    assert sentence(demo, 97 * YARD_M, wind) != before


@pytest.mark.parametrize("left_out", ["aside", "course"])
def test_readings_of_balls_left_out_replace_no_launch(player: FlaskClient, demo: Book, left_out: str) -> None:
    club = next(club for club in reading.clubs(demo) if club.name == "46")
    visit = a_bucket(NOW)
    told = {"delivery": {"launch_deg": 18, "spin_rpm": 5000, "ball_speed_mps": 36}, "mode": "distance"}
    told |= {"course": True} if left_out == "course" else {}
    shots = [a_shot(visit, {"root": club.id}, 112, NOW, swing_deg=180, **told) for _ in range(5)]
    wind = Conditions(20.0, 50.0, -10 * MPH_MPS)
    before = sentence(demo, 97 * YARD_M, wind)
    assert not demo.add([visit, *shots], None, NOW).refused
    assert (sentence(demo, 97 * YARD_M, wind) == before) is (left_out == "course")
    assert not demo.add([corrected(visit, aside=True)], None, NOW).refused
    assert sentence(demo, 97 * YARD_M, wind) == before


def test_a_carry_outside_wedges_is_answered_with_where_the_sums_hold(player: FlaskClient, demo: Book) -> None:
    assert "These sums hold from 5 yards to 140 yards" in asked(player, carry=250).text


def test_a_reader_of_metres_asks_in_metres_and_kilometres_an_hour(player: FlaskClient, demo: Book) -> None:
    player.set_cookie("phone", quote(json.dumps({"unit": "m"})))
    text = asked(player, carry=60, height=2, side="up").text
    assert '<option selected value="kmh">' in text
    assert words(text, "sentence") == sentence(demo, 60.0, Conditions(20.0, 50.0, target_up_m=2.0), "m")


def test_home_is_kept_and_shown(player: FlaskClient, demo: Book) -> None:
    answer = keep_home(player, temperature="-2,5 c", altitude="800 m")
    assert answer.status_code == 200
    assert said_of_home(answer.text) == {"-2.5 °C", "800 m"}
    said = reading.settings(demo)
    assert (said["home_temperature_c"], said["home_altitude_m"]) == (-2.5, 800)


def test_an_impossible_home_is_refused_and_the_old_one_stands(player: FlaskClient, demo: Book) -> None:
    answer = keep_home(player, temperature="-60 c", altitude="800 m")
    assert answer.status_code == 400
    assert "Home temperature must be from −20 to 50 °C." in answer.text
    assert reading.settings(demo)["home_altitude_m"] == 50


def test_a_refused_home_is_told_its_range_in_the_units_it_was_typed_in(player: FlaskClient, demo: Book) -> None:
    answer = keep_home(player, temperature="-5 f", altitude="14000 ft")
    assert "Home temperature must be from −4 to 122 °F." in answer.text
    assert "Home altitude must be from −328 to 13123 ft." in answer.text


def test_forty_five_fahrenheit_is_not_forty_five_celsius(player: FlaskClient, demo: Book) -> None:
    asked_f = asked(player, carry=100, temperature=45, temperature_unit="f", altitude=5000, altitude_unit="ft").text
    today = Conditions(units.to_degc(45, "f"), 1524.0)
    assert words(asked_f, "sentence") == sentence(demo, 100 * YARD_M, today)
    assert said_of_home(asked_f) == {"68 °F", "164 ft"}


def test_home_in_fahrenheit_and_feet_is_kept_in_si_and_the_phone_remembers_the_units(
    player: FlaskClient, demo: Book
) -> None:
    answer = keep_home(player, temperature="68,5 f", altitude="5000 ft")
    said = reading.settings(demo)
    assert said["home_temperature_c"] == pytest.approx(20.2778, abs=1e-4)
    assert said["home_altitude_m"] == 1524
    for text in (answer.text, player.get("/conditions").text):
        assert said_of_home(text) == {"68.5 °F", "5000 ft"}
    assert "68.5 °F" in player.get("/print").text


def test_home_left_as_the_page_shows_it_stays_what_it_was(player: FlaskClient, demo: Book) -> None:
    keep_home(player, temperature="45 f", altitude="5001 ft")
    before, cursor = reading.settings(demo), demo.cursor
    keep_home(player, temperature="7.2 c", altitude="1524 m")
    assert (demo.cursor, reading.settings(demo)) == (cursor, before)


@pytest.mark.parametrize("told", ["k", 7, ["f"], {"f": 1}, None])
def test_a_unit_the_phone_cannot_mean_is_as_if_none_were_told(player: FlaskClient, demo: Book, told: Any) -> None:
    player.set_cookie("phone", quote(json.dumps({"temperature_unit": told, "altitude_unit": told})))
    assert said_of_home(player.get("/conditions").text) == {"20 °C", "50 m"}


def test_the_yards_of_a_player_say_nothing_about_degrees(player: FlaskClient, demo: Book) -> None:
    player.set_cookie("phone", quote(json.dumps({"unit": "yd", "temperature_unit": "c", "altitude_unit": "ft"})))
    assert said_of_home(player.get("/conditions").text) == {"20 °C", "164 ft"}


def test_until_home_is_said_the_page_says_what_it_takes(player: FlaskClient, book: Book) -> None:
    assert said_of_home(player.get("/conditions").text) == {"15 °C", "0 m"}


def test_card_only_shuts_it_by_the_address_too(player: FlaskClient, demo: Book) -> None:
    sent = {"csrf_token": token(player.get("/conditions").text), "home_temperature": "5"}
    player.set_cookie("phone", quote(json.dumps({"card_only": True})))
    for answer in (player.get("/conditions"), asked(player, carry=60), player.post("/conditions/home", data=sent)):
        assert answer.status_code == 403
        assert "play" not in answer.text.split("<main")[1].lower().replace("played", "")
    assert reading.settings(demo)["home_temperature_c"] == 20


def test_card_only_hides_the_way_to_it(player: FlaskClient, demo: Book) -> None:
    assert 'href="/conditions"' in player.get("/more").text
    player.set_cookie("phone", quote(json.dumps({"card_only": True})))
    assert 'href="/conditions"' not in player.get("/more").text


def test_a_phone_without_a_book_is_sent_nothing(client: FlaskClient) -> None:
    assert client.get("/conditions").status_code == 401
