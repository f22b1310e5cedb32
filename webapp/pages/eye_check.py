"""The eye check: distances said by eye first, then measured, and what the player's eye makes of a distance.

Knows which book is open; the finding comes from trends/eye_check.py.
"""

from typing import Any

from flask import Blueprint, Flask, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from .. import doors, notes, phone_data, present, reader, units
from ..books import make_facts
from ..forms.eye_check import BALLS, WAYS, EyeCheckForm
from ..forms.setup import PlainAction
from ..moments import moved
from ..store import reading
from ..trends import eye_check as eye

eye_check = Blueprint("eye_check", __name__, url_prefix="/eye-check")


def register(app: Flask) -> None:
    """Add the eye check's addresses."""
    app.register_blueprint(eye_check)


@eye_check.get("")
def show() -> str:
    """What the checks so far say, and the form for ten more."""
    return _page(EyeCheckForm(formdata=None))


@eye_check.post("")
def check() -> Response | str | tuple[str, int]:
    """Take what was said and ask what was measured; with both, keep the pairs."""
    doors.book()  # a phone that may open none is told so before its form is read
    form = EyeCheckForm(lengths_in=reader.view()["unit"])
    if not form.validate():
        return _page(form, bool(form.said())), 400
    if request.form.get("do") != "measured":
        if form.said():
            return _page(form, measuring=True)
        flash("Say at least one distance first. Nothing was kept.")
        return redirect(url_for("eye_check.show"))
    unit, now = reader.view()["unit"], present.now()
    bodies = [
        {"said_m": units.to_m(said, unit), "measured_m": units.to_m(measured, unit), "by": form.by.data}
        for said, measured in form.pairs()
    ]
    notes.keep(*(make_facts.fact("eye_check", body, moved(now, milliseconds=at)) for at, body in enumerate(bodies)))
    left = len(form.said()) - len(bodies)
    flash(f"{len(bodies)} of {len(form.said())} kept{'; the others were not measured' if left else ''}.")
    return redirect(url_for("eye_check.show"))


@eye_check.post("/<uuid:check_id>/remove")
def remove(check_id: Any) -> Response:
    """Withdraw one pair."""
    book, root = doors.book(), str(check_id)
    known = any(one["id"] == root for one in reading.eye_checks(book))
    if PlainAction().validate() and known:
        notes.keep(make_facts.withdrawn(book, "eye_check", root, present.now()))
        flash("The pair is taken out. No ball was touched.")
    return redirect(url_for("eye_check.show"))


def _page(form: EyeCheckForm, measuring: bool = False) -> str:
    book, view = doors.book(), reader.view()
    pairs = reading.eye_checks(book)
    return render_template(
        "eye_check.html",
        form=form,
        measuring=measuring,
        balls=BALLS,
        said=form.said() if measuring else {},
        pairs=pairs,
        finding=eye.words(eye.finding(pairs), len(pairs)),
        ways=WAYS,
        day=reader.own_day(),
        unit=view["unit"],
        unit_name=units.UNIT_NAMES[view["unit"]],
        data=phone_data.eye_check(pairs),
    )
