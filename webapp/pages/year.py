"""The year on one page, to read or to print: visits, each number at its start and now, the strike, the first bucket.

Knows which book is open; what is shown is in views/year_view.py.
"""

from flask import Blueprint, Flask, render_template

from .. import doors, present, reader
from ..books import read_card
from ..books.known_names import names_of
from ..books.plan_practice import Planner
from ..store import reading
from ..views import year_view

year = Blueprint("year", __name__)


def register(app: Flask) -> None:
    """Add the address."""
    app.register_blueprint(year)


@year.get("/trends/year")
def show() -> str:
    """The twelve months up to today."""
    book, view, now = doors.book(), reader.view(), present.now()
    card = read_card.card_of(book, now, view["mirrored"])
    planner = Planner(book, now, view["unit"], view["mirrored"])
    return render_template(
        "year.html",
        **year_view.page(
            reading.shots(book, most=year_view.MOST_SHOTS),
            card,
            reader.own_clock(now),
            names_of(book, view["mirrored"]).cell,
            view["unit"],
        ),
        bucket=planner.told(planner.bucket(year_view.FIRST_BUCKET)) if card.cells else [],
        title="Your year",
        as_of=reader.own_day()(now),
    )
