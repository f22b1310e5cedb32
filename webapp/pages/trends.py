"""What changed: the plots, each with its table, and the marks that part a before from an after.

Knows which book is open; series come from trends/series.py, drawings from draw/charts.py, kept until the book changes.
"""

from collections.abc import Callable
from functools import partial
from itertools import chain
from typing import Any

from flask import Blueprint, Flask, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from .. import doors, notes, present, reader, units
from ..books import make_facts, read_card
from ..books.kept_book import kept
from ..card.balls import aimed_of, struck_of
from ..card.card_data import Card, CellKey, cell_key
from ..card.card_words import band_of, name_of, percent, plain_tenths, signed_tenths, stretch, trust_of
from ..card.rows import moves_told
from ..card.strike import strikes
from ..days import day, day_in
from ..draw.svg import Svg
from ..estimate.gaps import UNCOVERED_M
from ..facts import BALLS, CONTACTS, SURFACES
from ..fields import is_uuid
from ..forms.setup import PlainAction
from ..forms.trends import MarkForm
from ..moments import local
from ..practice import scores
from ..store import reading
from ..trends import series, trend_rows
from ..trends.day_luck import day_variance
from ..trends.places import place_apart

trends = Blueprint("trends", __name__)


def register(app: Flask) -> None:
    """Add the addresses of trends."""
    app.register_blueprint(trends)


@trends.get("/trends")
def show() -> str:
    """Every plot with its table."""
    with doors.book().as_of_one_moment():
        return _page()


@trends.post("/trends/marks")
def mark() -> Response | tuple[str, int]:
    """Keep a mark on a day."""
    form, now = MarkForm(), present.now()
    # A visit of this morning, before the flight, may be of a day that the phone has yet to show.
    by_the_last_ball = local(now, reading.utc_offset_min(doors.book()))
    if form.validate() and form.on.data.isoformat() > max(reader.own_clock(now), by_the_last_ball)[:10]:
        form.on.errors = ["This day is still to come: a mark is set on a day that has been, or today."]
    if form.errors:
        with doors.book().as_of_one_moment():
            return _page(form), 400
    on = f"{form.on.data.isoformat()}T00:00:00.000Z"
    body = {"what": form.what.data, "words": (form.words.data or "").strip(), "on": on, **_parted_at()}
    fact = make_facts.fact("mark", body, now)
    refused = notes.note(fact)
    flash(refused[0]["message"] if refused else "The mark is kept.")
    return redirect(url_for("trends.before_after", mark_id=fact["id"]) if not refused else url_for("trends.show"))


@trends.post("/trends/marks/<uuid:mark_id>/remove")
def remove_mark(mark_id: Any) -> Response:
    """Take a mark off; the balls on both sides of it stay."""
    if PlainAction().validate():
        found = _mark(str(mark_id))
        notes.note(make_facts.withdrawn(doors.book(), "mark", found["id"], present.now()))
        flash("The mark is taken off. No ball was touched.")
    return redirect(url_for("trends.show") + "#marks")


@trends.post("/trends/moved")
def moved() -> Response:
    """Keep since when a number is another one, so that older balls tell less of it; or take that back."""
    key, told = request.form.get("cell", ""), moves_told(reader.view())
    if not PlainAction().validate():
        flash("The form was too old. Nothing was changed.")
    elif request.form.get("do") == "back" and key in told:
        _keep_moves({cell: moment for cell, moment in told.items() if moment != told[key]})
        flash("It counts as the same number again, with all its balls.")
    elif (begun := _begun(key, request.form.get("since", ""))) and (keys := _as_far_as(key, request.form.get("do"))):
        _keep_moves({**told, **dict.fromkeys(keys, begun)})
        since = reader.day_struck(begun)
        flash(f"Balls from before {since} now tell what it was. They are kept, and this can be taken back.")
    else:
        flash("There is no such number or visit, so nothing was changed.")
    return redirect(url_for("trends.show", cell=key, _anchor="number"))


@trends.get("/trends/marks/<uuid:mark_id>")
def before_after(mark_id: Any) -> Response:
    """Before and after a mark is a question of two periods."""
    return redirect(url_for("periods.show", what="lesson", mark=_mark(str(mark_id))["id"]))


def kept_plot(made_of: read_card.MadeOf, unit: str, what: tuple[Any, ...], draw: Callable[[], Svg]) -> Svg:
    """A drawing, kept for as long as what the card's numbers hang on and the reader's unit stay the same."""
    return kept(doors.book(), ("plot", unit, made_of, what), draw)


def _page(form: MarkForm | None = None) -> str:
    book, view, now = doors.book(), reader.view(), present.now()
    clock = reader.own_clock(now)
    ball = request.args.get("ball")
    made = read_card.estimate_of(book, now, view["mirrored"], ball if ball in BALLS else None)
    today = made.card
    shots = reading.shots(book, most=reading.MOST_SHOTS)
    balls = struck_of(shots, today.ball)
    counted = _by_cell([ball for ball in balls if ball["counted"]])
    told_moves = moves_told(view)
    ways = series.ways_out(made.pooled) if made.pooled else {}
    sigma = {place: cell.spread_m / cell.typical_carry_m for place, cell in today.cells.items()}
    before = chain.from_iterable(series.before_last(own) for own in counted.values())
    of_a_day = day_variance([before], sigma, today.mishits)
    numbers = {
        place: series.number_series(
            place, counted.get(place, []), sigma[place], told_moves.get(cell.key, ""), ways, today.mishits, of_a_day
        )
        for place, cell in today.cells.items()
    }
    chosen = _chosen(today, numbers)
    told, by_visit = strikes(balls, view["margin_m"]), series.strike_series(balls)
    aimed = aimed_of(balls)
    marks = reading.marks(book)
    unit = view["unit"]
    keep = partial(kept_plot, read_card.made_of(book, now, view["mirrored"]), unit)
    plots = _plots(keep, today, numbers.get(chosen) if chosen else None, by_visit, aimed, told, marks, unit)
    rung = series.ringing(made.pooled) if made.pooled else []
    return render_template(
        "trends.html",
        card=today, numbers=numbers, chosen=chosen, plots=plots, by_visit=by_visit, told=told,
        misses={band.low_m: scores.miss(aimed, band.low_m, band.high_m) for band in told.bias},
        miss=scores.miss(aimed), runs=scores.runs(balls), pull=scores.pull(balls),
        nine=scores.nine_words(scores.nines(reading.buckets(book), shots)),
        apart=place_apart(balls, made.pooled, ways, today.mishits) if made.pooled else None,
        marks=marks, form=form or MarkForm(formdata=None), rung=rung,
        name=name_of, band_of=band_of, percent=percent, plain_tenths=plain_tenths,
        signed_tenths=signed_tenths, trust_of=trust_of, day=day,
        verdict_words=series.verdict_words, contacts=CONTACTS, unit=unit, unit_name=units.UNIT_NAMES[unit],
        twins=_twins(today), stretch=stretch, reach_m=UNCOVERED_M,
        short_day=lambda moment: day_in(moment, clock),
        moved_on=reader.day_struck,
        moves=list(told_moves.values()),
        may_have_moved=chosen is not None and series.may_have_moved(numbers[chosen], rung),
    )  # fmt: skip


def _parted_at() -> dict[str, str]:
    """The bucket or the ball from which it is "after" the mark, as the form names it; {} for the day alone."""
    kind, _, named = request.form.get("after", "").partition(" ")
    if not is_uuid(named):
        return {}
    if kind == "ball" and (ball := reading.shot(doors.book(), named)):
        return {"bucket_id": ball["bucket_id"], "shot_id": ball["id"]}
    return {"bucket_id": named} if kind == "bucket" and reading.buckets_of_visit(doors.book(), named) else {}


def _keep_moves(moves: dict[str, str]) -> None:
    words = [f"{key} {moment}" for key, moment in sorted(moves.items())]
    notes.note(make_facts.setting(doors.book(), "moved_cells", words, present.now()))


def _as_far_as(key: str, asked: str | None) -> list[str]:
    """The keys of the numbers a move is told of: every one, those of the same club, or one alone."""
    today = read_card.card_of(doors.book(), present.now(), reader.view()["mirrored"])
    every = [cell.key for cell in today.cells.values()]
    return [
        other for other in every if other == key or asked == "all" or (asked == "club" and _club(other) == _club(key))
    ]


def _club(key: str) -> str:
    return key.rpartition(":")[0]


def _begun(key: str, visit_id: str) -> str:
    """When the first ball of a visit with balls of this cell was struck; "" where there is no such cell or visit."""
    balls = reading.shots_of_visit(doors.book(), visit_id) if is_uuid(visit_id) else []
    struck_here = any(cell_key(ball["club_id"], ball["swing_deg"]) == key for ball in balls)
    return min(ball["struck_at"] for ball in balls) if struck_here else ""


def _plots(
    keep: Callable[[tuple[Any, ...], Callable[[], Svg]], Svg], today: Card, numbers: series.NumberSeries | None,
    by_visit: list[series.VisitStrike], aimed: list[Any], told: Any, marks: list[dict[str, Any]], unit: str,
) -> dict[str, Svg]:  # fmt: skip
    """The drawings for which there is something to draw, by name."""
    from ..draw import charts

    found: dict[str, Svg] = {}
    if numbers and len(numbers.visits) > 1:
        name = name_of(today, numbers.cell)
        found["number"] = keep(
            ("number", today.ball, numbers.cell),
            lambda: charts.number_over_visits(
                trend_rows.number(numbers, unit), trend_rows.marks(marks, numbers), unit,
                trend_rows.number_said(numbers, name, unit),
            ),
        )  # fmt: skip
    if len(by_visit) > 1:
        said = trend_rows.strike_said(by_visit, unit)
        found["strike"] = keep(
            ("strike", today.ball),
            lambda: charts.strike_over_visits(trend_rows.strike(by_visit, unit), unit, said),
        )
    if len(aimed) > 1:
        said_aim = trend_rows.aim_said(told, len(aimed), unit)
        found["aim"] = keep(
            ("aim", today.ball),
            lambda: charts.meant_against_real(*trend_rows.aim(aimed, told, unit), unit, said_aim),
        )
    if today.cells:
        clubs = [club.name for club in today.clubs]
        found["coverage"] = keep(
            ("coverage", today.ball),
            lambda: charts.coverage(
                *trend_rows.coverage(today, unit), clubs, unit, trend_rows.coverage_said(today, unit)
            ),
        )
    shares = {surface: told.by_surface[surface] for surface in SURFACES if surface in (told.by_surface or {})}
    if shares:
        found["contacts"] = keep(
            ("contacts", today.ball),
            lambda: charts.contacts_by_surface(trend_rows.contacts(shares), trend_rows.contacts_said(shares)),
        )
    return found


def _chosen(today: Card, numbers: dict[CellKey, series.NumberSeries]) -> CellKey | None:
    """The cell asked for, else the one with the most visits."""
    asked = request.args.get("cell")
    found = next((place for place, cell in today.cells.items() if cell.key == asked), None)
    return found or max(numbers, key=lambda place: (len(numbers[place].visits), today.cells[place].n), default=None)


def _twins(today: Card) -> dict[CellKey, list[str]]:
    found: dict[CellKey, list[str]] = {}
    for pair in today.twins:
        for one, other in ((pair.first, pair.second), (pair.second, pair.first)):
            found.setdefault(one, []).append(name_of(today, other))
    return found


def _by_cell(balls: Any) -> dict[CellKey, list[Any]]:
    found: dict[CellKey, list[Any]] = {}
    for ball in balls:
        found.setdefault((ball["club_id"], ball["swing_deg"]), []).append(ball)
    return found


def _mark(mark_id: str) -> dict[str, Any]:
    found = next((one for one in reading.marks(doors.book()) if one["id"] == mark_id), None)
    if found is None:
        raise doors.Refused(404, "not_found", "There is no such mark in your book. Nothing was changed.")
    return found
