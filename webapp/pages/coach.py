"""What a coach reads through a link: the card, its gaps, bias and cost of contact, and the shots behind each number.

GET only. The book is opened read-only, and what the link's profile leaves out is left out before a template sees it.
"""

from typing import Any

from flask import Blueprint, Flask, Response, render_template, request, url_for

from .. import clock, doors, present, throttle
from ..books.coach_book import CoachBook
from ..card import shots_behind
from ..card.build import build
from ..card.card_data import Card, CardCell
from ..card.card_words import name_of, tenths
from ..card.other_ways import other_ways
from ..days import day
from ..draw.arm import arm
from ..facts import BALLS
from ..moments import moment_of
from ..practice.visit_words import call_name
from ..store import reading
from ..store.book import Book
from ..store.directory import Link
from ..trends import since
from ..units import UNIT_NAMES
from ..views import card_view, periods_view

MOST_SHOTS = 5000
_MAY_ASK = ("what", "mark", "first", "surface", "ball", "mode", "judged_by")
coach = Blueprint("coach", __name__, url_prefix="/w/<token>")


def register(app: Flask) -> None:
    """Add the coach's addresses."""
    app.register_blueprint(coach)
    app.after_request(keep_to_the_coach)


@coach.get("")
@throttle.limiter.limit(throttle.LINKS)
def card(token: str) -> str:
    """The card as it is today."""
    link, book = _opened(token)
    with book:
        said = reading.settings(book)
        shown, unit = _shown(CoachBook(book, token), said)
        clubs = reading.clubs(book)
        other = next((ball for ball in BALLS if ball != shown.ball and reading.has_balls(book, ball)), "")
        lines, found = _since(CoachBook(book, token), shown, unit, said)
    view = card_view.view_of(shown, unit, _mirrored(said), _link_of(token, unit))
    if lines:
        view["sentences"] = [sentence for sentence in view["sentences"] if sentence.cell][:1]  # trust comes last
    return render_template(
        "coach.html",
        sole_notes=[(club.name, club.sole_note) for club in clubs if club.sole_note],
        shown=view,
        lines=lines,
        **_periods_at(token, unit, found),
        hidden=[name_of(shown, place) for place, cell in shown.cells.items() if cell.key in shown.hidden],
        other_ball=other,
        nickname=said["nickname"] if link.profile.get("nickname") else "",
        hand=said["hand"],
        **_frame(token, link, unit),
    )


@coach.get("/<key>/<float(signed=False):swing_deg>")
@coach.get("/<key>/<int:swing_deg>")
@throttle.limiter.limit(throttle.LINKS)
def behind(token: str, key: str, swing_deg: float) -> str:
    """The shots behind one number, without place, dates to the week."""
    link, book = _opened(token)
    with book:
        said, own = reading.settings(book), CoachBook(book, token)
        shown, unit = _shown(own, said)
        cell = shown.cells.get((key, float(swing_deg)))
        if cell is None:
            raise doors.Refused(404, "not_found", "There is no such number on this card.")
        shots = own.shots_of_cell(key, cell.swing_deg)
    return render_template(
        "cell.html",
        shown=card_view.view_of(shown, unit, _mirrored(said), _link_of(token, unit)),
        cell=cell,
        club=shown.club(cell.club_id),
        swing=shown.swing(cell.swing_deg),
        arm=arm(cell.swing_deg, _mirrored(said)),
        behind=shots_behind.behind(shots, shown.ball),
        ways=other_ways(shots, cell, shown.ball),
        day=week,
        why_not=shots_behind.why_not,
        **_frame(token, link, unit),
    )


@coach.get("/periods")
@throttle.limiter.limit(throttle.LINKS)
def periods(token: str) -> str | tuple[str, int]:
    """Two periods of the player's balls, dates to the week."""
    link, book = _opened(token)
    with book:
        said, own = reading.settings(book), CoachBook(book, token)
        shown, unit = _shown(own, said)
        found = _asked(own, shown)
        told = periods_view.page(found, shown, _name_of(own, shown, said), unit, said["margin_m"])
        marks = own.marks()
    told["presets"] = {what: words for what, words in told["presets"].items() if what != "dates"}
    answer = render_template(
        "periods.html", **{**_frame(token, link, unit), **told}, marks=marks, day=week, tenths=tenths,
        here=url_for("coach.periods", token=token), unit_name=UNIT_NAMES[unit], **_periods_at(token, unit, found),
    )  # fmt: skip
    return (answer, 400) if found.problem and request.args.get("what") else answer


@coach.get("/periods/balls")
@throttle.limiter.limit(throttle.LINKS)
def period_balls(token: str) -> str:
    """The balls behind one figure of a period, dates to the week."""
    link, book = _opened(token)
    with book:
        said, own = reading.settings(book), CoachBook(book, token)
        shown, unit = _shown(own, said)
        found = _asked(own, shown)
        told = periods_view.balls(found, request.args, unit, said["margin_m"])
        name = _name_of(own, shown, said)
    if told is None:
        raise doors.Refused(404, "not_found", found.problem or "There are no such balls.")
    frame = _frame(token, link, unit)
    frame["back"] = url_for("coach.periods", token=token, **{**found.question, "unit": unit})
    return render_template(
        "period_balls.html", **frame, **told, day=week, tenths=tenths, unit_name=UNIT_NAMES[unit],
        name=lambda shot: name((shot["club_id"], shot["swing_deg"])),
        why_not=lambda shot: shots_behind.why_not(shot, shown.ball),
    )  # fmt: skip


def keep_to_the_coach(response: Response) -> Response:
    """Nothing below /w/, refusals too, stays in a cache, a search engine or another site's log."""
    if request.path.startswith("/w/"):
        response.headers["Cache-Control"] = "no-store"
        response.headers["Referrer-Policy"] = "no-referrer"
        response.headers["X-Robots-Tag"] = "noindex, nofollow"
    return response


def week(moment: str) -> str:
    """The week of a moment, for readers who are not to know the day."""
    year, number, _ = moment_of(moment).isocalendar()
    return f"week {number} of {year}"


def _opened(token: str) -> tuple[Link, Book]:
    """The link and its book, read-only; Refused once it has ended, and for tokens nobody made."""
    link = doors.directory().link(token)
    if link is None or not link.is_open(present.now()) or doors.directory().is_deleted(link.book_id):
        raise doors.Refused(410, "closed", "This link is closed. Ask the player for a new one.")
    return link, doors.directory().open_book(link.book_id, read_only=True)


def _shown(book: CoachBook, said: dict[str, Any]) -> tuple[Card, str]:
    unit = request.args.get("unit", said["unit"])
    made = build(book.rows(present.now()), present.now(), _mirrored(said), _asked_ball() or None)
    return made, unit if unit in UNIT_NAMES else said["unit"]


def _asked(book: CoachBook, shown: Card) -> periods_view.Asked:
    """What the address asks of periods; a place or a day is nothing a coach may ask for."""
    asked = {name: value for name, value in request.args.items() if name in _MAY_ASK and value != "dates"}
    shots, visits = book.shots(MOST_SHOTS), book.visits(MOST_SHOTS)
    return periods_view.asked(asked, shown, visits, book.marks(), shots, book.clock(present.now()))


def _since(
    book: CoachBook, shown: Card, unit: str, said: dict[str, Any]
) -> tuple[list[since.Line], periods_view.Asked]:
    """The first lines of the card: what happened since the last mark, else on the last three visits."""
    found = _asked(book, shown)
    if found.pair is None:
        return [], found
    compared = periods_view.compared(found, shown, said["margin_m"])
    name = _name_of(book, shown, said)
    return since.lines(compared, found.pair, found.shots, name, week, unit, said["margin_m"]), found


def _name_of(book: CoachBook, shown: Card, said: dict[str, Any]) -> periods_view.Name:
    clubs, mirrored = book.clubs(), _mirrored(said)
    return lambda cell: call_name({"club_id": cell[0], "swing_deg": cell[1]}, shown, clubs, mirrored)


def _periods_at(token: str, unit: str, found: periods_view.Asked) -> dict[str, Any]:
    """The ways to the periods' pages with the question kept."""
    question = {**found.question, "token": token, "unit": unit}
    return {
        "periods_at": url_for("coach.periods", **question),
        "balls_at": lambda **more: url_for("coach.period_balls", **{**question, **more}),
    }


def _asked_ball() -> str:
    """The kind of ball that the address asks for; "" for the card that opens by itself."""
    asked = request.args.get("ball", "")
    return asked if asked in BALLS else ""


def _mirrored(said: dict[str, Any]) -> bool:
    return clock.mirrors(said["hand"], said["seen_from"])


def _link_of(token: str, unit: str) -> Any:
    def link(cell: CardCell) -> str:
        ball = _asked_ball() or None
        return url_for("coach.behind", token=token, key=cell.club_id, swing_deg=cell.swing_deg, unit=unit, ball=ball)

    return link


def _frame(token: str, link: Link, unit: str) -> dict[str, Any]:
    """What the coach's pages are framed with instead of the player's."""
    ball, here = _asked_ball() or None, request.view_args or {}
    return {
        "frame": "coach_frame.html",
        "back": url_for("coach.card", token=token, unit=unit, ball=ball),
        "units": [
            (name, one == unit, url_for(request.endpoint or "coach.card", **here, unit=one, ball=ball))
            for one, name in UNIT_NAMES.items()
        ],
        "ends_on": day(link.ends_at),
        "unit": unit,
    }
