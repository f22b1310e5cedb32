"""What a coach reads through a link: the card, its gaps, bias and cost of contact, and the shots behind each number.

GET only. The book is opened read-only, and what the link's profile leaves out is left out before a template sees it.
"""

from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, replace
from typing import Any

from flask import Blueprint, Flask, Response, render_template, request, url_for

from .. import clock, doors, present, throttle
from ..books.coach_book import CoachBook
from ..card import card_data, card_words, shots_behind
from ..card.build import build
from ..card.card_data import Card, CardCell, CardSwing, CellKey
from ..card.card_words import tenths
from ..card.other_ways import other_ways
from ..days import day
from ..delivery import readings
from ..draw.arm import arm
from ..facts import BALLS
from ..link_profile import profile_of
from ..practice.visit_words import call_name
from ..store import reading
from ..store.book import Book
from ..store.directory import Link
from ..store.faults import StoreFault
from ..trends import since
from ..trends.compare import Comparison
from ..units import UNIT_NAMES
from ..views import card_view, coach_view, periods_view, year_view

MOST_SHOTS = 5000
_MAY_ASK = ("what", "mark", "first", "surface", "ball", "mode", "judged_by")
_OF_A_LIST = ("side", "part", "cell")
_DATES = ("from", "to", "after_from", "after_to")
coach = Blueprint("coach", __name__, url_prefix="/w/<token>")


def register(app: Flask) -> None:
    """Add the coach's addresses."""
    app.register_blueprint(coach)
    app.after_request(keep_to_the_coach)


@dataclass(frozen=True)
class Opened:
    """A link, its book as its profile shows it, the player's settings, the card, the unit asked for."""

    link: Link
    token: str
    book: CoachBook
    said: dict[str, Any]
    card: Card
    unit: str

    @property
    def mirrored(self) -> bool:
        """Whether the player's arms stand on the other side."""
        return clock.mirrors(self.said["hand"], self.said["seen_from"])

    def name(self, cell: tuple[str, float]) -> str:
        """How a cell is called, also of a wedge that left the bag."""
        return call_name({"club_id": cell[0], "swing_deg": cell[1]}, self.card, self.book.clubs(), self.mirrored)

    def address(self, page: str, **more: Any) -> str:
        """A page of this link, in the same unit and of the same kind of ball."""
        kept = {"token": self.token, "unit": self.unit, "ball": _asked_ball() or None}
        return url_for(f"coach.{page}", **{**kept, **more})

    def shots_at(self, cell: CardCell) -> str:
        """The page of the shots behind a number."""
        return self.address("behind", key=cell.club_id, swing_deg=cell.swing_deg)

    def evidence_of(self, cell: CardCell) -> str:
        """The first screen with the evidence behind a number."""
        asked = {name: request.args[name] for name in _MAY_ASK if name in request.args}
        return self.address("card", **{**asked, "cell": cell.key, "_anchor": "evidence"})

    def asked(self) -> periods_view.Asked:
        """What the address asks of periods; a place is nothing a coach may ask for, a day only where days are shown."""
        may = (*_MAY_ASK, *_DATES) if self.book.profile.days else _MAY_ASK
        hidden = () if self.book.profile.days else ("dates",)
        asked = {name: value for name, value in request.args.items() if name in may and value not in hidden}
        shots, visits = self.book.shots(MOST_SHOTS), self.book.visits(MOST_SHOTS)
        return periods_view.asked(asked, self.card, visits, self.book.marks(), shots, self.book.clock(present.now()))

    def frame(self) -> dict[str, Any]:
        """What the coach's pages are framed with instead of the player's."""
        asked = {name: value for name, value in request.args.items() if name in (*_MAY_ASK, *_DATES, *_OF_A_LIST)}
        here = {**asked, **(request.view_args or {})}
        return {
            "frame": "coach_frame.html",
            "back": self.address("card"),
            "units": [
                (name, one == self.unit, url_for(request.endpoint or "coach.card", **{**here, "unit": one}))
                for one, name in UNIT_NAMES.items()
            ],
            "ends_on": day(self.link.ends_at),
            "unit": self.unit,
            "day": self.book.day,
        }


@coach.get("")
@throttle.limiter.limit(throttle.LINKS)
def card(token: str) -> str:
    """The card as it is today, what to know first, and the evidence behind the number that `cell` asks for."""
    with _opened(token) as opened:
        lines, found, compared = _since(opened)
        told = {
            "lines": lines,
            "sole_notes": opened.book.sole_notes(),
            "has_shots": opened.book.profile.has_shots,
            "year_at": opened.address("year"),
            "hidden": [
                opened.name(place) for place, cell in opened.card.cells.items() if cell.key in opened.card.hidden
            ],
            "nickname": opened.said["nickname"] if opened.book.profile.nickname else "",
            "hand": opened.said["hand"],
            "as_of": opened.book.day(opened.card.local_as_of),
            **_periods_at(opened, found),
            **_other_ball(opened),
            **opened.frame(),
        }
        if not card_data.shown(opened.card).cells:
            return render_template("coach.html", shown=card_view.view_of(opened.card, opened.unit, False), **told)
        moved = next((line.cell for line in lines if line.cell), None)
        return render_template("coach.html", **told, **_first_screen(opened, found, compared, moved))


@coach.get("/<key>/<float(signed=False):swing_deg>")
@coach.get("/<key>/<int:swing_deg>")
@throttle.limiter.limit(throttle.LINKS)
def behind(token: str, key: str, swing_deg: float) -> str:
    """The shots behind one number, without place, also of a wedge that left the bag."""
    with _opened(token) as opened:
        _shots_are_shown(opened)
        shown, place = opened.card, (key, float(swing_deg))
        cell, shots = shown.cells.get(place), opened.book.shots_of_cell(*place)
        clubs = opened.book.every_club()
        if cell is None and not (shots and key in clubs):
            raise doors.Refused(404, "not_found", "There is no such number on this card.")
        heirs = [one.id for one in clubs.values() if one.follows == key and (one.id, place[1]) in shown.cells]
        before = clubs[key].follows
        return render_template(
            "cell.html",
            shown=card_view.view_of(shown, opened.unit, opened.mirrored, opened.shots_at),
            cell=cell,
            club=clubs[key],
            swing=shown.swing(place[1]) if cell else CardSwing(place[1], clock.clock_name(place[1], opened.mirrored)),
            arm=arm(place[1], opened.mirrored),
            behind=shots_behind.behind(shots, shown.ball),
            ways=other_ways(shots, cell, shown.ball) if cell else (),
            why_not=shots_behind.why_not,
            delivery=lambda shot: readings.words(shot["delivery"], opened.unit),
            heir=opened.address("behind", key=heirs[0], swing_deg=place[1]) if heirs else "",
            past=opened.address("behind", key=before, swing_deg=place[1])
            if before and opened.book.shots_of_cell(before, place[1])
            else "",
            **opened.frame(),
        )


@coach.get("/periods")
@throttle.limiter.limit(throttle.LINKS)
def periods(token: str) -> str | tuple[str, int]:
    """Two periods of the player's balls."""
    with _opened(token) as opened:
        _shots_are_shown(opened)
        found = opened.asked()
        told = periods_view.page(found, opened.card, opened.name, opened.unit, opened.said["margin_m"])
        if not opened.book.profile.days:
            del told["presets"]["dates"]
        answer = render_template(
            "periods.html",
            **{**opened.frame(), **told, **_periods_at(opened, found)},
            marks=opened.book.marks(),
            tenths=tenths,
            here=url_for("coach.periods", token=token),
            unit_name=UNIT_NAMES[opened.unit],
        )
    return (answer, 400) if found.problem and request.args.get("what") else answer


@coach.get("/periods/balls")
@throttle.limiter.limit(throttle.LINKS)
def period_balls(token: str) -> str:
    """The balls behind one figure of a period."""
    with _opened(token) as opened:
        _shots_are_shown(opened)
        found = opened.asked()
        told = periods_view.balls(found, request.args, opened.unit, opened.said["margin_m"])
        if told is None:
            raise doors.Refused(404, "not_found", found.problem or "There are no such balls.")
        return render_template(
            "period_balls.html",
            **{**opened.frame(), **told, "back": opened.address("periods", **found.question)},
            tenths=tenths,
            unit_name=UNIT_NAMES[opened.unit],
            name=lambda shot: opened.name((shot["club_id"], shot["swing_deg"])),
            why_not=lambda shot: shots_behind.why_not(shot, opened.card.ball),
        )


@coach.get("/year")
@throttle.limiter.limit(throttle.LINKS)
def year(token: str) -> str:
    """The player's year on one page."""
    with _opened(token) as opened:
        _shots_are_shown(opened)
        book, now = opened.book, present.now()
        return render_template(
            "year.html",
            **{
                **opened.frame(),
                **year_view.page(
                    book.shots(year_view.MOST_SHOTS), opened.card, book.clock(now), opened.name, opened.unit
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


@contextmanager
def _opened(token: str) -> Iterator[Opened]:
    """The link and its book, read-only; Refused once it has ended, and for tokens nobody made."""
    directory, now = doors.directory(), present.now()
    link = directory.link(token)
    if link is None or not link.is_open(now) or directory.is_deleted(link.book_id):
        raise doors.Refused(410, "closed", "This link is closed. Ask the player for a new one.")
    book: Book = directory.open_book(link.book_id, read_only=True)
    with book:
        said = reading.settings(book)
        own = CoachBook(book, token, profile_of(link.profile, said["junior"]))
        with suppress(StoreFault):  # a full disk must keep nobody from reading
            directory.opened_link(link, own.clock(now)[:10])
        unit = request.args.get("unit", said["unit"])
        mirrored = clock.mirrors(said["hand"], said["seen_from"])
        made = build(own.rows(now), now, mirrored, _asked_ball() or None)
        yield Opened(link, token, own, said, made, unit if unit in UNIT_NAMES else said["unit"])


def _shots_are_shown(opened: Opened) -> None:
    if not opened.book.profile.has_shots:
        raise doors.Refused(404, "not_shown", "This link shows the card alone.")


def _first_screen(
    opened: Opened, found: periods_view.Asked, compared: Comparison | None, moved: CellKey | None
) -> dict[str, Any]:
    """The dial, the sheet of the number that is looked at, the strike, and where the shots land."""
    whole, has_shots = card_data.shown(opened.card), opened.book.profile.has_shots
    cell = coach_view.chosen(whole, request.args.get("cell", ""), moved)
    place = (cell.club_id, cell.swing_deg)
    view = card_view.view_of(
        opened.card, opened.unit, opened.mirrored, opened.shots_at if has_shots else None, place, opened.evidence_of
    )
    least = card_words.least_trusted(opened.card, opened.unit)
    changes = (*compared.told, *compared.untold) if compared else ()
    rows, axis = coach_view.ground(
        card_view.face_of(whole, opened.evidence_of), opened.book.clubs(), cell.key, opened.unit
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


def _since(opened: Opened) -> tuple[list[since.Line], periods_view.Asked, Comparison | None]:
    """The first lines of the card: what happened since the last mark, else on the last three visits."""
    found = opened.asked()
    if found.pair is None or not opened.book.profile.has_shots:
        return [], found, None
    margin_m = opened.said["margin_m"]
    compared = periods_view.compared(found, opened.card, margin_m)
    told = since.lines(compared, found.pair, found.shots, opened.name, opened.book.day, opened.unit, margin_m)
    return told, found, compared


def _other_ball(opened: Opened) -> dict[str, str]:
    """The other kind of ball that has balls, and the card of it."""
    other = next((ball for ball in BALLS if ball != opened.card.ball and opened.book.has_balls(ball)), "")
    return {"other_ball": other, "other_ball_at": opened.address("card", ball=other) if other else ""}


def _periods_at(opened: Opened, found: periods_view.Asked) -> dict[str, Any]:
    """The ways to the periods' pages with the question kept."""
    question = {**found.question, "token": opened.token, "unit": opened.unit}
    return {
        "periods_at": url_for("coach.periods", **question),
        "balls_at": lambda **more: url_for("coach.period_balls", **{**question, **more}),
    }


def _asked_ball() -> str:
    """The kind of ball that the address asks for; "" for the card that opens by itself."""
    asked = request.args.get("ball", "")
    return asked if asked in BALLS else ""
