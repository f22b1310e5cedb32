"""A book of more balls than the card looks at: what rests on the latest of them says so."""

import pytest
from flask import Flask
from flask.testing import FlaskClient

from tests.factories import NOW, a_bucket, a_club, a_shot
from webapp.books.read_card import card_of
from webapp.moments import moment_of, moved
from webapp.store.book import Book
from webapp.store.directory import Directory

from .visitor import words


@pytest.fixture
def club(app: Flask, book: Book) -> str:
    """A 56 with 1,010 balls in ten visits, two in three of them to make the swing, one of nine fat."""
    app.config["NOW"] = lambda: moment_of(NOW)
    fifty_six = a_club("56")
    assert not book.add([fifty_six], None, NOW).refused
    for visit in range(10):
        bucket = a_bucket(moved(NOW, days=visit - 40))
        struck = [
            a_shot(
                bucket, fifty_six, 40 if ball % 9 == 0 else 60 + ball % 3, moved(bucket["made_at"], seconds=40 * ball),
                contact="fat" if ball % 9 == 0 else "clean", mode="swing" if ball % 3 else "distance",
                meant_carry_m=60.0,
            )
            for ball in range(101)
        ]  # fmt: skip
        assert not book.add([bucket, *struck], None, NOW).refused
    return str(fifty_six["id"])


def test_a_number_of_the_latest_balls_does_not_seem_to_rest_on_all(
    player: FlaskClient, client: FlaskClient, directory: Directory, book: Book, club: str
) -> None:
    page = words(player.get(f"/card/{club}/90"))
    assert "the latest 200 balls in 4 visits, at most 50 a visit" in page
    assert "In yards, of the latest 1,000 shots of it. Worked out as on paper" in page
    link = f"/w/{directory.new_link(book.id, '', NOW, moved(NOW, days=9), {})}"
    assert "the latest 200 balls in 4 visits, at most 50 a visit" in words(client.get(link))
    assert "balls: latest 200 in visits: 4" in words(client.get(link))
    assert card_of(book, NOW).cells[club, 90.0].n == 200


def test_strike_and_aim_of_the_latest_balls_say_so(
    client: FlaskClient, directory: Directory, book: Book, club: str
) -> None:
    page = words(client.get(f"/w/{directory.new_link(book.id, '', NOW, moved(NOW, days=9), {})}"))
    strikes = card_of(book, NOW).strikes
    assert strikes.overall
    assert strikes.cost
    assert strikes.overall.n + strikes.cost.n == 1000
    assert page.count("Of the latest 1,000 balls. ") == 3
    assert f"Of the latest 1,000 balls. {strikes.cost.n} balls, {strikes.cost.n_clean} clean." in page


@pytest.mark.parametrize(
    ("days", "each", "rests", "said"),
    [
        ([1], 205, "110 balls in 7 visits", "is now 62 , settled (without this visit 61 , settled)."),
        ([3, 1], 105, "160 balls in 8 visits", "is now 62 , settled (without this visit 61 , settled)."),
        ([9, 7, 5, 3, 1], 105, "the latest 200 balls in 4 visits", "is 63 , settled, with this visit or without."),
    ],
)
def test_a_visit_of_many_balls_of_one_swing_takes_no_settled_number_back(
    app: Flask, player: FlaskClient, book: Book, days: list[int], each: int, rests: str, said: str
) -> None:
    app.config["NOW"] = lambda: moment_of(NOW)
    fifty_six = a_club("56")
    facts = [fifty_six]
    for ago, n, first_yd in [*((ago, 10, 59) for ago in range(60, 0, -10)), *((ago, each, 61) for ago in days)]:
        bucket = a_bucket(moved(NOW, days=-ago, hours=-9))
        struck = [
            a_shot(bucket, fifty_six, first_yd + at % 5, moved(bucket["made_at"], seconds=40 * at)) for at in range(n)
        ]
        facts += [bucket, *struck]
    assert not book.add(facts, None, NOW).refused
    assert f"settled {rests}, at most 50 a visit" in words(player.get(f"/card/{fifty_six['id']}/90"))
    # Without the last visit the number rests on the latest balls of the others, not on what this one left of them.
    assert f"56 9:00 {said}" in words(player.get("/visits/last"))
