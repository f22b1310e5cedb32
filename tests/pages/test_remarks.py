"""A coach's remark from the link to the player's book: no writing door, kept or dropped by the player."""

import re
from html import unescape
from urllib.parse import parse_qsl, urlsplit

import pytest
from flask import Flask
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from webapp.books import keep_remarks
from webapp.moments import moment_of, moved
from webapp.store import from_coach, guardians, reading
from webapp.store.book import Book
from webapp.store.directory import Directory

from ..factories import NOW, Raw, a_bucket, a_club, a_remark, a_setting, corrected, f1_balls, the_demo_set, voided
from .visitor import send, send_facts, words

PIN = "2468"
CODE = re.compile(r'class="secret" href="[^"#]*/remarks#([\w-]+)"')


@pytest.fixture
def struck(app: Flask, book: Book) -> list[Raw]:
    """The demo set and ten balls with the 56 at 9:00, the wedge first, then the balls."""
    app.config["NOW"] = lambda: moment_of(NOW)
    clubs, bucket = the_demo_set(moved(NOW, days=-9)), a_bucket(moved(NOW, days=-7), place="Pellow Fen")
    balls = f1_balls(bucket, clubs[2], moved(NOW, days=-7))
    assert book.add([*clubs, bucket, *balls], None, NOW).refused == []
    return [clubs[2], *balls]


@pytest.fixture
def coach(app: Flask) -> FlaskClient:
    """A browser that never saw the app."""
    return app.test_client()


@pytest.fixture
def player(app: Flask, directory: Directory, book: Book, struck: list[Raw]) -> FlaskClient:
    """The player's phone."""
    client = app.test_client()
    client.set_cookie("book", directory.new_device(book.id, "phone", NOW))
    return client


@pytest.fixture
def link(directory: Directory, book: Book, struck: list[Raw]) -> str:
    """The address of a coach link."""
    return "/w/" + directory.new_link(book.id, "", NOW, moved(NOW, days=14), {})


def ways(page: TestResponse, name: str) -> list[str]:
    """The addresses on a page that lead to a remark on a `cell` or on a ball (`shot`)."""
    return [unescape(at) for at in re.findall(rf'href="(/w/[^"]*/remark\?[^"]*{name}=[^"]*)"', page.text)]


def written(coach: FlaskClient, at: str, told: str) -> TestResponse:
    """A remark written at an address, as the form there sends it."""
    parts = urlsplit(at)
    return coach.get(parts.path, query_string={**dict(parse_qsl(parts.query)), "words": told})


def code_on(coach: FlaskClient, link: str, told: str = "Hold the finish till three", name: str = "cell") -> str:
    """The code of a remark on the number first looked at, or on the first ball behind it."""
    page = coach.get(link)
    if name == "shot":
        at = re.search(r'href="(/w/[^"]*/90(?:\.0)?\?[^"]*)"[^>]*>All shots of it', page.text)
        assert at
        page = coach.get(unescape(at[1]))
    found = CODE.search(written(coach, ways(page, name)[0], told).text)
    assert found
    return found[1]


def test_a_coach_writes_on_a_number_and_the_player_keeps_it_where_it_belongs(
    coach: FlaskClient, player: FlaskClient, link: str, book: Book, struck: list[Raw]
) -> None:
    before = book.cursor
    code = code_on(coach, link)
    assert book.cursor == before
    page = send(player, "/remarks", code=f"http://localhost/remarks#{code}", do="read")
    assert "From your coach, on 56 9:00" in words(page)
    assert "Hold the finish till three" in words(page)
    assert from_coach.remarks(book) == []  # read is not kept
    assert "Kept. It stands where it belongs" in words(send(player, "/remarks", code=code, do="keep"))
    (kept,) = from_coach.remarks(book)
    assert (kept["club_id"], kept["swing_deg"], kept["about"]) == (struck[0]["id"], 90.0, "56 9:00")
    assert "Hold the finish till three" in words(player.get(f"/card/{struck[0]['id']}/90"))
    assert "Hold the finish" not in words(player.get(f"/card/{struck[0]['id']}/45"))


def test_a_coach_writes_on_one_ball_and_its_page_says_it(
    coach: FlaskClient, player: FlaskClient, link: str, book: Book, struck: list[Raw]
) -> None:
    code = code_on(coach, link, "This one was the swing we want", "shot")
    page = words(send(player, "/remarks", code=code, do="read"))
    assert "From your coach, on one ball of 56 9:00" in page
    send(player, "/remarks", code=code, do="keep")
    (kept,) = from_coach.remarks(book)
    assert kept["shot_id"] in {ball["id"] for ball in struck[1:]}
    assert "Your coach: This one was the swing we want" in words(player.get(f"/shots/{kept['shot_id']}"))
    assert "Your coach: This one was" in words(player.get(f"/card/{struck[0]['id']}/90"))


def test_a_kept_remark_bears_todays_name_of_its_number_and_says_that_its_ball_is_gone(
    coach: FlaskClient, player: FlaskClient, link: str, book: Book, struck: list[Raw]
) -> None:
    send(player, "/remarks", code=code_on(coach, link, name="shot"), do="keep")
    assert "one ball of 56 9:00" in words(player.get("/remarks"))
    assert not book.add([a_setting("hand", "left", moved(NOW, seconds=1))], None, NOW).refused
    assert "one ball of 56 3:00" in words(player.get("/remarks"))
    (kept,) = from_coach.remarks(book)
    ball = next(fact for fact in struck if fact["id"] == kept["shot_id"])
    assert not book.add([voided(ball, moved(NOW, seconds=2))], None, NOW).refused
    page = player.get("/remarks")
    assert "one ball of 56 3:00, taken back" in words(page)
    assert f"/shots/{kept['shot_id']}" not in page.text


def test_the_kept_remarks_are_told_without_changing_the_rows_that_every_reader_of_a_moment_shares(
    book: Book, struck: list[Raw]
) -> None:
    told = [a_remark(struck[0]), a_setting("hand", "left", NOW)]
    assert not book.add(told, None, NOW).refused
    with book.as_of_one_moment():
        assert [one["about"] for one in keep_remarks.kept(book, mirrored=True)] == ["56 3:00"]
        assert [one["about"] for one in from_coach.remarks(book)] == ["56 9:00"]


def test_of_two_wedges_of_one_loft_a_remark_goes_to_the_one_of_its_name(
    coach: FlaskClient, player: FlaskClient, link: str, book: Book, struck: list[Raw]
) -> None:
    code = code_on(coach, link)
    assert not book.add([a_club("55 bent", loft_deg=56.0)], None, NOW).refused  # it stands before the 56
    send(player, "/remarks", code=code, do="keep")
    (kept,) = from_coach.remarks(book)
    assert (kept["club_id"], kept["about"]) == (struck[0]["id"], "56 9:00")


def test_neither_page_nor_code_holds_a_balls_id_or_its_moment(
    coach: FlaskClient, link: str, book: Book, struck: list[Raw]
) -> None:
    at = ways(coach.get(link), "cell")
    pages = [coach.get(address).text for address in at]
    assert pages
    ids = {fact["id"] for fact in struck}
    assert not [one for one in ids for page in pages if one in page or one.replace("-", "") in page]


def test_the_same_remark_twice_or_on_two_phones_is_one(
    coach: FlaskClient, player: FlaskClient, link: str, book: Book, app: Flask, directory: Directory
) -> None:
    code = code_on(coach, link)
    send(player, "/remarks", code=code, do="keep")
    other = app.test_client()
    other.set_cookie("book", directory.new_device(book.id, "second phone", NOW))
    assert "You kept this remark before, and it stands below. Nothing was changed." in words(
        send(other, "/remarks", code=code, do="keep")
    )
    (kept,) = from_coach.remarks(book)
    assert "It stands on this page alone" in words(send(other, f"/remarks/{kept['id']}/aside"))
    assert "Hold the finish" not in words(player.get(f"/card/{kept['club_id']}/90"))
    assert "Kept." in words(send(player, "/remarks", code=code, do="keep"))  # and is taken up again
    assert [one["aside"] for one in from_coach.remarks(book)] == [False]


def test_a_remark_kept_before_is_said_to_be_and_is_not_asked_about_again(
    coach: FlaskClient, player: FlaskClient, link: str, book: Book
) -> None:
    code = code_on(coach, link)
    send(player, "/remarks", code=code, do="keep")
    page = send(player, "/remarks", code=code, do="read")
    assert "You kept this remark before, and it stands below." in words(page)
    assert "From your coach, on" not in words(page)
    assert 'value="keep"' not in page.text
    (kept,) = from_coach.remarks(book)
    send(player, f"/remarks/{kept['id']}/aside")
    assert 'value="keep"' in send(player, "/remarks", code=code, do="read").text  # and is taken up again
    assert "Dropped. Nothing was changed." in words(send(player, "/remarks", code=code, do="drop"))
    assert [one["aside"] for one in from_coach.remarks(book)] == [True]


def test_a_wedge_no_longer_in_the_bag_keeps_its_remark_and_a_strange_one_is_said(
    coach: FlaskClient, player: FlaskClient, link: str, book: Book, struck: list[Raw]
) -> None:
    code = code_on(coach, link)
    assert not book.add([corrected(struck[0], retired=True)], None, NOW).refused
    send(player, "/remarks", code=code, do="keep")
    assert from_coach.remarks(book)[0]["club_id"] == struck[0]["id"]
    assert not book.add([corrected(struck[0], moved(NOW, minutes=1), loft_deg=50.0, name="50")], None, NOW).refused
    other = code_on(coach, link, "Another one")
    assert not book.add([corrected(struck[0], moved(NOW, minutes=2), loft_deg=62.0, name="62")], None, NOW).refused
    page = words(send(player, "/remarks", code=other, do="read"))
    assert reading.clubs(book)
    assert "There is no such wedge in your bag" in page or "From your coach, on 4" in page


def test_a_ball_of_another_book_or_a_withdrawn_one_is_refused_in_a_sentence(
    app: Flask, coach: FlaskClient, player: FlaskClient, link: str, book: Book, struck: list[Raw], directory: Directory
) -> None:
    code = code_on(coach, link, name="shot")
    stranger = app.test_client()
    with directory.open_book(directory.new_book(NOW)) as theirs:
        theirs.add(the_demo_set(), None, NOW)
        stranger.set_cookie("book", directory.new_device(theirs.id, "phone", NOW))
    answers = [send(stranger, "/remarks", code=code, do=deed) for deed in ("read", "keep")]
    for ball in struck[1:]:
        assert not book.add([voided(ball)], None, NOW).refused
    answers += [send(player, "/remarks", code=code, do="keep")]
    for answer in answers:
        assert answer.status_code == 400
        assert "This remark is about a ball that is not in this book" in words(answer)
    assert from_coach.remarks(book) == []


@pytest.mark.parametrize(
    ("code", "said"),
    [
        ("", "Paste the link or the code first."),
        ("hit some nines", "This code is not whole, or it is no remark"),
        ("A" * 5000, "This code is not whole"),
        ("\u0000<b>", "This code is not whole"),
    ],
)
def test_a_bad_code_is_refused_in_a_sentence_and_keeps_nothing(
    player: FlaskClient, book: Book, code: str, said: str
) -> None:
    answer = send(player, "/remarks", code=code, do="keep")
    assert answer.status_code == 400
    assert said in words(answer)
    assert from_coach.remarks(book) == []


def test_a_remark_of_several_lines_leaves_as_one(
    coach: FlaskClient, player: FlaskClient, link: str, book: Book
) -> None:
    code = code_on(coach, link, "Let the arms fall,\r\n  then turn.\r\n")
    send(player, "/remarks", code=code, do="keep")
    assert [one["words"] for one in from_coach.remarks(book)] == ["Let the arms fall, then turn."]


def test_words_that_no_code_holds_stay_in_the_box_with_a_sentence(coach: FlaskClient, link: str) -> None:
    at = ways(coach.get(link), "cell")[0]
    for told, said in (
        ("".join(chr(0x4E00 + 97 * place) for place in range(200)), "too long for its code: say it in fewer words"),
        ("a" * 201, "at most 200 letters"),
        ("a<b", "none of them < or >"),
    ):
        answer = written(coach, at, told)
        assert answer.status_code == 400
        assert said in words(answer)
        assert "No code was made yet: the words are still in the box." in words(answer)
        assert told.replace("<", "&lt;") in answer.text
        assert not CODE.search(answer.text)


@pytest.mark.parametrize("asked", ["", "?cell=x", "?shot=x", "?cell=" + "0" * 12 + ":90", "?shot=" + "0" * 12])
def test_what_the_link_does_not_show_cannot_be_remarked_on(coach: FlaskClient, link: str, asked: str) -> None:
    assert coach.get(f"{link}/remark{asked}").status_code == 404


def test_a_link_of_the_card_alone_takes_remarks_on_numbers_and_on_no_ball(
    coach: FlaskClient, directory: Directory, book: Book, link: str
) -> None:
    alone = "/w/" + directory.new_link(book.id, "", NOW, moved(NOW, days=14), {"shows": "card"})
    assert CODE.search(written(coach, ways(coach.get(alone), "cell")[0], "low hands").text)
    assert coach.get(f"{alone}/remark?shot=" + "0" * 12).status_code == 404


@pytest.mark.parametrize("method", ["post", "put", "delete", "patch"])
def test_the_page_of_remarks_has_no_writing_door(coach: FlaskClient, link: str, method: str) -> None:
    assert getattr(coach, method)(f"{link}/remark").status_code in (400, 405)


def test_a_juniors_remark_is_kept_with_the_guardians_pin_alone(
    coach: FlaskClient, player: FlaskClient, link: str, book: Book, directory: Directory
) -> None:
    assert not book.add([a_setting("junior", True, NOW)], None, NOW).refused
    code = code_on(coach, link)
    assert "The guardian sets a PIN with the first coach link" in words(send(player, "/remarks", code=code, do="keep"))
    guardians.set_pin(directory, book.id, PIN, NOW)
    refused = send(player, "/remarks", code=code, do="keep", pin="0000")
    assert refused.status_code == 403
    assert "Nothing was changed yet: This is not the guardian’s PIN." in words(refused)
    assert words(refused).count("Nothing was changed") == 1
    assert [one["code"] for one in send_facts(player, [a_remark()]).get_json()["refused"]] == ["guardian"]
    assert from_coach.remarks(book) == []
    assert "Kept." in words(send(player, "/remarks", code=code, do="keep", pin=PIN))
    (kept,) = from_coach.remarks(book)
    aside = send(player, f"/remarks/{kept['id']}/aside", pin="0000")
    assert "This is not the guardian’s PIN. Nothing was changed." in words(aside)
    assert not from_coach.remarks(book)[0]["aside"]
    send(player, f"/remarks/{kept['id']}/aside", pin=PIN)
    assert from_coach.remarks(book)[0]["aside"]
