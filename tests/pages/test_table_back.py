"""A table taken back, and brought in again: the book is as it was before it, and nothing else is touched."""

from pathlib import Path

from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from webapp.books.make_facts import correction
from webapp.moments import moved
from webapp.store import reading, tables
from webapp.store.book import Book
from webapp.store.copying import back_up, check_copies
from webapp.store.directory import Directory

from ..factories import NOW, a_bucket, a_club, a_shot, voided
from .test_leaving import balls_of, figures, take
from .test_table import COLUMNS, OF_ALL, TABLE, boxes, bring, taken, to_preview
from .visitor import send, send_facts, words


def back(player: FlaskClient, book: Book) -> TestResponse:
    """The page after the latest table was taken back."""
    return send(player, f"/table/{tables.tables(book)[0]['id']}/back")


def test_a_table_taken_back_leaves_the_book_as_it_was_and_can_come_again(
    player: FlaskClient, book: Book, bag: dict[str, str]
) -> None:
    bucket, own = a_bucket(), a_club("60", loft_deg=60)
    book.add([own, bucket, *(a_shot(bucket, own, 40 + at) for at in range(3))], None, NOW)
    export, before = take(player, "shots.csv"), balls_of(book)
    for _ in range(3):
        bring(player)
        send(player, "/table/columns", **COLUMNS)
        box = boxes(player.get("/table/words"))
        said = {"51°": bag["51"], "Driver": "-", "half": "9:00", "(empty)": "full", "good": "", "Sand": "new"}
        answers = {box[word]: answer for word, answer in said.items()}
        page = send(player, "/table/words", **answers, **{f"{box['Sand']}-loft": "54"}, **OF_ALL)
        assert "1 new wedge comes into the bag: 54" in words(page)
        send(player, "/table/take")
        assert {club.name for club in reading.clubs(book)} == {"51", "54", "56", "60"}
        assert len(balls_of(book)) == 6
        page = back(player, book)
        assert "3 balls were taken back. The table can be brought in again." in words(page)
        assert take(player, "shots.csv") == export
        assert balls_of(book) == before
        assert {club.name for club in reading.clubs(book)} == {"51", "56", "60"}
        assert len(reading.visits(book)) == 1
        assert tables.tables(book) == []


def test_a_swing_that_the_book_lacks_is_told_before_it_comes(
    player: FlaskClient, book: Book, bag: dict[str, str]
) -> None:
    rows = b"Stick,Flight,When,Arm\n51,54,2025-05-03,8:10\n51,52,2025-05-03,9:00\n"
    columns = {"col-club": "0", "col-carry": "1", "col-made_at": "2", "col-swing": "3", "unit": "m"}

    def previewed() -> str:
        bring(player, rows)
        send(player, "/table/columns", **columns)
        return words(send(player, "/table/words", **{boxes(player.get("/table/words"))["51"]: bag["51"]}, **OF_ALL))

    assert "1 new swing comes into the book: 8:10 " in previewed()
    send(player, "/table/take")
    rows += b"51,53,2025-05-04,8:10\n"
    page = previewed()
    assert "1 ball comes in" in page
    assert "new swing" not in page


def test_a_new_wedge_is_one_also_where_a_bent_one_bears_its_loft_as_its_name(
    player: FlaskClient, book: Book, bag: dict[str, str]
) -> None:
    book.add([correction(book, "club", bag["51"], {"name": "51", "loft_deg": 52.0}, NOW)], None, NOW)
    table = TABLE.replace("51°".encode(), b"GW 51")

    def asked() -> TestResponse:
        bring(player, table)
        send(player, "/table/columns", **COLUMNS)
        return player.get("/table/words")

    page = asked()
    box = boxes(page)
    assert f'value="{bag["51"]}" selected' in page.text  # the wedge that is called 51, whatever its loft
    said = {"GW 51": "new", "Driver": "-", "half": "9:00", "(empty)": "full", "good": "", "Sand": bag["56"]}
    answers = {box[word]: answer for word, answer in said.items()}
    page = send(player, "/table/words", **answers, **{f"{box['GW 51']}-loft": "51"}, **OF_ALL)
    assert "1 new wedge comes into the bag: 51 (2)" in words(page)
    send(player, "/table/take")
    lofts = {club.id: (club.name, club.loft_deg) for club in reading.clubs(book)}
    assert sorted(lofts.values()) == [("51", 52), ("51 (2)", 51), ("56", 56)]
    assert sorted(lofts[ball["club_id"]][0] for ball in reading.shots(book)) == ["51 (2)", "51 (2)", "56"]
    ids = {name: club_id for club_id, (name, _) in lofts.items()}
    assert f'value="{ids["51 (2)"]}" selected' in asked().text  # it is asked once
    page = send(player, "/table/words", **answers, **{f"{box['GW 51']}-loft": "51"}, **OF_ALL)
    assert "Nothing new is in this table." in words(page)


def test_a_book_with_a_table_in_it_is_backed_up_as_whole(
    player: FlaskClient, directory: Directory, book: Book, bag: dict[str, str], tmp_path: Path
) -> None:
    taken(player, bag)
    list(back_up(directory, tmp_path / "copy", NOW))
    checked = check_copies(tmp_path / "copy")
    assert [one.problem for one in checked] == ["", ""]


def test_figures_come_back_with_the_table(player: FlaskClient, book: Book, bag: dict[str, str]) -> None:
    taken(player, bag)
    first = figures(book)
    back(player, book)
    assert figures(book) == {}
    taken(player, bag)
    assert figures(book) == first
    book.rebuild()
    assert figures(book) == first


def test_a_ball_withdrawn_by_hand_stays_withdrawn(player: FlaskClient, book: Book, bag: dict[str, str]) -> None:
    taken(player, bag)
    ball = book.history(next(iter(balls_of(book))))[0]
    assert book.add([voided(ball, moved(NOW, days=400))], None, moved(NOW, days=400)).refused == []
    page = to_preview(player, bag)
    assert "0 balls come in" in words(page)
    assert "3 are in the book already" in words(page)


def test_taking_one_of_two_tables_back_leaves_the_other(player: FlaskClient, book: Book, bag: dict[str, str]) -> None:
    taken(player, bag)
    first = set(balls_of(book))
    longer = TABLE + b"6;Sand;56,5;03/05/2025 09:40;half;Clean\n"
    taken(player, bag, longer)
    assert len(balls_of(book)) == 4
    assert all(bucket["n"] for bucket in reading.buckets(book)), "no bucket comes for balls that are here already"
    later = next(one["id"] for one in tables.tables(book) if one["n"] == 1)
    send(player, f"/table/{later}/back")
    assert set(balls_of(book)) == first


def take_a_new_swing(player: FlaskClient) -> None:
    """Take a table of one ball, whose wedge and swing are new."""
    bring(player, b"Stick;Flight;Arm\n54;60;105\n")
    send(
        player,
        "/table/columns",
        **{"col-club": "0", "col-carry": "1", "col-swing": "2", "unit": "m", "day": "2025-05-03"},
    )
    box = boxes(player.get("/table/words"))["54"]
    send(player, "/table/words", **{box: "new", f"{box}-loft": "54"}, **OF_ALL)
    send(player, "/table/take")


def test_a_swing_that_was_taken_back_comes_again(player: FlaskClient, book: Book) -> None:
    usual = [swing.swing_deg for swing in reading.swings(book)]
    for _ in range(2):
        take_a_new_swing(player)
        assert [swing.swing_deg for swing in reading.swings(book)] == [105.0]
        back(player, book)
        assert [swing.swing_deg for swing in reading.swings(book)] == usual


def test_a_wedge_that_serves_other_balls_stays(player: FlaskClient, book: Book) -> None:
    take_a_new_swing(player)
    club, swings = reading.clubs(book)[0], [swing.swing_deg for swing in reading.swings(book)]
    assert swings == [105.0]
    bucket = a_bucket()
    shot = a_shot(bucket, club.id, 50, swing_deg=105.0)
    assert book.add([bucket, shot], None, NOW).refused == []
    back(player, book)
    assert [one.id for one in reading.clubs(book)] == [club.id]
    assert [swing.swing_deg for swing in reading.swings(book)] == swings
    assert set(balls_of(book)) == {shot["id"]}


def test_a_wedge_that_a_phone_without_signal_struck_meanwhile_has_left_the_bag(player: FlaskClient, book: Book) -> None:
    take_a_new_swing(player)
    club = reading.clubs(book)[0]
    back(player, book)
    bucket = a_bucket()
    shot = a_shot(bucket, club.id, 50)
    assert send_facts(player, [bucket, shot]).json["refused"] == []
    assert f"{club.name} 9:00" in words(player.get(f"/shots/{shot['id']}"))
    assert "Left the bag" in words(player.get("/bag"))
    book.rebuild()
    assert [one.retired for one in reading.clubs(book, retired=True)] == [True]
    take_a_new_swing(player)  # brought in again it brings a wedge into the bag
    assert [one.name for one in reading.clubs(book)] == [club.name]
