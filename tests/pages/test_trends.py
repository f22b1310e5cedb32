"""Trends through the real app and book: empty and one-ball states, every plot beside its table, marks, visits aside."""

import re
from collections.abc import Callable
from typing import Any
from uuid import uuid4

import pytest
from flask import Flask
from flask.testing import FlaskClient

from tests.factories import NOW, Raw, a_bucket, a_setting, a_shot, raw, the_demo_set
from webapp.books.demo import demo_facts
from webapp.moments import moment_of, moved
from webapp.store import reading
from webapp.store.book import Book
from webapp.units import YARD_M

from .visitor import send, words

LATER = moved(NOW, days=30)


@pytest.fixture
def at(app: Flask) -> Callable[[str], None]:
    """Set the server's clock."""
    app.config["NOW"] = lambda: moment_of(LATER)
    return lambda moment: app.config.update(NOW=lambda: moment_of(moment))


@pytest.fixture
def demo(book: Book, at: Callable[[str], None]) -> list[Raw]:
    """The demo set."""
    facts = the_demo_set()
    put(book, *facts)
    return facts


@pytest.fixture
def season(book: Book, at: Callable[[str], None]) -> None:
    """The demo book with its eight visits."""
    put(book, *demo_facts(LATER))


def put(book: Book, *facts: Raw) -> None:
    assert not book.add(list(facts), None, LATER).refused


def a_visit(book: Book, demo: list[Raw], day: int, carries: list[float], **more: Any) -> Raw:
    bucket = a_bucket(moved(NOW, days=day))
    balls = [
        a_shot(bucket, demo[2], carry, moved(NOW, days=day, minutes=at), **more) for at, carry in enumerate(carries)
    ]
    put(book, bucket, *balls)
    return bucket


def test_a_book_without_balls_says_what_will_be_there(player: FlaskClient, demo: list[Raw]) -> None:
    answer = player.get("/trends")
    assert answer.status_code == 200
    said = words(answer)
    assert "No visit with counted balls yet" in said
    assert "No ball hit to a number yet" in said
    assert answer.text.count('<svg class="chart"') == 1  # only the coverage of the guesses


def test_a_book_without_wedges_says_so(player: FlaskClient, book: Book, at: Callable[[str], None]) -> None:
    assert "no wedge in the bag" in words(player.get("/trends"))


def test_one_ball_is_shown_without_a_plot_of_change(player: FlaskClient, book: Book, demo: list[Raw]) -> None:
    a_visit(book, demo, 0, [60])
    answer = player.get("/trends")
    assert "one visit, nothing to compare yet" in words(answer)
    assert "too few" in words(answer)
    assert "60 60–60" not in words(answer)


def test_one_ball_to_a_number_says_with_which_the_picture_starts(
    player: FlaskClient, book: Book, demo: list[Raw]
) -> None:
    starts = "One ball so far: the picture starts with the second. Only balls hit to a number, from a level lie."
    a_visit(book, demo, 0, [60], mode="distance", meant_carry_m=50)
    assert starts in words(player.get("/trends"))
    a_visit(book, demo, 1, [60], mode="distance", meant_carry_m=50)
    assert "Only balls hit to a number, from a level lie." in words(player.get("/trends"))
    assert starts not in words(player.get("/trends"))


def test_every_plot_has_a_title_a_description_and_a_table(player: FlaskClient, season: None) -> None:
    text = player.get("/trends").text
    plots = re.findall(r'<svg class="chart"[^>]*role="img"[^>]*><title>([^<]+)</title><desc>([^<]+)</desc>', text)
    assert len(plots) == 5
    for section in ("number", "strike", "aim", "coverage", "contacts"):
        part = re.search(rf'<section aria-labelledby="{section}">.*?</section>', text, re.DOTALL)
        assert part
        assert part[0].count("<svg") == 1
        assert "<table" in part[0]
    assert "style=" not in text
    assert "<script>" not in text


def test_a_dashed_stretch_is_said_to_lie_off_every_number_and_not_off_every_ball(
    player: FlaskClient, season: None, book: Book
) -> None:
    """Bars of two balls in three reach into what is dashed."""
    page = words(player.get("/trends"))
    assert "Dashed strips: over 5 yards from every number of the card." in page
    assert "No shot carries " in page
    put(book, a_setting("unit", "m", LATER))
    assert "Dashed strips: over 5 metres from every number of the card." in words(player.get("/trends"))


def test_the_plots_take_the_pages_inks(player: FlaskClient, season: None) -> None:
    text = player.get("/trends").text
    for plot in re.findall(r'<svg class="chart".*?</svg>', text, re.DOTALL):
        paints = set(re.findall(r'(?:fill|stroke)="([^"]+)"', plot))
        assert {paint for paint in paints if not paint.startswith("var(--")} <= {"none", "transparent"}


def test_a_plot_that_was_kept_gives_way_when_the_book_changes(player: FlaskClient, book: Book, demo: list[Raw]) -> None:
    def drawn() -> list[str]:
        return re.findall(r'<svg class="chart".*?</svg>', player.get("/trends").text, re.DOTALL)

    a_visit(book, demo, 0, [60, 61])
    a_visit(book, demo, 9, [60, 62])
    first = drawn()
    assert drawn() == first
    a_visit(book, demo, 12, [70, 72])
    assert "over 3 visits" in drawn()[0]


def test_a_number_and_its_verdict_can_be_chosen(player: FlaskClient, book: Book, demo: list[Raw]) -> None:
    for day in (0, 7, 14):
        a_visit(book, demo, day, [60, 64] * 5)
    a_visit(book, demo, 21, [48, 52] * 5)
    said = words(player.get(f"/trends?cell={demo[2]['root']}:90"))
    assert "56 9:00 : moved , −12" in said
    assert "No counted ball of 46 9:00 yet" in words(player.get(f"/trends?cell={demo[0]['root']}:90"))
    assert player.get("/trends?cell=nothing").status_code == 200


def test_a_number_can_be_said_to_have_moved_and_that_be_taken_back(
    player: FlaskClient, book: Book, demo: list[Raw]
) -> None:
    def number() -> tuple[float, str]:
        page = player.get(f"/card/{demo[2]['root']}/90")
        carry_m = re.search(r'data-part="carry" data-m="([\d.]+)"', page.text)
        rests = re.search(r"(\d+) balls in (\d+) visits?", words(page))
        assert carry_m
        assert rests
        return float(carry_m[1]), rests[0]

    for day in (0, 7, 14):
        a_visit(book, demo, day, [60, 64] * 5)
    new = a_visit(book, demo, 21, [48, 52] * 5)
    key = f"{demo[2]['root']}:90"
    before = number()
    assert "This number moved" in words(player.get(f"/trends?cell={key}"))
    assert "This number moved" not in words(player.get(f"/trends?cell={demo[0]['root']}:90"))
    said = words(send(player, "/trends/moved", cell=key, since=new["root"]))
    assert "balls from before" in said
    assert "only a little of what it is" in said
    assert "This number moved" not in said
    carry_m, rests = number()
    assert rests == "10 balls in 1 visit"
    assert "not in its count" in words(player.get(f"/card/{demo[2]['root']}/90"))
    assert carry_m < before[0] - 0.3
    assert "same number again" in words(send(player, "/trends/moved", cell=key, do="back"))
    assert number() == before


@pytest.mark.parametrize(("asked", "moves"), [("", 1), ("club", 4), ("all", 16)])
def test_a_move_is_told_of_one_number_or_of_all_that_a_chart_rings_for(
    player: FlaskClient, book: Book, demo: list[Raw], asked: str, moves: int
) -> None:
    a_visit(book, demo, 0, [60] * 10)
    new = a_visit(book, demo, 7, [52] * 10)
    key = f"{demo[2]['root']}:90"
    said = words(send(player, "/trends/moved", cell=key, since=new["root"], do=asked))
    told = [entry.rpartition(" ") for entry in reading.settings(book)["moved_cells"]]
    assert len(told) == moves
    assert key in [cell for cell, _, _ in told]
    assert {moment for _, _, moment in told} == {moved(NOW, days=7)}
    assert (f"and {moves - 1} more with it" in said) == (moves > 1)
    send(player, "/trends/moved", cell=key, do="back")
    assert reading.settings(book)["moved_cells"] == []


def test_a_chart_that_rings_offers_it_for_every_number_and_falls_silent(
    player: FlaskClient, book: Book, demo: list[Raw]
) -> None:
    visits = [a_visit(book, demo, day, [61 if day < 12 else 53, 62 if day < 12 else 54] * 3) for day in range(24)]
    said = words(player.get("/trends"))
    assert "Your numbers may have moved" in said
    assert "Every number moved" in said
    key = f"{demo[2]['root']}:90"
    said = words(send(player, "/trends/moved", cell=key, since=visits[12]["root"], do="all"))
    assert "Your numbers may have moved" not in said
    assert "56 9:00 : no sign" in said


def test_what_is_no_number_or_visit_of_the_book_did_not_move(player: FlaskClient, book: Book, demo: list[Raw]) -> None:
    visit = a_visit(book, demo, 0, [60])
    key = f"{demo[2]['root']}:90"
    for cell, since in ((key, str(uuid4())), (key, "yesterday"), (f"{demo[0]['root']}:90", visit["root"]), ("", "")):
        assert "nothing was changed" in words(send(player, "/trends/moved", cell=cell, since=since))
    assert "nothing was changed" in words(send(player, "/trends/moved", cell=key, do="back"))
    assert reading.settings(book)["moved_cells"] == []


def test_distance_called_balls_are_held_against_what_was_meant(
    player: FlaskClient, book: Book, demo: list[Raw]
) -> None:
    a_visit(book, demo, 0, [50, 52, 54, 54, 60], mode="distance")
    said = words(player.get("/trends"))
    assert "40 to 70 5 0.0 0.0 0/4/1" in said


def test_metres_are_shown_where_metres_are_read(player: FlaskClient, season: None) -> None:
    player.set_cookie("phone", '{"unit":"m"}')
    text = player.get("/trends").text
    assert "carry, m" in text
    assert "carry, yd" not in text


def test_a_mark_opens_the_periods_before_and_after_it(player: FlaskClient, book: Book, demo: list[Raw]) -> None:
    a_visit(book, demo, 0, [60] * 10)
    a_visit(book, demo, 10, [60] * 4)
    said = words(send(player, "/trends/marks", what="lesson", on=moved(NOW, days=5)[:10], words="lower hands"))
    assert "Since the lesson." in said
    assert "before 10 balls (range balls) in 1 visit: 10 for the card" in said
    assert "after 4 balls (range balls) in 1 visit: 4 for the card" in said


def test_a_mark_of_today_has_no_balls_after_it(player: FlaskClient, book: Book, demo: list[Raw]) -> None:
    a_visit(book, demo, 0, [60] * 10)
    said = words(send(player, "/trends/marks", what="new club", on=LATER[:10], words=""))
    assert "No ball since the new club." in said


def test_a_mark_without_a_day_is_not_kept(player: FlaskClient, book: Book, demo: list[Raw]) -> None:
    answer = send(player, "/trends/marks", what="lesson", on="", words="")
    assert answer.status_code == 400
    assert "Give the day" in words(answer)
    assert reading.marks(book) == []


@pytest.mark.parametrize(("ahead_min", "days", "status"), [(0, 0, 200), (0, 1, 400), (840, 1, 200), (840, 2, 400)])
def test_a_mark_is_not_set_on_a_day_still_to_come_on_the_players_clock(
    player: FlaskClient, book: Book, demo: list[Raw], at: Callable[[str], None], ahead_min: int, days: int, status: int
) -> None:
    at(moved(LATER, hours=12))  # far ahead of UTC the next day has begun
    put(book, a_bucket(NOW, utc_offset_min=ahead_min))
    answer = send(player, "/trends/marks", what="lesson", on=moved(LATER, days=days)[:10], words="")
    assert answer.status_code == status
    assert ("This day is still to come" in words(answer)) == (status == 400)
    assert len(reading.marks(book)) == (status == 200)


def test_a_mark_can_be_taken_off(player: FlaskClient, book: Book, demo: list[Raw]) -> None:
    put(book, mark := raw("mark", {"what": "lesson", "words": "", "on": NOW}))
    send(player, f"/trends/marks/{mark['root']}/remove")
    assert reading.marks(book) == []
    assert player.get(f"/trends/marks/{mark['root']}").status_code == 404
    assert player.get(f"/trends/marks/{uuid4()}").status_code == 404


def test_a_visit_ends_in_at_most_three_sentences_that_open_their_balls(
    player: FlaskClient, season: None, book: Book
) -> None:
    seventh = reading.buckets(book)[1]
    text = player.get(f"/visits/{seventh['id']}").text
    block = re.search(r'<ul class="sentences">.*?</ul>', text, re.DOTALL)
    assert block
    links = re.findall(r'href="([^"]+)"', block[0])
    assert 2 <= len(links) <= 3
    for link in links:
        if link.startswith("#"):
            assert f'id="{link[1:]}"' in text
        else:
            assert player.get(link.replace("&amp;", "&")).status_code == 200


def test_the_sentence_on_aim_is_the_mean_of_the_balls_it_opens(
    player: FlaskClient, book: Book, demo: list[Raw]
) -> None:
    bucket = a_visit(book, demo, 0, [50, 51, 52, 50, 52], mode="distance")
    text = player.get(f"/visits/{bucket['root']}").text
    assert "Short by" in text
    listed = re.search(r'<section aria-labelledby="aim">.*?</section>', text, re.DOTALL)
    assert listed
    carries = [float(metres) / YARD_M for metres in re.findall(r'<strong><span data-m="([\d.]+)"', listed[0])]
    assert sum(carries) / len(carries) == pytest.approx(51)
    said = re.search(r'Short by <span data-m="([\d.]+)"', text)
    assert said
    assert float(said[1]) / YARD_M == pytest.approx(54 - 51)


def test_a_number_says_what_it_is_without_a_visit(player: FlaskClient, book: Book, demo: list[Raw]) -> None:
    """The first visit began with a guess; without it the later one's balls would still tell, and that is said."""
    first = a_visit(book, demo, 0, [66] * 8)
    said = words(player.get(f"/visits/{first['root']}"))
    assert re.search(r"56 9:00 is now \d+ , early \(without this visit \d+ , guess\)", said)
    a_visit(book, demo, 3, [63] * 8)
    said = words(player.get(f"/visits/{first['root']}"))
    found = re.search(r"56 9:00 is now (\d+) , early \(without this visit (\d+) , early\)", said)
    assert found, said
    assert int(found[2]) < int(found[1])
    assert send(player, f"/visits/{first['root']}/aside", reason="").status_code == 200
    assert f"56 9:00 {found[2]} early" in words(player.get("/card"))


def test_a_visit_set_aside_gives_the_numbers_back_and_can_be_taken_back(
    player: FlaskClient, book: Book, demo: list[Raw]
) -> None:
    def numbers() -> list[str]:
        return re.findall(r'data-part="(?:carry|n)"[^>]*>(\d+)<', player.get("/card").text)

    a_visit(book, demo, 0, [60, 62, 61])
    before = numbers()
    bad = a_visit(book, demo, 7, [40, 42, 45])
    with_it = numbers()
    assert with_it != before
    answer = send(player, f"/visits/{bad['root']}/aside", do="aside", reason="a cold")
    assert "Set aside: a cold" in words(answer)
    assert numbers() == before
    assert "set aside: a cold" in words(player.get("/visits"))
    send(player, f"/visits/{bad['root']}/aside", do="back")
    assert numbers() == with_it


def test_the_buckets_of_one_morning_are_one_visit_and_one_of_them_can_be_set_aside(
    player: FlaskClient, book: Book, demo: list[Raw]
) -> None:
    buckets = [a_visit(book, demo, at / 24, [60, 62]) for at in range(3)]
    page = words(player.get(f"/visits/{buckets[1]['root']}"))
    assert "in the order struck: 6 balls" in page
    assert "11:30: Pellow Fen" in page
    assert "6 balls in 3 buckets" in words(player.get("/visits"))
    send(player, f"/visits/{buckets[0]['root']}/aside", do="aside", which=buckets[2]["root"], reason="a new grip")
    assert [bucket["aside"] for bucket in reading.buckets(book)] == [True, False, False]
    assert "the bucket of 11:30 set aside: a new grip" in words(player.get("/visits"))
    send(player, f"/visits/{buckets[0]['root']}/aside", do="back")
    assert not any(bucket["aside"] for bucket in reading.buckets(book))


def test_practice_in_the_evening_stays_on_its_own_day(player: FlaskClient, book: Book, demo: list[Raw]) -> None:
    bucket = a_bucket(moved(NOW, hours=16), utc_offset_min=-7 * 60)  # 18:30 on 1 May, 01:30 UTC on the 2nd
    put(book, bucket, *(a_shot(bucket, demo[2], 60, moved(NOW, hours=16, minutes=at)) for at in range(3)))
    put(book, mark := raw("mark", {"what": "lesson", "words": "", "on": "2025-05-02T00:00:00.000Z"}))
    for path in ("/visits", f"/visits/{bucket['root']}"):
        assert "1 May 2025" in words(player.get(path))
        assert "2 May 2025" not in words(player.get(path))
    assert "18:30: Pellow Fen" in words(player.get(f"/visits/{bucket['root']}"))
    answer = player.get(f"/trends/marks/{mark['root']}", follow_redirects=True)
    assert "before 3 balls (range balls) in 1 visit" in words(answer)


def test_a_visit_in_strong_wind_says_why_its_balls_do_not_count(
    player: FlaskClient, book: Book, demo: list[Raw]
) -> None:
    bucket = a_bucket(NOW, wind="into", wind_force="strong", bay_offset_m=-6 * YARD_M)
    put(book, bucket, *(a_shot(bucket, demo[2], 50, moved(NOW, minutes=at)) for at in range(10)))
    text = words(player.get(f"/visits/{bucket['root']}"))
    assert "No ball counts for the card: strong wind." in text
    assert "strong wind into you" in text
    assert "−6.0 yd added for the bay" in text


def test_a_reason_that_does_not_fit_sets_nothing_aside(player: FlaskClient, book: Book, demo: list[Raw]) -> None:
    bucket = a_visit(book, demo, 0, [60])
    assert send(player, f"/visits/{bucket['root']}/aside", do="aside", reason="x" * 41).status_code == 400
    assert not reading.buckets(book)[0]["aside"]


def test_the_last_visit_that_is_over_is_kept_under_its_own_address(
    player: FlaskClient, book: Book, demo: list[Raw]
) -> None:
    assert "Content-Location" not in player.get("/visits/last").headers
    over = a_visit(book, demo, 0, [60, 61])
    put(book, a_bucket(LATER))
    answer = player.get("/visits/last", headers={"X-Kept-Page": "1"})
    assert answer.headers["Content-Location"] == f"/visits/{over['root']}"
    assert "2 balls" in words(answer)
    assert "csrf_token" not in answer.text
    assert "/visits/last" in answer.text.partition('data-keep="')[2].partition('"')[0].split()


def test_a_visit_without_balls_and_an_unknown_one(player: FlaskClient, book: Book, demo: list[Raw]) -> None:
    put(book, bucket := a_bucket())
    assert "No ball was noted" in words(player.get(f"/visits/{bucket['root']}"))
    assert player.get(f"/visits/{uuid4()}").status_code == 404
    assert "No visit yet" not in words(player.get("/visits"))


def test_a_phone_without_a_book_sees_no_trend(client: FlaskClient) -> None:
    for path in ("/trends", "/visits", "/practice"):
        assert client.get(path).status_code in (302, 401)
