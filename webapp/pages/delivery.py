"""One shot: what was noted and corrected, its delivery numbers, and what follows from them.

Knows forms, facts and the open book; delivery/findings.py does the sums on delivery numbers.
"""

from dataclasses import replace
from decimal import Decimal
from typing import Any, NamedTuple

from flask import Blueprint, Flask, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from .. import card_only, doors, notes, present, reader
from ..books import make_facts
from ..books.known_names import names_of
from ..card import shot_history
from ..card.balls import seen, struck_of
from ..card.noted import noted
from ..card.shots_behind import why_not
from ..days import day
from ..delivery import findings, readings
from ..draw.reference_bar import reference_bar
from ..facts import DELIVERY, KINDS, LANDED_WORDS, Fact, latest
from ..forms.bucket import LandingForm
from ..forms.readings import DeliveryForm, ExpectedForm
from ..forms.setup import JUDGES, PlainAction
from ..store import from_coach, reading
from ..units import LENGTH_M, SPEED_BESIDE, SPEED_MPS, UNIT_NAMES

shot = Blueprint("shot", __name__)
_SHOWN_DIGITS = 1
_TRENDS = ("launch_deg", "dynamic_loft_deg")
# How the numbers are grouped on the page: what the club did, where its face stood, what the ball did.
_PARTS = {
    "club": ("club_speed", "attack_deg", "path_deg"),
    "face": ("face_deg", "dynamic_loft_deg"),
    "ball": ("launch_deg", "spin_rpm", "ball_speed"),
}
_EXPECTED = "higher"  # on longer shots, until the player says otherwise; common practice, no source
_ABOUT_EXPECTED = "expected trend"
_MONITOR_WORDS = {"outdoor": "outdoor flight", "indoor": "an indoor estimate", "corrected": "corrected to standard air"}


class Opened(NamedTuple):
    """A shot as its page needs it: the row shown, the body it comes from, its history, its club, its bucket or {}."""

    row: dict[str, Any]
    body: dict[str, Any]
    history: list[dict[str, Any]]
    club: reading.Club
    bucket: dict[str, Any]


def register(app: Flask) -> None:
    """Add the addresses of one shot."""
    app.register_blueprint(shot)


@shot.get("/shots/<uuid:shot_id>")
def show(shot_id: Any) -> str:
    """The shot, its history, its delivery numbers."""
    return _page(_opened(shot_id))


@shot.post("/shots/<uuid:shot_id>")
def correct(shot_id: Any) -> Response | tuple[str, int]:
    """Put right what was noted of the ball; what stood before stays in the history."""
    opened, unit = _opened(shot_id), reader.view()["unit"]
    _hold(opened)
    form = LandingForm(lengths_in=unit)
    if not form.validate():
        return _page(opened, landing=form), 400
    said = form.changed(_landing_form(opened, unit))
    if said.keys() & {"wind", "wind_force"}:
        said |= _of_the_bucket(opened, said)
        if said.get("wind_force") and not said.get("wind", _said(opened, "wind")):
            form.wind_force.errors = ["Say which way the wind came: its bucket has none."]
            return _page(opened, landing=form), 400
    if "judged_by" in said:
        said["judged_apart"] = said["judged_by"] != opened.bucket.get("judged_by")
    return _note(opened, **said)


@shot.post("/shots/<uuid:shot_id>/aside")
def set_aside(shot_id: Any) -> Response:
    """Set the shot aside, or restore it."""
    opened = _opened(shot_id)
    _hold(opened)
    if not PlainAction().validate():
        flash("The form was too old. Nothing was changed.")
        return redirect(url_for("shot.show", shot_id=shot_id))
    return _note(opened, aside=request.form.get("do") == "aside")


@shot.post("/shots/<uuid:shot_id>/delivery")
def measure(shot_id: Any) -> Response | tuple[str, int]:
    """Keep the delivery numbers given; an emptied one is no longer noted, a doubtful one is kept and asked about."""
    opened, form = _opened(shot_id), DeliveryForm()
    if not form.validate():
        return _page(opened, measured=form), 400
    numbers = dict(opened.body.get("delivery", {}))
    stood = _delivery_form(numbers, reader.view()["unit"])
    for column, name in readings.FIELD_OF.items():
        is_speed, typed = readings.is_speed(column), form[column].data
        if not (form.altered(column, stood) or (typed is not None and form.is_converted(column, stood))):
            continue
        numbers.pop(name, None)
        if typed is not None:
            numbers[name] = float(typed) * (SPEED_MPS[form.speed_unit.data] if is_speed else 1.0)
    return _note(opened, delivery=numbers)


@shot.post("/shots/<uuid:shot_id>/expected")
def expect(shot_id: Any) -> Response:
    """Keep what is expected of longer shots."""
    _opened(shot_id)
    form = ExpectedForm()
    if form.validate():
        notes.note(make_facts.fact("note", {"words": form.expected.data, "about": _ABOUT_EXPECTED}, present.now()))
        flash("Kept. It is only what your trend is compared with.")
    else:
        flash("Choose one of the answers offered. Nothing was changed.")
    return redirect(url_for("shot.show", shot_id=shot_id))


def _opened(shot_id: Any) -> Opened:
    book = doors.book()
    row = reading.shot(book, str(shot_id))
    if row is None:
        raise doors.Refused(404, "not_found", "There is no such shot in your book. Nothing was changed.")
    history = book.history(row["id"])
    club = next(one for one in reading.clubs(book, retired=True) if one.id == row["club_id"])
    bucket = latest(Fact.of(fact) for fact in book.history(row["bucket_id"]))
    return Opened(row, history[-1]["body"], history, club, bucket.filled() if bucket else {})


def _hold(opened: Opened) -> None:
    """Leave a ball that may be in the card's numbers as it is while they stand; a course note moves none."""
    if not opened.row["course"]:
        card_only.hold()


def _note(opened: Opened, **fields: Any) -> Response:
    """Note a correction unless it says nothing new: a form shows the usual where nothing was ever said."""
    new = {name: one for name, one in fields.items() if one != _said(opened, name)}
    if not new:
        flash("Nothing differs, so nothing was changed.")
    else:
        refused = notes.note(make_facts.changed(doors.book(), "shot", opened.row["id"], present.now(), **new))
        flash(refused[0]["message"] if refused else "Kept. What stood before is in the history.")
    return redirect(url_for("shot.show", shot_id=opened.row["id"]))


def _number_at(row: dict[str, Any], usual: str) -> str:
    """Where the number stands that a ball tells of: on the card of its own kind of ball."""
    ball = None if row["ball"] == usual else row["ball"]
    return url_for("card.behind", club_id=row["club_id"], swing=f"{row['swing_deg']:g}", ball=ball)


def _page(opened: Opened, landing: LandingForm | None = None, measured: Any = None) -> str:
    view, row = reader.view(), opened.row
    unit, hand = view["unit"], view["hand"]
    numbers = findings.Delivery(**row["delivery"])
    # What a monitor makes of the spin of a range ball says little of the ball's own: it is kept and not reckoned with.
    spins = row["ball"] != "range"
    reckoned = numbers if spins else replace(numbers, spin_rpm=None)
    meant_m = row["meant_carry_m"] or row["carry_m"]
    names = names_of(doors.book(), view["mirrored"])
    return render_template(
        "shot.html",
        shot=row,
        name=names.cell((row["club_id"], row["swing_deg"])),
        back=_number_at(row, view["ball"]),
        unit=unit,
        unit_name=UNIT_NAMES[unit],
        struck_on=day(row["local_at"]),
        remarks=[one for one in from_coach.remarks(doors.book()) if one["shot_id"] == row["id"] and not one["aside"]],
        day=day,
        landings=LANDED_WORDS,
        noted=noted(row, opened.bucket),
        judged=JUDGES[row["judged_by"]],
        why_not="" if row["aside"] else why_not(row, row["ball"]),
        monitor=_MONITOR_WORDS.get(opened.bucket.get("monitor_note", ""), ""),
        history=shot_history.said(opened.history, names.clubs, unit, row["utc_offset_min"]),
        landing=landing or _landing_form(opened, unit),
        measured=measured or _delivery_form(row["delivery"], unit),
        parts_of_delivery=_PARTS,
        is_speed=readings.is_speed,
        numbers=numbers if row["delivery"] else None,
        spin_left_out=not spins and numbers.spin_rpm is not None,
        computed=(computed := _computed(numbers, opened.club.loft_deg)),
        held="" if row["course"] else card_only.held(),
        missing=not all(value for _, value, _ in computed),
        words=[
            words
            for words in (
                findings.path_words(numbers, hand),
                findings.curve_words(numbers, hand),
                findings.divot_words(numbers),
            )
            if words
        ],
        bars=_bars(numbers, hand, opened.club.loft_deg, meant_m),
        reference=findings.reference_words(opened.club.loft_deg, meant_m, unit) if meant_m else "",
        trends=_trends(opened, unit),
        expected=ExpectedForm(formdata=None, data={"expected": _expected()}),
        estimate=findings.estimate(reckoned),
        carry_share=findings.CARRY_SHARE,
        trend_span_m=findings.TREND_SPAN_M,
        questions=findings.questions(reckoned, opened.club.loft_deg, row["carry_m"]),
    )


def _said(opened: Opened, name: str) -> Any:
    return opened.body.get(name, KINDS["shot"][name].default)


def _of_the_bucket(opened: Opened, said: dict[str, Any]) -> dict[str, str]:
    """The bucket's wind, for a ball that has a force alone: without a wind of its own nothing reads its force."""
    wind, force = (said.get(name, _said(opened, name)) for name in ("wind", "wind_force"))
    told = opened.bucket.get("wind", "calm")
    return {"wind": told} if force and not wind and told != "calm" else {}


def _landing_form(opened: Opened, unit: str) -> LandingForm:
    """The form as the shot stands; the carry is what was noted, before the bay's offset."""
    said = {name: _said(opened, name) for name in KINDS["shot"]} | {"judged_by": opened.row["judged_by"]}
    form = LandingForm(formdata=None, data=said)
    form.carry.data, form.roll.data = (_shown(_said(opened, name), LENGTH_M[unit]) for name in ("carry_m", "roll_m"))
    return form


def _delivery_form(numbers: dict[str, float], unit: str) -> Any:
    speed_unit = SPEED_BESIDE[unit]
    form = DeliveryForm(formdata=None, data={"speed_unit": speed_unit})
    for column, name in readings.FIELD_OF.items():
        form[column].data = _shown(numbers.get(name), SPEED_MPS[speed_unit] if readings.is_speed(column) else 1.0)
    return form


def _shown(stored: float | None, factor: float) -> Decimal | None:
    return None if stored is None else Decimal(f"{round(stored / factor, _SHOWN_DIGITS):g}")


def _computed(numbers: findings.Delivery, loft_deg: float) -> list[tuple[str, str, str]]:
    """What follows from the numbers: name, value ("" while an input is missing), and what it is made of."""
    share = findings.launch_share(numbers)
    return [
        ("spin loft", _degrees(findings.spin_loft_deg(numbers)), "dynamic loft less attack"),
        ("face to path", _degrees(findings.face_to_path_deg(numbers)), "face less path; negative curves left"),
        ("de-loft", _degrees(findings.deloft_deg(numbers, loft_deg)), f"{loft_deg:g} stamped less dynamic loft"),
        ("launch share", "" if share is None else f"{share:.0%}", "where launch lies from attack to dynamic loft"),
    ]


def _degrees(angle_deg: float | None) -> str:
    return "" if angle_deg is None else f"{angle_deg:.1f}".replace("-", "−") + "°"


def _bars(
    numbers: findings.Delivery, hand: str, loft_deg: float, meant_m: float | None
) -> list[tuple[str, findings.Bar, str]]:
    if not meant_m:
        return []
    found = findings.reference_bars(numbers, hand, loft_deg, meant_m)
    return [(_label(bar.name), bar, reference_bar(bar.position, bar.place == "in")) for bar in found]


def _label(name: str) -> str:
    return DELIVERY[name].label if name in DELIVERY else "spin loft"


def _expected() -> str:
    said = reading.notes(doors.book(), _ABOUT_EXPECTED)
    return said[0]["words"] if said else _EXPECTED


def _trends(opened: Opened, unit: str) -> list[str]:
    """The player's own trends with this wedge, of the balls whose strike says something and that were seen to land."""
    own = [one for one in struck_of(reading.shots_of_club(doors.book(), opened.club.id)) if seen(one)]
    found = []
    for name in _TRENDS:
        told = [(one["carry_m"], one["delivery"][name]) for one in own if one["delivery"].get(name) is not None]
        words = findings.trend_words(
            DELIVERY[name].label, [carry for carry, _ in told], [value for _, value in told], _expected(), unit
        )
        if words:
            found.append(words)
    return found
