"""What each profile of a coach link leaves out is in no answer of it: every address is read and searched."""

import json
import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from tests.factories import NOW, Raw, a_bucket, a_club, a_setting, a_shot, a_swing, corrected, raw
from webapp import create_app
from webapp.moments import moment_of, moved
from webapp.store.book import Book
from webapp.store.directory import Directory

from .visitor import words

BEGUN = "2025-04-22T03:37:00.000Z"  # 04:37 by the player's clock
SECRETS = ("Pellow Fen", "sore wrist", "tired that day", "a note of my own")
NICKNAME = "Heron"
DELIVERY = {"spin_rpm": 7134, "launch_deg": 29.7, "attack_deg": -4.3}
DELIVERY_WORDS = "launch 29.7°"
SPIN = re.compile(r"\b7134\b")  # a secret's hexadecimal digits may hold the same four
CLOCK = re.compile(r"\b0?[34]:37\b|T\d{2}:\d{2}|\b\d{1,2}:\d{2}:\d{2}\b")
DAY = re.compile(r"2[0-9] (Apr|April)\b|2025-0[45]")
HEX = re.compile(r"[0-9a-f]{12,}", re.IGNORECASE)
MILLISECONDS = re.compile(r"\b17\d{11}\b")
MOST_ALIKE = 6  # pages of a remark on one ball: of other balls they are the same page
CLOUD = 2000  # ms round a moment in which a decoded id counts as that moment


def ordered(facts: list[Raw]) -> list[Raw]:
    """The facts under ids as phones make them: their first twelve digits are the moment in milliseconds."""
    text = json.dumps(facts)
    for at, fact in enumerate(facts):
        ms = int(moment_of(fact["made_at"]).timestamp() * 1000) + at
        text = text.replace(fact["id"], f"{ms:012x}"[:8] + "-" + f"{ms:012x}"[8:] + f"-7000-8000-{at:012x}")
    return list(json.loads(text))


def a_full_book() -> list[Raw]:
    """Everything a link could give away."""
    home = moved(BEGUN, days=-9)
    clubs = [a_club("46", made_at=home), a_club("56", made_at=home)]
    swings = [a_swing(swing_deg, made_at=home) for swing_deg in (45, 90)]
    old = a_club("58", made_at=home, retired=True)
    new = a_club("57", made_at=moved(home, minutes=1), follows=old["id"], sole_note="wide sole")
    first = a_bucket(BEGUN, place="Pellow Fen", utc_offset_min=60)
    second = a_bucket(moved(BEGUN, days=3), place="Pellow Fen", utc_offset_min=60, ball="own")
    third = a_bucket(
        moved(BEGUN, days=5), place="Pellow Fen", utc_offset_min=60, aside=True, aside_reason="tired that day"
    )
    fifty_six = clubs[1]
    balls = [
        a_shot(bucket, club, 50 + at, moved(bucket["made_at"], minutes=at), delivery=DELIVERY, **more)
        for bucket in (first, second, third)
        for at, (club, more) in enumerate(
            [(fifty_six, {"contact": "fat"} if ball % 5 == 0 else {}) for ball in range(10)]
            + [(old, {})] * 3
            + [(fifty_six, {"mode": "distance"})] * 6
        )
    ]
    mark = raw("mark", {"what": "lesson", "words": "sore wrist", "on": moved(BEGUN, days=2)}, moved(BEGUN, days=2))
    note = raw("note", {"words": "a note of my own", "about": "course"}, moved(BEGUN, days=2))
    said = [a_setting("nickname", NICKNAME, home), a_setting("hidden_cells", [f"{clubs[0]['id']}:45"], home)]
    facts = [*clubs, *swings, old, new, *said, first, second, third, *balls, mark, note]
    return ordered(facts)


@dataclass
class Crawled:
    """Every answer of a link by its address, with its headers."""

    answers: dict[str, str]
    pages: dict[str, str]


@pytest.fixture
def app(data: Any) -> Flask:
    """The app without limits on tries: a crawl asks more than a coach."""
    app = create_app({"DATA": data, "SECRET": "a secret for tests only, 0123456789abcdef", "RATELIMIT_ENABLED": False})
    app.config["NOW"] = lambda: moment_of(NOW)
    return app


@pytest.fixture
def coach(app: Flask) -> FlaskClient:
    """A browser that never saw the app."""
    return app.test_client()


def link_of(directory: Directory, book: Book, junior: bool, **profile: Any) -> str:
    """The address of a new link to the full book."""
    facts = a_full_book()
    refused = book.add([*facts, a_setting("junior", junior, BEGUN)], None, NOW).refused
    assert not refused
    return "/w/" + directory.new_link(book.id, "", NOW, moved(NOW, days=14), profile)


def crawl(coach: FlaskClient, link: str) -> Crawled:
    """Follow every address below the link, also those that only a guess would find; metres show the same in metres."""
    open_, found = [link, f"{link}?unit=m", f"{link}/periods", f"{link}/periods/balls", f"{link}/line"], Crawled({}, {})
    while open_:
        address = open_.pop()
        answer = coach.get(address)
        assert answer.status_code in (200, 400, 404), address
        found.answers[address] = answer.text + json.dumps(dict(answer.headers))
        if answer.status_code == 200:
            found.pages[address] = words(answer)
        for href in re.findall(r'(?:href|src|action)="([^"#]+)', answer.text):
            href = href.replace("&amp;", "&")
            if "shot=" in href and sum("shot=" in other for other in (*found.answers, *open_)) >= MOST_ALIKE:
                continue
            if href.startswith("/w/") and "unit=m" not in href and href not in found.answers and href not in open_:
                open_.append(href)
    return found


def moments_in(text: str) -> Iterator[int]:
    """Every number of an answer that an id or a timestamp of this book could be read as [ms]."""
    for found in HEX.findall(text):
        yield int(found[:12], 16)
    for found in re.findall(r"([0-9a-f]{8})-([0-9a-f]{4})-", text, re.IGNORECASE):
        yield int("".join(found), 16)
    yield from map(int, MILLISECONDS.findall(text))


@pytest.mark.parametrize(
    ("nickname", "days", "junior"), [(False, False, False), (False, True, False), (True, True, True)]
)
@pytest.mark.parametrize("shows", ["card", "shots", "delivery"])
@pytest.mark.files_only
def test_no_answer_holds_what_its_profile_leaves_out(
    coach: FlaskClient, directory: Directory, book: Book, shows: str, nickname: bool, days: bool, junior: bool
) -> None:
    link = link_of(directory, book, junior, shows=shows, nickname=nickname, days=days)
    crawled = crawl(coach, link)
    facts = book.after(0, 1000)
    moments = {int(moment_of(fact["made_at"]).timestamp() * 1000) for fact in facts}
    for address, text in crawled.answers.items():
        told = text.replace(link, "")
        assert [word for word in SECRETS if word in told] == [], address
        assert not CLOCK.search(told), address
        assert not [fact["id"] for fact in facts if fact["id"] in told], address
        near = [ms for ms in moments_in(told) if any(abs(ms - moment) < CLOUD for moment in moments)]
        assert near == [], address
        if not nickname:
            assert NICKNAME not in told
        if junior or not days:
            assert not DAY.search(told), address
        if shows != "delivery":
            assert DELIVERY_WORDS not in told
            assert not SPIN.search(told), address
    assert any("/periods" in address for address in crawled.pages) is (shows != "card")
    assert [fact["id"] for fact in book.after(0, 1000)] == [fact["id"] for fact in facts]  # reading writes nothing
    every = " ".join(crawled.pages.values())
    assert ("24 April" in every or "22 Apr" in every) is (days and not junior and shows != "card")
    assert (DELIVERY_WORDS in every) is (shows == "delivery")
    assert (NICKNAME in every) is nickname


@pytest.mark.files_only
def test_the_card_alone_says_so_where_more_is_asked_for(coach: FlaskClient, directory: Directory, book: Book) -> None:
    link = link_of(directory, book, False, shows="card")
    page = coach.get(link).text
    assert "Cost of contact" not in page
    assert "Hitting the number" not in page
    assert "ball since" not in page
    assert "/periods" not in page
    key = re.search(r'data-cell="([0-9a-f]{12}):90"', page)
    assert key
    for address in (f"{link}/{key[1]}/90", f"{link}/periods", f"{link}/periods/balls"):
        answer = coach.get(address)
        assert answer.status_code == 404
        assert "This link shows the card alone." in words(answer)


@pytest.mark.files_only
def test_a_link_from_before_there_were_profiles_shows_the_shots_by_weeks(
    coach: FlaskClient, directory: Directory, book: Book
) -> None:
    assert "week 17 of 2025" in words(coach.get(link_of(directory, book, False)))


@pytest.mark.files_only
def test_a_wedge_that_was_replaced_keeps_its_page_for_the_coach(
    coach: FlaskClient, directory: Directory, book: Book
) -> None:
    link = link_of(directory, book, False)
    keys = set(re.findall(r'data-cell="(\w{12}):90"', coach.get(link).text))
    heir = next(page for key in keys if "The wedge before it" in (page := coach.get(f"{link}/{key}/90").text))
    past = re.search(r'href="(/w/[^"]+)">The wedge before it', heir)
    assert past
    page = coach.get(past[1].replace("&amp;", "&"))
    assert page.status_code == 200
    assert "58 9:00 is no longer on the card: another wedge took its place" in words(page)
    assert "week 17 of 2025" in words(page)
    heir = next(fact for fact in book.after(0) if fact["body"].get("name") == "57")
    newest = a_club("55", made_at=moved(BEGUN, days=8), follows=heir["root"])
    assert not book.add([corrected(heir, moved(BEGUN, days=8), retired=True), newest], None, NOW).refused
    in_the_end = re.search(r'href="(/w/[^"]+)">another wedge took its place', coach.get(past[1]).text)
    assert in_the_end
    assert "55 9:00" in words(coach.get(in_the_end[1].replace("&amp;", "&")))


@pytest.mark.parametrize("asked", ["?_scheme=x", "?_external=1", "?_anchor=a", "?token=x", "?endpoint=x", "?unit[]=1"])
@pytest.mark.files_only
def test_odd_questions_are_passed_over(coach: FlaskClient, directory: Directory, book: Book, asked: str) -> None:
    link = link_of(directory, book, False)
    for page in ("", "/periods"):
        assert coach.get(link + page + asked).status_code == 200
