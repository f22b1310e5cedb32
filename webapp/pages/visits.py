"""The visits: their list, and one visit with its end in three sentences, its balls, and the way to set it aside.

Knows which book is open; the sentences come from visit_words.py.
"""

from dataclasses import replace
from typing import Any

from flask import Blueprint, Flask, flash, make_response, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from .. import access, units
from ..books import book_card, noting
from ..card.build import build
from ..card.card_words import name_of
from ..card.shots_behind import why_not
from ..days import day
from ..forms.trends import AsideForm
from ..practice import limits, plan_words, scores, visit_words
from ..store import reading

visits = Blueprint("visits", __name__)
_MOST_SHOTS = 5000


def register(app: Flask) -> None:
    """Add the addresses of visits."""
    app.register_blueprint(visits)


@visits.get("/visits")
def show() -> str:
    """All visits, newest first."""
    book, view, now = access.book(), access.view(), access.now()
    found = reading.buckets(book)
    count = limits.struck(found, view["ball_limit"], now)
    return render_template("visits.html", visits=found, day=day, count=count, words=limits.words(count))


@visits.get("/visits/last")
def last() -> Response | str:
    """The last visit that is over, under its own address: the phone keeps it for the day without signal."""
    book, now = access.book(), access.now()
    over = next((one for one in reading.buckets(book, most=10) if not book_card.is_open(one, now)), None)
    if over is None:
        return show()
    response = make_response(_page(over))
    response.headers["Content-Location"] = url_for("visits.one", bucket_id=over["id"])
    return response


@visits.get("/visits/<uuid:bucket_id>")
def one(bucket_id: Any) -> str:
    """One visit: what it says in three sentences, and its balls."""
    return _page(_visit(str(bucket_id)))


@visits.post("/visits/<uuid:bucket_id>/aside")
def set_aside(bucket_id: Any) -> Response | tuple[str, int]:
    """Set a whole visit aside, with a reason, or count it again; its balls are kept either way."""
    found, form = _visit(str(bucket_id)), AsideForm()
    if not form.validate():
        return _page(found, form), 400
    book, now, back = access.book(), access.now(), request.form.get("do") == "back"
    said = book.history(found["id"])[-1]["body"]
    reason = "" if back else (form.reason.data or "").strip()
    body = {**said, "aside": not back, "aside_reason": reason}
    refused = access.note(noting.correction(book, "bucket", found["id"], body, now))
    kept = "The visit counts again." if back else "The visit is set aside: kept, not counted."
    flash(refused[0]["message"] if refused else kept)
    return redirect(url_for("visits.one", bucket_id=found["id"]))


def _page(found: dict[str, Any], form: AsideForm | None = None) -> str:
    book, view, now = access.book(), access.view(), access.now()
    shots = reading.shots_of_bucket(book, found["id"])
    rows = book_card.rows_of(book, now)
    after = build(rows, now, view["mirrored"], found["ball"])
    without = replace(rows, balls=[ball for ball in rows.balls if ball["bucket_id"] != found["id"]], open_buckets=())
    before = build(without, now, view["mirrored"], found["ball"])
    every = reading.shots(book, most=_MOST_SHOTS)
    nines = [nine for nine in scores.nines(reading.buckets(book), every) if nine.struck_at <= _end(shots)]
    said = visit_words.sentences(shots, before, after, nines, view["unit"], view["margin_m"]) if after.cells else []
    in_order = list(reversed(shots))
    fat = sum(shot["contact"] == "fat" for shot in shots)
    return render_template(
        "visit.html",
        visit=found,
        sentences=said,
        shots=in_order,
        groups={
            "nine": [shot for shot in in_order if _why(found, shot) == "nine"],
            "aim": scores.aimed(in_order),
            "strike": [shot for shot in in_order if shot["counted"] and shot["contact"]],
        },
        planned=(plan_words.done(shots), len(found["plan"])),
        wrist=limits.wrist_words(fat, len(shots), found["surface"]),
        card=after,
        name=name_of,
        why_not=lambda shot: why_not(shot, found["ball"]),
        day=day,
        form=form or AsideForm(formdata=None, data={"reason": found["aside_reason"]}),
        unit=view["unit"],
        unit_name=units.UNIT_NAMES[view["unit"]],
    )


def _visit(bucket_id: str) -> dict[str, Any]:
    found = next((one for one in reading.buckets(access.book(), most=100_000) if one["id"] == bucket_id), None)
    if found is None:
        raise access.Refused(404, "not_found", "There is no such visit in your book. Nothing was changed.")
    return found


def _why(visit: dict[str, Any], shot: dict[str, Any]) -> str:
    call = plan_words.call_of(visit["plan"], shot)
    return call.why if call else ""


def _end(shots: list[dict[str, Any]]) -> str:
    return shots[0]["struck_at"] if shots else ""
