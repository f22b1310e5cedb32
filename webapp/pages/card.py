"""The player's card: the numbers, the shots behind each of them, and the card on paper.

Knows which book is open and how its reader likes to read; numbers come from card/build.py, drawings from draw/.
"""

from dataclasses import replace
from typing import Any

from flask import Blueprint, Flask, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from .. import card_only, doors, notes, phone_data, present, reader, unchanged
from ..books import ask_periods, follow_homework, make_facts, read_card, same_wedge
from ..books.known_names import names_of
from ..card import card_words, printed, shots_behind
from ..card.card_data import Card, CardCell, shown
from ..card.card_words import MOST_SENTENCES
from ..card.other_ways import other_ways
from ..card.rows import moves_told
from ..days import day
from ..draw.arm import arm
from ..facts import BALLS
from ..forms.setup import PlainAction
from ..store import estimate_rows, from_coach, reading
from ..units import TEMPERATURE_NAMES, UNIT_NAMES, temperature_shown
from ..views import card_view

card = Blueprint("card", __name__)
PAPERS = {"a4": "A4", "letter": "Letter", "card": "one card a page, 54 × 85.6 mm"}


def register(app: Flask) -> None:
    """Add the card's addresses."""
    app.register_blueprint(card)


@card.get("/card")
def show() -> Response:
    """The dial, the swing table, the yard pole and what stands out."""
    with doors.book().as_of_one_moment():
        return unchanged.or_else(_hangs_on(), _page)


def _hangs_on() -> tuple[object, ...]:
    """What the card's page hangs on: the book's facts, the numbers' moment, the days that it tells of, its settings."""
    book, view, now = doors.book(), reader.view(), card_only.moment()
    made_of = read_card.made_of(book, now, view["mirrored"], reader.asked_ball())
    days = [reader.own_clock(moment)[:10] for moment in (now, present.now())]
    return book.id, book.state(), made_of, days


def _page() -> str:
    view = reader.view()
    today = _today()
    other = next((ball for ball in BALLS if ball != today.ball and estimate_rows.has_balls(doors.book(), ball)), "")
    return render_template(
        "card.html",
        **_lines(today, view),
        unit_names=UNIT_NAMES,
        card_only=view["card_only"],
        old=card_words.old_enough_to_check(shown(today)),
        printed=_printed(today),
        other_ball=other,
        other_ball_at=url_for("card.show", ball=None if other == view["ball"] else other),
        asked_ball=reader.asked_ball(),
        page_data=phone_data.card_numbers(doors.book(), view, today),
    )


@card.post("/card/shown")
def choose() -> Response:
    """Keep which numbers the card shows; hidden ones are kept and still follow balls."""
    if not PlainAction().validate():
        flash("The form was too old. Nothing was changed.")
        return redirect(url_for("card.show"))
    chosen = set(request.form.getlist("cell"))
    hidden = sorted(cell.key for cell in _today().cells.values() if cell.key not in chosen)
    notes.note(make_facts.setting(doors.book(), "hidden_cells", hidden, present.now()))
    flash("Kept. Hidden numbers still follow your balls." if hidden else "Kept.")
    return redirect(url_for("card.show", ball=reader.asked_ball()))


@card.get("/card/<uuid:club_id>/<swing>")
@doors.as_of_one_moment
def behind(club_id: Any, swing: str) -> str:
    """The shots behind one number, with their plain figures."""
    view, today, swing_deg, asked = reader.view(), _today(), _degrees(swing), reader.asked_ball()
    place = (str(club_id), swing_deg)
    cell, shots = today.cells.get(place), reading.shots_of_cell(doors.book(), *place)
    clubs, heir = reading.every_club(doors.book()), same_wedge.in_their_places(doors.book()).get(place[0], "")
    # The balls of a withdrawn wedge went with it to the one in its place.
    went = place[0] in reading.withdrawn_clubs(doors.book()) and (heir, swing_deg) in today.cells
    if cell is None and not (went or (shots and place[0] in clubs)):
        raise doors.Refused(404, "not_found", "There is no such number on your card. Nothing was changed.")
    before = clubs[place[0]].follows
    return render_template(
        "cell.html",
        back=url_for("card.show", ball=asked),
        shown=card_view.view_of(today, view["unit"], view["mirrored"], _link),
        cell=cell,
        name=names_of(doors.book(), view["mirrored"]).cell(place),
        arm=arm(swing_deg, view["mirrored"]),
        behind=shots_behind.behind(shots, today.ball, reading.MOST_SHOTS_A_CELL),
        ways=other_ways(shots, cell, today.ball) if cell else (),
        moved_on=reader.day_struck(moved_at) if cell and (moved_at := moves_told(view).get(cell.key)) else "",
        heir=url_for("card.behind", club_id=heir, swing=swing, ball=asked) if (heir, swing_deg) in today.cells else "",
        past=url_for("card.behind", club_id=before, swing=swing, ball=asked)
        if before and reading.shots_of_cell(doors.book(), before, swing_deg, most=1)
        else "",
        day=day,
        why_not=shots_behind.why_not,
        remarks=[
            one
            for one in from_coach.remarks(doors.book())
            if (one["club_id"], one["swing_deg"]) == place and not one["aside"]
        ],
    )


@card.get("/print")
@doors.as_of_one_moment
def on_paper() -> str:
    """The card as two faces and the shaft labels, at true size."""
    view, today = reader.view(), _today()
    paper = request.args.get("paper", "a4")
    mirrored, unit = view["mirrored"], view["unit"]
    foot = " · ".join((UNIT_NAMES[unit], f"{view['hand']}-handed", f"{today.ball} balls", day(today.local_as_of)))
    return render_template(
        "print.html",
        **card_view.on_paper(today, unit, mirrored, _home_air(view), foot),
        paper=paper if paper in PAPERS else "a4",
        papers=PAPERS,
        asked_ball=reader.asked_ball(),
        printed=_printed(today),
        printed_lines=printed.words_of(card_view.cut_into_faces(today), unit),
    )


@card.post("/print")
def was_printed() -> Response:
    """Remember what the page had laid out, whatever the card says by now, so that it can tell where paper is behind."""
    doors.book()  # a phone that may open none is told so before its form is read
    lines = request.form.getlist("line")
    if not PlainAction().validate():
        flash("The form was too old. Nothing was changed.")
        return redirect(url_for("card.on_paper", ball=reader.asked_ball()))
    if not printed.is_fit(lines):
        flash("What is on the paper could not be read. Nothing was changed; lay the card out again.")
        return redirect(url_for("card.on_paper", ball=reader.asked_ball()))
    now = present.now()
    notes.note(*(make_facts.fact("note", {"words": words, "about": printed.ABOUT}, now) for words in lines))
    flash("Kept. The card page says when a number on paper is no longer today’s.")
    return redirect(url_for("card.show", ball=reader.asked_ball()))


def _lines(today: Card, view: dict[str, Any]) -> dict[str, Any]:
    """The card and what it says first: what happened since, and where there is room what one may trust least."""
    first = ask_periods.first_lines(doors.book(), today, view, reader.own_clock(present.now()))
    offered = follow_homework.current(follow_homework.followed(doors.book()))
    homework = [(f"Homework: {offered.progress.words(view['unit'])}.", url_for("homework.show"))] if offered else []
    shown = card_view.view_of(today, view["unit"], view["mirrored"], _link)
    lines = first.lines[: MOST_SENTENCES - len(homework)]
    if lines:
        least = card_words.least_trusted(today)
        shown["sentences"] = [least] if least and len(lines) + len(homework) < MOST_SENTENCES else []
    return {
        "shown": shown,
        "homework_lines": homework,
        "lines": lines,
        "balls_at": lambda **more: url_for("periods.balls", **{**first.question, **more}),
    }


def _today() -> Card:
    made = read_card.card_of(doors.book(), card_only.moment(), reader.view()["mirrored"], reader.asked_ball())
    return replace(made, utc_offset_min=reader.ahead_min())  # the day of whoever reads it, not of the last ball


def _link(cell: CardCell) -> str:
    return url_for("card.behind", club_id=cell.club_id, swing=f"{cell.swing_deg:g}", ball=reader.asked_ball())


def _home_air(view: dict[str, Any]) -> str:
    """What is printed after the day: the temperature at home that the numbers are for, where it was said."""
    home_c, unit = view["home_temperature_c"], view["temperature_unit"]
    return "" if home_c is None else f" · {temperature_shown(home_c, unit)} {TEMPERATURE_NAMES[unit]}"


def _degrees(swing: str) -> float:
    try:
        return float(swing)
    except ValueError:
        return -1.0


def _printed(today: Card) -> dict[str, str]:
    """What is said of the latest paper of the kind of ball in view, by whether it "differs" or is the "same"."""
    papers: dict[str, list[str]] = {}
    for note in reading.notes(doors.book(), printed.ABOUT):
        papers.setdefault(note["made_at"], []).append(note["words"])
    read = ((made_at, printed.read(words)) for made_at, words in papers.items())
    made_at, paper = next(
        ((at, one) for at, one in read if one and (one.ball or reader.view()["ball"]) == today.ball), ("", None)
    )
    if paper is None:
        return {}
    places = printed.differing(shown(today), paper)
    when = reader.own_day()(made_at)
    if not places:
        return {"same": f"Your printed card of {when} says the same."}
    return {"differs": f"Your printed card of {when} differs in {card_words.count(places, 'place')}."}
