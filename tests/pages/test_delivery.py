"""The page of one shot: its numbers entered, corrected and read, its history, and its way through a CSV file."""

import csv
import html
import io
import re
from collections.abc import Callable
from typing import Any

import pytest
from flask.testing import FlaskClient

from tests.factories import (
    NOW,
    Raw,
    a_bucket,
    a_club,
    a_setting,
    a_shot,
    corrected,
    numbered,
    voided,
)
from webapp.files import importing
from webapp.files.ball_row import Known
from webapp.moments import moment_of, moved
from webapp.store import reading
from webapp.store.book import Book
from webapp.units import MPH_MPS, YARD_M

# Common practice, no source: a 58-degree wedge at 51 mph. Two impact constants were set on this shot, so what the
# model says of it is no independent evidence.
PITCH = {"attack_deg": -5, "path_deg": 3.4, "face_deg": 0.0, "dynamic_loft_deg": 45, "launch_deg": 34}


@pytest.fixture
def put(app: Any, book: Book) -> Callable[..., Raw]:
    """Put one shot with a 58 into the book; gives the shot."""
    app.config["NOW"] = lambda: moment_of(moved(NOW, hours=1))
    club, bucket = a_club("58"), a_bucket(ball="own")

    def one(carry_yd: float | None = 47, **more: Any) -> Raw:
        shot = a_shot(more.pop("bucket", bucket), club, carry_yd, **{"meant_carry_m": 50 * YARD_M, **more})
        assert not book.add([club, bucket, shot], None, NOW).refused
        return shot

    return one


def page(player: FlaskClient, shot: Raw) -> str:
    answer = player.get(f"/shots/{shot['root']}")
    assert answer.status_code == 200
    return answer.text


def send(player: FlaskClient, shot: Raw, what: str = "", **fields: Any) -> Any:
    found = re.search(r'name="csrf_token" value="([^"]+)"', page(player, shot))
    assert found
    return player.post(f"/shots/{shot['root']}{what}", data={"csrf_token": found[1], **fields}, follow_redirects=True)


def follows(text: str) -> dict[str, str]:
    """What was computed, by name."""
    return dict(re.findall(r'<th scope="row">([a-z -]+)<br>.*?<td>([^<]*)</td>', text))


def bars(text: str) -> dict[str, str]:
    """The place of each bar, by name."""
    return dict(re.findall(r'data-bar="(\w+)" data-place="(\w+)"', text))


def stored(book: Book, shot: Raw) -> dict[str, Any]:
    found = reading.shot(book, shot["root"])
    assert found
    return found


def test_two_of_eight_numbers_are_enough_to_save(player: FlaskClient, book: Book, put: Callable[..., Raw]) -> None:
    shot = put()
    answer = send(player, shot, "/delivery", speed_unit="mph", club_speed="51", attack_deg="-5")
    assert answer.status_code == 200
    assert stored(book, shot)["delivery"] == {"club_speed_mps": pytest.approx(51 * MPH_MPS), "attack_deg": -5}
    assert follows(answer.text)["spin loft"] == "–"
    assert "club speed not noted → 51.0 mph, attack not noted → −5°" in answer.text


def test_a_ball_without_delivery_numbers_that_gets_none_stays_as_it_is(
    player: FlaskClient, book: Book, put: Callable[..., Raw]
) -> None:
    shot = put()
    assert "Nothing differs" in send(player, shot, "/delivery", speed_unit="mph").text
    assert len(book.history(shot["id"])) == 1


@pytest.mark.parametrize(("attack", "loft", "spin_loft"), [("-5.4", "45.4", "50.8°"), ("2", "30", "28.0°")])
def test_spin_loft_is_computed(
    player: FlaskClient, put: Callable[..., Raw], attack: str, loft: str, spin_loft: str
) -> None:
    answer = send(player, put(), "/delivery", speed_unit="mph", attack_deg=attack, dynamic_loft_deg=loft)
    assert follows(answer.text)["spin loft"] == spin_loft


def test_nothing_computed_can_be_typed(player: FlaskClient, book: Book, put: Callable[..., Raw]) -> None:
    shot = put()
    send(player, shot, "/delivery", speed_unit="mph", attack_deg="-5", spin_loft_deg="70", launch_share="1")
    assert stored(book, shot)["delivery"] == {"attack_deg": -5}
    assert not re.search(r'<input[^>]*name="(spin_loft|face_to_path|deloft|launch_share)', page(player, shot))


def test_the_pitch_of_common_practice_reads_as_a_coach_would_say_it(
    player: FlaskClient, put: Callable[..., Raw]
) -> None:
    text = page(player, put(delivery={**PITCH, "club_speed_mps": 51 * MPH_MPS}))
    assert follows(text) == {"spin loft": "50.0°", "face to path": "−3.4°", "de-loft": "13.0°", "launch share": "78%"}
    assert "a touch of draw" in text
    assert "3.4 degrees in-to-out" in text
    assert "about 5 to 7 mm deep: it brushes the grass" in text
    assert set(bars(text).values()) == {"in"}


def test_a_left_handers_same_signs_are_a_fade_and_out_of_the_paths_reference(
    player: FlaskClient, book: Book, put: Callable[..., Raw]
) -> None:
    book.add([a_setting("hand", "left")], None, NOW)
    text = page(player, put(delivery=PITCH))
    assert "Curves left of its start line: a touch of fade." in text
    assert "3.4 degrees out-to-in" in text
    assert bars(text)["path_deg"] == "over"
    assert "reference −5.0 to 1.0" in text


def test_mirror_twins_read_alike_for_both_hands(player: FlaskClient, book: Book, put: Callable[..., Raw]) -> None:
    right = bars(page(player, put(delivery=PITCH)))
    book.add([a_setting("hand", "left")], None, NOW)
    text = page(player, put(delivery={**PITCH, "path_deg": -3.4}))
    assert bars(text) == right
    assert "a touch of draw" in text


def test_launch_above_the_reference_is_told_apart_from_inside(player: FlaskClient, put: Callable[..., Raw]) -> None:
    inside, over = (page(player, put(delivery={"launch_deg": launch})) for launch in (31, 36))
    assert (bars(inside)["launch_deg"], bars(over)["launch_deg"]) == ("in", "over")
    assert "called" not in over
    assert "common practice, not right or wrong" in over


def test_at_seventy_yards_there_is_no_bar_but_the_players_trend(player: FlaskClient, put: Callable[..., Raw]) -> None:
    shots = [put(30 + 5 * place, meant_carry_m=70 * YARD_M, delivery={"launch_deg": 28 + place}) for place in range(9)]
    text = page(player, shots[-1])
    assert bars(text) == {}
    assert "Over 9 shots your launch is 2.0 degrees higher for each 10 yards more" in text
    assert "Longer shots usually launch higher" in text


@pytest.mark.parametrize(
    "left_out", [{"bucket": a_bucket(ball="own", aside=True)}, {"course": True}, {"lie": "uphill"}]
)
def test_a_trend_is_of_balls_whose_strike_says_something(
    player: FlaskClient, book: Book, put: Callable[..., Raw], left_out: dict[str, Any]
) -> None:
    shots = [put(30 + 5 * place, meant_carry_m=70 * YARD_M, delivery={"launch_deg": 28 + place}) for place in range(9)]
    if bucket := left_out.get("bucket"):
        assert not book.add([bucket], None, NOW).refused
    for _ in range(3):
        put(90, delivery={"launch_deg": 20}, **left_out)
    assert "Over 9 shots your launch is 2.0 degrees higher for each 10 yards more" in page(player, shots[-1])


def test_what_a_coach_expects_of_longer_shots_can_be_adjusted(
    player: FlaskClient, book: Book, put: Callable[..., Raw]
) -> None:
    shots = [put(30 + 5 * place, meant_carry_m=70 * YARD_M, delivery={"launch_deg": 28 + place}) for place in range(9)]
    assert "expected for longer shots: higher." in page(player, shots[0])
    assert "expected for longer shots: level." in send(player, shots[0], "/expected", expected="level").text
    before = book.cursor
    assert "Nothing was changed." in send(player, shots[0], "/expected", expected="sideways").text
    assert book.cursor == before


def test_without_enough_shots_the_page_says_what_a_trend_needs(player: FlaskClient, put: Callable[..., Raw]) -> None:
    text = page(player, put(70, meant_carry_m=70 * YARD_M, delivery={"launch_deg": 33}))
    assert "A trend needs eight shots" in text


@pytest.mark.parametrize(
    ("numbers", "question"),
    [
        ({"dynamic_loft_deg": "64", "attack_deg": "-5"}, "Dynamic loft 64.0 is more than the 58 stamped. Is it right?"),
        ({"launch_deg": "50", "dynamic_loft_deg": "45"}, "Launch 50.0 is above the dynamic loft 45.0. Is it right?"),
        ({"launch_deg": "-8", "attack_deg": "-5"}, "Launch -8.0 is below the attack -5.0. Is it right?"),
    ],
)
def test_a_doubtful_reading_is_asked_about_and_kept(
    player: FlaskClient, book: Book, put: Callable[..., Raw], numbers: dict[str, str], question: str
) -> None:
    shot = put()
    answer = send(player, shot, "/delivery", speed_unit="mph", **numbers)
    assert question in answer.text
    assert stored(book, shot)["delivery"] == {name: float(value) for name, value in numbers.items()}


def test_too_little_spin_gets_no_estimate_and_the_reason(player: FlaskClient, put: Callable[..., Raw]) -> None:
    text = page(player, put(delivery={"ball_speed_mps": 22, "launch_deg": 30, "spin_rpm": 1800}))
    assert "No estimate, because a ball with less than 2500 rpm" in text


def test_the_spin_of_a_range_ball_is_kept_and_left_out_of_the_sums(
    player: FlaskClient, book: Book, put: Callable[..., Raw]
) -> None:
    visit = a_bucket(ball="range", monitor_note="indoor")
    book.add([visit], None, NOW)
    text = page(player, put(bucket=visit, delivery={"ball_speed_mps": 22, "launch_deg": 30, "spin_rpm": 1800}))
    assert "its spin is kept and left out" in text
    assert "2500 rpm" not in text
    assert "The monitor shows an indoor estimate." in text
    assert re.search(r'name="spin_rpm"[^>]*value="1800"', text)


def test_a_speed_is_kept_to_the_last_digit_when_the_form_is_sent_as_it_stood(
    player: FlaskClient, book: Book, put: Callable[..., Raw]
) -> None:
    shot = put(delivery={"club_speed_mps": 22.777777, "attack_deg": -5.0})
    answer = send(player, shot, "/delivery", speed_unit="mph", club_speed="51.0", attack_deg="-5")
    assert "Nothing differs" in answer.text
    assert stored(book, shot)["delivery"]["club_speed_mps"] == 22.777777


@pytest.mark.parametrize(("unit", "typed"), [("mph", "51"), ("kmh", "82.076544"), ("mps", "22.79904")])
def test_a_speed_means_the_same_in_every_unit(
    player: FlaskClient, book: Book, put: Callable[..., Raw], unit: str, typed: str
) -> None:
    shot = put()
    send(player, shot, "/delivery", speed_unit=unit, club_speed=typed)
    assert stored(book, shot)["delivery"]["club_speed_mps"] == pytest.approx(51 * MPH_MPS)


@pytest.mark.parametrize(
    ("fields", "says"),
    [
        ({"club_speed": "900"}, "Club speed must be from 0 to 156 mph."),
        ({"attack_deg": "steep"}, "Attack must be a number"),
        ({"speed_unit": "knots", "ball_speed": "70"}, "Choose one of the answers offered."),
    ],
)
def test_what_no_shot_can_hold_is_said_and_what_stood_stands(
    player: FlaskClient, book: Book, put: Callable[..., Raw], fields: dict[str, str], says: str
) -> None:
    shot = put(delivery={"launch_deg": 30})
    answer = send(player, shot, "/delivery", **{"speed_unit": "mph", **fields})
    assert answer.status_code == 400
    assert says in answer.text
    marked = re.findall(r'<(?:input|select) aria-invalid="true"[^>]* name="(\w+)"', answer.text)
    assert marked == [next(iter(fields))]
    assert stored(book, shot)["delivery"] == {"launch_deg": 30}


def test_carry_and_contact_are_put_right_and_the_old_ones_stay_in_the_history(
    player: FlaskClient, book: Book, put: Callable[..., Raw]
) -> None:
    shot = put(74, delivery={"launch_deg": 30})
    answer = send(player, shot, carry="47", landed="seen", contact="thin")
    assert "carry 74 → 47, contact clean → thin" in answer.text
    assert "carry 74, clean" in answer.text
    found = stored(book, shot)
    assert (found["carry_m"], found["contact"]) == (pytest.approx(47 * YARD_M), "thin")
    assert found["delivery"] == {"launch_deg": 30}


def test_a_shot_lost_from_sight_keeps_its_contact_and_no_carry(
    player: FlaskClient, book: Book, put: Callable[..., Raw]
) -> None:
    shot = put()
    answer = send(player, shot, carry="", landed="unseen", contact="clean")
    assert "lost sight" in answer.text
    assert stored(book, shot)["carry_m"] is None


def test_seen_without_a_carry_is_asked_for_and_nothing_changes(
    player: FlaskClient, book: Book, put: Callable[..., Raw]
) -> None:
    shot = put()
    answer = send(player, shot, carry="", landed="seen", contact="fat")
    assert answer.status_code == 400
    assert "Say how far it carried, or that it was lost from sight." in answer.text
    assert re.findall(r'aria-invalid="true"><legend>(\w+)<', answer.text) == ["landing"]
    assert stored(book, shot)["contact"] == "clean"


def test_the_bays_offset_is_added_to_what_is_read_and_not_to_what_is_noted(
    player: FlaskClient, book: Book, put: Callable[..., Raw]
) -> None:
    visit = a_bucket(bay_offset_m=-6 * YARD_M)
    book.add([visit], None, NOW)
    shot = put(54, bucket=visit)
    assert re.search(r'name="carry"[^>]*value="54"', page(player, shot))
    answer = send(player, shot, carry="54", landed="seen", contact="thin")
    assert ">48<" in answer.text
    assert stored(book, shot)["raw_carry_m"] == 54 * YARD_M


def test_set_aside_and_brought_back_it_counts_as_before(
    player: FlaskClient, book: Book, put: Callable[..., Raw]
) -> None:
    shot = put()
    assert "Set aside: kept, not counted." in send(player, shot, "/aside", do="aside").text
    assert not stored(book, shot)["counted"]
    answer = send(player, shot, "/aside", do="restore")
    assert stored(book, shot)["counted"]
    assert "set aside" in answer.text
    assert "restored" in answer.text


def test_the_history_shows_the_loser_of_two_corrections(
    player: FlaskClient, book: Book, put: Callable[..., Raw]
) -> None:
    shot = put(54)
    early, late = (
        corrected(shot, moved(NOW, seconds=at), carry_m=yards * YARD_M) for at, yards in ((10, 50), (20, 52))
    )
    book.add([late, early], None, NOW)
    text = page(player, shot)
    assert text.index("carry 50 → 52") < text.index("carry 54 → 50") < text.index("carry 54, clean")
    assert text.count("holds now") == 1


@pytest.mark.parametrize("gone", [True, False], ids=["withdrawn", "never there"])
def test_a_shot_that_is_not_there_is_said_to_be_so(
    player: FlaskClient, book: Book, put: Callable[..., Raw], gone: bool
) -> None:
    shot = put()
    book.add([voided(shot)], None, NOW)
    answer = player.get(f"/shots/{shot['root'] if gone else numbered(7)}")
    assert answer.status_code == 404
    assert "There is no such shot in your book." in answer.text


def test_a_form_without_its_token_changes_nothing(player: FlaskClient, book: Book, put: Callable[..., Raw]) -> None:
    shot = put()
    for what in ("", "/aside", "/delivery"):
        player.post(f"/shots/{shot['root']}{what}", data={"do": "aside", "landed": "over", "speed_unit": "mph"})
    assert book.history(shot["root"])[-1]["body"] == shot["body"]


COLUMNS = "made_at,club,swing,carry,unit,club_speed,attack_deg,path_deg,launch_deg,spin_rpm,speed_unit"


def bring(player: FlaskClient, text: str) -> Any:
    found = re.search(r'name="csrf_token" value="([^"]+)"', player.get("/leaving").text)
    assert found
    file = (io.BytesIO(text.encode()), "balls.csv")
    return player.post("/import", data={"csrf_token": found[1], "file": file}, follow_redirects=True)


@pytest.mark.parametrize(("unit", "speed"), [("mph", "51"), ("kmh", "82.076544"), ("MPS", "22.79904")])
def test_delivery_numbers_come_in_by_a_table_with_their_unit(
    player: FlaskClient, book: Book, unit: str, speed: str
) -> None:
    answer = bring(player, f"{COLUMNS}\n{NOW},58,9:00,47,yd,{speed},-5,3.4,,,{unit}\n")
    assert answer.status_code == 200
    (shot,) = reading.shots(book)
    expected = {"club_speed_mps": pytest.approx(51 * MPH_MPS), "attack_deg": -5, "path_deg": 3.4}
    assert shot["delivery"] == expected


@pytest.mark.parametrize(
    ("row", "says"),
    [
        ("51,,,,,", "Line 2: club_speed needs a speed_unit of mph, mps or kmh"),
        ("51,,,,,knots", "Line 2: club_speed needs a speed_unit of mph, mps or kmh"),
        ("900,,,,,mph", "Line 2: club_speed must be a number from 0 to 70 m/s"),
        (",steep,,,,", "Line 2: attack_deg must be a number"),
    ],
)
def test_a_table_with_a_doubtful_unit_or_number_is_refused_by_its_line(
    player: FlaskClient, book: Book, row: str, says: str
) -> None:
    answer = bring(player, f"{COLUMNS}\n{NOW},58,9:00,47,yd,{row}\n")
    assert answer.status_code == 400
    assert says in html.unescape(answer.text)
    assert reading.shots(book) == []


def test_delivery_numbers_go_out_and_come_back_to_the_last_digit(
    player: FlaskClient, book: Book, put: Callable[..., Raw]
) -> None:
    numbers = {"club_speed_mps": 22.79904000000001, "ball_speed_mps": 21.3, "attack_deg": -5.4, "spin_rpm": 5120}
    shot = put(delivery=numbers)
    text = player.get("/export/shots.csv").text
    (row,) = csv.DictReader(io.StringIO(text))
    assert (row["speed_unit"], row["attack_deg"], row["path_deg"]) == ("mps", "-5.4", "")
    rows = enumerate(csv.reader(io.StringIO(text, newline="")), 1)
    assert importing.read_table(rows, Known()).facts[-1]["body"]["delivery"] == numbers
    assert row["id"] == shot["root"]


def test_the_list_of_shots_leads_the_player_here(player: FlaskClient, put: Callable[..., Raw]) -> None:
    shot = put()
    assert f'href="/shots/{shot["root"]}"' in player.get(f"/card/{shot['body']['club_id']}/90").text
