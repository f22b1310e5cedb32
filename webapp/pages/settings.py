"""What the whole book goes by: hand, units, clock, judging, lengths of swing.

Knows forms and facts; what a setting changes is the business of whoever reads it.
"""

from decimal import Decimal
from typing import Any

from flask import Blueprint, Flask, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from .. import access, clock, noting, units
from ..draw.arm import arm
from ..forms import SettingsForm, SwingForm
from ..store import reading

settings = Blueprint("settings", __name__)
FEWEST_SWINGS, MOST_SWINGS = 2, 6
_IN_METRES = {"gap_limit": "gap_limit_m"}


def register(app: Flask) -> None:
    """Add the settings' addresses."""
    app.register_blueprint(settings)


@settings.get("/settings")
def show() -> str:
    """Every setting as it stands."""
    said = reading.settings(access.book())
    form = SettingsForm(formdata=None, data=said)
    if said["gap_limit_m"] is not None:
        form.gap_limit.data = Decimal(f"{units.tenths(said['gap_limit_m'], access.view()['unit']):g}")
    return _page(form)


@settings.post("/settings")
def change() -> Response | tuple[str, int]:
    """Note each setting that says something new."""
    form = SettingsForm()
    if not form.validate():
        return _page(form), 400
    book = access.book()
    said, roots = reading.settings(book), reading.setting_roots(book)
    for name, value in _values(form).items():
        if value != said[name]:
            body = {"name": name, "value": value}
            root = roots.get(name)
            access.note(
                noting.correction(book, "setting", root, body, access.now())
                if root
                else noting.fact("setting", body, access.now())
            )
    flash("Kept.")
    response = redirect(url_for("settings.show"))
    # What was chosen here holds for this phone too, so its own older preference gives way.
    response.delete_cookie(access.PHONE_COOKIE)
    return response


@settings.post("/settings/swings")
def change_swings() -> Response | tuple[str, int]:
    """Name, add or leave out a length of swing; no ball is touched."""
    form = SwingForm()
    doing = request.form.get("do", "add")
    problem = _change_swing(form, doing)
    if problem:
        flash(f"{problem} Nothing was changed.")
    return redirect(url_for("settings.show") + "#swings")


def _change_swing(form: SwingForm, doing: str) -> str:
    book, now = access.book(), access.now()
    kept = _written_out(book)
    if not form.csrf_token.validate(form):
        return "The form was too old."
    if not form.name.validate(form):
        return "The name does not fit."
    name = (form.name.data or "").strip()
    try:
        swing_deg = float(request.form["swing_deg"]) if doing != "add" else clock.swing_deg_of(form.clock.data or "")
    except (KeyError, ValueError):
        return "That is no place on the clock between 6:00 and full."
    known = kept.get(swing_deg)
    if doing == "add":
        if known is not None or len(kept) >= MOST_SWINGS:
            return f"That swing is there already, or there are {MOST_SWINGS}."
        access.note(noting.fact("swing", {"swing_deg": swing_deg, "name": name}, now))
    elif known is None:
        return "That swing is not one of yours."
    elif doing == "remove":
        if len(kept) <= FEWEST_SWINGS:
            return f"A book keeps at least {FEWEST_SWINGS} lengths of swing."
        access.note(noting.correction(book, "swing", known.id, None, now))
    else:
        access.note(noting.correction(book, "swing", known.id, {"swing_deg": swing_deg, "name": name}, now))
    return ""


def _written_out(book: Any) -> dict[float, reading.Swing]:
    """The swings by angle, the usual four noted as facts when they are about to be changed for the first time."""
    now = access.now()
    unsaid = [swing for swing in reading.swings(book) if not swing.id]
    access.note(*(noting.fact("swing", {"swing_deg": swing.swing_deg, "name": ""}, now) for swing in unsaid))
    return {swing.swing_deg: swing for swing in reading.swings(book)}


def _values(form: SettingsForm) -> dict[str, Any]:
    values: dict[str, Any] = {
        name: form[name].data for name in ("hand", "unit", "seen_from", "judged_by", "ball", "thumb", "junior")
    }
    values["nickname"] = (form.nickname.data or "").strip()
    values["ball_limit"] = None if form.ball_limit.data is None else int(form.ball_limit.data)
    gap = form.gap_limit.data
    values["gap_limit_m"] = None if gap is None else units.to_m(float(gap), form.unit.data)
    return values


def _page(form: SettingsForm) -> str:
    view, book = access.view(), access.book()
    swings = [
        (
            {
                "swing_deg": swing.swing_deg,
                "shown": swing.name or clock.clock_name(swing.swing_deg, view["mirrored"]),
                "arm": arm(swing.swing_deg, view["mirrored"]),
            },
            SwingForm(formdata=None, data={"name": swing.name}),
        )
        for swing in reading.swings(book)
    ]
    drawings = {who: arm(90, clock.mirrors(view["hand"], who)) for who in ("front", "self")}
    return render_template(
        "settings.html",
        form=form,
        swings=swings,
        new_swing=SwingForm(formdata=None),
        drawings=drawings,
        unit_name=units.UNIT_NAMES[view["unit"]],
    )
