"""The page of one shot: all that was noted of it is said there, why it does not count, and each of it is put right."""

from collections.abc import Callable
from typing import Any

import pytest
from flask.testing import FlaskClient

from tests.factories import NOW, Raw, a_bucket, a_club, a_shot, voided
from webapp.moments import moment_of, moved
from webapp.store import reading
from webapp.store.book import Book
from webapp.units import YARD_M

from .test_older_page import form_of, sent
from .visitor import page_of, send, words


@pytest.fixture
def put(app: Any, book: Book) -> Callable[..., Raw]:
    """Put one shot of 54 yards with a 56 into the book, in a bucket of such words; gives the shot."""
    app.config["NOW"] = lambda: moment_of(moved(NOW, hours=1))
    club = a_club("56")

    def one(bucket: Raw | None = None, **more: Any) -> Raw:
        of = bucket or a_bucket()
        shot = a_shot(of, club, **more)
        assert not book.add([club, of, shot], None, NOW).refused
        return shot

    return one


def read(player: FlaskClient, shot: Raw) -> str:
    return words(page_of(player, f"/shots/{shot['root']}"))


def test_a_ball_tells_all_that_was_noted_of_it(player: FlaskClient, put: Callable[..., Raw]) -> None:
    page = read(
        player,
        put(lie="rough", flight="low", direction="left", swing_check="longer", wind="into", wind_force="strong",
            roll_m=6 * YARD_M, coarse=True, judged_by="laser"),
    )  # fmt: skip
    ways = "rough lie, flown low, went left, the swing was longer"
    told = f"{ways}, strong wind into you, noted on the rain patch, rolled 6"
    assert f"54 yards clean, meant 54 {told}" in page
    assert ", range ball, from mat, judged by laser to a flag." in page
    assert f"carry 54, clean, {told}" in page
    assert "Not counted for the card: rough lie." in page


def test_a_usual_ball_tells_no_more_than_it_has(player: FlaskClient, put: Callable[..., Raw]) -> None:
    page = page_of(player, f"/shots/{put()['root']}")
    assert "Not counted" not in page.text
    assert "data-noted" not in page.text


@pytest.mark.parametrize(
    ("of_the_bucket", "of_the_ball", "told", "why"),
    [
        ({}, {"mode": "distance"}, "", "hit to a number"),
        ({}, {"course": True}, "noted during a round", "course note"),
        ({}, {"roll_m": -2 * YARD_M}, "rolled back 2", ""),
        ({}, {"roll_m": -0.2}, "no roll to speak of", ""),
        ({}, {"roll_m": 0.5}, "rolled 1", ""),
        ({}, {"flight": "grip-down"}, "gripped down", "gripped down"),
        ({}, {"flight": "low"}, "flown low", "flown low"),
        ({"wind": "left", "wind_force": "strong"}, {}, "strong wind from the left", "strong wind"),
        ({"wind": "left", "wind_force": "strong"}, {"wind": "calm"}, "calm air", ""),
        ({"monitor_note": "indoor"}, {}, "", "indoor estimate"),
        ({"aside": True}, {}, "", "bucket set aside"),
        ({"ball": "own"}, {}, "", ""),
    ],
)
def test_a_ball_says_why_it_does_not_count(
    player: FlaskClient, put: Callable[..., Raw], of_the_bucket: Raw, of_the_ball: Raw, told: str, why: str
) -> None:
    page = read(player, put(a_bucket(**of_the_bucket), **of_the_ball))
    assert told in page
    assert f"Not counted for the card: {why}." in page if why else "Not counted" not in page


def test_a_ball_set_aside_is_said_to_be_so_once(player: FlaskClient, put: Callable[..., Raw]) -> None:
    page = read(player, put(aside=True))
    assert "Set aside: kept, not counted." in page
    assert "Not counted for" not in page


def test_a_ball_whose_bucket_was_taken_back_still_has_its_page(
    player: FlaskClient, put: Callable[..., Raw], book: Book
) -> None:
    bucket = a_bucket()
    shot = put(bucket)
    book.add([voided(bucket)], None, NOW)
    assert "Not counted for the card: bucket taken back." in read(player, shot)


AS_IT_STOOD = {"landed": "seen", "contact": "clean", "carry": "54"}
OTHERWISE = {"lie": "level", "flight": "", "judged_by": "monitor", "wind": "", "wind_force": "", "roll": ""}


@pytest.mark.parametrize(
    ("noted", "right"),
    [
        ({"lie": "rough"}, {"lie": "level"}),
        ({"flight": "low"}, {"flight": ""}),
        ({"wind": "into", "wind_force": "strong"}, {"wind": ""}),
        ({"wind": "into", "wind_force": "strong"}, {"wind_force": "light", "wind": "into"}),
    ],
)
def test_a_ball_left_out_by_mistake_counts_again(
    player: FlaskClient, put: Callable[..., Raw], book: Book, noted: Raw, right: Raw
) -> None:
    shot = put(**noted)
    page = send(player, f"/shots/{shot['id']}", **AS_IT_STOOD, **{**OTHERWISE, **noted, **right})
    assert "Kept. What stood before is in the history." in words(page)
    assert "Not counted" not in words(page)
    found = reading.shot(book, shot["id"])
    assert found
    assert found["counted"]
    assert book.history(shot["id"])[-1]["body"] == {**shot["body"], **noted, **right}


def test_what_was_noted_wrongly_is_put_right_and_can_be_noted_afterwards(
    player: FlaskClient, put: Callable[..., Raw], book: Book
) -> None:
    shot = put(roll_m=6 * YARD_M, direction="left")
    said = {"judged_by": "eye", "direction": "right", "swing_check": "shorter", "lie": "wet", "roll": "-3"}
    page = send(player, f"/shots/{shot['id']}", **AS_IT_STOOD, **{**OTHERWISE, **said})
    assert "wet lie, went right, the swing was shorter, rolled back 3" in words(page)
    assert "judged by eye." in words(page)
    assert "judged apart from its bucket, by eye" in words(page)
    send(player, f"/shots/{shot['id']}", **AS_IT_STOOD, **{**OTHERWISE, **said, "roll": "", "lie": "level"})
    assert "roll_m" not in book.history(shot["id"])[-1]["body"]


def test_a_ball_kept_as_it_stands_is_not_said_anew(player: FlaskClient, put: Callable[..., Raw], book: Book) -> None:
    plain, told = put(), put(lie="sand", roll_m=1.2345678, wind="calm")
    send(player, f"/shots/{plain['id']}", **AS_IT_STOOD, **OTHERWISE)
    send(player, f"/shots/{told['id']}", **AS_IT_STOOD, **{**OTHERWISE, "lie": "sand", "wind": "calm", "roll": "1.4"})
    assert [len(book.history(shot["id"])) for shot in (plain, told)] == [1, 1]


def test_a_page_of_before_that_lacks_a_question_leaves_its_answer(
    player: FlaskClient, put: Callable[..., Raw], book: Book
) -> None:
    told = {"lie": "rough", "flight": "low", "judged_by": "laser", "wind": "into", "roll_m": 3.0, "direction": "left"}
    shot = put(**told)
    send(player, f"/shots/{shot['id']}", **{**AS_IT_STOOD, "contact": "thin"})
    assert book.history(shot["id"])[-1]["body"] == {**shot["body"], "contact": "thin"}


@pytest.mark.parametrize(
    ("wrong", "sentence"),
    [
        ({"lie": "moon"}, "Choose one of the answers offered."),
        ({"judged_by": ""}, "Choose one of the answers offered."),
        ({"roll": "400"}, "Roll must be from"),
        ({"roll": "far"}, "Roll"),
    ],
)
def test_what_no_ball_can_hold_is_refused_and_nothing_changes(
    player: FlaskClient, put: Callable[..., Raw], book: Book, wrong: Raw, sentence: str
) -> None:
    shot = put(lie="rough")
    page = send(player, f"/shots/{shot['id']}", **AS_IT_STOOD, **{**OTHERWISE, **wrong})
    assert page.status_code == 400
    assert f"Nothing was changed yet: {sentence}" in words(page)
    assert len(book.history(shot["id"])) == 1


@pytest.mark.parametrize(
    "own", [{}, {"wind": "into", "wind_force": "strong"}], ids=["as the bucket", "its own until now"]
)
def test_a_force_given_to_the_wind_of_the_bucket_is_kept_with_that_wind(
    player: FlaskClient, put: Callable[..., Raw], book: Book, own: Raw
) -> None:
    shot = put(a_bucket(wind="left", wind_force="light"), **own)
    page = send(player, f"/shots/{shot['id']}", **AS_IT_STOOD, **{**OTHERWISE, "wind": "", "wind_force": "strong"})
    assert "strong wind from the left" in words(page)
    assert "Not counted for the card: strong wind." in words(page)
    assert book.history(shot["id"])[-1]["body"] == {**shot["body"], "wind": "left", "wind_force": "strong"}


def test_a_force_without_any_wind_is_asked_about(player: FlaskClient, put: Callable[..., Raw], book: Book) -> None:
    shot = put(a_bucket(wind="calm"))
    page = send(player, f"/shots/{shot['id']}", **AS_IT_STOOD, **{**OTHERWISE, "wind_force": "strong"})
    assert page.status_code == 400
    assert "Nothing was changed yet: Say which way the wind came: its bucket has none." in words(page)
    assert len(book.history(shot["id"])) == 1


@pytest.mark.parametrize("landed", ["unseen", "under", "over"])
def test_a_carry_typed_for_a_ball_that_was_not_seen_is_asked_about(
    player: FlaskClient, book: Book, put: Callable[..., Raw], landed: str
) -> None:
    shot = put(landed=landed, carry_m=None)
    action = f"/shots/{shot['root']}"
    answer = sent(player, action, form_of(page_of(player, action), action), carry="61", contact="thin")
    assert answer.status_code == 400
    assert "Say that it was seen, or empty the carry: a ball that was not seen to land has none." in words(answer)
    again = form_of(answer, action)
    assert (again["carry"], again["landed"], again["contact"]) == ("61", landed, "thin")
    assert len(book.history(shot["root"])) == 1
    assert sent(player, action, again, landed="seen").status_code == 200
    said = book.history(shot["root"])[-1]["body"]
    assert (said["landed"], said["carry_m"], said["contact"]) == ("seen", pytest.approx(61 * YARD_M), "thin")


def test_a_carry_that_was_left_goes_with_a_landing_that_was_not_seen(
    player: FlaskClient, book: Book, put: Callable[..., Raw]
) -> None:
    shot = put()
    action = f"/shots/{shot['root']}"
    older = form_of(page_of(player, action), action)
    assert sent(player, action, older, landed="unseen", carry="54.0").status_code == 200
    said = book.history(shot["root"])[-1]["body"]
    assert said["landed"] == "unseen"
    assert said.get("carry_m") is None


def test_a_page_that_does_not_say_what_it_showed_is_taken_as_before(
    player: FlaskClient, book: Book, put: Callable[..., Raw]
) -> None:
    shot = put(landed="unseen", carry_m=None)
    action = f"/shots/{shot['root']}"
    older = form_of(page_of(player, action), action)
    del older["shown"]
    assert sent(player, action, older, carry="61", contact="thin").status_code == 200
    said = book.history(shot["root"])[-1]["body"]
    assert (said["landed"], said["carry_m"], said["contact"]) == ("unseen", None, "thin")
