"""What the whole book goes by: hand, units, clock, judging, lengths of swing.

Knows forms and facts; the modules that read a setting decide what it changes.
"""

from typing import Any

from flask import Blueprint, Flask, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response
from wtforms import Field

from .. import clock, doors, guardian, notes, present, reader, units
from ..books import make_facts
from ..books.known_names import names_of
from ..card.strike import LEAST_MARGIN_M
from ..draw.arm import arm
from ..forms.setup import SettingsForm, SwingForm
from ..moments import just_after
from ..store import reading

settings = Blueprint("settings", __name__)
FEWEST_SWINGS, MOST_SWINGS = 2, 6
_SWING_DONE = {"add": "The swing is added.", "remove": "The swing is left out. Its balls are kept."}


def register(app: Flask) -> None:
    """Add the settings' addresses."""
    app.register_blueprint(settings)


@settings.get("/settings/swings")
@settings.get("/settings")  # the lowest is the address that links go to
def show() -> str:
    """Every setting as it stands, also where a tab stood when a swing was refused."""
    return _page(_as_it_stands())


@settings.post("/settings")
def change() -> Response | tuple[str, int]:
    """Note each setting that says something new."""
    form = SettingsForm(lengths_in=reader.view()["unit"])
    if not form.validate():
        return _page(form), 400
    book = doors.book()
    said, now, stood = reading.settings(book), present.now(), _as_it_stands()
    changed = {name: value for name, value in form.changed(stood).items() if value != said[name]}
    leaves = said["junior"] and changed.get("junior") is False and guardian.has_pin()
    if leaves and (refused := guardian.refusal(form.pin.data)):
        form.pin.errors = [refused]
        return _page(form), 403
    notes.keep(*(make_facts.setting(book, name, value, now) for name, value in changed.items()))
    flash("Kept.")
    response = redirect(url_for("settings.show"))
    # What was chosen here holds for this phone too, so its own older preference gives way; what was not stays its own.
    chosen = {name: form[name].data or None for name in ("unit", "thumb") if form.altered(name, stood)}
    reader.prefer(response, **chosen, mirrored=None)
    return response


@settings.post("/settings/swings")
def change_swings() -> Response | tuple[str, int]:
    """Name, add or leave out a length of swing; no ball is touched."""
    form = SwingForm()
    doing = request.form.get("do", "add")
    problem = _change_swing(form, doing)
    if problem:
        return _page(_as_it_stands(), tried=form, problem=f"{problem} Nothing was changed."), 400
    flash(_SWING_DONE.get(doing, "Kept."))
    return redirect(url_for("settings.show") + "#swings")


def _change_swing(form: SwingForm, doing: str) -> str:
    """Note what was asked of one swing; gives what is wrong, its box marked, or "" when it is noted."""
    swings = reading.swings(doors.book())
    if not form.name.validate(form):
        return str(form.name.errors[0])
    name, mirrored = (form.name.data or "").strip(), reader.view()["mirrored"]
    try:
        if doing == "add":
            swing_deg = clock.swing_deg_typed(form.clock.data or "", mirrored)
        else:
            swing_deg = float(request.form["swing_deg"])
    except (KeyError, ValueError):
        level = clock.clock_name(90, mirrored)
        return _marked(form.clock, f"That is no place on the clock between 6:00 and full; level is {level}.")
    asked = next((swing for swing in swings if swing.swing_deg == swing_deg), None)
    if doing != "add" and asked is None:
        return "That swing is not one of yours."
    called = name or clock.clock_name(swing_deg, mirrored)
    names = names_of(doors.book(), mirrored)
    others = {names.swing(swing.swing_deg) for swing in swings if swing is not asked}
    if doing != "remove" and called in others:
        return _marked(form.name if name else form.clock, f"Another swing is called {called} already.")
    if doing == "add" and asked:
        return _marked(form.clock, "That swing is there already.")
    if doing == "add" and len(swings) >= MOST_SWINGS:
        return f"There are {MOST_SWINGS} swings already, and a book keeps no more."
    if doing == "remove" and len(swings) <= FEWEST_SWINGS:
        return f"A book keeps at least {FEWEST_SWINGS} lengths of swing."
    kept = None if doing == "remove" else {"swing_deg": swing_deg, "name": name}
    notes.keep(*_written_out(swings, asked, kept))
    return ""


def _marked(box: Field, problem: str) -> str:
    box.errors = [problem]
    return problem


def _written_out(swings: list[reading.Swing], asked: reading.Swing | None, kept: dict[str, Any] | None) -> list[Any]:
    """The facts of a change; the usual four are said as facts when one of them is changed for the first time.

    One that is left out is said and withdrawn, so that no file brings it back.
    """
    book, now = doors.book(), present.now()
    if asked and asked.id:
        if kept is None:
            return [make_facts.withdrawn(book, "swing", asked.id, now)]
        return [make_facts.changed(book, "swing", asked.id, now, **kept)]
    unsaid = [{"swing_deg": swing.swing_deg, "name": ""} for swing in swings if not swing.id and swing is not asked]
    said = [make_facts.fact("swing", one, now) for one in [*unsaid, *([kept] if kept else [])]]
    if asked is None or kept:
        return said
    left_out = make_facts.fact("swing", {"swing_deg": asked.swing_deg, "name": ""}, now)
    return [*said, left_out, make_facts.fact("swing", None, just_after(now), left_out["id"])]


def _as_it_stands() -> SettingsForm:
    """The form, as this phone reads the book: its own unit and thumb go before the book's."""
    view = reader.view()
    said = {**reading.settings(doors.book()), "unit": view["unit"], "thumb": view["thumb_chosen"]}
    return SettingsForm.filled(said, view["unit"])


def _page(form: SettingsForm, tried: SwingForm | None = None, problem: str = "") -> str:
    """The page; with what was tried with a swing and why it was refused, above it where it still has a place."""
    view, book = reader.view(), doors.book()
    tried_there = {request.form.get("swing_deg"): tried} if tried else {}
    names = names_of(book, view["mirrored"])
    swings = [
        (
            {
                "swing_deg": swing.swing_deg,
                "shown": names.swing(swing.swing_deg),
                "arm": arm(swing.swing_deg, view["mirrored"]),
            },
            tried_there.get(str(swing.swing_deg)) or SwingForm(formdata=None, data={"name": swing.name}),
        )
        for swing in reading.swings(book)
    ]
    new_swing = tried_there.get(None) or SwingForm(formdata=None)
    forms = [*(one for _, one in swings), *([new_swing] if len(swings) < MOST_SWINGS else [])]
    drawings = {who: arm(90, clock.mirrors(view["hand"], who)) for who in ("front", "self")}
    return render_template(
        "settings.html",
        form=form,
        asks_pin=guardian.is_asked() and guardian.has_pin(),
        swings=swings,
        new_swing=new_swing,
        tried=next((one for one in forms if one is tried), None),
        problem=problem,
        drawings=drawings,
        unit_name=units.UNIT_NAMES[view["unit"]],
        least_margin=units.whole(LEAST_MARGIN_M, view["unit"]),
    )
