"""What changed names a place whose balls carry otherwise, through the real app and book."""

from flask import Flask
from flask.testing import FlaskClient

from tests.factories import NOW, a_bucket, a_shot, the_demo_set
from webapp.moments import moment_of, moved
from webapp.store.book import Book

from .visitor import page_of, words


def said_after(app: Flask, player: FlaskClient, book: Book, places: str, shorter_yd: float) -> str:
    """What the page says after six balls of about 54 yards at each of the places; at B they carry shorter."""
    app.config["NOW"] = lambda: moment_of(moved(NOW, days=30))
    facts = the_demo_set()
    for day, place in enumerate(places):
        bucket = a_bucket(moved(NOW, days=day), place={"A": "Pellow Fen", "B": "Low Meadow"}[place])
        carries = [54 + at % 3 - 1 - shorter_yd * (place == "B") for at in range(6)]
        struck = [a_shot(bucket, facts[2], yd, moved(NOW, days=day, minutes=at)) for at, yd in enumerate(carries)]
        facts += [bucket, *struck]
    assert not book.add(facts, None, moved(NOW, days=30)).refused
    return words(page_of(player, "/trends"))


def test_it_says_where_balls_carry_shorter(app: Flask, player: FlaskClient, book: Book) -> None:
    said = said_after(app, player, book, "ABABABAB", 8)
    assert "At Low Meadow balls carry 15% shorter than at your other places, give or take 5%: 4 visits there" in said
    assert "4 elsewhere. Its range balls, its ground or its height may be why." in said


def test_it_names_no_place_where_all_are_alike(app: Flask, player: FlaskClient, book: Book) -> None:
    assert "other places" not in said_after(app, player, book, "ABABABAB", 0)
