"""What a coach reads through a link: the card, its gaps, bias and cost of contact, and the shots behind each number.

GET only. The book is opened read-only, and what the link's profile leaves out is left out before a template sees it.
"""

from dataclasses import replace
from typing import Any

from flask import Blueprint, Flask, Response, render_template, request, url_for
from werkzeug.routing import BaseConverter

from .. import coach_lines, doors, present, throttle
from ..card import card_data, card_words, shots_behind
from ..card.card_data import CellKey
from ..card.other_ways import other_ways
from ..card.rows import heirs_of
from ..coach_door import Opened, asked_ball, open_link, shots_are_shown
from ..delivery import readings
from ..draw.arm import arm
from ..facts import BALLS
from ..store import reading
from ..trends.compare import Comparison
from ..units import UNIT_NAMES
from ..views import card_view, coach_view, periods_view, year_view

MOST_LINES = 5
coach = Blueprint("coach", __name__, url_prefix="/w/<token>")


class SwingInAddress(BaseConverter):
    """A swing's degrees in an address, whole or not: "90", "97.5"."""

    regex = r"\d+(?:\.\d+)?"

    def to_python(self, value: str) -> float:
        """The degrees [deg] that the address names."""
        return float(value)

    def to_url(self, value: float | str) -> str:
        """The shortest text that reads back as these degrees."""
        return f"{float(value):g}"


def register(app: Flask) -> None:
    """Add the coach's addresses."""
    app.url_map.converters["swing_deg"] = SwingInAddress
    app.register_blueprint(coach)
    app.after_request(keep_to_the_coach)


@coach.get("")
@throttle.limiter.limit(throttle.LINKS)
def card(token: str) -> str:
    """The card as it is today, what to know first, and the evidence behind the number that `cell` asks for."""
    with open_link(token) as opened:
        lines, found, compared = coach_lines.since_last(opened)
        lasts = not opened.book.profile.follows
        homework = coach_lines.of_homework(opened)
        told = {
            "lines": lines,
            "sole_notes": opened.book.sole_notes(),
            "has_shots": opened.book.profile.has_shots,
            "year_at": opened.address("year"),
            "hidden": [
                opened.names.cell(place) for place, cell in opened.card.cells.items() if cell.key in opened.card.hidden
            ],
            "nickname": opened.said["nickname"] if opened.book.profile.nickname else "",
            "hand": opened.said["hand"],
            "homework_lines": homework,
            "homework_at": lasts
            and url_for("coach_homework.write", token=token, unit=opened.unit, ball=asked_ball() or None),
            "keep_at": lasts and url_for("players.show", _anchor=token),
            "as_of": opened.book.day(opened.card.local_as_of),
            **_periods_at(opened, found),
            **_other_ball(opened),
            **opened.frame(),
        }
        if not card_data.shown(opened.card).cells:
            return render_template("coach.html", shown=card_view.view_of(opened.card, opened.unit, False), **told)
        moved = next((line.cell for line in lines if line.cell), None)
        first = _first_screen(opened, found, compared, moved, len(lines) + len(homework))
        return render_template("coach.html", **told, **first)


@coach.get("/<key>/<swing_deg:swing_deg>")
@throttle.limiter.limit(throttle.LINKS)
def behind(token: str, key: str, swing_deg: float) -> str:
    """The shots behind one number, without place, also of a wedge that left the bag."""
    with open_link(token) as opened:
        shots_are_shown(opened)
        shown, place = opened.card, (key, swing_deg)
        cell, shots = shown.cells.get(place), opened.book.shots_of_cell(*place)
        clubs = opened.book.every_club()
        if cell is None and not (shots and key in clubs):
            raise doors.Refused(404, "not_found", "There is no such number on this card.")
        heir, before = heirs_of(clubs.values()).get(key, ""), clubs[key].follows
        return render_template(
            "cell.html",
            shown=card_view.view_of(shown, opened.unit, opened.mirrored, opened.shots_at),
            cell=cell,
            name=opened.names.cell(place),
            arm=arm(place[1], opened.mirrored),
            behind=shots_behind.behind(shots, shown.ball, reading.MOST_SHOTS_A_CELL),
            ways=other_ways(shots, cell, shown.ball) if cell else (),
            why_not=shots_behind.why_not,
            delivery=lambda shot: readings.words(shot["delivery"], opened.unit),
            heir=opened.address("behind", key=heir, swing_deg=swing_deg) if (heir, swing_deg) in shown.cells else "",
            past=opened.address("behind", key=before, swing_deg=place[1])
            if before and opened.book.shots_of_cell(before, place[1])
            else "",
            **opened.frame(),
        )


@coach.get("/periods")
@throttle.limiter.limit(throttle.LINKS)
def periods(token: str) -> str | tuple[str, int]:
    """Two periods of the player's balls."""
    with open_link(token) as opened:
        shots_are_shown(opened)
        found = opened.asked()
        told = periods_view.page(found, opened.card, opened.names.cell, opened.unit, opened.said["margin_m"])
        if not opened.book.profile.days:
            del told["presets"]["dates"]
        answer = render_template(
            "periods.html",
            **{**opened.frame(), **told, **_periods_at(opened, found)},
            marks=opened.book.marks(),
            here=url_for("coach.periods", token=token),
            unit_name=UNIT_NAMES[opened.unit],
        )
    return (answer, 400) if found.problem and request.args.get("what") else answer


@coach.get("/periods/balls")
@throttle.limiter.limit(throttle.LINKS)
def period_balls(token: str) -> str:
    """The balls behind one figure of a period."""
    with open_link(token) as opened:
        shots_are_shown(opened)
        found = opened.asked()
        told = periods_view.balls(found, opened.card, request.args, opened.unit, opened.said["margin_m"])
        if told is None:
            raise doors.Refused(404, "not_found", found.problem or "There are no such balls.")
        return render_template(
            "period_balls.html",
            **{**opened.frame(), **told, "back": opened.address("periods", **found.question)},
            names=opened.names,
            why_not=lambda shot: shots_behind.why_not(shot, opened.card.ball),
        )


@coach.get("/year")
@throttle.limiter.limit(throttle.LINKS)
def year(token: str) -> str:
    """The player's year on one page."""
    with open_link(token) as opened:
        shots_are_shown(opened)
        book, now = opened.book, present.now()
        return render_template(
            "year.html",
            **{
                **opened.frame(),
                **year_view.page(
                    book.shots(year_view.MOST_SHOTS), opened.card, book.clock(now), opened.names.cell, opened.unit
                ),
            },
            bucket=book.next_bucket(now, opened.unit, opened.mirrored, year_view.FIRST_BUCKET),
            title=f"{opened.said['nickname']}’s year"
            if book.profile.nickname and opened.said["nickname"]
            else "The year",
            as_of=book.day(opened.card.local_as_of),
        )


def keep_to_the_coach(response: Response) -> Response:
    """Nothing below /w/, refusals too, stays in a cache, a search engine or another site's log."""
    if request.path.startswith("/w/"):
        response.headers["Cache-Control"] = "no-store"
        response.headers["Referrer-Policy"] = "no-referrer"
        response.headers["X-Robots-Tag"] = "noindex, nofollow"
    return response


def _first_screen(
    opened: Opened, found: periods_view.Asked, compared: Comparison | None, moved: CellKey | None, told: int
) -> dict[str, Any]:
    """The dial, the sheet of the number that is looked at, the strike, and where the shots land."""
    whole, has_shots = card_data.shown(opened.card), opened.book.profile.has_shots
    cell = coach_view.chosen(whole, request.args.get("cell", ""), moved)
    place = (cell.club_id, cell.swing_deg)
    view = card_view.view_of(
        opened.card, opened.unit, opened.mirrored, opened.shots_at if has_shots else None, place, opened.evidence_of
    )
    least = card_words.least_trusted(opened.card) if told < MOST_LINES else None
    changes = (*compared.told, *compared.untold) if compared else ()
    rows, axis = coach_view.ground(
        card_view.face_of(whole, opened.evidence_of), opened.names.clubs, cell.key, opened.unit
    )
    return {
        "shown": {**view, "sentences": [replace(least, anchor="")] if least else []},  # guesses have no balls to open
        "evidence": coach_view.evidence(
            whole, cell, opened.book.shots_of_cell(*place), next((one for one in changes if one.cell == place), None),
            opened.book.short_day, opened.unit,
        ),
        "shots_at": opened.shots_at,
        "strike": coach_view.strike(compared.after.contacts, f"{compared.after.contacts.n} balls {found.pair.name}")
        if compared and found.pair
        else None,
        "ground": rows,
        "ground_axis": axis,
    }  # fmt: skip


def _other_ball(opened: Opened) -> dict[str, str]:
    """The other kind of ball that has balls, and the card of it."""
    other = next((ball for ball in BALLS if ball != opened.card.ball and opened.book.has_balls(ball)), "")
    return {"other_ball": other, "other_ball_at": opened.address("card", ball=other) if other else ""}


def _periods_at(opened: Opened, found: periods_view.Asked) -> dict[str, Any]:
    """The ways to the periods' pages with the question kept."""
    question: dict[str, Any] = {**found.question, "token": opened.token, "unit": opened.unit}
    return {
        "periods_at": url_for("coach.periods", **question),
        "balls_at": lambda **more: url_for("coach.period_balls", **{**question, **more}),
    }
