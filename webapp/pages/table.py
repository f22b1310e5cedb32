"""Any table in: a file of balls from anywhere, step by step: columns, words, what it would bring, and taking it.

Knows answers; tables/ reads, books/waiting_table.py does each step, working.py the long ones.
"""

from collections.abc import Callable
from pathlib import Path
from typing import Any

from flask import Blueprint, Flask, current_app, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from .. import asking, doors, present, quotas, reader, throttle, working
from ..books import told_twice, waiting_table
from ..books.alike import MINUTES
from ..books.known_names import names_of
from ..books.take_file import NotTaken
from ..card.card_words import count
from ..card.names import Names
from ..clock import DEFAULT_SWINGS_DEG, clock_name
from ..days import day
from ..forms.setup import BALL_KINDS, JUDGES, PlainAction, TableForm
from ..store import reading, tables
from ..store.jobs import BACK, LOOK, PREVIEW, TAKE, Job
from ..store.waiting_tables import WaitingTables
from ..tables.asked import Question, columns_said, label, of_all_asked, questions, words_said
from ..tables.chosen import ASKED, FIRST_ASKED, Chosen
from ..tables.headings import NO_HEADINGS
from ..tables.lines import MOST_ROWS, is_long_table
from ..tables.looking import Look
from ..tables.matching import Known, answer_for
from ..tables.suggesting import suggested_decimal, suggested_unit, suggestions
from ..tables.told_moment import ORDERS
from ..tables.told_number import SIGNS
from ..tables.told_swing import names_a_swing, swing_read, swing_text
from ..units import UNIT_NAMES, tenths

table = Blueprint("table", __name__)

Answer = Response | str | tuple[str, int]
_STAYS_OUT = "To have them again, take the table back and bring it in anew."


def register(app: Flask) -> None:
    """Add the addresses; a table may be larger than anything else that is sent."""
    app.register_blueprint(table)
    app.before_request_funcs.setdefault(None, []).insert(0, allow_tables)


def allow_tables() -> None:
    """Let a table be large; it must come before whatever reads the form."""
    if request.endpoint == "table.bring":
        request.max_content_length = current_app.config["MOST_IMPORT"]


@table.get("/table")
def show() -> str:
    """Where a table is brought, and those that were."""
    return _page()


@table.post("/table")
@throttle.limiter.limit(throttle.IMPORTS)
def bring() -> Answer:
    """Keep a table and look it through."""
    book = doors.book()
    quotas.refuse_a_full_book(book, current_app.config)
    form = TableForm()
    if not form.validate():
        return _page(form.problems()), 400
    file = form.file.data
    waiting = _waiting()
    waiting.begin(book.id, (file.filename or "table").rpartition("/")[2][:80], file.save)
    waiting.note(book.id, ahead_min=reader.ahead_min())  # where the book does not know its player's clock
    return _do(LOOK, "table.columns", _is_long(waiting.raw(book.id)))


@table.post("/table/heading")
def heading() -> Answer:
    """Look the table through again, its headings in another line or in none."""
    told, look = _told(), _look()
    line = request.form.get("heading_line", "")
    lines = {str(number) for number in (NO_HEADINGS, *(number for number, _ in look.top))}
    if PlainAction().validate() and line in lines:
        _waiting().note(doors.book().id, heading_line=int(line))
        return _do(LOOK, "table.columns", _is_large(look.n_rows))
    return _columns(told, look, {}, ["Choose the line of the headings among the first rows, or none."]), 400


@table.post("/table/sheet")
def sheet() -> Answer:
    """Look another sheet of a workbook through."""
    told, look = _told(), _look()
    named = request.form.get("sheet", "")
    if PlainAction().validate() and named in told["sheets"]:
        book_id = doors.book().id
        _waiting().lines(book_id).unlink(missing_ok=True)
        _waiting().note(book_id, sheet=named, heading_line=0)
        return _do(LOOK, "table.columns", _is_long(_waiting().raw(book_id)))
    return _columns(told, look, {}, ["Choose one of the workbook\u2019s sheets."]), 400


@table.get("/table/columns")
def columns() -> str:
    """Ask which column is what; nothing is filled in but what this player said, or asks to have filled in."""
    told, look = _told(), _look()
    if told.get("chosen"):
        return _columns(told, look, _as_form(Chosen(**told["chosen"])))
    before = _before(look)
    if request.args.get("suggested"):
        found = _suggested(look)
        unit = suggested_unit(look, found["carry"]) if "carry" in found else ""
        places = {f"col-{word}": str(place) for word, place in found.items()}
        return _columns(told, look, {**places, "unit": unit, "decimal": suggested_decimal(look)})
    return _columns(told, look, _as_form(before[0]) if before else {}, before=before[1] if before else "")


@table.post("/table/columns")
def say_columns() -> Answer:
    """Keep what the columns mean."""
    told, look = _told(), _look()
    said, wrong = columns_said(request.form, look)
    action = PlainAction()
    if not action.validate() or wrong:
        return _columns(told, look, request.form.to_dict(), [*action.problems(), *wrong]), 400
    kept = told.get("chosen") or {}
    said = Chosen(**{**said.plain(), "answers": kept.get("answers", {}), "of_all": kept.get("of_all", {})})
    _waiting().note(doors.book().id, chosen=said.plain(), preview=None)
    return redirect(url_for("table.words"))


@table.get("/table/words")
def words() -> Answer:
    """Ask what the table's words mean: its wedges, and whatever does not say so by itself."""
    told = _told()
    if not told.get("chosen"):
        return redirect(url_for("table.columns"))
    return _words(told, *_asked(told))


@table.post("/table/words")
def say_words() -> Answer:
    """Keep what the words mean and work out what the table would bring."""
    told = _told()
    if not told.get("chosen"):
        return redirect(url_for("table.columns"))
    asked, of_all = _asked(told)
    said, wrong = words_said(request.form, Chosen(**told["chosen"]), asked, of_all)
    action = PlainAction()
    if not action.validate() or wrong:
        return _words(told, asked, of_all, [*action.problems(), *wrong]), 400
    _waiting().note(doors.book().id, chosen=said.plain(), preview=None)
    return _do(PREVIEW, "table.preview", _is_large(_look().n_rows))


@table.get("/table/preview")
def preview() -> Answer:
    """What would come in and what would not; nothing is in the book yet."""
    told = _told()
    if not told.get("preview"):
        return redirect(url_for("table.words" if told.get("chosen") else "table.columns"))
    unit = reader.view()["unit"]
    return render_template(
        "table_preview.html",
        told=told,
        found=told["preview"],
        day=day,
        swing_name=_names().swing,
        unit=unit,
        unit_name=UNIT_NAMES[unit],
        tenths=tenths,
        minutes=MINUTES,
    )


@table.post("/table/preview")
def say_of_alike() -> Answer:
    """Keep what balls are that look like the book's, and work out anew what the table would bring."""
    told = _told()
    said = {word: request.form[word] == "y" for word in waiting_table.ANSWERS if word in request.form}
    if not PlainAction().validate() or not told.get("preview"):
        return redirect(url_for("table.preview"))
    _waiting().note(doors.book().id, **said)
    return _do(PREVIEW, "table.preview", _is_large(_look().n_rows))


@table.post("/table/take")
def take() -> Answer:
    """Take the table in, whole or not at all."""
    told = _told()
    if not PlainAction().validate() or not told.get("preview"):
        return redirect(url_for("table.preview"))
    quotas.refuse_a_full_book(doors.book(), current_app.config)
    return _do(TAKE, "table.show", _is_large(_look().n_rows))


@table.post("/table/<uuid:table_id>/back")
def back(table_id: Any) -> Answer:
    """Take a table back: its balls, its buckets and what was made for it alone are withdrawn."""
    there = {one["id"]: one for one in tables.tables(doors.book())}
    if not PlainAction().validate() or str(table_id) not in there:
        return redirect(url_for("table.show"))
    return _do(BACK, "table.show", _is_large(there[str(table_id)]["n"]), str(table_id))


@table.post("/table/<uuid:table_id>/once")
def leave_out(table_id: Any) -> Response:
    """Leave those balls of a table out that a phone told too, but later."""
    if PlainAction().validate() and (n := told_twice.leave_out(doors.book(), str(table_id), present.now())):
        flash(f"{count(n, 'ball')} of the table {'was' if n == 1 else 'were'} left out. {_STAYS_OUT}")
    return redirect(url_for("table.show"), 303)


def _do(what: str, then: str, is_large: bool, table_id: str = "") -> Answer:
    """Do a step, or have it done and show how far it is."""
    data, book, now = current_app.config["DATA"], doors.book(), present.now()
    job = Job(book.id, what, now, most_bytes=current_app.config["MOST_BOOK"], table_id=table_id)
    if is_large:
        return asking.ask(job)
    try:
        said = waiting_table.step(data, book, job, now)
    except NotTaken as error:
        return _page(list(working.named(error.reasons))), 400
    if what in (TAKE, BACK):
        flash(said)
    return redirect(url_for(then), 303)


def _page(problems: list[str] | None = None) -> str:
    return render_template(
        "table.html",
        problems=problems or [],
        form=TableForm(formdata=None),
        most_mb=current_app.config["MOST_IMPORT"] // 1_000_000,
        most_rows=MOST_ROWS,
        waiting=_waiting().told(doors.book().id),
        brought=tables.tables(doors.book()),
        twice=told_twice.told_twice(doors.book(), present.now()),
        minutes=MINUTES,
        day=day,
        own_day=reader.own_day(),
    )


def _columns(
    told: dict[str, Any], look: Look, said: dict[str, str], problems: list[str] | None = None, before: str = ""
) -> str:
    found = _suggested(look)
    doubtful = [column for column in look.columns if len(column.orders) > 1]
    return render_template(
        "table_columns.html",
        no_headings=NO_HEADINGS,
        nine=clock_name(90.0, reader.view()["mirrored"]),
        told=told,
        look=look,
        said=said,
        is_none_said=not any(said.get(f"col-{word}") for word in ASKED),
        problems=problems or [],
        before=reader.own_day()(before) if before else "",
        asked=list(ASKED.items()),
        n_first=len(FIRST_ASKED),
        suggested={word: look.columns[place].name for word, place in found.items()},
        suggested_unit=suggested_unit(look, found["carry"]) if "carry" in found else "",
        units=UNIT_NAMES,
        orders={order: ORDERS[order] for order in dict.fromkeys(o for column in doubtful for o in column.orders)},
        doubtful=[column.name for column in doubtful],
        decimals=SIGNS,
        decimal_in_doubt=any("?" in column.signs for column in look.columns),
        suggested_decimal=suggested_decimal(look),
        label=label,
    )


def _words(
    told: dict[str, Any], asked: list[Question], of_all: list[Question], problems: list[str] | None = None
) -> str:
    return render_template(
        "table_words.html", told=told, asked=asked, of_all=of_all, problems=problems or [], label=label
    )


def _asked(told: dict[str, Any]) -> tuple[list[Question], list[Question]]:
    book, look, chosen = doors.book(), _look(), Chosen(**told["chosen"])
    found = _before(look)
    before = found[0] if found else Chosen({})
    bag, is_read_as, called = _bag(), _swing_read(), _names().swing
    wedges = {text: answer_for(text, bag) for text in look.columns[chosen.columns["club"]].words}
    texts = look.columns[chosen.columns["swing"]].words if "swing" in chosen.columns else {}
    read = {text: deg for text in texts if (deg := is_read_as(text)) is not None}
    degs = {*DEFAULT_SWINGS_DEG, *(swing.swing_deg for swing in reading.swings(book)), *read.values()}
    swings = {swing_text(deg): called(deg) for deg in sorted(degs)}
    read_as = {"club": wedges, "swing": {text: swing_text(deg) for text, deg in read.items()}}
    answers = {word: {**before.answers.get(word, {}), **chosen.answers.get(word, {})} for word in chosen.columns}
    asked = questions(look, chosen, bag, swings, answers, read_as)
    named = {"swing": swings, "ball": BALL_KINDS, "judged_by": JUDGES}
    usual = Chosen(**{**chosen.plain(), "of_all": {**before.of_all, **chosen.of_all}})
    return asked, of_all_asked(usual, named, str(reading.settings(book)["judged_by"]))


def _before(look: Look) -> tuple[Chosen, str] | None:
    """What this player chose last for a table with these headings, and when."""
    found = tables.chosen_before(doors.book(), look.headings)
    chosen = Chosen.of(found[0]) if found else None
    return (chosen, found[1]) if found and chosen else None


def _suggested(look: Look) -> dict[str, int]:
    bag = _bag()
    ids = {club.id for club in bag}
    is_read_as = _swing_read()
    return suggestions(
        look,
        lambda text: answer_for(text, bag) in ids,
        lambda text: names_a_swing(text) or is_read_as(text) is not None,
    )


def _swing_read() -> Callable[[str], float | None]:
    """What tells which of this player's swings a text names as they are read here."""
    names = _names()
    return lambda text: swing_read(text, names.swings, names.mirrored)


def _names() -> Names:
    return names_of(doors.book(), reader.view()["mirrored"])


def _as_form(chosen: Chosen) -> dict[str, str]:
    places = {f"col-{word}": str(place) for word, place in chosen.columns.items()}
    return {**places, "unit": chosen.unit, "dates": chosen.dates, "decimal": chosen.decimal, "day": chosen.day}


def _bag() -> list[Known]:
    return [Known(club.id, club.name, club.loft_deg) for club in reading.clubs(doors.book())]


def _told() -> dict[str, Any]:
    told = _waiting().told(doors.book().id)
    if not told.get("look"):
        message = "No table waits here: one that nobody goes on with is kept for a day. Nothing was changed."
        raise doors.Refused(404, "not_found", message)
    return told


def _look() -> Look:
    return waiting_table.look_of(_told())


def _waiting() -> WaitingTables:
    return WaitingTables(current_app.config["DATA"])


def _is_large(n_balls: int) -> bool:
    return bool(n_balls > current_app.config["BALLS_AT_ONCE"])


def _is_long(path: Path) -> bool:
    with path.open("rb") as file:
        return is_long_table(file, current_app.config["BALLS_AT_ONCE"])
