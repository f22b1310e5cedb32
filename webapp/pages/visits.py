"""The visits: their list, and one visit with what it says in three sentences, its balls, and the ways to put it right
or to set it aside.

Knows which book is open; the sentences come from visit_words.py.
"""

from collections import Counter
from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal
from typing import Any

from flask import Blueprint, Flask, flash, make_response, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from .. import card_only, doors, notes, phone_data, present, reader
from ..books import read_card
from ..books.known_names import names_of
from ..books.told_twice import told_twice
from ..card.build import build
from ..card.card_words import count
from ..card.shots_behind import why_not
from ..days import day
from ..forms.bucket import BucketCorrection
from ..forms.numbers import in_box
from ..forms.setup import PlainAction
from ..forms.trends import WHATS, AsideForm
from ..practice import limits, plan_words, scores, visit_words
from ..store import estimate_rows, reading
from ..units import UNIT_NAMES, from_degc

visits = Blueprint("visits", __name__)

Visit = list[dict[str, Any]]


def register(app: Flask) -> None:
    """Add the addresses of visits."""
    app.register_blueprint(visits)


@visits.get("/visits")
@doors.as_of_one_moment
def show() -> str:
    """The latest visits, newest first, or those before a moment: a page at a time."""
    book, view, now = doors.book(), reader.view(), present.now()
    found = reading.visits(book, before=request.args.get("before", ""))
    oldest = found[-1][0]["begun_at"] if found else ""
    earlier = url_for("visits.show", before=oldest) if oldest and reading.buckets(book, 1, oldest) else ""
    struck = limits.struck(reading.buckets(book), view["ball_limit"], now, reader.ahead_min())
    told = limits.words(struck)
    return render_template(
        "visits.html", visits=found, earlier=earlier, day=day, count=count, struck=struck, words=told
    )


@visits.get("/visits/last")
@doors.as_of_one_moment
def last() -> Response | str:
    """The last visit that is over, under its own address: the phone keeps it for the day without signal."""
    book, now = doors.book(), present.now()
    over = next((one for one in reading.visits(book, most=40) if read_card.is_over(one, now)), None)
    if over is None:
        return show()
    response = make_response(_page(over))
    response.headers["Content-Location"] = url_for("visits.one", bucket_id=over[0]["id"])
    return response


@visits.get("/visits/<uuid:bucket_id>")
@doors.as_of_one_moment
def one(bucket_id: Any) -> str:
    """One visit, named by any of its buckets: what it says in three sentences, and its balls."""
    return _page(_visit(str(bucket_id)))


@visits.post("/visits/<uuid:bucket_id>/aside")
def set_aside(bucket_id: Any) -> Response | tuple[str, int]:
    """Set a visit or one of its buckets aside, with a reason, or count it again; its balls are kept either way."""
    card_only.hold()
    found, form = _visit(str(bucket_id)), AsideForm()
    if not form.validate():
        return _page(found, form), 400
    back, which = request.form.get("do") == "back", request.form.get("which", "")
    chosen = [bucket for bucket in found if bucket["id"] == which] or found
    reason = "" if back else (form.reason.data or "").strip()
    _keep(chosen, aside=not back, aside_reason=reason)
    what = "visit" if len(chosen) == len(found) else "bucket"
    flash(f"The {what} counts again." if back else f"The {what} is set aside: kept, not counted.")
    return redirect(url_for("visits.one", bucket_id=bucket_id))


@visits.post("/visits/<uuid:bucket_id>/indoor")
def let_in(bucket_id: Any) -> Response:
    """Let a visit's indoor estimates count for the card, or leave them out again."""
    card_only.hold()
    found = [bucket for bucket in _visit(str(bucket_id)) if bucket["monitor_note"] == "indoor"]
    if PlainAction().validate():
        counts = request.form.get("do") != "out"
        _keep(found, indoor_counts=counts)
        flash("The indoor estimates count for the card." if counts else "The indoor estimates do not count.")
    return redirect(url_for("visits.one", bucket_id=bucket_id))


@visits.post("/visits/<uuid:bucket_id>/right")
def correct(bucket_id: Any) -> Response | tuple[str, int]:
    """Put right what was said of one bucket: it holds for its balls, but for what was said of a single one."""
    card_only.hold()
    found = _visit(str(bucket_id))
    bucket = next(one for one in found if one["id"] == str(bucket_id))
    form = BucketCorrection(lengths_in=reader.view()["unit"])
    if not form.validate():
        return _page(found, corrected={bucket["id"]: form}), 400
    # What was said meanwhile as it is said here is not said anew.
    said = {name: value for name, value in form.changed(_correction_form(bucket)).items() if value != bucket[name]}
    if "judged_by" in said:
        said["judged_was"] = bucket["judged_was"] or bucket["judged_by"]
    if said:
        notes.change("bucket", [bucket["id"]], **said)
    flash("Kept: the bucket is put right." if said else "Nothing differs, so nothing was changed.")
    return redirect(url_for("visits.one", bucket_id=bucket_id))


def _keep(buckets: Visit, **fields: Any) -> None:
    notes.change("bucket", (bucket["id"] for bucket in buckets), **fields)


def _correction_form(bucket: dict[str, Any]) -> BucketCorrection:
    """The form as a bucket stands."""
    view = reader.view()
    form = BucketCorrection(formdata=None, data={**bucket, "temperature_unit": view["temperature_unit"]})
    form.bay_offset.data, temperature_c = in_box(bucket["bay_offset_m"], view["unit"]), bucket["temperature_c"]
    if temperature_c is not None:
        form.temperature.data = Decimal(f"{round(from_degc(temperature_c, view['temperature_unit']), 1):g}")
    return form


def _page(found: Visit, form: AsideForm | None = None, corrected: Mapping[str, BucketCorrection] | None = None) -> str:
    book, view, now = doors.book(), reader.view(), present.now()
    visit_id = found[0]["id"]
    shots = reading.shots_of_visit(book, visit_id)
    ball = Counter(shot["ball"] for shot in shots).most_common(1)[0][0] if shots else found[0]["ball"]
    after, rows = read_card.card_of(book, now, view["mirrored"], ball), read_card.rows_of(book, now)
    # Read anew, not taken from the rows: without this visit balls that it pushed out are among the latest again.
    without = replace(rows, balls=estimate_rows.cell_balls(book, now, visit_id), open_buckets=())
    before = build(without, read_card.numbers_moment(book, now), view["mirrored"], ball, for_phone=False)
    every = reading.shots(book, most=reading.MOST_SHOTS)
    end = shots[0]["struck_at"] if shots else ""
    nines = [nine for nine in scores.nines(reading.buckets(book), every) if nine.struck_at <= end]
    said = visit_words.sentences(shots, before, after, nines, view["unit"], view["margin_m"]) if after.cells else []
    in_order = list(reversed(shots))
    aimed_from, listed = visit_words.balls_behind(in_order, ball)
    plans = {bucket["id"]: bucket["plan"] for bucket in found}
    on_mats = [shot for shot in shots if shot["surface"] == "mat"]
    return render_template(
        "visit.html",
        visit=found,
        ball_kind=ball,
        sentences=said,
        left_out=visit_words.left_out(shots, ball),
        shots=in_order,
        groups={
            "nine": [shot for shot in in_order if _why(plans, shot) == "nine" and not shot["aside"]],
            **listed,
        },
        aimed_from=aimed_from,
        planned=lambda bucket: len(plan_words.struck(_of(shots, bucket))),
        bucket_words=lambda bucket: visit_words.bucket_words(bucket, view["unit"], view["temperature_unit"]),
        n_twice=_n_twice(found, now),
        wrist=limits.wrist_words(sum(shot["contact"] == "fat" for shot in on_mats), len(on_mats), "mat"),
        card=after,
        as_of=reader.own_day()(now),
        names=names_of(book, view["mirrored"]),
        why_not=lambda shot: why_not(shot, ball),
        day=day,
        count=count,
        mark_whats=WHATS,
        corrections=[(bucket, (corrected or {}).get(bucket["id"]) or _correction_form(bucket)) for bucket in found],
        held=card_only.held(),
        places=phone_data.places_of(reading.buckets(book)),
        form=form or AsideForm(formdata=None, data={"reason": found[0]["aside_reason"]}),
        unit=view["unit"],
        unit_name=UNIT_NAMES[view["unit"]],
    )


def _visit(bucket_id: str) -> Visit:
    found = reading.buckets_of_visit(doors.book(), bucket_id)
    if not found:
        raise doors.Refused(404, "not_found", "There is no such visit in your book. Nothing was changed.")
    return found


def _n_twice(found: Visit, now: str) -> int:
    """How many of a visit's balls came with a table and were told by a phone too, but later."""
    twice = told_twice(doors.book(), now) if any(bucket["table_id"] for bucket in found) else {}
    return sum(ball["visit_id"] == found[0]["visit_id"] for balls in twice.values() for ball in balls)


def _of(shots: list[dict[str, Any]], bucket: dict[str, Any]) -> list[dict[str, Any]]:
    return [shot for shot in shots if shot["bucket_id"] == bucket["id"]]


def _why(plans: dict[str, list[str]], shot: dict[str, Any]) -> str:
    call = plan_words.call_of(plans[shot["bucket_id"]], shot)
    return call.why if call else ""
