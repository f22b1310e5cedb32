"""Two periods through the real app; every figure of the demo book is worked out again from its balls with pandas."""

import math
import re
import sqlite3
from datetime import date, timedelta
from typing import Any

import pandas as pd
import pytest
from flask import Flask
from flask.testing import FlaskClient

from tests.factories import NOW, Raw, a_bucket, a_shot, raw, the_demo_set
from webapp.books.demo import demo_facts
from webapp.moments import moment_of, moved
from webapp.store.book import Book
from webapp.units import YARD_M

from .visitor import send, words

LATER = moved(NOW, days=30)


@pytest.fixture
def demo(app: Flask, book: Book) -> None:
    """The demo book, read a month on."""
    app.config["NOW"] = lambda: moment_of(LATER)
    assert not book.add(demo_facts(LATER), None, LATER).refused


def the_balls(book: Book) -> pd.DataFrame:
    """Every ball of a book as the tables hold it; the day is the player's."""
    with sqlite3.connect(book.path) as conn:
        balls = pd.read_sql(
            """SELECT name, swing_deg, mode, counted, carry_m, meant_carry_m, landed, contact, struck_at, surface,
            hex(visit_id) AS visit, utc_offset_min FROM shots
            JOIN buckets ON buckets.id = bucket_id JOIN clubs ON clubs.id = club_id""",
            conn,
        )
    ahead = pd.to_timedelta(balls["utc_offset_min"].fillna(0), unit="min")
    balls["at"] = pd.to_datetime(balls["struck_at"]) + ahead
    balls["yd"] = balls["carry_m"] / YARD_M
    return balls


def rows(text: str) -> dict[str, list[str]]:
    """The rows of every table of a page by their head, which what lasted repeats."""
    found: dict[str, list[str]] = {}
    text = text.partition('id="lasted"')[0]
    for row in re.findall(r"<tr><th scope=\"row\"[^>]*>(.*?)</th>(.*?)</tr>", text, re.DOTALL):
        found[row[0]] = [
            re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", cell)).strip() for cell in row[1].split("</td>")[:-1]
        ]
    return found


def tenths(value: float) -> str:
    """One decimal, halves away from zero, as a reader rounds."""
    rounded = math.floor(abs(value) * 10 + 0.5 + 1e-9) / 10
    return f"{'−' if value < 0 and rounded else ''}{rounded:.1f}"


NAMES = {45.0: "7:30", 90.0: "9:00", 135.0: "10:30", 180.0: "full"}


@pytest.mark.parametrize("surface", ["", "mat"])
@pytest.mark.parametrize("what", ["last", "three", "days", "weeks"])
def test_every_figure_of_two_periods_is_that_of_its_balls(
    player: FlaskClient, book: Book, demo: None, what: str, surface: str
) -> None:
    balls = the_balls(book)
    starts = balls.groupby("visit")["at"].min().sort_values(ascending=False)
    today = pd.Timestamp(LATER[:10], tz="UTC")
    monday = today - pd.Timedelta(days=today.weekday())
    begins = {
        "last": starts.iloc[0], "three": starts.iloc[2], "days": today - pd.Timedelta(days=60), "weeks": monday,
    }[what]  # fmt: skip
    first = {"days": today - pd.Timedelta(days=120), "weeks": monday - pd.Timedelta(days=7)}.get(what)
    if surface:
        balls = balls[balls["surface"] == surface]
    sides = [balls[(balls["at"] < begins) & (first is None or balls["at"] >= first)], balls[balls["at"] >= begins]]
    text = player.get(f"/trends/periods?what={what}&surface={surface}").text
    shown = rows(text)
    for at, side in enumerate(sides):
        counted = side[side["counted"] == 1]
        clean = counted[(counted["landed"] == "seen") & counted["contact"].isin(["clean", ""])]
        for (name, deg), own in clean.groupby(["name", "swing_deg"])["yd"]:
            mean, n = own.mean(), len(own)
            told = shown[f"{name} {NAMES[deg]}"][at]
            assert told.startswith(tenths(mean))
            assert f"{n} clean of " in told
            if own.nunique() > 1:
                assert f"± {tenths(own.std() / n**0.5)} spread {tenths(own.std())};" in told
        noted = side[side["contact"] != ""]
        counts = noted["contact"].value_counts()
        told = {contact: re.fullmatch(r"(\d+)% \((\d+) of (\d+)\)", shown[contact][at]) for contact in counts.index}
        assert {contact: one and (int(one[2]), int(one[3])) for contact, one in told.items()} == {
            contact: (n, len(noted)) for contact, n in counts.items()
        }
        assert all(one and abs(int(one[1]) - 100 * int(one[2]) / len(noted)) < 1 for one in told.values())
        assert not len(noted) or sum(int(one[1]) for one in told.values() if one) == 100
        aimed = side[(side["mode"] == "distance") & (side["landed"] == "seen")]
        aim = shown["against the meant, yd"][at]
        if len(aimed):
            off = (aimed["yd"] - aimed["meant_carry_m"] / YARD_M).mean()
            assert aim.lstrip("+").startswith(tenths(off))
        else:
            assert aim == "no balls"
        if len(side):
            parts = f"{len(counted)} for the card, {len(aimed)} to a number"
            assert parts in words(player.get(f"/trends/periods?what={what}&surface={surface}"))


def test_every_figure_opens_exactly_its_balls(player: FlaskClient, book: Book, demo: None) -> None:
    text = player.get("/trends/periods?what=three").text
    links = re.findall(r'<a href="(/trends/periods/balls[^"]*)">([^<]+)</a>(?:<br><small>([^<]+)</small>)?', text)
    assert len(links) > 10
    for address, said, rests in links:
        page = words(player.get(address.replace("&amp;", "&")))
        if clean := re.search(r"(\d+) clean of", rests):
            assert f"They carried {said.split(' ')[0]} yd on average." in page
            assert f"{clean[1]} of " in page
        elif share := re.search(r"\((\d+) of \d+\)", said):
            assert re.search(rf"\b{share[1]} balls? (before|on) the last three visits\b", page)


def test_a_verdict_shows_the_numbers_that_it_is_on_and_they_end_its_balls(
    player: FlaskClient, app: Flask, book: Book
) -> None:
    """One day of many balls: the page's verdict, the first line of the card and the list say one number."""
    app.config["NOW"] = lambda: moment_of(LATER)
    facts = the_demo_set()
    for day, carry, n in ((0, 64, 40), (2, 52, 3), (3, 52, 3), (4, 52, 3), (6, 66, 3), (8, 66, 3), (9, 62, 30)):
        bucket = a_bucket(moved(NOW, days=day))
        facts += [bucket, *(a_shot(bucket, facts[2], carry, moved(NOW, days=day, minutes=n)) for n in range(n))]
    assert not book.add(facts, None, LATER).refused
    verdict = rows(player.get("/trends/periods").text)["56 9:00"][2]
    told = re.search(r"moved ([\d.]+) to ([\d.]+) by visits: \+([\d.]+) ± ([\d.]+) yd", verdict)
    assert told, verdict
    line = next(line for line in re.findall(r"<li>(.*?)</li>", player.get("/card").text, re.DOTALL) if "oved:" in line)
    whole = [math.floor(float(number) + 0.5) for number in told.groups()]
    said = re.sub(r"\s+", " ", re.sub(r"<[^>]+>", "", line))
    assert f"56 9:00, {whole[0]} to {whole[1]}: {whole[1] - whole[0]} longer, give or take {whole[3]} (36" in said
    for side, level in zip(("before", "after"), told.groups(), strict=False):
        address = re.search(rf'href="([^"]*side={side}[^"]*part=number[^"]*)"', player.get("/trends/periods").text)
        assert address
        assert f"By visits it is {level} yd: one day" in words(player.get(address[1].replace("&amp;", "&")))
        both = address[1].replace("&amp;", "&").replace(f"side={side}", "side=both")
        assert "yd on average." in words(player.get(both))
        assert "By visits" not in words(player.get(both))  # a verdict has one number for each of two sides


def test_what_lasted_is_counted_from_the_balls(player: FlaskClient, book: Book, demo: None) -> None:
    text = player.get("/trends/periods?what=three").text
    section = text[text.index('id="lasted"') :]
    links = re.findall(r'<a href="([^"]+part=(?:late|cold)[^"]*)">(\d+) of (\d+) \((\d+)%\)</a>', section)
    assert len(links) > 5
    for address, held, n, share in links:
        assert int(share) == math.floor(100 * int(held) / int(n) + 0.5 + 1e-9)
        assert f"{n} ball{'' if n == '1' else 's'} in both periods" in words(player.get(address.replace("&amp;", "&")))


def test_the_players_card_begins_with_what_happened_and_opens_its_balls(
    player: FlaskClient, app: Flask, book: Book
) -> None:
    app.config["NOW"] = lambda: moment_of(LATER)
    facts = the_demo_set()
    book.add(facts, None, NOW)
    a_visit(book, facts[2], 0, 10)
    lesson = raw("mark", {"what": "lesson", "on": moved(NOW, days=3)}, NOW)
    assert not book.add([lesson], None, LATER).refused
    assert "Last visit 1 May. No ball since the lesson." in words(player.get("/card"))
    a_visit(book, facts[2], 5, 10)
    page = player.get("/card")
    assert "Last visit 6 May. Since the lesson (4 May): 1 visit, 10 balls, 10 for the card." in words(page)
    block = re.search(r'<ul class="sentences">.*?</ul>', page.text, re.DOTALL)
    assert block
    assert 1 < block[0].count("<li") <= 3
    first = re.search(r'href="([^"]+)"', block[0])
    assert first
    assert "10 balls since the lesson" in words(player.get(first[1].replace("&amp;", "&")))


def test_a_line_of_the_aim_opens_balls_in_its_own_words(player: FlaskClient, app: Flask, book: Book) -> None:
    app.config["NOW"] = lambda: moment_of(LATER)
    facts = the_demo_set()
    book.add(facts, None, NOW)
    bucket = a_bucket()
    shots = [a_shot(bucket, facts[2], 45 + at % 3, moved(NOW, minutes=at), mode="distance") for at in range(6)]
    a_visit(book, facts[2], 5)
    assert not book.add([bucket, *shots], None, LATER).refused
    page = player.get("/card")
    line = re.search(r'<a href="([^"]+part=middle[^"]*)">(.*?)</a>', page.text, re.DOTALL)
    assert line
    assert "from 40 to 70 (6 balls" in re.sub(r"<[^>]+>", "", line[2])
    listed = words(player.get(line[1].replace("&amp;", "&")))
    assert "6 balls on the last two visits 6 of 11: hit to a number from 40 to 70 ." in listed


def a_visit(book: Book, club: Raw, day: int, n: int = 5, **more: Any) -> Raw:
    at = moved(NOW, days=day)
    bucket = a_bucket(at, **more)
    shots = [a_shot(bucket, club, 58 + ball % 5, moved(at, minutes=ball)) for ball in range(n)]
    assert not book.add([bucket, *shots], None, moved(at, days=1)).refused
    return bucket


def test_a_mark_parts_the_balls_of_one_evening_where_the_player_says(
    player: FlaskClient, app: Flask, book: Book
) -> None:
    app.config["NOW"] = lambda: moment_of(LATER)
    facts = the_demo_set()
    book.add(facts, None, NOW)
    bucket = a_visit(book, facts[2], 0, 10)
    balls = sorted((fact for fact in book.after(0) if fact["kind"] == "shot"), key=lambda fact: fact["made_at"])
    on = f"{NOW[:10]}T00:00:00.000Z"
    mark = raw("mark", {"what": "lesson", "on": on, "bucket_id": bucket["root"], "shot_id": balls[6]["id"]}, LATER)
    assert not book.add([mark], None, LATER).refused
    page = words(player.get("/trends/periods"))
    assert "Since the lesson." in page
    assert "before 6 balls (range balls) in 1 visit: 6 for the card" in page
    assert "after 4 balls (range balls) in 1 visit: 4 for the card" in page
    assert player.get(f"/trends/marks/{mark['root']}", follow_redirects=True).status_code == 200


def test_a_mark_is_set_at_a_ball_of_a_visit(player: FlaskClient, app: Flask, book: Book) -> None:
    app.config["NOW"] = lambda: moment_of(LATER)
    facts = the_demo_set()
    book.add(facts, None, NOW)
    bucket = a_visit(book, facts[2], 0, 10)
    page = player.get(f"/visits/{bucket['root']}").text
    seventh = re.findall(r'<option value="(ball [^"]+)"', page)[6]
    said = words(send(player, "/trends/marks", what="lesson", on=NOW[:10], after=seventh))
    assert "before 6 balls (range balls) in 1 visit" in said
    assert "after 4 balls (range balls) in 1 visit" in said
    unknown = words(send(player, "/trends/marks", what="new club", on=NOW[:10], after="ball gone"))
    assert "Since the new club." in unknown
    assert "before no balls" in unknown


def test_no_ball_since_the_lesson_is_said(player: FlaskClient, app: Flask, book: Book) -> None:
    app.config["NOW"] = lambda: moment_of(LATER)
    facts = the_demo_set()
    book.add(facts, None, NOW)
    a_visit(book, facts[2], 0)
    day = (date.fromisoformat(NOW[:10]) + timedelta(days=5)).isoformat()
    book.add([raw("mark", {"what": "lesson", "on": f"{day}T00:00:00.000Z"})], None, NOW)
    page = words(player.get("/trends/periods"))
    assert "No ball since the lesson." in page
    assert "No number has clean balls in both periods" in page
    assert "after no balls" in page


def test_a_bucket_begun_and_not_hit_is_no_last_visit(player: FlaskClient, book: Book, demo: None) -> None:
    asked = [f"/trends/periods?what={what}" for what in ("three", "last")]
    before = [words(player.get(address)) for address in asked]
    assert not book.add([a_bucket(moved(LATER, hours=-1))], None, LATER).refused
    assert [words(player.get(address)) for address in asked] == before


def test_periods_that_were_judged_in_other_ways_say_so(player: FlaskClient, app: Flask, book: Book) -> None:
    app.config["NOW"] = lambda: moment_of(LATER)
    facts = the_demo_set()
    for day, way in ((0, "eye"), (3, "markers"), (6, "monitor")):
        bucket = a_bucket(moved(NOW, days=day))
        shots = [a_shot(bucket, facts[2], made_at=moved(NOW, days=day, minutes=n), judged_by=way) for n in range(1, 6)]
        facts += [bucket, *shots]
    assert not book.add(facts, None, LATER).refused
    told = "Carries were judged by eye and markers before, by monitor after: what that alone may make"
    assert told in words(player.get("/trends/periods?what=last"))
    assert "Carries were judged" not in words(player.get("/trends/periods?what=last&judged_by=eye"))


@pytest.mark.parametrize(
    ("question", "why"),
    [
        ("what=dates&from=2025-05-03&to=2025-05-01&after_from=2025-05-04&after_to=2025-05-05", "wrong way round"),
        ("what=dates&from=soon", "Give four days"),
        ("what=lesson", "There is no such mark."),
        ("what=nothing", "There is no such period."),
        ("surface=ice", "There is no surface called 'ice'."),
        ("what=last", "There is no visit with balls yet"),
    ],
)
def test_a_wrong_question_is_answered_with_a_sentence(player: FlaskClient, book: Book, question: str, why: str) -> None:
    book.add(the_demo_set(), None, NOW)
    answer = player.get(f"/trends/periods?{question}")
    assert answer.status_code == 400
    assert why in words(answer)
    assert player.get(f"/trends/periods/balls?{question}").status_code == 404


def test_a_book_without_balls_is_told_so(player: FlaskClient, book: Book) -> None:
    assert "There is no visit with balls yet" in words(player.get("/trends/periods"))


def test_fat_balls_that_were_called_clean_do_not_move_a_number(app: Flask, player: FlaskClient, book: Book) -> None:
    app.config["NOW"] = lambda: moment_of(LATER)
    wedges = the_demo_set()
    facts = [*wedges]
    for day, carries in {**dict.fromkeys((0, 7, 14), (60, 61, 59, 60, 62, 58)), 21: (60, 61, 59, 60, 40, 42)}.items():
        bucket = a_bucket(moved(NOW, days=day))
        balls = [a_shot(bucket, wedges[2], yd, moved(NOW, days=day, minutes=at)) for at, yd in enumerate(carries)]
        facts += [bucket, *balls]
    assert not book.add(facts, None, LATER).refused
    assert "56 9:00 : no sign" in words(player.get(f"/trends?cell={wedges[2]['root']}:90"))
    text = player.get("/trends/periods?what=last").text
    assert rows(text)["56 9:00"][2].startswith("no sign")
