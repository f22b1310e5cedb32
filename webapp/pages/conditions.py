"""What today's temperature, altitude, wind and a raised target do to the card; shut by card only.

Knows the question's form and the open book; the sums are those of conditions/.
"""

from collections.abc import Callable
from decimal import Decimal
from typing import Any

from flask import Blueprint, Flask, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from .. import card_only, doors, notes, phone_data, present, reader
from ..books import make_facts, read_card
from ..books.book_conditions import home_of, ladder_of
from ..card.card_data import Card, CardCell, shown
from ..conditions import words
from ..conditions.day import Conditions, doubts
from ..conditions.today import Answer, Day, day_of, flies, plays
from ..conditions.told import told
from ..draw.arm import arm
from ..forms.readings import ConditionsForm, HomeForm
from ..store import reading
from ..units import (
    ALTITUDE_NAMES,
    LENGTH_M,
    SPEED_BESIDE,
    TEMPERATURE_NAMES,
    UNIT_NAMES,
    altitude_shown,
    temperature_shown,
    to_altitude_m,
    to_degc,
    to_m,
    to_mps,
)

conditions = Blueprint("conditions", __name__)
# Of each number of home: its box in the form, the way from what is typed to what is kept, and the way it is shown.
_HOME = {
    "home_temperature_c": ("home_temperature", to_degc, temperature_shown),
    "home_altitude_m": ("home_altitude", to_altitude_m, altitude_shown),
}
_QUESTIONS = ("carry", "temperature", "altitude", "wind", "height")


def register(app: Flask) -> None:
    """Add the addresses of conditions."""
    app.register_blueprint(conditions)


@conditions.get("/conditions")
def show() -> str | tuple[str, int]:
    """Ask what is played in; say the carry to play, and what each number of the card becomes."""
    card_only.shut()
    form = ConditionsForm(request.args if request.args else None)
    return _page(form)


@conditions.post("/conditions/home")
def change_home() -> Response | str | tuple[str, int]:
    """Keep where the card's carries are measured."""
    card_only.shut()
    form = HomeForm()
    if not form.validate():
        return _page(ConditionsForm(None), form)
    said = _said_home()
    for name, value in _typed_home(form, said).items():
        if value != said[name]:
            notes.note(make_facts.setting(doors.book(), name, value, present.now()))
    flash("Kept. Your carries are unchanged; only these sums start from it.")
    response = redirect(url_for("conditions.show"))
    chosen = {"temperature_unit": form.home_temperature_unit.data, "altitude_unit": form.home_altitude_unit.data}
    reader.prefer(response, **chosen)
    return response


def _page(form: ConditionsForm, refused_home: HomeForm | None = None) -> str | tuple[str, int]:
    view = reader.view()
    units = unit, temperature_unit, altitude_unit = _units(form, view)
    home, said = home_of(doors.book()), _said_home()
    home_form = refused_home or _home_form(said, temperature_unit, altitude_unit)
    today, asked_m, problems = _asked(form, home, units)
    problems = problems or home_form.problems()
    card = shown(read_card.card_of(doors.book(), present.now(), view["mirrored"]))
    rungs = ladder_of(doors.book(), card, home)
    day = day_of(rungs, home, today) if today is not None and not problems else None
    answer, sentence, note = None, "", ""
    if day and today and asked_m is not None:
        answer = plays(day, asked_m)
        sentence = words.sentence(asked_m, answer, home, today, unit, "plays")
        note = words.note(asked_m, unit)
    rows = _rows(card, day)
    page = render_template(
        "conditions.html",
        form=form,
        home_form=home_form,
        home=home,
        home_is_said=None not in said.values(),
        shown_home=said if refused_home is None else {},
        temperature_unit=temperature_unit,
        temperature_names=TEMPERATURE_NAMES,
        altitude_unit=altitude_unit,
        temperature_shown=temperature_shown,
        altitude_shown=altitude_shown,
        unit=unit,
        unit_name=UNIT_NAMES[unit],
        problems=problems,
        answer=answer,
        sentence=sentence,
        note=note,
        rows=rows,
        cold=any(answer.at_least for _, answer in rows if answer),
        card=card,
        arms={swing.swing_deg: arm(swing.swing_deg, view["mirrored"]) for swing in card.swings},
        as_of=reader.own_day()(card.as_of),
        page_data={**told(rungs, home), **phone_data.age(doors.book(), card)},
    )
    return (page, 400) if problems else page


def _units(form: ConditionsForm, view: dict[str, Any]) -> tuple[str, str, str]:
    """The units of length, temperature and altitude: the question's, else the reader's, which its boxes then show."""
    unit = form.unit.data if form.unit.data in LENGTH_M else view["unit"]
    form.unit.data = unit
    offered = {"speed_unit": SPEED_BESIDE[unit], **{name: view[name] for name in ("temperature_unit", "altitude_unit")}}
    for name, first in offered.items():
        if not request.args.get(name):
            form[name].data = first
    temperature_unit = form.temperature_unit.data if form.temperature_unit.data in TEMPERATURE_NAMES else "c"
    altitude_unit = form.altitude_unit.data if form.altitude_unit.data in ALTITUDE_NAMES else "m"
    return unit, temperature_unit, altitude_unit


def _asked(
    form: ConditionsForm, home: Conditions, units: tuple[str, str, str]
) -> tuple[Conditions | None, float | None, list[str]]:
    """The conditions asked about, the carry [m] asked for, and what is wrong with them; nothing where none are."""
    if not any(request.args.get(name) for name in _QUESTIONS):
        return None, None, []
    if not form.validate():
        return None, None, form.problems()
    today = _today(form, home, units[0])
    asked_m = None if form.carry.data is None else to_m(float(form.carry.data), units[0])
    return today, asked_m, doubts(today, asked_m, *units)


def _said_home() -> dict[str, float | None]:
    said = reading.settings(doors.book())
    return {name: said[name] for name in ("home_temperature_c", "home_altitude_m")}


def _home_form(said: dict[str, float | None], temperature_unit: str, altitude_unit: str) -> HomeForm:
    """The form as it stands before anything is typed, in these units."""
    units = {"home_temperature_c": temperature_unit, "home_altitude_m": altitude_unit}
    data: dict[str, Any] = {}
    for name, (box, _, as_shown) in _HOME.items():
        value = said[name]
        data |= {box: None if value is None else Decimal(as_shown(value, units[name])), f"{box}_unit": units[name]}
    return HomeForm(formdata=None, data=data)


def _typed_home(form: HomeForm, said: dict[str, float | None]) -> dict[str, float | None]:
    """What the form says of home [degC, m]; a number left as the page showed it is the very one kept before."""
    found = {}
    for name, (box, to_stored, as_shown) in _HOME.items():
        typed, unit, before = form[box].data, form[f"{box}_unit"].data, said[name]
        stands = typed is not None and before is not None and typed == Decimal(as_shown(before, unit))
        found[name] = before if stands else None if typed is None else to_stored(float(typed), unit)
    return found


def _today(form: ConditionsForm, home: Conditions, unit: str) -> Conditions:
    """The conditions asked about; what was left empty is as at home."""
    tail_mps = to_mps(form.value("wind", 0.0), form.speed_unit.data)
    up_m = to_m(form.value("height", 0.0), unit)
    return Conditions(
        _typed(form, "temperature", to_degc, home.temperature_c),
        _typed(form, "altitude", to_altitude_m, home.altitude_m),
        tail_mps if form.wind_to.data == "down" else -tail_mps,
        form.wind_at.data,
        up_m if form.side.data == "up" else -up_m,
    )


def _typed(form: ConditionsForm, name: str, to_stored: Callable[[float, str], float], otherwise: float) -> float:
    """What was typed into a box in the unit beside it, as it is reckoned with; `otherwise` where it was left empty."""
    value = form[name].data
    return otherwise if value is None else to_stored(float(value), form[f"{name}_unit"].data)


def _rows(card: Card, day: Day | None) -> list[tuple[CardCell, Answer | None]]:
    """Every number shown on the card, longest first, with what it becomes today (None: as it is)."""
    cells = sorted(card.cells.values(), key=lambda cell: -cell.shown_carry_m)
    places = {rung.key: place for place, rung in enumerate(day.rungs)} if day else {}
    return [(cell, flies(day, places[cell.key]) if day and cell.key in places else None) for cell in cells]
