"""Practice: how many balls, the plan that makes of them and why, and a bucket started with it.

Knows forms and facts; plans come from practice/plans.py; a phone starts a planned bucket itself.
"""

import re
from typing import Any, NamedTuple

from flask import Blueprint, Flask, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from .. import doors, notes, phone_data, present, reader, units
from ..books import follow_homework, make_facts, read_card
from ..books.plan_practice import SIZES, Planner
from ..card.card_words import name_of
from ..days import day, weekday
from ..forms.bucket import BucketForm
from ..forms.practice import OtherPlanForm
from ..moments import moment_of
from ..practice import limits, plan_words, plans
from ..practice.plans import Wish
from ..store import reading

practice = Blueprint("practice", __name__)
USUAL_BALLS = 40


class Running(NamedTuple):
    """A plan that runs in the open bucket: how many balls were struck there, how many are left of it, their words."""

    struck: int
    left: int
    words: list[str]


def register(app: Flask) -> None:
    """Add the addresses of practice."""
    app.register_blueprint(practice)


@practice.get("/practice")
def show() -> str | tuple[str, int]:
    """The plans for the usual sizes of a bucket, the rest of a stopped one, the nine and the spring check."""
    other = OtherPlanForm(request.args)
    return _page(other=other) if other.validate() else (_page(other=other), 400)


@practice.post("/practice/start")
def start() -> Response | tuple[str, int]:
    """Start a bucket with a plan, or give the plan to the bucket that is open."""
    planner, what = _planner(), request.form.get("do", "")
    refused = _nine_refused(planner) if what in ("nine", "homework-nine") else ""
    words = [] if refused else _words(planner, what)
    if not words:
        flash(refused or "There is no such plan now, so nothing was started.")
        return _page(), 409
    form = BucketForm(lengths_in=reader.view()["unit"])
    opened = read_card.open_bucket(doors.book(), present.now())
    if not (form.csrf_token.validate(form) if opened else form.validate()):
        return _page(form), 400
    _plan(form, opened, words)
    flash(f"The plan is in the bucket: {len(words)} balls are called one after the other.")
    return redirect(url_for("bucket.show"))


@doors.as_of_one_moment
def _page(form: BucketForm | None = None, other: OtherPlanForm | None = None) -> str:
    planner, view, book, now = _planner(), reader.view(), doors.book(), present.now()
    opened = read_card.open_bucket(book, now)
    buckets = reading.buckets(book)
    last = next(iter(buckets), None)
    stopped = planner.stopped()
    accepted = follow_homework.followed(book)
    offer = follow_homework.offered(accepted, planner.bag, planner.swings)
    balls, wish = _balls(), _wish(planner)
    asked = sorted({*SIZES, balls}) if planner.card.cells else []
    sizes = {size: planner.bucket(size, wish) for size in asked}
    # What is left of homework is offered once, as homework.
    told = stopped and offer and not set(stopped.words) - {*offer.work.left, *offer.work.nine_left}
    rest = planner.rest_as_plan(stopped.words) if stopped and not told else None
    running = _running(planner, opened) if opened else None
    spring = planner.spring()
    count = limits.struck(buckets, view["ball_limit"], now, reader.ahead_min())
    return render_template(
        "practice.html",
        card=planner.card,
        sizes=sizes,
        balls=balls,
        homework=offer,
        gone=offer.gone if offer else "",
        nine_by=weekday(offer.work.nine_by) if offer and offer.work.nine_by else "",
        stopped=stopped,
        rest=rest,
        running=running,
        rest_gone=planner.gone(stopped.words) if stopped else [],
        spring=spring if spring.calls else None,
        nine_refused=_nine_refused(planner),
        nine_opens=_nine_opens(planner),
        count=count,
        limit_words=limits.words(count, balls) or limits.words(count),
        suggested=limits.suggested(view["junior"]),
        form=form or BucketForm(formdata=None, data={**view, **(last or {}), "wind": "calm"}),
        stands="running" if running else "open" if opened else "closed",
        other=other or OtherPlanForm(None),
        wish=wish,
        usual=plans.usual_cells(planner.card),
        mix=_mix(),
        kinds=plans.CALL_WORDS,
        name=name_of,
        why=plan_words.WHY,
        unit=view["unit"],
        unit_name=units.UNIT_NAMES[view["unit"]],
        day=day,
        places=phone_data.places_of(buckets),
        data=phone_data.practice(
            planner, sizes, rest, spring, opened, accepted, buckets, view["ball_limit"], reader.ahead_min()
        ),
    )


def _planner() -> Planner:
    view = reader.view()
    return Planner(doors.book(), present.now(), view["unit"], view["mirrored"], _mix())


def _words(planner: Planner, what: str) -> list[str]:
    """The words of the plan that a button asks for; [] when there is none."""
    if not planner.card.cells:
        return []
    if what == "nine":
        return planner.nine().words
    if what == "spring":
        return planner.spring().words
    if what in ("homework", "homework-nine"):
        offer = follow_homework.offered(follow_homework.followed(planner.book), planner.bag, planner.swings)
        return (offer.left if what == "homework" else offer.nine_left) if offer else []
    stopped = planner.stopped()
    if what == "rest":
        return planner.rest_as_plan(stopped.words).words if stopped else []
    return planner.bucket(_balls(), _wish(planner)).words if what == "bucket" else []


def _running(planner: Planner, opened: dict[str, Any]) -> Running | None:
    """The plan of the open bucket while balls of it are to come; what nobody can strike any more is none of them."""
    shots = reading.shots_of_bucket(planner.book, opened["id"])
    words = opened["plan"][plan_words.done(shots) :]
    left = planner.rest_as_plan(words).balls
    return Running(len(shots) + (opened["warm_up_balls"] or 0), left, words) if left else None


def _plan(form: BucketForm, opened: dict[str, Any] | None, words: list[str]) -> None:
    """Put a plan into the open bucket, or begin one with it as the form says."""
    book = doors.book()
    if opened:
        plan = plan_words.changed(opened["plan"], reading.shots_of_bucket(book, opened["id"]), words)
        notes.change("bucket", [opened["id"]], plan=plan)
        return
    body = {**form.body(), "plan": words, "utc_offset_min": reader.ahead_min()}
    notes.note(make_facts.fact("bucket", body, present.now()))


def _nine_refused(planner: Planner) -> str:
    """Why the next-visit nine may not be struck now, or ""."""
    if planner.last_struck_at is None:
        return "The next-visit nine asks whether practice lasted: it opens your second visit."
    if planner.nine_opens_at:
        return (
            "You practised less than twelve hours ago, so the next-visit nine would only show today. "
            f"It opens {_nine_opens(planner)}."
        )
    return ""


def _nine_opens(planner: Planner) -> str:
    """When the next-visit nine opens by the player's clock, "Mon 22:21"; "" when no practice keeps it shut."""
    if not planner.nine_opens_at:
        return ""
    return f"{moment_of(reader.own_clock(planner.nine_opens_at)):%a %H:%M}"


def _wish(planner: Planner) -> Wish:
    asked = request.values
    return planner.wish(asked.getlist("cell"), asked.getlist("kind"), asked.get("only") == "mixed")


def _balls() -> int:
    """The number of balls asked for, brought into the range a plan is made for."""
    asked = request.values.get("balls", "")
    given = int(asked) if re.fullmatch("[0-9]{1,9}", asked) else USUAL_BALLS
    return OtherPlanForm(request.values).balls() or min(max(given, plans.FEWEST_BALLS), plans.MOST_BALLS)


def _mix() -> int:
    asked = request.values.get("mix", "")
    return int(asked) % 1000 if re.fullmatch("[0-9]{1,9}", asked) else 0
