"""Where a coach writes homework through a link: rows, a nine, a focus; it leaves as a link, a picture, a text.

GET only, and nothing is kept: the address holds what is written, and the code stands behind the "#" of the link.
"""

import secrets
from typing import Any

from flask import Blueprint, Flask, render_template, request, url_for

from .. import coach_door, doors, present, throttle
from ..card import card_data, shots_behind
from ..card.card_words import count
from ..coach_door import Opened, open_link
from ..days import weekday
from ..draw.qr import qr
from ..practice import homework_code, plans
from ..practice.homework import head_words
from ..trends.compare import CellChange
from ..units import UNIT_NAMES
from ..views import homework_view, periods_view
from ..views.homework_view import Draft

coach_homework = Blueprint("coach_homework", __name__, url_prefix="/w/<token>/homework")


def register(app: Flask) -> None:
    """Add the addresses where a coach writes homework."""
    app.register_blueprint(coach_homework)


@coach_homework.get("")
@throttle.limiter.limit(throttle.LINKS)
def write(token: str) -> str:
    """The rows written so far, what may be added and why, and the homework as it leaves."""
    with open_link(token) as opened:
        card, args = card_data.shown(opened.card), request.args.to_dict(flat=False)
        today = opened.book.clock(present.now())[:10]
        written = homework_view.draft(args, card, opened.names.cell, opened.unit, today, secrets.token_hex(16))
        return render_template(
            "coach_homework.html",
            **opened.frame()
            | {"units": [(name, one == opened.unit, _again(token, written, one)) for one, name in UNIT_NAMES.items()]},
            card=card,
            accepted=_accepted(opened),
            has_shots=opened.book.profile.has_shots,
            written=written,
            name=opened.names.cell,
            asked_ball=coach_door.asked_ball(),
            unit_name=UNIT_NAMES[opened.unit],
            nickname=opened.said["nickname"] if opened.book.profile.nickname else "",
            suggested=homework_view.suggestions(
                opened.card, opened.made.pooled, _changes(opened), opened.names.cell, opened.unit
            ),
            usual=plans.usual_cells(card) if card.cells else (),
            nine_days=homework_view.nine_days(today),
            due=weekday(written.nine_by) if written.nine_by else "",
            total=_total(written),
            leaves=_leaves(written, card, opened.unit),
        )


@coach_homework.get("/<homework_key>")
@throttle.limiter.limit(throttle.LINKS)
def struck(token: str, homework_key: str) -> str:
    """The balls struck for homework, or those of its next-visit nine."""
    with open_link(token) as opened:
        coach_door.shots_are_shown(opened)
        one = next((one for one in opened.book.homework() if one.key == homework_key), None)
        if one is None:
            raise doors.Refused(404, "not_found", "There is no such homework.")
        nine = request.args.get("part") == "nine"
        balls = one.nine_balls if nine else one.balls
        return render_template(
            "period_balls.html",
            **opened.frame(),
            title=f"{count(len(balls), 'ball')} of homework{', of its nine' if nine else ''}",
            told=f"Accepted {opened.book.day(one.local_at)}; {one.progress.words(opened.unit)}. "
            "A ball struck again for the same place counts once.",
            back_name="Homework",
            back_at=url_for("coach_homework.write", token=token, unit=opened.unit),
            balls=balls,
            figure="",
            names=opened.names,
            why_not=lambda shot: shots_behind.why_not(shot, opened.card.ball),
        )


def _accepted(opened: Opened) -> list[dict[str, Any]]:
    """What was accepted and how far it has got, each part with the way to its balls."""
    found = []
    for one in opened.book.homework():
        whole, _, nine = one.progress.words(opened.unit).partition("; ")
        at = [opened.homework_balls_at(one.key, part) for part in (None, "nine")]
        told = {"when": opened.book.short_day(one.local_at), "whole": whole, "nine": nine, "at": at[0]}
        found.append({**told, "nine_at": at[1] if one.nine_balls else ""})
    return found


def _changes(opened: Opened) -> tuple[CellChange, ...]:
    """What two periods say of each cell, where shots may be read."""
    found = opened.asked()
    if found.pair is None or not opened.book.profile.has_shots:
        return ()
    compared = periods_view.compared(found, opened.card, opened.said["margin_m"])
    return (*compared.told, *compared.untold)


def _total(written: Draft) -> str:
    """What is written so far, added up."""
    if written.homework is None:
        return ""
    return head_words(written.homework.balls + (plans.NINE if written.nine_by else 0))


def _leaves(written: Draft, card: card_data.Card, unit: str) -> dict[str, Any] | None:
    """The homework as it leaves the page: its link, the picture of it, the text."""
    if written.homework is None:
        return None
    link = f"{request.url_root}homework#{homework_code.made(written.homework)}"
    text = f"{homework_view.message(written.homework, card, unit)}\n{link}"
    return {"link": link, "picture": qr(link, "l"), "text": text}


def _again(token: str, written: Draft, unit: str) -> str:
    """This page with what is written, in another unit; carries are typed in a unit, so they are left out."""
    rows = written.rows
    return url_for(
        "coach_homework.write", token=token, unit=unit, ball=coach_door.asked_ball() or None,
        cells=[row.keys for row in rows], balls=[row.balls for row in rows], mode=[row.mode for row in rows],
        nine_by=written.nine_by or None, focus=written.focus or None, seed=written.seed,
    )  # fmt: skip
