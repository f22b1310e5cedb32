"""Remarks of a coach: what a code says about which number or ball of this book, keeping it, and what was kept.

Knows which book is open. A code stands in the fragment of a link, which no server sees unless a form sends it here.
"""

from typing import Any

from flask import Blueprint, Flask, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from .. import doors, guardian, notes, present, reader
from ..books import keep_remarks
from ..books.keep_remarks import Matched
from ..forms.remarks import RemarkAsideForm, RemarkForm
from ..practice import remark_code
from ..practice.code_letters import Unreadable
from ..store import from_coach

remarks = Blueprint("remarks", __name__, url_prefix="/remarks")


def register(app: Flask) -> None:
    """Add the remarks' addresses."""
    app.register_blueprint(remarks)


@remarks.get("")
def show() -> str:
    """Where a link from a coach leads: its script puts the code into the box; below stands what was kept."""
    return _page(RemarkForm(formdata=None))


@remarks.post("")
def take() -> Response | str | tuple[str, int]:
    """Read a code that a form sent; with *Keep*, keep its remark."""
    form, deed = RemarkForm(), request.form.get("do")
    if not form.validate():
        return _page(form), 400
    if deed == "drop":
        flash("Dropped. Nothing was changed.")
        return redirect(url_for("remarks.show"))
    try:
        told = remark_code.read(form.code.data)
    except Unreadable as error:
        form.code.errors = [str(error)]
        return _page(form), 400
    found = keep_remarks.matched(doors.book(), told, reader.view()["mirrored"])
    if found.misses_its_ball:
        form.code.errors = [
            "This remark is about a ball that is not in this book: it was withdrawn, or the remark is for another "
            "player. Nothing was kept."
        ]
        return _page(form), 400
    if found.known and not found.known["aside"]:
        flash("You kept this remark before, and it stands below. Nothing was changed.")
        return redirect(url_for("remarks.show"))
    if deed != "keep":
        return _page(form, found)
    if refused := guardian.refusal(form.pin.data):
        form.pin.errors = [refused]
        return _page(form, found), 403
    notes.keep(keep_remarks.keeping(doors.book(), found, present.now()))
    flash("Kept. It stands where it belongs, and here.")
    return redirect(url_for("remarks.show"))


@remarks.post("/<uuid:root>/aside")
def set_aside(root: Any) -> Response:
    """Set a remark aside, so that it stands here alone, or take it up again."""
    book, form = doors.book(), RemarkAsideForm()
    known = next((one for one in from_coach.remarks(book) if one["id"] == str(root)), None)
    refused = guardian.refusal(form.pin.data) if form.validate() and known else ""
    if refused:
        flash(f"{refused} Nothing was changed.")
    elif form.validate() and known:
        notes.keep(keep_remarks.correcting(book, known, not known["aside"], present.now()))
        flash("Taken up again." if known["aside"] else "Set aside. It stands on this page alone.")
    return redirect(url_for("remarks.show"))


@doors.as_of_one_moment
def _page(form: RemarkForm, found: Matched | None = None) -> str:
    book, view = doors.book(), reader.view()
    return render_template(
        "remarks.html",
        form=form,
        found=found,
        kept=keep_remarks.kept(book, view["mirrored"]),
        junior=view["junior"],
        unit=view["unit"],
        day=reader.own_day(),
    )
