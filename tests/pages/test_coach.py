"""What a coach reads through a link, and what never reaches the coach."""

import hashlib
import hmac
import json
import re
from datetime import datetime

import pytest
from flask import Flask
from flask.testing import FlaskClient

from webapp.moments import moment_of, moved
from webapp.store import reading
from webapp.store.book import Book
from webapp.store.directory import Directory
from webapp.throttle import limiter
from webapp.units import YARD_M

from ..factories import NOW, a_bucket, a_club, a_homework, a_setting, a_shot, f1_balls, raw, the_demo_set
from .visitor import page_of, words

PLACE = "Pellow Fen"
UUID_TEXT = re.compile(r"[0-9a-f]{8}-[0-9a-f]{4}-", re.IGNORECASE)
CLOCK_TIME = re.compile(r"\b\d{1,2}:\d{2}:\d{2}|T\d{2}:\d{2}|\b09[:.]3\d\b")


@pytest.fixture
def club(book: Book) -> str:
    """The 56 of a book with the demo set and the ten balls of example F1, struck a week ago."""
    clubs = the_demo_set(moved(NOW, days=-8))
    bucket = a_bucket(moved(NOW, days=-7), place=PLACE)
    fifty_six = next(fact for fact in clubs if fact["body"].get("name") == "56")
    balls = f1_balls(bucket, fifty_six, moved(NOW, days=-7))
    refused = book.add([*clubs, a_setting("nickname", "Heron"), bucket, *balls], None, NOW).refused
    assert refused == []
    return str(fifty_six["id"])


@pytest.fixture
def link(app: Flask, directory: Directory, book: Book) -> str:
    """The address of a link without the nickname."""
    return made(app, directory, book)


@pytest.fixture
def coach(app: Flask) -> FlaskClient:
    """A browser that never saw the app."""
    return app.test_client()


@pytest.mark.parametrize(("hour", "trust"), [(8, "settled"), (20, "settled"), (32, "old")])
def test_player_and_coach_trust_a_number_alike_on_the_day_it_grows_old(
    app: Flask, book: Book, player: FlaskClient, coach: FlaskClient, directory: Directory, hour: int, trust: str
) -> None:
    """Struck last at nine sixty days ago: both read the numbers of the day's beginning, so both read it settled."""
    club = a_club("56")
    facts = [club]
    for day in range(-76, -59, 4):
        bucket = a_bucket(moved(NOW[:10] + "T09:00:00.000Z", days=day))
        shots = [a_shot(bucket, club, 54 + at % 3, moved(bucket["made_at"], minutes=at)) for at in range(10)]
        facts += [bucket, *shots]
    assert not book.add(facts, None, NOW).refused
    link = made(app, directory, book)
    app.config["NOW"] = lambda: moment_of(moved(NOW[:10] + "T00:00:00.000Z", minutes=60 * hour))
    found = [
        re.findall(r'<td class="cell" data-cell="[^"]*:90" data-trust="(\w+)"', page.text)
        for page in (player.get("/card"), coach.get(link))
    ]
    assert found == [[trust], [trust]]


def key_of(link: str, club_id: str) -> str:
    """The key that a link gives a wedge."""
    own = hmac.new(link.removeprefix("/w/").encode(), club_id.encode(), hashlib.sha256).hexdigest()
    return own[:12]


def made(app: Flask, directory: Directory, book: Book, nickname: bool = False, days: int = 14) -> str:
    """The address of a new link, at the factories' moment."""
    app.config["NOW"] = lambda: moment_of(NOW)
    return "/w/" + directory.new_link(book.id, "", NOW, moved(NOW, days=days), {"nickname": nickname})


def test_the_coach_sees_dial_table_trust_and_gaps(coach: FlaskClient, link: str, club: str) -> None:
    page = coach.get(link)
    shown = words(page)
    assert page.status_code == 200
    assert "A player’s card" in shown
    assert f'data-cell="{key_of(link, club)}:90' in page.text
    assert "early" in shown
    assert "Read only, open until 15 May 2025" in shown
    assert "Heron" not in page.text


@pytest.mark.files_only
def test_the_first_screen_is_of_one_moment_whatever_comes_in_while_it_is_made(
    app: Flask, coach: FlaskClient, link: str, club: str, book: Book
) -> None:
    bucket = reading.buckets(book)[0]["id"]

    def now() -> datetime:
        """A ball comes in whenever the page asks what time it is."""
        with Book(book.path) as other:
            assert not other.add([a_shot(bucket, club, 54, moved(NOW, days=-7, hours=1))], None, NOW).refused
        return moment_of(NOW)

    app.config["NOW"] = now
    text = coach.get(link).text
    sheet = text[text.index("evidence-sheet") :]
    counted, listed = (
        re.search(r"(\d+) balls in 1 visit", sheet),
        re.search(r'role="img" aria-label="[^:]*: ([^"]*)"', sheet),
    )
    assert counted
    assert listed
    assert int(counted[1]) == len(listed[1].split(", ")) > 10


def test_the_nickname_is_shown_where_the_player_said_so(
    app: Flask, coach: FlaskClient, directory: Directory, book: Book, club: str
) -> None:
    assert "Heron’s card" in words(coach.get(made(app, directory, book, nickname=True)))


def test_the_shots_behind_a_number_have_the_plain_figures_and_no_day(coach: FlaskClient, link: str, club: str) -> None:
    shown = words(coach.get(f"{link}/{key_of(link, club)}/90"))
    assert "mean 53.0 53.6" in shown  # example F1
    assert "week 17 of 2025" in shown  # 24 April 2025 by ISO 8601, from a calendar
    assert "24 April" not in shown


def test_the_shots_of_a_swing_between_whole_degrees_open_from_its_number(
    coach: FlaskClient, link: str, club: str, book: Book
) -> None:
    bucket = a_bucket(moved(NOW, days=-6))
    wedge = next(fact for fact in book.after(0) if fact["id"] == club)
    balls = [a_shot(bucket, wedge, yd, moved(NOW, days=-6, minutes=yd), swing_deg=97.5) for yd in (55, 56, 57)]
    assert not book.add([raw("swing", {"swing_deg": 97.5, "name": ""}), bucket, *balls], None, NOW).refused
    address = f"{link}/{key_of(link, club)}/97.5"
    evidence = coach.get(f"{link}?cell={key_of(link, club)}:97.5").text
    assert f'href="{address}?unit=yd"' in evidence
    assert "3 balls" in words(coach.get(address))
    assert f'href="{address}?unit=m"' in coach.get(address).text


def test_the_notes_on_bounce_and_sole_are_read_along(coach: FlaskClient, link: str, book: Book) -> None:
    assert "Bounce and sole" not in coach.get(link).text
    book.add([a_club("58", sole_note="10 wide & worn")], None, NOW)
    assert "58 10 wide & worn" in words(coach.get(link))


def test_metres_change_this_view_alone(coach: FlaskClient, link: str, club: str, book: Book) -> None:
    page = coach.get(f"{link}?unit=m")
    assert "metres" in words(page)
    assert f"{link}/{key_of(link, club)}/90?unit=m" in page.text.replace("90.0", "90")
    assert reading.settings(book)["unit"] == "yd"
    assert "Yards of carry" in words(coach.get(link))
    assert "Yards of carry" in words(coach.get(f"{link}?unit=furlongs"))


@pytest.mark.parametrize("junior", [False, True])
def test_no_place_day_or_clock_time_is_in_any_answer(
    app: Flask, coach: FlaskClient, directory: Directory, book: Book, club: str, junior: bool
) -> None:
    book.add([a_setting("junior", junior)], None, NOW)
    link = made(app, directory, book)
    front = coach.get(link)
    cells = set(re.findall(rf'{link}/[^"?]+', front.text)) - {f"{link}/remark"}  # which is of one number
    assert cells
    for address in [link, *cells]:
        answer = coach.get(address)
        told = answer.text + json.dumps(dict(answer.headers))
        assert answer.status_code == 200
        assert PLACE not in told
        assert not CLOCK_TIME.search(answer.text)
        assert "24 April" not in told
        assert "2025-04-24" not in told
        assert "Heron" not in told
        assert not UUID_TEXT.search(told)
        for fact in book.after(0):
            assert fact["id"] not in told


def test_every_address_of_a_coach_is_read_and_none_holds_an_id(
    coach: FlaskClient, link: str, club: str, book: Book
) -> None:
    limiter.enabled = False  # a quick machine asks for more than 120 of these pages within a minute
    book.add([a_setting("hidden_cells", [f"{club}:45"])], None, NOW)
    open_, read = [link], {}
    while open_:
        address = open_.pop()
        read[address] = answer = coach.get(address)
        assert answer.status_code == 200
        assert not UUID_TEXT.search(answer.text)
        found = {found.replace("&amp;", "&") for found in re.findall(r'href="([^"#]+)', answer.text)}
        found = {f"{link}{one}" if one.startswith("?") else one for one in found}
        found = {one for one in found if "remark?" not in one or not any("remark?" in other for other in read)}
        open_ += [one for one in found if one.startswith("/w/") and one not in read and one not in open_]
    assert len(read) > 30  # sixteen cells in two units and the front page
    assert "Not shown, as the player wishes: 56 7:30." in words(read[link])


def test_the_first_lines_say_what_happened_and_open_exactly_their_balls(
    coach: FlaskClient, link: str, club: str, book: Book
) -> None:
    lesson = raw("mark", {"what": "lesson", "on": "2025-04-26T00:00:00.000Z", "words": "a secret"}, NOW)
    bucket = a_bucket(moved(NOW, days=-2), place=PLACE)
    balls = [a_shot(bucket, club, 64 + at % 3, moved(NOW, days=-2, minutes=at)) for at in range(12)]
    assert not book.add([lesson, bucket, *balls], None, NOW).refused
    page = coach.get(link)
    assert "Last visit week 18 of 2025. Since the lesson (week 17 of 2025): 1 visit, 12 balls, 12 for" in words(page)
    assert "a secret" not in page.text
    lines = re.search(r'<ul class="sentences">.*?</ul>', page.text, re.DOTALL)
    assert lines
    for address, said in re.findall(r'href="([^"]+)">(.*?)</a>', lines[0], re.DOTALL):
        listed = words(coach.get(address.replace("&amp;", "&")))
        number = re.search(r"(\d+) clean balls|, (\d+) balls|\((\d+) of|\((\d+) balls to", re.sub(r"<[^>]+>", "", said))
        assert number
        assert f"{next(n for n in number.groups() if n)} balls since the lesson" in listed
        assert "29 Apr" not in listed
        assert PLACE not in listed


def test_the_number_that_moved_is_opened_though_another_has_more_balls_and_its_last_visit_stands_below(
    coach: FlaskClient, link: str, club: str, book: Book
) -> None:
    facts = [raw("mark", {"what": "lesson", "on": moved(NOW, days=-20)}, NOW)]
    for days, carry, balls in ((-30, 80, 3), (-25, 80, 3), (-15, 95, 3), (-6, 96, 3)):
        bucket = a_bucket(moved(NOW, days=days))
        at = [moved(NOW, days=days, minutes=minute) for minute in range(balls)]
        facts += [bucket, *(a_shot(bucket, club, carry + place, one, swing_deg=180) for place, one in enumerate(at))]
    bucket = a_bucket(moved(NOW, days=-5))
    facts += [bucket, *(a_shot(bucket, club, 54, moved(NOW, days=-5, minutes=minute)) for minute in range(10))]
    assert not book.add(facts, None, NOW).refused
    page = coach.get(link).text
    sheet = re.search(r'id="evidence" data-cell="[0-9a-f]+:(\d+)".*?aria-label="([^"]*: 80,[^"]*)"', page, re.DOTALL)
    assert sheet
    assert sheet[1] == "180"
    assert [one.partition(": ")[2] for one in sheet[2].split("; ")] == [
        "80, 81, 82", "80, 81, 82", "95, 96, 97", "96, 97, 98",
    ]  # fmt: skip


def test_five_lines_are_enough_and_a_sixth_does_not_name_what_to_trust_least(
    coach: FlaskClient, link: str, club: str, book: Book
) -> None:
    facts, long = [raw("mark", {"what": "lesson", "on": moved(NOW, days=-20)}, NOW)], {"swing_deg": 135.0}
    for days in (-40, -30, -25, -15, -10, -6):
        bucket, is_after = a_bucket(moved(NOW, days=days)), days > -20
        at = [moved(NOW, days=days, minutes=minute) for minute in range(20)]
        clean = [a_shot(bucket, club, (95 if is_after else 80) + place % 3, at[place], **long) for place in range(6)]
        contact = {"contact": "fat", **long} if is_after else long
        rest = [a_shot(bucket, club, 66 if is_after else 80, at[place], **contact) for place in range(6, 10)]
        aim = {"mode": "distance", "meant_carry_m": 80 * YARD_M, **long}
        aimed = [a_shot(bucket, club, 92, at[place], **aim) for place in range(10, 20 if is_after else 10)]
        facts += [bucket, *clean, *rest, *aimed]
    assert not book.add(facts, None, NOW).refused
    assert lines_of(coach, link) == [
        "Last visit",
        "Moved:",
        "Aim:",
        "Fat:",
        "10 of 16 numbers are still guesses",
    ]
    assert not book.add([a_homework(club, made_at=moved(NOW, days=-3))], None, NOW).refused
    assert lines_of(coach, link) == ["Last visit", "Moved:", "Aim:", "Fat:", "Homework:"]


def lines_of(coach: FlaskClient, link: str) -> list[str]:
    """How each of the first lines begins."""
    told = coach.get(link).text.partition('<ul class="sentences">')[2].partition("</ul>")[0]
    said = [re.sub(r"<[^>]+>", "", line) for line in re.findall(r"<li[^>]*>(.*?)</li>", told, re.DOTALL)]
    return [found[0] if (found := re.match(r"Last visit|[\w ]+:", one)) else one.strip().rstrip(".") for one in said]


def test_the_strike_says_shares_beside_the_number_of_its_balls(
    coach: FlaskClient, link: str, club: str, book: Book
) -> None:
    bucket = a_bucket(moved(NOW, days=-1))
    contacts = ["clean", "clean", "fat", "thin", "thin", "heavy"]
    balls = [
        a_shot(bucket, club, 60, moved(NOW, days=-1, seconds=at), contact=contact)
        for at, contact in enumerate(contacts)
    ]
    assert book.add([bucket, *balls], None, NOW).refused == []
    shown = words(coach.get(f"{link}?what=last"))
    assert "Strike 6 balls on the last visit 17% fat 17% heavy 33% clean 33% thin 0% bladed" in shown


def test_no_ball_since_the_lesson_is_one_line(coach: FlaskClient, link: str, club: str, book: Book) -> None:
    book.add([raw("mark", {"what": "lesson", "on": "2025-04-30T00:00:00.000Z"}, NOW)], None, NOW)
    assert "No ball since the lesson." in words(coach.get(link))


def test_a_coach_asks_for_no_day_and_no_place(coach: FlaskClient, link: str, club: str) -> None:
    day = "what=dates&from=2025-04-24&to=2025-04-24&after_from=2025-04-25&after_to=2025-04-26"
    assert "three visits" in words(coach.get(f"{link}/periods?{day}"))
    assert "10 balls (range balls)" in words(coach.get(f"{link}/periods?place=Elsewhere"))
    assert 'type="date"' not in coach.get(f"{link}/periods").text
    assert coach.get(f"{link}/periods?what=nothing").status_code == 400
    assert coach.get(f"{link}/periods/balls?part=nothing").status_code == 404


def test_a_link_names_a_wedge_by_a_key_of_its_own(
    app: Flask, coach: FlaskClient, directory: Directory, book: Book, link: str, club: str
) -> None:
    other = made(app, directory, book)
    assert key_of(link, club) != key_of(other, club)
    assert coach.get(f"{link}/{key_of(other, club)}/90").status_code == 404
    assert coach.get(f"{link}/{club}/90").status_code == 404


def test_the_card_of_own_balls_is_reached_and_the_unit_stays_on_its_page(
    coach: FlaskClient, link: str, club: str, book: Book
) -> None:
    assert "ball=own" not in coach.get(link).text
    bucket = a_bucket(moved(NOW, days=-1), ball="own")
    book.add([bucket, a_shot(bucket, club, 60, moved(NOW, days=-1))], None, NOW)
    assert "own balls" in words(coach.get(f"{link}?ball=own"))
    cell = coach.get(f"{link}/{key_of(link, club)}/90?ball=own").text
    assert f"{link}/{key_of(link, club)}/90?ball=own&amp;unit=m" in cell.replace("90.0", "90")


def test_a_coach_is_not_spoken_to_as_the_player(coach: FlaskClient, link: str, club: str) -> None:
    for address in (link, f"{link}/{key_of(link, club)}/90", f"{link}/{key_of(link, club)}/180"):
        assert not re.search(r"\b[Yy]ours?\b|\b[Yy]ou\b", words(page_of(coach, address)))


def test_no_form_button_or_script_is_on_a_coachs_page(coach: FlaskClient, link: str, club: str) -> None:
    for address in (link, f"{link}/{key_of(link, club)}/90"):
        page = page_of(coach, address).text
        assert "<form" not in page
        assert "<button" not in page
        assert "<script" not in page


def test_a_coach_with_a_book_of_their_own_reads_the_players_and_is_told_nothing_of_it(
    player: FlaskClient, app: Flask, directory: Directory, club: str
) -> None:
    other = directory.new_book(NOW)
    with directory.open_book(other) as theirs:
        link = made(app, directory, theirs)
    page = player.get(link)
    assert "There is no wedge on this card yet." in words(page)
    assert "X-Book" not in page.headers
    assert 'data-book=""' in page.text


@pytest.mark.parametrize("path", ["", "/not-a-club/90", "/x/y/z"])
def test_a_made_up_link_says_nothing_of_any_book(coach: FlaskClient, path: str) -> None:
    answer = coach.get(f"/w/made-up-token{path}")
    assert answer.status_code in (404, 410)
    assert "<script" not in answer.text
    assert answer.headers["Referrer-Policy"] == "no-referrer"
    assert answer.headers["X-Robots-Tag"] == "noindex, nofollow"
    assert answer.headers["Cache-Control"] == "no-store"


def test_a_number_that_is_not_on_the_card_is_not_found(coach: FlaskClient, link: str, club: str) -> None:
    answer = coach.get(f"{link}/{key_of(link, club)}/91")
    assert answer.status_code == 404
    assert "There is no such number on this card." in words(answer)


def test_a_deleted_book_closes_its_links(coach: FlaskClient, link: str, directory: Directory, book: Book) -> None:
    assert coach.get(link).status_code == 200
    directory.delete_book(book.id, NOW)
    answer = coach.get(link)
    assert answer.status_code == 410
    assert "This link is closed." in words(answer)
    assert not book.path.exists()


def test_looking_for_links_is_slowed_down(coach: FlaskClient) -> None:
    codes = [coach.get(f"/w/guess-{number}").status_code for number in range(122)]
    assert codes[:120] == [410] * 120
    assert codes[120:] == [429, 429]
