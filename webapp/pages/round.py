"""Around a round: the card-only lock of this phone, and the shots remembered afterwards.

Knows the phone's cookie and the open book; what card only shuts is said in card_only.py.
"""

from typing import Any

from flask import Blueprint, Flask, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from .. import card_only, doors, notes, phone_data, present, reader
from ..books import make_facts, read_card
from ..books.known_names import names_of
from ..days import day
from ..facts import LIES
from ..fits import course_notes
from ..fits.course_notes import CourseNote
from ..forms.fits import CourseNoteForm
from ..forms.setup import PlainAction
from ..store import reading
from ..units import UNIT_NAMES, to_m, whole

round_page = Blueprint("round", __name__)
_MOST_NOTES = 200


def register(app: Flask) -> None:
    """Add the addresses of a round."""
    app.register_blueprint(round_page)


@round_page.get("/round")
def show() -> str:
    """Whether card only is on, and the way to set or lift it."""
    return render_template(
        "round.html", card_only=reader.view()["card_only"], since=reader.own_day()(card_only.moment())
    )


@round_page.post("/round")
def change() -> Response:
    """Set or lift card only on this phone; no fact of the book is touched."""
    if not PlainAction().validate():
        flash("The form was too old. Nothing was changed.")
        return redirect(url_for("round.show"))
    response = redirect(url_for("round.show"))
    if request.form.get("do") == "set":
        reader.prefer(response, card_only=True, card_since=present.now())
    elif request.form.get("do") == "lift":
        reader.prefer(response, card_only=False, card_since=None)
    return response


@round_page.get("/round/notes", endpoint="notes")
def remembered() -> str:
    """The shots remembered from rounds, beside what the range says."""
    return _notes_page(CourseNoteForm(formdata=None, data=_last()))


@round_page.post("/round/notes")
def note() -> Response | tuple[str, int]:
    """Keep one remembered shot."""
    unit = reader.view()["unit"]
    form = CourseNoteForm(lengths_in=unit)
    if not form.validate():
        return _notes_page(form), 400
    kept = CourseNote(to_m(float(form.meant.data or 0), unit), form.landed.data, form.lie.data)
    body = {"words": course_notes.words_of(kept), "about": course_notes.ABOUT}
    notes.note(make_facts.fact("note", body, present.now()))
    flash(f"Kept: meant {whole(kept.meant_m, unit)}, landed {kept.landed}.")
    return redirect(url_for("round.notes"))


@round_page.post("/round/notes/<uuid:root>/remove")
def remove(root: Any) -> Response:
    """Withdraw a remembered shot that was a slip."""
    known = {entry["id"] for entry in reading.notes(doors.book(), course_notes.ABOUT)}
    if not PlainAction().validate() or str(root) not in known:
        flash("That note is not there. Nothing was changed.")
    else:
        notes.note(make_facts.withdrawn(doors.book(), "note", str(root), present.now()))
        flash("Taken away.")
    return redirect(url_for("round.notes"))


def _last() -> dict[str, Any]:
    """The lie of the last note stays until it is changed."""
    said = [course_notes.read(entry["words"]) for entry in reading.notes(doors.book(), course_notes.ABOUT)[:1]]
    return {"lie": said[0].lie if said and said[0] else LIES[0]}


def _notes_page(form: CourseNoteForm) -> str:
    book, view, own_day = doors.book(), reader.view(), reader.own_day()
    written = [
        {"id": entry["id"], "day": own_day(entry["made_at"]), "note": note}
        for entry in reading.notes(book, course_notes.ABOUT)
        if (note := course_notes.read(entry["words"]))
    ]
    logged = reading.course_shots(book, _MOST_NOTES)
    of_balls = [note for ball in logged if (note := course_notes.of_ball(ball, view["margin_m"]))]
    today = read_card.card_of(book, card_only.moment(), view["mirrored"])
    typical = {whole(cell.shown_carry_m, view["unit"]) for cell in today.cells.values() if cell.key not in today.hidden}
    return render_template(
        "notes.html",
        form=form,
        typical=sorted(typical),
        written=written[:_MOST_NOTES],
        logged=logged,
        names=names_of(book, view["mirrored"]),
        tally=course_notes.tally([*(entry["note"] for entry in written), *of_balls]),
        rough_tally=course_notes.tally(entry["note"] for entry in written if entry["note"].lie != LIES[0]),
        aim=today.strikes.overall,
        unit=view["unit"],
        unit_name=UNIT_NAMES[view["unit"]],
        day=day,
        page_data={**phone_data.age(book, today), "unit": view["unit"]},
    )
