"""The bucket: what the landing patch needs to know, and the same deeds as plain forms without a script.

Knows forms, facts and the card's typical carries; what a touch becomes is decided in static/pages/.
"""

from decimal import Decimal
from typing import Any

from flask import Blueprint, Flask, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from .. import doors, notes, phone_data, present, reader, units
from ..books import make_facts, read_card
from ..card.card_data import Card, CardSwing
from ..card.card_words import count
from ..facts import LANDED_WORDS, LIES
from ..forms.bucket import BucketForm, ShotForm
from ..forms.setup import BALL_KINDS, JUDGES, PlainAction
from ..practice.plan_words import Call, written
from ..store import reading

bucket = Blueprint("bucket", __name__)
FIRST_TASK_BALLS = 5
FIRST_TASK_DEG = 90.0


def register(app: Flask) -> None:
    """Add the bucket's addresses."""
    app.register_blueprint(bucket)


@bucket.get("/bucket")
def show() -> str:
    """The open bucket, or the form that starts one."""
    with doors.book().as_of_one_moment():
        return _page()


@bucket.post("/bucket/start")
def start() -> Response | tuple[str, int]:
    """Begin a bucket: as last time, with the first task, or as the form says."""
    doing, last = request.form.get("do", "start"), _last_bucket()
    form = BucketForm(lengths_in=reader.view()["unit"])
    if doing == "same" and last:
        body = {name: last[name] for name in phone_data.LASTING}
    elif form.validate():
        body = form.body()
        if doing == "task":
            body["plan"] = _first_task(_card(body["ball"]))
    else:
        return _page(form=form), 400
    body["utc_offset_min"] = reader.ahead_min()  # without a script, by the clock that the phone told last
    return _noted(make_facts.fact("bucket", body, present.now()), "The bucket is open.")


@bucket.post("/bucket/shot")
def note_shot() -> Response | tuple[str, int]:
    """Note one ball that was typed."""
    opened = _open_bucket()
    if opened is None:
        raise doors.Refused(409, "no_bucket", "No bucket is open, so this ball was not noted. Start one first.")
    form = _shot_form(_card(opened["ball"]))
    if not form.validate():
        return _page(shot_form=form), 400
    return _noted(make_facts.fact("shot", _shot_body(form, opened), present.now()), "The ball is noted.")


@bucket.post("/bucket/end")
def end() -> Response:
    """End the open bucket and show what the visit says; ending it twice does nothing more."""
    opened = _open_bucket()
    if not (PlainAction().validate() and opened):
        return redirect(url_for("bucket.show"))
    notes.change("bucket", [opened["id"]], ended_at=present.now())
    flash(f"The bucket has ended: {count(opened['n'], 'ball')} noted.")
    return redirect(url_for("visits.one", bucket_id=opened["id"]))


def _page(form: BucketForm | None = None, shot_form: ShotForm | None = None) -> str:
    view, opened, last = reader.view(), _open_bucket(), _last_bucket()
    card = _card((opened or last or {"ball": view["ball"]})["ball"])
    first_task = _first_task(card) if card.clubs else []
    data = phone_data.bucket(doors.book(), view, card, last, first_task, present.now(), reader.ahead_min())
    return render_template(
        "bucket.html",
        data=data,
        open=opened is not None,
        form=form or BucketForm(formdata=None, data={**view, **(last or {})}),
        shot_form=shot_form or _shot_form(card, fresh=True),
        last_words=_last_words(last) if last else "",
        task_words=_task_words(card),
        shots=_last_shots(opened),
        lies=LIES,
        has_recovery=doors.directory().has_recovery(doors.book().id),
        unit_name=units.UNIT_NAMES[view["unit"]],
    )


def _first_task(card: Card) -> list[str]:
    """The plan of the first bucket of an empty book: one length of swing, each wedge, a few balls each."""
    swing_deg = _first_swing(card).swing_deg
    calls = [Call(club.id, swing_deg, "swing", why="task") for club in card.clubs for _ in range(FIRST_TASK_BALLS)]
    return [written(call) for call in calls]


def _task_words(card: Card) -> str:
    """What the first task is, with the swing as this player reads or names it."""
    if not card.swings:
        return ""
    name = _first_swing(card).name
    return f"{name}, each wedge, {FIRST_TASK_BALLS} balls: the shortest way to a card of your own."


def _first_swing(card: Card) -> CardSwing:
    return min(card.swings, key=lambda swing: abs(swing.swing_deg - FIRST_TASK_DEG))


def _card(ball: str) -> Card:
    return read_card.card_of(doors.book(), present.now(), reader.view()["mirrored"], ball)


def _open_bucket() -> dict[str, Any] | None:
    return read_card.open_bucket(doors.book(), present.now())


def _last_bucket() -> dict[str, Any] | None:
    return next(iter(reading.buckets(doors.book(), most=1)), None)


def _last_words(last: dict[str, Any]) -> str:
    judged = JUDGES[last["judged_by"]]
    words = [last["place"], last["surface"], BALL_KINDS[last["ball"]], f"judged {judged}"]
    return ", ".join(word for word in words if word)


def _last_shots(opened: dict[str, Any] | None) -> list[str]:
    """The last five balls in words, for the page without a script."""
    if opened is None:
        return []
    unit = reader.view()["unit"]
    shots = reading.shots_of_bucket(doors.book(), opened["id"])[:5]
    ends = [
        units.whole(shot["raw_carry_m"], unit) if shot["landed"] == "seen" else LANDED_WORDS[shot["landed"]]
        for shot in shots
    ]
    return [f"{end} {shot['contact']}".strip() for end, shot in zip(reversed(ends), reversed(shots), strict=True)]


def _shot_form(card: Card, fresh: bool = False) -> ShotForm:
    form = ShotForm(formdata=None) if fresh else ShotForm(lengths_in=reader.view()["unit"])
    form.club_id.choices = {club.id: club.name for club in card.clubs}
    form.swing_deg.choices = {f"{swing.swing_deg:g}": swing.name for swing in card.swings}
    return form


def _shot_body(form: ShotForm, opened: dict[str, Any]) -> dict[str, Any]:
    called = {"club_id": form.club_id.data, "swing_deg": float(form.swing_deg.data), "mode": form.mode.data}
    before = next(iter(reading.shots_of_bucket(doors.book(), opened["id"])), None)
    judged = form.judged_by.data
    same = before is not None and all(before[name] == value for name, value in called.items())
    return {
        "bucket_id": opened["id"],
        **called,
        "meant_carry_m": _metres(form.meant_carry.data),
        "carry_m": _metres(form.carry.data) if form.landed.data == "seen" else None,
        "landed": form.landed.data,
        "contact": form.contact.data,
        "judged_by": judged or opened["judged_by"],
        "judged_apart": bool(judged) and judged != opened["judged_by"],
        "lie": form.lie.data,
        "flight": form.flight.data,
        "roll_m": _metres(form.roll.data),
        "course": reader.view()["card_only"],  # during a round a ball is a course note and moves no number
        "run_index": (before["run_index"] or 1) + 1 if before and same else 1,
    }


def _metres(length: Decimal | None) -> float | None:
    return None if length is None else units.to_m(float(length), reader.view()["unit"])


def _noted(fact: dict[str, Any], sentence: str) -> Response:
    refused = notes.note(fact)
    flash(refused[0]["message"] if refused else sentence)
    return redirect(url_for("bucket.show"))
