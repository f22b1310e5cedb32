"""Choosing a shot: the numbers that fit a carry, and the page of all distances; both shut by card only.

Knows the question's form and the open book; what fits comes from fitting.py, its words from fitting_words.py.
"""

from typing import Any

from flask import Blueprint, Flask, render_template, request
from werkzeug.datastructures import MultiDict

from .. import card_only, doors, phone_data, present, reader
from ..books import choose_shot
from ..draw.arm import arm
from ..draw.ground import axis, ground, twenty_balls
from ..draw.svg import Svg
from ..estimate.chance import twenty
from ..fits import fitting, fitting_words
from ..fits.yardage import columns, yardage
from ..forms.fits import FitsForm
from ..units import LENGTH_M, UNIT_NAMES, to_m, whole

fits = Blueprint("fits", __name__)
_COLUMNS = 3


def register(app: Flask) -> None:
    """Add the addresses of choosing a shot."""
    app.register_blueprint(fits)


@fits.get("/fits")
@doors.as_of_one_moment
def show() -> str | tuple[str, int]:
    """Ask for a carry or a flag, and rank the numbers that land there."""
    card_only.shut()
    view, choosing = reader.view(), _choosing()
    unit = request.args["unit"] if request.args.get("unit") in LENGTH_M else view["unit"]
    middle = _middle(choosing, unit)
    asked = FitsForm(request.args if "flag" in request.args else MultiDict({"flag": middle}), lengths_in=unit)
    problems: list[str] = []
    question, found = None, None
    if choosing.candidates or "flag" in request.args:
        problems, question = _question(asked, choosing, unit)
        found = fitting.answer(question, choosing.candidates) if question else None
    flag_m = to_m(asked.length("flag") or 0, unit) if question else 0.0
    page = render_template(
        "fits.html",
        form=asked,
        unit=unit,
        unit_name=UNIT_NAMES[unit],
        problems=problems,
        question=question,
        flag_m=flag_m,
        middle=middle,
        found=found,
        ground=_ground(asked, flag_m, question, unit) if question else "",
        balls_of=lambda choice: _balls(choice, flag_m, question) if question else "",
        card=choosing.card,
        candidates=choosing.candidates,
        words=fitting_words,
        told_words=fitting_words.told_words(choosing.candidates),
        arms=_arms(choosing, view),
        asked_ball=reader.asked_ball(),
        as_of=reader.own_day()(choosing.card.as_of),
        page_data=phone_data.fits(doors.book(), view, choosing),
    )
    return (page, 400) if problems else page


@fits.get("/yardage")
def every_distance() -> str:
    """The best choice for every whole yard or metre, to read or to print before a round."""
    card_only.shut()
    view, choosing = reader.view(), _choosing()
    rows = yardage(choosing.candidates, choosing.margin, view["unit"])
    return render_template(
        "yardage.html",
        columns=columns(rows, _COLUMNS),
        told_words=fitting_words.told_words(choosing.candidates),
        unit=view["unit"],
        unit_name=UNIT_NAMES[view["unit"]],
        card=choosing.card,
        arms=_arms(choosing, view),
        asked_ball=reader.asked_ball(),
        as_of=reader.own_day()(choosing.card.as_of),
        page_data={**phone_data.age(doors.book(), choosing.card), "unit": view["unit"]},
    )


def _choosing() -> choose_shot.Choosing:
    return choose_shot.choosing(doors.book(), present.now(), reader.view()["mirrored"], reader.asked_ball())


def _question(form: FitsForm, choosing: choose_shot.Choosing, unit: str) -> tuple[list[str], fitting.Question | None]:
    if not form.validate():
        return form.problems(), None
    lengths = {name: form.length(name) for name in ("flag", "roll", "front", "back")}
    in_m = {name: None if value is None else to_m(value, unit) for name, value in lengths.items()}
    try:
        asked = fitting.question(
            in_m["flag"] or 0.0, choosing.margin, in_m["roll"] or 0.0, in_m["front"], in_m["back"], form.must.data
        )
    except fitting.NoQuestion as problem:
        return [str(problem)], None
    return [], asked


def _middle(choosing: choose_shot.Choosing, unit: str) -> str:
    """The carry in the middle of the card, asked for until another is: the page never opens blank."""
    carries_m = sorted(one.carry_m for one in choosing.candidates)
    return str(whole(carries_m[len(carries_m) // 2], unit)) if carries_m else ""


def _ground(asked: FitsForm, flag_m: float, question: fitting.Question, unit: str) -> Svg:
    front, back = asked.length("front"), asked.length("back")
    along = axis(flag_m, question.front_m, question.back_m)
    return ground(along, flag_m, front and to_m(front, unit), back and to_m(back, unit), unit)


def _balls(choice: fitting.Choice, flag_m: float, question: fitting.Question) -> tuple[tuple[int, int, int], Svg]:
    """How many of twenty balls end short, in and long, and their picture."""
    window_m = question.front_m, question.back_m
    counts, carries_m = twenty(choice.candidate.table, *window_m)
    return counts, twenty_balls(axis(flag_m, *window_m), carries_m, counts, window_m)


def _arms(choosing: choose_shot.Choosing, view: dict[str, Any]) -> dict[float, str]:
    return {swing.swing_deg: arm(swing.swing_deg, view["mirrored"]) for swing in choosing.card.swings}
