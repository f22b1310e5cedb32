"""Swings on the pages of any table: called as the rest of the app calls them, kept as files have them."""

import re

from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from webapp.store import reading
from webapp.store.book import Book

from ..factories import NOW, a_setting, a_swing
from .test_table import OF_ALL, boxes, bring
from .visitor import send, words

COLUMNS = {"col-club": "0", "col-carry": "1", "col-made_at": "2", "unit": "m"}
ARMS = ("9:00", "3:00", "4:15", "snap", "105")
TABLE = "Stick,Flight (m),When,Arm\n" + "".join(f"51,{60 + at},2025-05-0{at},{arm}\n" for at, arm in enumerate(ARMS, 1))


def offered(page: TestResponse, box: str) -> tuple[dict[str, str], str]:
    """The answers that a box offers, each under what it sends, and the one that is filled in."""
    select = re.search(rf'<select id="{box}".*?</select>', page.text, re.DOTALL)
    assert select
    answers = re.findall(r'<option value="([^"]*)"( selected)?>([^<]+)<', select[0])
    return {value: name for value, _, name in answers}, next((name for _, chosen, name in answers if chosen), "")


def test_a_mirrored_clock_is_offered_and_shown_and_kept_as_files_have_it(
    player: FlaskClient, book: Book, bag: dict[str, str]
) -> None:
    own = [a_setting("hand", "left"), a_swing(45), a_swing(90), a_swing(160, "Snap"), a_swing(180)]
    assert book.add(own, None, NOW).refused == []
    page = bring(player, TABLE.encode())
    assert "In a table 9:00 is what you read as 3:00 here. A 3:00 in it is asked for." in words(page)
    assert "Its values could be this: Arm." in words(page)
    page = send(player, "/table/columns", **COLUMNS, **{"col-swing": "3"})
    box = boxes(page)
    assert set(box) == {"51", "3:00", "4:15", "snap"}  # 9:00 and 105 say by themselves what they are, as in our files
    answers, _ = offered(page, box["3:00"])
    assert list(answers.values()) == ["4:30", "4:15", "3:00", "1:30", "Snap", "full", "leave its rows out"]
    filled = {word: offered(page, box[word])[1] for word in ("3:00", "4:15", "snap")}
    assert filled == {"3:00": "3:00", "4:15": "4:15", "snap": "Snap"}
    sent = {box[word]: next(value for value, name in answers.items() if name == filled[word]) for word in filled}
    assert sorted(sent.values()) == ["11:20", "7:45", "9:00"]
    shown = words(send(player, "/table/words", **{box["51"]: bag["51"]}, **sent, **OF_ALL))
    for line in ("2 51 3:00 61", "3 51 3:00 62", "4 51 4:15 63", "5 51 Snap 64", "6 51 2:30 65"):
        assert line in shown
    send(player, "/table/take")
    balls = sorted(reading.shots(book), key=lambda ball: ball["made_at"])
    assert [ball["swing_deg"] for ball in balls] == [90, 90, 52.5, 160, 105]


def test_swings_are_called_by_their_own_names(player: FlaskClient, book: Book, bag: dict[str, str]) -> None:
    assert book.add([a_swing(90, "half"), a_swing(180)], None, NOW).refused == []
    assert "In a table 9:00" not in words(bring(player, TABLE.encode()))
    page = send(player, "/table/columns", **COLUMNS)
    answers, filled = offered(page, "all-swing")
    assert (list(answers.values()), filled) == (["7:30", "half", "10:30", "full"], "full")
    page = send(player, "/table/words", **{boxes(page)["51"]: bag["51"], "all-swing": "9:00"}, **OF_ALL)
    assert "2 51 half 61" in words(page)


def test_a_swing_finer_than_a_minute_of_the_clock_stays_what_it_is(
    player: FlaskClient, book: Book, bag: dict[str, str]
) -> None:
    assert book.add([a_swing(97.3, "snap"), a_swing(97.5), a_swing(180)], None, NOW).refused == []
    bring(player, TABLE.encode())
    page = send(player, "/table/columns", **COLUMNS, **{"col-swing": "3"})
    box = boxes(page)
    answers, filled = offered(page, box["snap"])
    assert ([value for value, name in answers.items() if name == "snap"], filled) == (["97.3"], "snap")
    assert answers["9:15"] == "9:15"  # that of 97.5, which the clock can say
    sent = {box["51"]: bag["51"], box["snap"]: "97.3", box["3:00"]: "-", box["4:15"]: "-"}
    assert "5 51 snap 64" in words(send(player, "/table/words", **sent, **OF_ALL))
    send(player, "/table/take")
    assert sorted(ball["swing_deg"] for ball in reading.shots(book)) == [90, 97.3, 105]
    assert (97.3, "snap") in {(swing.swing_deg, swing.name) for swing in reading.swings(book)}
