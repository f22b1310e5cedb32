"""Two periods side by side, and the balls behind each of their figures; the address holds the whole question.

Knows which book is open; what is compared is in trends/compare.py, what is shown in views/periods_view.py.
"""

from typing import Any

from flask import Blueprint, Flask, render_template, request, url_for

from .. import doors, present, reader, units
from ..books import ask_periods, read_card
from ..books.known_names import names_of
from ..card.card_data import Card
from ..card.names import Names
from ..card.shots_behind import why_not
from ..days import day
from ..store import reading
from ..views import periods_view

periods = Blueprint("periods", __name__, url_prefix="/trends/periods")


def register(app: Flask) -> None:
    """Add the addresses of periods."""
    app.register_blueprint(periods)


@periods.get("")
@doors.as_of_one_moment
def show() -> str | tuple[str, int]:
    """Before and after: every cell, the strike, the aim."""
    view, today, found = _asked()
    told = periods_view.page(found, today, _names().cell, view["unit"], view["margin_m"])
    answer = render_template(
        "periods.html",
        **told,
        marks=reading.marks(doors.book()),
        day=day,
        here=url_for("periods.show"),
        balls_at=lambda **more: url_for("periods.balls", **{**found.question, **more}),
        unit_name=units.UNIT_NAMES[view["unit"]],
    )
    return (answer, 400) if found.problem and request.args else answer


@periods.get("/balls")
@doors.as_of_one_moment
def balls() -> str:
    """The balls behind one figure."""
    view, today, found = _asked()
    told = periods_view.balls(found, today, request.args, view["unit"], view["margin_m"])
    if told is None:
        raise doors.Refused(404, "not_found", found.problem or "There are no such balls. Nothing was changed.")
    return render_template(
        "period_balls.html",
        **told,
        names=_names(),
        why_not=lambda shot: why_not(shot, today.ball),
        day=day,
        back=url_for("periods.show", **found.question),
        unit=view["unit"],
    )


def _asked() -> tuple[dict[str, Any], Card, periods_view.Asked]:
    book, view, now = doors.book(), reader.view(), present.now()
    today = read_card.card_of(book, now, view["mirrored"])
    return view, today, ask_periods.asked(book, today, request.args, reader.own_clock(now))


def _names() -> Names:
    return names_of(doors.book(), reader.view()["mirrored"])
