"""Settings: what the whole book goes by, and its lengths of swing."""

import html
import json
import re
from typing import Any
from urllib.parse import quote, unquote

import pytest
from flask.testing import FlaskClient

from webapp.moments import moved
from webapp.store import reading
from webapp.store.book import Book
from webapp.units import YARD_M

from ..factories import NOW, a_bucket, a_club, a_setting, a_shot, a_swing
from .visitor import page_of, send, words

AS_THEY_ARE = {
    "hand": "right",
    "unit": "yd",
    "seen_from": "front",
    "judged_by": "markers",
    "ball": "range",
    "thumb": "",
    "nickname": "",
}


def kept(player: FlaskClient, **changed: Any) -> Any:
    """The answer to the settings' form with some of them changed."""
    return send(player, "/settings", **{**AS_THEY_ARE, **changed})


def phone_cookie(player: FlaskClient) -> Any:
    """What this phone's own cookie says."""
    cookie = player.get_cookie("phone")
    return json.loads(unquote(cookie.value)) if cookie else None


def test_it_keeps_each_setting_that_says_something_new(player: FlaskClient, book: Book) -> None:
    before = book.cursor
    answer = kept(player, hand="left", junior="y", nickname=" Heron ", ball_limit="40", gap_limit="20")
    assert "Kept." in words(answer)
    said = reading.settings(book)
    assert (said["hand"], said["junior"], said["nickname"], said["ball_limit"]) == ("left", True, "Heron", 40)
    assert said["gap_limit_m"] == 20 * YARD_M
    assert book.cursor == before + 5


def test_the_same_again_writes_nothing(player: FlaskClient, book: Book) -> None:
    kept(player, hand="left", gap_limit="15")
    before = book.cursor
    kept(player, hand="left", gap_limit="15")
    assert book.cursor == before


def test_a_setting_said_again_corrects_the_first_saying(player: FlaskClient, book: Book) -> None:
    kept(player, hand="left")
    root = reading.setting_roots(book)["hand"]
    kept(player, hand="right")
    assert reading.setting_roots(book)["hand"] == root
    assert [fact["body"]["value"] for fact in book.history(root)] == ["left", "right"]


def test_a_clock_years_ahead_does_not_win_over_what_is_said_now(player: FlaskClient, book: Book) -> None:
    book.add([a_setting("hand", "left", "9997-12-31T23:59:59.999Z")], None, NOW)
    kept(player, hand="right")
    assert reading.settings(book)["hand"] == "right"


@pytest.mark.parametrize(
    ("changed", "sentence"),
    [
        ({"hand": "both"}, "Choose one of the answers offered."),
        ({"judged_by": "guess"}, "Choose one of the answers offered."),
        ({"nickname": "x" * 41}, "A nickname has at most 40 characters."),
        ({"nickname": "<i>H</i>"}, "“Nickname, for a coach” must not hold < or > or control characters"),
        ({"gap_limit": "1"}, "“Warn of gaps above” must be from 2 to 65 yards."),
        ({"gap_limit": "wide"}, "“Warn of gaps above” must be a number, such as 54 or 54.5."),
        ({"ball_limit": "4"}, "“Most balls a day” must be a whole number from 5 to 500."),
        ({"ball_limit": "1e9"}, "“Most balls a day” must be a number, such as 54 or 54.5."),
    ],
)
def test_it_says_what_is_wrong_and_changes_no_setting(
    player: FlaskClient, book: Book, changed: dict[str, str], sentence: str
) -> None:
    before = book.cursor
    answer = kept(player, **{"unit": "m", **changed})
    assert answer.status_code == 400
    assert sentence in words(answer)
    assert "Nothing was changed" in words(answer)
    assert book.cursor == before


def test_a_margin_says_what_counts_as_in(player: FlaskClient, book: Book) -> None:
    kept(player, margin="6")
    assert reading.settings(book)["margin_m"] == 6 * YARD_M
    assert re.search(r'name="margin"[^>]*value="6"', player.get("/settings").text)
    kept(player, margin="")
    assert reading.settings(book)["margin_m"] is None


def test_the_smallest_gap_limit_can_be_kept_in_both_units(player: FlaskClient, book: Book) -> None:
    kept(player, gap_limit="2")
    assert reading.settings(book)["gap_limit_m"] == 2 * YARD_M


def test_a_gap_limit_stays_what_it_was_when_the_unit_changes_with_it(player: FlaskClient, book: Book) -> None:
    kept(player, gap_limit="15")
    kept(player, gap_limit="15", unit="m")  # the page showed 15 yards; example F5: they are 14 m
    assert reading.settings(book)["gap_limit_m"] == 15 * YARD_M
    assert 'value="13.7"' in player.get("/settings").text


def test_what_is_kept_here_holds_for_this_phone_too(player: FlaskClient) -> None:
    player.set_cookie("phone", quote(json.dumps({"unit": "yd", "thumb": "left", "mirrored": True})))
    kept(player, unit="m", thumb="right")
    assert phone_cookie(player) == {"unit": "m", "thumb": "right", "mirrored": None}
    assert 'data-unit="m"' in player.get("/settings").text


def test_settings_are_shown_as_this_phone_reads_and_what_was_not_chosen_stays_its_own(
    player: FlaskClient, book: Book
) -> None:
    player.set_cookie("phone", quote(json.dumps({"unit": "m", "thumb": "left"})))
    page = player.get("/settings").text
    assert re.search(r'<input checked[^>]* name="unit"[^>]* value="m"', page)
    assert re.search(r'<input checked[^>]* name="thumb"[^>]* value="left"', page)
    shown = re.search(r'name="shown" value="([^"]*)"', page)
    assert shown
    kept(player, unit="m", thumb="left", nickname="Heron", shown=html.unescape(shown[1]))
    assert phone_cookie(player) == {"unit": "m", "thumb": "left", "mirrored": None}
    assert (reading.settings(book)["unit"], reading.settings(book)["nickname"]) == ("yd", "Heron")


def shown_on(player: FlaskClient) -> dict[str, str]:
    """The two lengths as the page's form holds them, and what the page says of itself when it is sent."""
    page = player.get("/settings").text
    boxes = {name: re.search(rf'name="{name}"[^>]* value="([^"]*)"', page) for name in ("gap_limit", "margin", "shown")}
    assert all(boxes.values())
    return {name: html.unescape(found[1]) for name, found in boxes.items() if found}


@pytest.mark.parametrize(
    ("own", "chosen", "said_anew"),
    [("m", {"nickname": "Heron"}, 1), ("m", {"unit": "yd"}, 0), ("yd", {"unit": "m"}, 1)],
    ids=["a nickname", "the book's own unit for this phone", "another unit"],
)
def test_lengths_shown_in_another_unit_are_not_said_anew(
    player: FlaskClient, book: Book, own: str, chosen: dict[str, str], said_anew: int
) -> None:
    kept(player, gap_limit="15", margin="5")
    player.set_cookie("phone", quote(json.dumps({"unit": own})))
    boxes = shown_on(player)
    elsewhere = a_setting("gap_limit_m", 20 * YARD_M, moved(NOW, days=9999))
    assert book.add([elsewhere], None, NOW).refused == []
    before = book.cursor
    kept(player, **{"unit": own, **boxes, **chosen})
    said = reading.settings(book)
    assert (said["gap_limit_m"], said["margin_m"]) == (20 * YARD_M, 5 * YARD_M)
    assert book.cursor == before + said_anew


def test_a_length_typed_to_another_tenth_is_kept(player: FlaskClient, book: Book) -> None:
    kept(player, gap_limit="15", margin="5")
    player.set_cookie("phone", quote(json.dumps({"unit": "m"})))
    kept(player, unit="m", **{**shown_on(player), "gap_limit": "13.75", "margin": "4.6"})
    assert (reading.settings(book)["gap_limit_m"], reading.settings(book)["margin_m"]) == (13.75, 5 * YARD_M)


@pytest.mark.parametrize("nonsense", ["NaN", "1e999", "1e308", "9" * 400, '"14"', "[14]", "true", "null"])
def test_a_page_that_says_nonsense_of_what_it_showed_keeps_what_is_typed(
    player: FlaskClient, book: Book, nonsense: str
) -> None:
    kept(player, gap_limit="20", shown=f'{{"gap_limit": {nonsense}}}')
    assert reading.settings(book)["gap_limit_m"] == 20 * YARD_M


def test_a_setting_does_not_lift_the_card_only_lock(player: FlaskClient) -> None:
    player.set_cookie("phone", quote(json.dumps({"card_only": True, "card_since": NOW})))
    kept(player, unit="m")
    told = phone_cookie(player)
    assert (told["card_only"], told["card_since"], told["unit"]) == (True, NOW, "m")


@pytest.mark.parametrize("nonsense", ["%", "[" * 3000, "null", '"x"', '{"unit": ["m"], "thumb": {}}', "\\ud800"])
def test_a_phone_cookie_that_cannot_be_read_prefers_nothing(player: FlaskClient, nonsense: str) -> None:
    player.set_cookie("phone", quote(nonsense, safe="["))
    page = player.get("/settings")
    assert page.status_code == 200
    assert 'data-unit="yd"' in page.text


def test_a_swing_gets_a_name_and_its_balls_stay_where_they_are(player: FlaskClient, book: Book) -> None:
    bucket, club = a_bucket(), a_club()
    book.add([bucket, club, a_shot(bucket, club)], None, NOW)
    send(player, "/settings/swings", do="name", swing_deg="90.0", name="halfway")
    assert [(swing.swing_deg, swing.name) for swing in reading.swings(book)] == [
        (45, ""),
        (90, "halfway"),
        (135, ""),
        (180, ""),
    ]
    assert len(reading.shots_of_cell(book, club["id"], 90)) == 1


def test_a_swing_is_added_and_left_out(player: FlaskClient, book: Book) -> None:
    send(player, "/settings/swings", do="add", clock="8:00", name="")
    assert [swing.swing_deg for swing in reading.swings(book)] == [45, 60, 90, 135, 180]
    send(player, "/settings/swings", do="remove", swing_deg="45.0")
    assert [swing.swing_deg for swing in reading.swings(book)] == [60, 90, 135, 180]
    answer = send(player, "/settings/swings", follow=False, do="add", clock="45", name="low")
    assert answer.headers["Location"] == "/settings#swings"
    assert [swing.swing_deg for swing in reading.swings(book)] == [45, 60, 90, 135, 180]


def test_a_swing_is_typed_by_the_hours_that_the_page_shows_and_answered(player: FlaskClient, book: Book) -> None:
    book.add([a_setting("hand", "left")], None, NOW)
    assert "3:00" in words(player.get("/settings"))
    assert "The swing is added." in words(send(player, "/settings/swings", do="add", clock="2:00", name=""))
    assert [swing.swing_deg for swing in reading.swings(book)] == [45, 90, 120, 135, 180]
    assert "Kept." in words(send(player, "/settings/swings", do="name", swing_deg="120.0", name="short"))
    answer = words(send(player, "/settings/swings", do="remove", swing_deg="120.0"))
    assert "The swing is left out. Its balls are kept." in answer


def test_a_swing_typed_finer_than_hundredths_has_a_page_for_its_number(player: FlaskClient, book: Book) -> None:
    club = a_club()
    book.add([club], None, NOW)
    send(player, "/settings/swings", do="add", clock="133.3333333", name="")
    assert [swing.swing_deg for swing in reading.swings(book)] == [45, 90, 133.33, 135, 180]
    addresses = re.findall(rf"/card/{club['id']}/[\d.]+", player.get("/card").text)
    assert len(addresses) >= 5
    assert {player.get(address).status_code for address in addresses} == {200}


def test_one_of_the_usual_four_can_be_left_out_at_once(player: FlaskClient, book: Book) -> None:
    send(player, "/settings/swings", do="remove", swing_deg="180.0")
    assert [swing.swing_deg for swing in reading.swings(book)] == [45, 90, 135]


@pytest.mark.parametrize(
    ("fields", "sentence"),
    [
        ({"do": "add", "clock": "5:00"}, "That is no place on the clock between 6:00 and full; level is 9:00."),
        ({"do": "add", "clock": "nan"}, "That is no place on the clock between 6:00 and full; level is 9:00."),
        ({"do": "remove", "swing_deg": "nan"}, "That swing is not one of yours."),
        ({"do": "add", "clock": ""}, "That is no place on the clock between 6:00 and full; level is 9:00."),
        ({"do": "add", "clock": "9:00"}, "That swing is there already"),
        ({"do": "add", "clock": "8:00", "name": "x" * 41}, "A name has at most 40 characters."),
        ({"do": "add", "clock": "8:00", "name": "a<b"}, "must not hold < or >"),
        ({"do": "name", "swing_deg": "60", "name": "x"}, "That swing is not one of yours."),
        ({"do": "name", "swing_deg": "inf", "name": "x"}, "That swing is not one of yours."),
        ({"do": "name", "name": "x"}, "That is no place on the clock"),
    ],
)
def test_a_swing_that_cannot_be_is_refused_and_nothing_is_written(
    player: FlaskClient, book: Book, fields: dict[str, str], sentence: str
) -> None:
    before = book.cursor
    answer = words(send(player, "/settings/swings", **fields))
    assert sentence in answer
    assert "Nothing was changed." in answer
    assert book.cursor == before


def test_a_refused_swing_stands_in_its_boxes_and_the_clock_is_told_as_the_player_reads_it(
    player: FlaskClient, book: Book
) -> None:
    book.add([a_setting("hand", "left")], None, NOW)
    refused = send(player, "/settings/swings", do="add", clock="9:30", name="halfway")
    assert refused.status_code == 400
    assert "between 6:00 and full; level is 3:00. Nothing was changed." in words(refused)
    assert re.search('<input[^>]* aria-invalid="true"[^>]* value="9:30"', refused.text)
    assert 'value="halfway"' in refused.text
    refused = send(player, "/settings/swings", do="name", swing_deg="90.0", name="full")
    assert re.findall(r'aria-invalid="true" id="own-(\d+)"[^>]* value="full"', refused.text) == ["90"]
    above = [form for form in refused.text.split("<form ") if 'role="alert"' in form]
    assert [re.findall('aria-label="([^"]*)"', form) for form in above] == [["3:00"]]
    assert "Lengths of swing" in words(page_of(player, "/settings/swings"))


def test_a_swing_that_left_meanwhile_is_refused_where_the_swings_are(player: FlaskClient, book: Book) -> None:
    send(player, "/settings/swings", do="remove", swing_deg="45.0")
    refused = send(player, "/settings/swings", do="name", swing_deg="45.0", name="little")
    assert refused.text.count('role="alert"') == 1
    assert "That swing is not one of yours. Nothing was changed." in words(refused)


def test_a_book_keeps_two_to_six_swings_and_no_two_of_one_name(player: FlaskClient, book: Book) -> None:
    book.add([a_swing(90, "half"), a_swing(180)], None, NOW)
    assert "at least 2 lengths of swing" in words(send(player, "/settings/swings", do="remove", swing_deg="90"))
    assert "called half already" in words(send(player, "/settings/swings", do="name", swing_deg="180", name="half"))
    for degrees in (45, 60, 105, 135):
        send(player, "/settings/swings", do="add", clock=str(degrees))
    assert "There are 6 swings already" in words(send(player, "/settings/swings", do="add", clock="150"))
    assert len(reading.swings(book)) == 6


def test_no_swing_takes_the_place_on_the_clock_that_another_is_called_by(player: FlaskClient, book: Book) -> None:
    taken = "Another swing is called {} already. Nothing was changed."
    add = {"do": "add", "clock": "8:15"}
    assert taken.format("9:00") in words(send(player, "/settings/swings", **add, name="9:00"))
    assert taken.format("full") in words(send(player, "/settings/swings", **add, name="full"))
    send(player, "/settings/swings", **add, name="10:00")
    assert taken.format("10:00") in words(send(player, "/settings/swings", do="add", clock="10:00", name=""))
    assert [(swing.swing_deg, swing.name) for swing in reading.swings(book) if swing.name] == [(67.5, "10:00")]
    assert "Kept." in words(send(player, "/settings/swings", do="name", swing_deg="67.5", name="8:15"))


def test_two_swings_that_came_to_one_name_can_be_left_out_again(player: FlaskClient, book: Book) -> None:
    book.add([a_swing(90, ""), a_swing(67.5, "9:00"), a_swing(180, "")], None, NOW)
    send(player, "/settings/swings", do="remove", swing_deg="90", name="")
    assert [swing.swing_deg for swing in reading.swings(book)] == [67.5, 180]


def test_an_older_page_leaves_what_was_changed_since(player: FlaskClient, book: Book) -> None:
    older = player.get("/settings")
    shown = html.unescape(re.findall(r'name="shown" value="([^"]*)"', older.text)[0])
    asked = {"hand": "right", "unit": "yd", "seen_from": "front", "judged_by": "monitor", "ball": "range", "thumb": ""}
    send(player, "/settings", shown=shown, **{**asked, "hand": "left", "nickname": "Heron", "junior": "y"})
    send(player, "/settings", shown=shown, **asked, ball_limit="40")
    said = reading.settings(book)
    assert (said["hand"], said["nickname"], said["junior"], said["ball_limit"]) == ("left", "Heron", True, 40)
