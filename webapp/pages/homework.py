"""Homework from a coach: what its code asks for, with this bag, and accepting it; the phone does both without signal.

Knows which book is open. A code stands in the fragment of a link, which no server sees unless a form sends it here.
"""

import re
from typing import Any

from flask import Blueprint, Flask, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from .. import doors, guardian, notes, phone_data, present, reader
from ..books import follow_homework
from ..books.known_names import names_of
from ..books.plan_practice import Planner
from ..card.card_data import Card
from ..card.names import Names
from ..days import weekday
from ..forms.homework import AsideForm, HomeworkForm
from ..practice import homework as words
from ..practice import homework_code, plans
from ..practice.code_letters import Unreadable
from ..practice.homework_code import Homework
from ..store import from_coach

homework = Blueprint("homework", __name__, url_prefix="/homework")


def register(app: Flask) -> None:
    """Add homework's addresses."""
    app.register_blueprint(homework)


@homework.get("")
def show() -> str:
    """Where a link from a coach leads: its script reads the code behind the "#"; below stands what was accepted."""
    return _page(HomeworkForm(formdata=None))


@homework.post("")
def take() -> Response | str | tuple[str, int]:
    """Read a code that a form sent; with *Accept*, keep its homework."""
    form = HomeworkForm()
    if not form.validate():
        return _page(form), 400
    try:
        told = homework_code.read(form.code.data)
    except Unreadable as error:
        form.code.errors = [str(error)]
        return _page(form), 400
    if request.form.get("do") != "accept":
        return _page(form, told)
    if refused := guardian.refusal(form.pin.data):
        form.pin.errors = [refused]
        return _page(form, told), 403
    planner = _planner()
    fact = follow_homework.accepting(
        doors.book(), told, planner.card, planner.nine().words if planner.card.cells else (), _left_out(), present.now()
    )
    if fact is None:
        flash("Nothing was kept: you accepted this homework before, or nothing of it is left.")
        return redirect(url_for("homework.show"))
    notes.keep(fact)
    flash("Accepted. Practice offers it first.")
    return redirect(url_for("practice.show"))


@homework.post("/<uuid:root>/aside")
def set_aside(root: Any) -> Response:
    """Set homework aside, so that practice offers it no more, or take it up again."""
    book = doors.book()
    known = next((work for work in from_coach.homework(book) if work["id"] == str(root)), None)
    form = AsideForm()
    refused = guardian.refusal(form.pin.data) if form.validate() and known else ""
    if refused:
        flash(f"{refused} Nothing was changed.")
    elif form.validate() and known:
        notes.change("homework", [known["id"]], aside=not known["aside"])
        flash("Taken up again." if known["aside"] else "Set aside. The balls you struck for it stay.")
    return redirect(url_for("homework.show"))


@doors.as_of_one_moment
def _page(form: HomeworkForm, told: Homework | None = None) -> str:
    book, view, planner = doors.book(), reader.view(), _planner()
    nine = planner.nine().words if planner.card.cells else []
    accepted, names = follow_homework.followed(book), names_of(book, view["mirrored"])
    today = reader.own_clock(present.now())[:10]
    return render_template(
        "homework.html",
        form=form,
        preview=_preview(told, planner.card, names, view["unit"], today) if told else None,
        accepted=accepted,
        open=sum(one.open for one in accepted),
        ball_by_ball=[_ball_by_ball(one.plan, names, view["unit"]) for one in accepted],
        junior=view["junior"],
        day=reader.own_day(),
        weekday=weekday,
        data=phone_data.homework(book, view, planner.card, nine, accepted),
    )


def _preview(told: Homework, card: Card, names: Names, unit: str, today: str) -> dict[str, Any]:
    """What homework asks for, in the words of this bag."""
    rows = words.matched(told, card.clubs, card.swings)
    left_out = _left_out()
    return {
        "head": words.head_words(told.balls + (plans.NINE if told.nine_by else 0)),
        "rows": [
            (place, words.row_words(row, names, unit), row.asks, place not in left_out)
            for place, row in enumerate(rows)
        ],
        "nine": words.nine_words(told.nine_by, weekday(told.nine_by), today) if told.nine_by else "",
        "focus": told.focus,
    }


def _ball_by_ball(plan: list[str], names: Names, unit: str) -> list[str]:
    """What accepted homework asks for, also with wedges and swings of the past; one never there has no name."""
    rows = [row for row in words.runs_of(plan) if row.cells[0][0] in names.clubs]
    return [words.row_words(row, names, unit) for row in rows]


def _planner() -> Planner:
    view = reader.view()
    return Planner(doors.book(), present.now(), view["unit"], view["mirrored"])


def _left_out() -> set[int]:
    """The places of rows that were asked about and whose stand-in was not wanted."""
    asked, used = (
        {int(at) for at in request.form.getlist(kind) if re.fullmatch("[0-9]{1,2}", at)} for kind in ("asked", "use")
    )
    return asked - used
