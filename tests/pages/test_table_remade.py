"""A wedge or a swing that was made for a table and went with it is made again for whoever names it next."""

import json

import pytest
from flask.testing import FlaskClient

from webapp.books.full_carry import state_full_carry
from webapp.books.import_balls import import_balls
from webapp.moments import moved
from webapp.store import reading
from webapp.store.book import Book
from webapp.units import to_m

from ..factories import NOW, Raw, a_bucket, a_club, a_shot
from .test_leaving import bring as bring_own
from .test_leaving import take
from .test_table import OF_ALL, boxes, bring
from .test_table_back import back
from .visitor import send, send_facts, words

TABLE = b"Stick,Flight (m),When,Arm\n64,40,2025-05-01,105\n64,41,2025-05-01,105\n"
COLUMNS = {"col-club": "0", "col-carry": "1", "col-made_at": "2", "col-swing": "3", "unit": "m"}
OWN = b"made_at,club,swing,carry,unit\n" + b"".join(
    b"2025-05-02T09:30:%02dZ,64,105,42,m\n" % second for second in range(3)
)


def table_taken(player: FlaskClient) -> None:
    """Bring the table, whose wedge and swing the book lacks."""
    bring(player, TABLE)
    box = boxes(send(player, "/table/columns", **COLUMNS))["64"]
    send(player, "/table/words", **{box: "new", f"{box}-loft": "64"}, **OF_ALL)
    send(player, "/table/take")


def came_and_went(player: FlaskClient, book: Book) -> str:
    """The id of the wedge that the table made, once the table was taken back."""
    table_taken(player)
    made = next(club.id for club in reading.clubs(book) if club.name == "64")
    back(player, book)
    assert "64" not in {club.name for club in reading.clubs(book)}
    assert 105.0 not in {swing.swing_deg for swing in reading.swings(book)}
    return made


def balls_of_bag(book: Book) -> list[str]:
    """The wedges, by their names, of the counted balls of wedges in the bag."""
    names = {club.id: club.name for club in reading.clubs(book)}
    return [names[ball["club_id"]] for ball in reading.shots(book) if ball["counted"] and ball["club_id"] in names]


@pytest.mark.parametrize("named", [False, True])
def test_for_a_table_of_our_own(player: FlaskClient, book: Book, bag: dict[str, str], named: bool) -> None:
    made, own = came_and_went(player, book), OWN
    if named:
        head, *rows = OWN.splitlines()
        own = b"\n".join([head + b",club_id", *(row + b"," + made.encode() for row in rows)])
    for n_came in (3, 0):
        assert f"{n_came} balls came into the book" in words(bring_own(player, own, "own.csv"))
        assert balls_of_bag(book) == ["64"] * 3
        assert 105.0 in {swing.swing_deg for swing in reading.swings(book)}
    assert "64" not in words(player.get("/bag")).partition("Left the bag")[2]


def test_for_a_full_carry_that_is_stated(player: FlaskClient, book: Book, bag: dict[str, str]) -> None:
    came_and_went(player, book)
    assert state_full_carry(book, "64", 70, "m", NOW) == ""
    again = next(club.id for club in reading.clubs(book) if club.name == "64")
    assert reading.full_carries(book)[again] == to_m(70, "m")
    before = book.cursor
    assert state_full_carry(book, "64", 70, "m", NOW) == ""
    assert book.cursor == before


def _by_any_table(player: FlaskClient, book: Book) -> None:
    table_taken(player)


def _by_our_own(player: FlaskClient, book: Book) -> None:
    bring_own(player, OWN, "own.csv")


def _by_the_command(player: FlaskClient, book: Book) -> None:
    rows = [line.split(",") for line in OWN.decode().splitlines()]
    assert import_balls(book, enumerate(rows, 1), NOW).taken == 3


def _by_a_full_carry(player: FlaskClient, book: Book) -> None:
    assert state_full_carry(book, "64", 70, "m", NOW) == ""


def _by_a_whole_book(player: FlaskClient, book: Book) -> None:
    bring_own(player, json.dumps({"facts": [a_club("64", loft_deg=64)]}).encode())


@pytest.mark.parametrize("remake", [_by_any_table, _by_our_own, _by_the_command, _by_a_full_carry, _by_a_whole_book])
def test_balls_that_waited_go_to_it_at_once(
    player: FlaskClient, book: Book, bag: dict[str, str], remake: object
) -> None:
    made, bucket = came_and_went(player, book), a_bucket()
    balls: list[Raw] = [a_shot(bucket, made, 45, moved(NOW, minutes=at)) for at in range(2)]
    send_facts(player, [bucket, *balls])
    assert balls_of_bag(book) == []
    assert callable(remake)
    remake(player, book)
    waited = {ball["id"] for ball in balls}
    heir = next(club.id for club in reading.clubs(book) if club.name == "64")
    assert {ball["club_id"] for ball in reading.shots(book) if ball["id"] in waited} == {heir}


def test_our_own_export_of_balls_taken_back_says_that_they_stay_out(
    player: FlaskClient, book: Book, bag: dict[str, str]
) -> None:
    table_taken(player)
    bucket = a_bucket()
    assert book.add([bucket, a_shot(bucket, bag["56"])], None, NOW).refused == []
    export = take(player, "shots.csv")
    back(player, book)
    for n_came in range(2):
        page = words(bring_own(player, export, "shots.csv"))
        assert "0 balls came into the book; 1 was there already. 2 of the file were taken out of this book" in page
        assert len(reading.shots(book)) == 1, n_came
    rows = enumerate([line.split(",") for line in export.decode().splitlines()], 1)
    told = import_balls(book, rows, NOW)
    assert (told.taken, told.known, told.withdrawn) == (0, 3, 2)


def test_nothing_is_made_again_for_balls_that_do_not_come(player: FlaskClient, book: Book, bag: dict[str, str]) -> None:
    table_taken(player)
    export = take(player, "shots.csv")
    back(player, book)
    send(player, "/settings/swings", do="add", clock="100", name="")
    bring_own(player, OWN.replace(b",64,105,", b",56,120,"), "own.csv")
    send(player, "/settings/swings", do="remove", swing_deg="120.0")
    swings, wedges = reading.swings(book), reading.clubs(book)
    new = b"\r\n".join([*export.splitlines(), _with_another_ball(export, b"56", b"90")])
    assert "1 ball came into the book" in words(bring_own(player, new, "own.csv"))
    longer = OWN.replace(b",64,105,", b",56,120,") + b"2025-05-02T09:40:00Z,56,90,42,m\n"
    assert "1 ball came into the book" in words(bring_own(player, longer, "own.csv"))
    assert (reading.swings(book), reading.clubs(book)) == (swings, wedges)


def test_no_wedge_is_made_again_for_a_ball_that_stays_as_it_is(
    player: FlaskClient, book: Book, bag: dict[str, str]
) -> None:
    made, bucket = came_and_went(player, book), a_bucket()
    ball = a_shot(bucket, bag["56"])
    assert book.add([bucket, ball], None, NOW).refused == []
    row = f"{ball['id']},{ball['made_at']},64,{made},180,40,m".encode()
    page = words(bring_own(player, b"id,made_at,club,club_id,swing,carry,unit\n" + row, "own.csv"))
    assert "One of them was changed since, here or in the file, and stays as it is here" in page
    assert {club.name for club in reading.clubs(book)} == {"51", "56"}


def _with_another_ball(export: bytes, club: bytes, swing: bytes) -> bytes:
    """The last row of an export as one of a ball that the book lacks."""
    head, *_, last = [line.split(b",") for line in export.splitlines()]
    told = dict(zip(head, last, strict=True))
    told |= {b"id": b"another", b"club": club, b"loft_deg": club, b"swing": swing, b"club_id": b"", b"bucket": b"new"}
    return b",".join(told.values())
