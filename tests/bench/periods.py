"""What a period's pages cost beside the card's: `python -m tests.bench.periods` prints ratios within one run.

A book of 2,000 balls; each page is asked for after a new fact, so that nothing kept answers, and once more without one.
"""

import random
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from flask.testing import FlaskClient

from tests.factories import NOW, a_bucket, a_setting, a_shot, raw, the_demo_set
from webapp import create_app
from webapp.moments import moment_of, moved
from webapp.store.book import Book
from webapp.store.directory import Directory

VISITS, BALLS = 40, 50
LATER = moved(NOW, days=5 * VISITS)
TARGET = 1.3
ROUNDS = 15
PAGES = {
    "card": "/card",
    "two periods": "/trends/periods",
    "the balls of one": "/trends/periods/balls?part=counted",
    "the coach's first screen": "{link}",
    "the coach's two periods": "{link}/periods",
}


def main() -> None:
    """Print each page's time as a multiple of the card page's."""
    with tempfile.TemporaryDirectory() as folder:
        data = Path(folder) / "data"
        app = create_app({"DATA": data, "SECRET": "for a bench only, 0123456789abcdef", "RATELIMIT_ENABLED": False})
        app.config["NOW"] = lambda: moment_of(LATER)
        with Directory(data) as directory, directory.open_book(directory.new_book(NOW)) as book:
            _fill(book)
            link = "/w/" + directory.new_link(book.id, "", LATER, moved(LATER, days=7), {})
            phone = app.test_client()
            phone.set_cookie("book", directory.new_device(book.id, "Phone", NOW))
            pages = {name: address.format(link=link) for name, address in PAGES.items()}
            for title, before in (("after a new fact", lambda: _a_fact(book)), ("nothing new", lambda: None)):
                spent = {name: _best(phone, address, before) for name, address in pages.items()}
                print(title)
                for name, seconds in spent.items():
                    print(f"  {name:26} {seconds / spent['card']:6.2f}   (<= {TARGET})  {1000 * seconds:6.0f} ms here")


def _fill(book: Book) -> None:
    chance = random.Random(5)
    clubs = the_demo_set(moved(NOW, days=-1))
    facts = [*clubs, raw("mark", {"what": "lesson", "on": moved(NOW, days=150)}, NOW)]
    for visit in range(VISITS):
        begun = moved(NOW, days=5 * visit)
        bucket = a_bucket(begun)
        facts.append(bucket)
        for at in range(BALLS):
            club, deg = chance.choice(clubs[:4])["id"], chance.choice((45.0, 90.0, 135.0, 180.0))
            contact = chance.choices(("clean", "fat", "thin"), (8, 1, 1))[0]
            mode = "distance" if chance.random() < 0.3 else "swing"
            facts.append(
                a_shot(bucket, club, 40 + deg / 3 + chance.gauss(0, 4), moved(begun, seconds=30 * (at + 1)),
                       swing_deg=deg, contact=contact, mode=mode)
            )  # fmt: skip
    for first in range(0, len(facts), 500):
        assert not book.add(facts[first : first + 500], None, LATER).refused


def _a_fact(book: Book) -> None:
    book.add([a_setting("nickname", "Heron", LATER)], None, LATER)


def _best(phone: FlaskClient, address: str, before: Callable[[], object]) -> float:
    spent = []
    for _ in range(ROUNDS):
        before()
        began = time.process_time()
        assert phone.get(address).status_code == 200
        spent.append(time.process_time() - began)
    return min(spent)


if __name__ == "__main__":
    main()
