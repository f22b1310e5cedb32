"""What to leave: the distances that the card answers best, by themselves or before a flag; shut by card only.

Knows the question's form and the open book; distances come from fits/leave.py, their words from leave_words.py.
"""

from typing import Any

from flask import Blueprint, Flask, render_template, request
from werkzeug.datastructures import MultiDict

from .. import card_only, doors, phone_data, present, reader
from ..books import choose_shot
from ..draw.arm import arm
from ..draw.leave_line import Point, leave_line
from ..draw.svg import Svg
from ..fits import fitting_words, leave_words
from ..fits.fitting import NoQuestion
from ..fits.leave import Ahead, Distance, Leave, leave, listed
from ..forms.fits import LeaveForm
from ..units import LENGTH_M, UNIT_NAMES, to_m

page = Blueprint("leave", __name__)


def register(app: Flask) -> None:
    """Add the address."""
    app.register_blueprint(page)


@page.get("/fits/leave")
@doors.as_of_one_moment
def show() -> str | tuple[str, int]:
    """The line over the ground, and with a flag what to leave of the way to it."""
    card_only.shut()
    view, ball = reader.view(), reader.asked_ball()
    unit = request.args["unit"] if request.args.get("unit") in LENGTH_M else view["unit"]
    choosing = choose_shot.choosing(doors.book(), present.now(), view["mirrored"], ball)
    form = LeaveForm(request.args or MultiDict(), lengths_in=unit)
    problems, ahead, found = [], None, leave(choosing.candidates, choosing.margin, unit)
    try:
        ahead = _ahead(form, unit)
        found = leave(choosing.candidates, choosing.margin, unit, ahead) if ahead else found
    except NoQuestion as problem:
        problems, ahead = form.problems() or [str(problem)], None
    first = listed(found, ahead.flag_m if ahead else None, unit)
    answer = render_template(
        "leave.html",
        form=form,
        unit=unit,
        unit_name=UNIT_NAMES[unit],
        problems=problems,
        ahead=ahead,
        found=found,
        listed=first,
        line=_line(found, first[0] if ahead else None, unit) if found.distances else "",
        card=choosing.card,
        candidates=choosing.candidates,
        words=leave_words,
        rests_words=fitting_words.rests_words,
        told_words=fitting_words.told_words(choosing.candidates),
        arms={swing.swing_deg: arm(swing.swing_deg, view["mirrored"]) for swing in choosing.card.swings},
        asked_ball=ball,
        as_of=reader.own_day()(choosing.card.as_of),
        page_data=phone_data.fits(doors.book(), view, choosing),
    )
    return (answer, 400) if problems else answer


def _ahead(form: LeaveForm, unit: str) -> Ahead | None:
    """The flag as the form has it; None where nothing is asked, NoQuestion for what cannot be read."""
    if form.is_bare:
        return None
    if not form.validate():
        raise NoQuestion
    in_m: dict[str, Any] = {
        name: None if (value := form.length(name)) is None else to_m(value, unit)
        for name in ("flag", "roll", "front", "back")
    }
    if in_m["flag"] is None:
        raise NoQuestion(leave_words.FLAG_MISSING)
    return Ahead(in_m["flag"], in_m["roll"] or 0.0, in_m["front"], in_m["back"], form.must.data)


def _line(found: Leave, chosen: Distance | None, unit: str) -> Svg:
    points, peaks = (
        [Point(one.left_m, one.chance, one.guess) for one in some] for some in (found.distances, found.peaks)
    )
    return leave_line(points, peaks, leave_words.worst_m(found), chosen and chosen.left_m, unit)
