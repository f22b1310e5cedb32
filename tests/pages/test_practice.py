"""The practice page through the real app and book: plans that add up, the nine kept back, stopped plans resumed."""

import json
import re
from collections import Counter
from collections.abc import Callable
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from tests.factories import NOW, Raw, a_bucket, a_club, a_setting, a_shot, corrected, raw, the_demo_set
from webapp.fits.course_notes import ABOUT, CourseNote, words_of
from webapp.moments import moment_of, moved
from webapp.practice.plan_words import parse
from webapp.store import reading
from webapp.store.book import Book
from webapp.units import YARD_M

from .visitor import send, words

CONDITIONS = {"surface": "grass", "ball": "range", "judged_by": "laser", "place": "Pellow Fen", "wind": "calm",
              "wind_force": "light"}  # fmt: skip


@pytest.fixture
def at(app: Flask) -> Callable[[str], None]:
    """Set the server's clock."""
    return lambda moment: app.config.update(NOW=lambda: moment_of(moment))


@pytest.fixture
def demo(book: Book, at: Callable[[str], None]) -> list[Raw]:
    """The demo set, read an hour later."""
    at(moved(NOW, hours=1))
    facts = the_demo_set()
    put(book, *facts)
    return facts


def put(book: Book, *facts: Raw) -> None:
    """Facts that the server got when the last of them was made."""
    assert not book.add(list(facts), None, max(fact["made_at"] for fact in facts)).refused


def a_visit(book: Book, demo: list[Raw], made_at: str, n: int = 3, **more: Any) -> Raw:
    bucket = a_bucket(made_at, **more)
    put(book, bucket, *(a_shot(bucket, demo[2], 60, moved(made_at, minutes=at)) for at in range(n)))
    return bucket


def shown_keys(text: str) -> list[str]:
    """What stands on the buttons that are shown, in their order; a key that starts the nine may name its hour."""
    keys = re.findall(r"<button([^>]*)>(.*?)</button>", text, re.DOTALL)
    return [re.sub("<[^>]*>", "", said).split(" from ")[0] for attributes, said in keys if "hidden" not in attributes]


def flat(text: str) -> str:
    """A page's words without its tags."""
    return re.sub(r"<[^>]*>", "", text)


def page_data(text: str) -> dict[str, Any]:
    found = re.search(r'id="page-data">(.*?)</script>', text, re.DOTALL)
    assert found
    return json.loads(found[1])


def open_bucket(book: Book) -> dict[str, Any]:
    return reading.buckets(book)[0]


def ball_by_ball(text: str) -> str:
    """The folded list of the plan for 40 balls."""
    found = re.search(r'<div data-size="40">\s*<details>.*?</details>', text, re.DOTALL)
    assert found
    return found[0]


def test_it_shows_a_plan_that_adds_up_and_says_why(player: FlaskClient, demo: list[Raw]) -> None:
    text = player.get("/practice?balls=40").text
    section = re.search(r'<section class="plan" data-size="40".*?</section>', text, re.DOTALL)
    assert section
    balls = [int(n) for n in re.findall(r'part-balls">(\d+)<', section[0])]
    assert sum(balls) == 40
    assert section[0].count('<p class="hint">') == len(balls)
    assert "no ball yet" in ball_by_ball(text)


def test_what_was_met_on_the_course_comes_into_the_plan(player: FlaskClient, book: Book, demo: list[Raw]) -> None:
    at_first = player.get("/practice?balls=40").text
    assert "often needed on the course" not in at_first
    met = words_of(CourseNote(35 * YARD_M, "short", "level"))
    put(book, *(raw("note", {"words": met, "about": ABOUT}) for _ in range(60)))
    assert "often needed on the course" in ball_by_ball(player.get("/practice?balls=40").text)


def test_a_bucket_started_with_a_plan_holds_its_words(player: FlaskClient, book: Book, demo: list[Raw]) -> None:
    planned = page_data(player.get("/practice").text)["plans"]["bucket-30"]
    answer = send(player, "/practice/start", do="bucket", balls="30", **CONDITIONS)
    assert answer.status_code == 200
    bucket = open_bucket(book)
    assert bucket["plan"] == planned
    assert (bucket["surface"], bucket["judged_by"], bucket["place"]) == ("grass", "laser", "Pellow Fen")


def test_a_plan_goes_into_the_open_bucket_after_what_was_struck(
    player: FlaskClient, book: Book, demo: list[Raw]
) -> None:
    put(book, bucket := a_bucket(NOW, plan=[f"{demo[0]['root']}:90:swing", f"{demo[0]['root']}:45:swing"]))
    put(book, a_shot(bucket, demo[0], 80, moved(NOW, minutes=1), plan_ref="1"))
    send(player, "/practice/start", do="bucket", balls="20")
    plan = open_bucket(book)["plan"]
    assert plan[0] == f"{demo[0]['root']}:90:swing"
    assert plan[1:] != [f"{demo[0]['root']}:45:swing"]
    assert len(reading.buckets(book)) == 1


def test_a_plan_that_runs_leads_back_into_the_bucket(player: FlaskClient, book: Book, demo: list[Raw]) -> None:
    put(book, bucket := a_bucket(NOW, plan=[f"{demo[0]['root']}:90:swing"] * 5, warm_up_balls=2))
    put(book, a_shot(bucket, demo[0], 80, moved(NOW, minutes=1), plan_ref="1"))
    text = player.get("/practice").text
    assert "3 of 7 balls struck. Whatever else you start takes its place, and the rest of it is dropped." in flat(text)
    assert re.findall(r'<a class="button bar" href="/bucket"[^>]*>(.*?)</a>', text) == ["Go on with the 4 balls"]
    assert [key for key in shown_keys(text) if "plan" in key] == ["Drop the rest and start this plan", "Make this plan"]


@pytest.mark.parametrize("plan", [0, 1])
def test_a_bucket_without_a_plan_or_with_one_that_is_done_takes_another(
    player: FlaskClient, book: Book, demo: list[Raw], plan: int
) -> None:
    put(book, bucket := a_bucket(NOW, plan=[f"{demo[0]['root']}:90:swing"] * plan))
    put(book, a_shot(bucket, demo[0], 80, moved(NOW, minutes=1), plan_ref="1" if plan else ""))
    text = player.get("/practice").text
    assert [key for key in shown_keys(text) if "plan" in key] == ["Put this plan into the bucket", "Make this plan"]


def test_a_mix_that_is_no_number_of_ours_is_the_first(player: FlaskClient, demo: list[Raw]) -> None:
    """Python reads no number of over 4,300 digits."""
    first = words(player.get("/practice?mix=0"))
    for mix in ("9" * 5000, "³", "-1", ""):
        answer = player.get(f"/practice?mix={mix}")
        assert (answer.status_code, words(answer)) == (200, first)


def test_mixed_calls_come_from_the_cells_that_were_chosen(player: FlaskClient, book: Book, demo: list[Raw]) -> None:
    clubs = [fact["root"] for fact in demo[:4]]
    chosen = [f"{club}:90" for club in clubs] + [f"{clubs[0]}:180", f"{clubs[3]}:45"]
    query = "&".join([*(f"cell={key}" for key in chosen), "kind=number", "only=mixed", "other=12"])
    planned = page_data(player.get(f"/practice?{query}").text)["plans"]["bucket-12"]
    send(player, f"/practice/start?{query}", do="bucket", balls="12", **CONDITIONS)
    calls = [parse(word) for word in open_bucket(book)["plan"]]
    assert open_bucket(book)["plan"] == planned
    assert len(calls) == 12
    assert {call.mode for call in calls if call} == {"distance"}
    assert Counter(f"{call.club_id}:{call.swing_deg:g}" for call in calls if call).keys() == set(chosen)


def test_the_next_visit_nine_waits_for_a_second_visit(player: FlaskClient, book: Book, demo: list[Raw]) -> None:
    answer = send(player, "/practice/start", do="nine", **CONDITIONS)
    assert answer.status_code == 409
    assert "opens your second visit" in words(answer)
    assert reading.buckets(book) == []


def test_the_next_visit_nine_is_refused_on_the_same_day(
    player: FlaskClient, book: Book, demo: list[Raw], at: Callable[[str], None]
) -> None:
    a_visit(book, demo, NOW)
    at(moved(NOW, hours=11))
    answer = send(player, "/practice/start", do="nine", **CONDITIONS)
    assert answer.status_code == 409
    assert "less than twelve hours ago" in words(answer)
    keys = re.findall(r'<button name="do" value="(?:homework-)?nine"[^>]*disabled>(.*?)</button>', answer.text)
    opens_at = f"{moment_of(moved(NOW, hours=12, minutes=2)):%a %H:%M}"
    told = [re.sub("<[^>]+>", "", key) for key in keys]
    assert told == [f"Start its nine from {opens_at}", f"Start the next-visit nine from {opens_at}"]
    assert open_bucket(book)["plan"] == []
    assert "nine:" not in words(player.get("/practice"))


def test_the_next_visit_nine_opens_a_later_visit(
    player: FlaskClient, book: Book, demo: list[Raw], at: Callable[[str], None]
) -> None:
    a_visit(book, demo, NOW)
    at(moved(NOW, days=1))
    send(player, "/practice/start", do="bucket", balls="40", **CONDITIONS)
    calls = [parse(word) for word in open_bucket(book)["plan"]]
    assert [call.why for call in calls[:9] if call] == ["nine"] * 9
    assert "nine" not in [call.why for call in calls[9:] if call]


def test_a_stopped_plan_offers_its_rest(
    player: FlaskClient, book: Book, demo: list[Raw], at: Callable[[str], None]
) -> None:
    plan = [f"{demo[at % 4]['root']}:90:swing" for at in range(40)]
    put(book, bucket := a_bucket(NOW, plan=plan))
    shots = [a_shot(bucket, demo[0], 60, moved(NOW, minutes=place), plan_ref=str(place)) for place in range(1, 18)]
    put(book, *shots)
    put(book, corrected(bucket, moved(NOW, minutes=30), ended_at=moved(NOW, minutes=30)))
    at(moved(NOW, days=2))
    assert "23 of 40 balls are left" in words(player.get("/practice"))
    send(player, "/practice/start", do="rest", **CONDITIONS)
    assert open_bucket(book)["plan"] == plan[17:]


def test_the_rest_of_a_plan_says_why_by_the_card_of_today(
    player: FlaskClient, book: Book, demo: list[Raw], at: Callable[[str], None]
) -> None:
    called = f"{demo[0]['root']}:45:swing"
    put(book, bucket := a_bucket(NOW, plan=[f"{called}::guess", f"{called}::guess", f"{called}::lesson"]))
    put(book, a_shot(bucket, demo[0], 60, moved(NOW, minutes=1), swing_deg=45.0, plan_ref="1"))
    put(book, corrected(bucket, moved(NOW, minutes=9), ended_at=moved(NOW, minutes=9)))
    at(moved(NOW, days=2))
    send(player, "/practice/start", do="rest", **CONDITIONS)
    assert open_bucket(book)["plan"] == [f"{called}::early", f"{called}::lesson"]


@pytest.mark.parametrize(("days", "is_offered"), [(29.99, True), (30.01, False)])
def test_the_rest_of_a_plan_is_offered_for_thirty_days(
    player: FlaskClient, book: Book, demo: list[Raw], at: Callable[[str], None], days: float, is_offered: bool
) -> None:
    """Our choice, no source."""
    a_visit(book, demo, NOW, n=1, plan=[f"{demo[2]['root']}:90:swing"] * 3, ended_at=moved(NOW, minutes=9))
    at(moved(NOW, days=days))
    assert ("3 of 3 balls are left" in words(player.get("/practice"))) is is_offered


def test_a_ball_set_aside_is_left_of_its_plan_and_not_struck_for_it(
    player: FlaskClient, book: Book, demo: list[Raw], at: Callable[[str], None]
) -> None:
    plan = [f"{demo[at % 4]['root']}:90:swing" for at in range(20)]
    put(book, bucket := a_bucket(NOW, plan=plan, ended_at=moved(NOW, minutes=30)))
    shots = [a_shot(bucket, demo[0], 60, moved(NOW, minutes=place), plan_ref=f"{place}") for place in range(1, 15)]
    put(book, *shots)
    put(book, corrected(shots[4], moved(NOW, minutes=20), aside=True))
    at(moved(NOW, days=2))
    assert "13 of 20 planned ones struck" in words(player.get(f"/visits/{bucket['root']}"))
    assert "7 of 20 balls are left" in words(player.get("/practice"))
    send(player, "/practice/start", do="rest", **CONDITIONS)
    assert open_bucket(book)["plan"] == [plan[4], *plan[14:]]


def test_the_rest_of_a_plan_whose_wedge_left_the_bag_says_so_and_offers_no_balls_of_it(
    player: FlaskClient, book: Book, demo: list[Raw], at: Callable[[str], None]
) -> None:
    for_two, for_one = ([demo[0], demo[2], demo[2]], [demo[0], demo[2]])
    ended_at = moved(NOW, minutes=9)
    for minutes, wedges in enumerate((for_two, [*for_one, demo[0]])):
        begun = moved(NOW, minutes=minutes)
        plan = [f"{wedge['root']}:90:swing" for wedge in wedges]
        put(book, bucket := a_bucket(begun, plan=plan, ended_at=ended_at))
        put(book, a_shot(bucket, demo[0], 80, moved(begun, seconds=9), plan_ref="1"))
    put(book, corrected(demo[2], moved(NOW, minutes=10), retired=True))
    at(moved(NOW, days=2))
    text = words(player.get("/practice"))
    assert "1 of 3 balls are left from" in text
    assert ", without the 56, which left the bag. Go on, or plan anew" in text
    put(book, corrected(bucket, moved(NOW, minutes=11), aside=True))
    text = words(player.get("/practice"))
    assert "A plan was stopped The rest was for the 56, which left the bag." in text
    assert "Go on with the" not in text
    assert send(player, "/practice/start", do="rest", **CONDITIONS).status_code == 409


@pytest.mark.parametrize("times", [1, 2])
def test_the_rest_of_a_plan_goes_to_the_wedge_that_took_a_place_in_the_end(
    player: FlaskClient, book: Book, demo: list[Raw], at: Callable[[str], None], times: int
) -> None:
    a_visit(book, demo, NOW, plan=[f"{demo[2]['root']}:90:swing::early"], ended_at=NOW)
    heir = demo[2]
    for time in range(1, times + 1):
        before, heir = heir, a_club("56", 56, moved(NOW, minutes=10 * time), follows=heir["root"])
        put(book, heir, corrected(before, moved(NOW, minutes=10 * time), retired=True))
    at(moved(NOW, days=2))
    assert "1 of 1 ball is left" in words(player.get("/practice"))
    send(player, "/practice/start", do="rest", **CONDITIONS)
    assert open_bucket(book)["plan"] == [f"{heir['root']}:90:swing::guess"]


def test_a_finished_or_dropped_plan_is_not_offered_again(
    player: FlaskClient, book: Book, demo: list[Raw], at: Callable[[str], None]
) -> None:
    a_visit(book, demo, NOW, plan=[f"{demo[0]['root']}:90:swing"], ended_at=NOW)
    a_visit(book, demo, moved(NOW, days=1))
    at(moved(NOW, days=3))
    assert "are left" not in words(player.get("/practice"))
    assert send(player, "/practice/start", do="rest", **CONDITIONS).status_code == 409


def test_a_plan_over_the_players_limit_says_so_and_can_still_be_started(
    player: FlaskClient, book: Book, demo: list[Raw]
) -> None:
    put(book, a_setting("ball_limit", 20))
    assert "40 balls are more than your limit of 20 a day" in words(player.get("/practice?balls=40"))
    send(player, "/practice/start", do="bucket", balls="40", **CONDITIONS)
    assert open_bucket(book)["plan"]


def test_old_numbers_bring_a_spring_check(
    player: FlaskClient, book: Book, demo: list[Raw], at: Callable[[str], None]
) -> None:
    for day in range(3):
        a_visit(book, demo, moved(NOW, days=day), n=5)
    at(moved(NOW, days=3))
    assert "Spring check" not in words(player.get("/practice"))
    at(moved(NOW, days=120))
    assert "Spring check 3 balls" in words(player.get("/practice"))
    send(player, "/practice/start", do="spring", **CONDITIONS)
    assert open_bucket(book)["plan"] == [f"{demo[2]['root']}:90:swing::old"] * 3


def test_an_empty_bag_is_told_to_fill_it(player: FlaskClient, at: Callable[[str], None]) -> None:
    at(NOW)
    assert "no wedge in the bag" in words(player.get("/practice"))
    assert send(player, "/practice/start", do="bucket", **CONDITIONS).status_code == 409


def test_odd_numbers_of_balls_are_brought_into_range(player: FlaskClient, demo: list[Raw]) -> None:
    for asked, shown in (("9999", 150), ("1", 5), ("-3", 40), ("many", 40)):
        assert f'data-size="{shown}"' in player.get(f"/practice?balls={asked}").text


def test_a_bucket_with_a_place_that_does_not_fit_is_not_started(
    player: FlaskClient, book: Book, demo: list[Raw]
) -> None:
    answer = send(player, "/practice/start", do="bucket", **{**CONDITIONS, "place": "<b>"})
    assert answer.status_code == 400
    assert reading.buckets(book) == []


def test_the_page_kept_for_the_day_without_signal_holds_no_token(player: FlaskClient, demo: list[Raw]) -> None:
    text = player.get("/practice", headers={"X-Kept-Page": "1"}).text
    assert "csrf_token" not in text
    assert page_data(text)["plans"]["bucket-40"]


def test_three_visits_make_a_number_settled_time_makes_it_old_and_one_ball_does_not_mend_it(
    player: FlaskClient, book: Book, demo: list[Raw], at: Callable[[str], None]
) -> None:
    cell = f"{demo[2]['root']}:90"

    def shown() -> tuple[str, ...]:
        row = re.search(rf'<td class="cell" data-cell="{cell}" data-trust="(\w+)">', player.get("/card").text)
        assert row
        return row.groups()

    for day in range(3):
        a_visit(book, demo, moved(NOW, days=7 * day), n=4)
        at(moved(NOW, days=7 * day, hours=1))
        assert shown() == (("early",) if day < 2 else ("settled",))
    at(moved(NOW, days=14 + 61))
    assert shown() == ("old",)
    a_visit(book, demo, moved(NOW, days=14 + 61, minutes=-30), n=1)
    assert shown() == ("old",)


def test_twenty_balls_called_by_distance_show_a_bias_and_leave_the_number_alone(
    player: FlaskClient, book: Book, demo: list[Raw]
) -> None:
    def carries() -> list[str]:
        return re.findall(r'data-part="(?:carry|n)"[^>]*>(\d+)<', player.get("/card").text)

    a_visit(book, demo, NOW, n=5)
    before = carries()
    put(book, bucket := a_bucket(moved(NOW, minutes=20)))
    put(book, *(a_shot(bucket, demo[2], 51, moved(NOW, minutes=20, seconds=at), mode="distance") for at in range(20)))
    assert carries() == before
    assert "Short by 3 yd from 40 to 70 (20 balls to a number)" in words(player.get(f"/visits/{bucket['root']}"))
