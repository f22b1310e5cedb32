"""What today's temperature, altitude, wind and a raised target do to the card; shut by card only.

Knows the question's form and the open book; the sums are those of conditions/.
"""

from collections.abc import Callable
from dataclasses import asdict
from decimal import Decimal
from functools import lru_cache
from typing import Any

from flask import Blueprint, Flask, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from .. import access, card_only
from ..books import book_card, noting
from ..card.card_data import Card, CardCell, shown
from ..conditions.condition_table import ConditionTable, condition_table, fly_by_table
from ..conditions.today import (
    AIR_MATTERS_M,
    ALTITUDE_M_RANGE,
    CARRY_M_RANGE,
    COLD_BALL_DEGC,
    MEASURED_M,
    TARGET_UP_M_RANGE,
    TEMPERATURE_C_RANGE,
    WIND_MPS_RANGE,
    Answer,
    Conditions,
    carry_to_play,
    carry_today,
    doubts,
)
from ..draw.arm import arm
from ..forms.readings import ConditionsForm, HomeForm
from ..store import reading
from ..units import (
    ALTITUDE_NAMES,
    LENGTH_M,
    SPEED_BESIDE,
    TEMPERATURE_NAMES,
    UNIT_NAMES,
    YARD_M,
    altitude_shown,
    temperature_shown,
    to_altitude_m,
    to_degc,
    to_m,
    to_mps,
)

conditions = Blueprint("conditions", __name__)
# Numbers five yards apart carry any carry between them, so the coefficients depend on home alone and are kept.
_LADDER_M = tuple(yards * YARD_M for yards in range(5, 141, 5))
_DIGITS = 7  # of a coefficient sent; the half yard is kept with room to spare (tests/vectors)
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
    book, said, roots = access.book(), _said_home(), reading.setting_roots(access.book())
    for name, value in _typed_home(form, said).items():
        if value != said[name]:
            body = {"name": name, "value": value}
            root = roots.get(name)
            access.note(
                noting.correction(book, "setting", root, body, access.now())
                if root
                else noting.fact("setting", body, access.now())
            )
    flash("Kept. Your carries are unchanged; only these sums start from it.")
    response = redirect(url_for("conditions.show"))
    chosen = {"temperature_unit": form.home_temperature_unit.data, "altitude_unit": form.home_altitude_unit.data}
    access.prefer(response, **chosen)
    return response


@lru_cache(maxsize=64)
def told(temperature_c: float, altitude_m: float) -> dict[str, Any]:
    """The coefficients of one home [degC, m] as they are sent to a phone."""
    table = asdict(_table(temperature_c, altitude_m))
    for number in table["numbers"]:
        number["coefficients"] = {
            wind_at: [float(f"{one:.{_DIGITS}g}") for one in fitted]
            for wind_at, fitted in number["coefficients"].items()
        }
    return table


def _page(form: ConditionsForm, refused_home: HomeForm | None = None) -> str | tuple[str, int]:
    view = access.view()
    unit = form.unit.data if form.unit.data in LENGTH_M else view["unit"]
    form.unit.data = unit
    offered = {"speed_unit": SPEED_BESIDE[unit], **{name: view[name] for name in ("temperature_unit", "altitude_unit")}}
    for name, first in offered.items():
        if not request.args.get(name):
            form[name].data = first
    temperature_unit = form.temperature_unit.data if form.temperature_unit.data in TEMPERATURE_NAMES else "c"
    altitude_unit = form.altitude_unit.data if form.altitude_unit.data in ALTITUDE_NAMES else "m"
    home, today, said = _home(), None, _said_home()
    home_form = refused_home or _home_form(said, temperature_unit, altitude_unit)
    problems = home_form.problems()
    if any(request.args.get(name) for name in _QUESTIONS):
        if form.validate():
            today = _today(form, home, unit)
            problems = doubts(today, unit, temperature_unit, altitude_unit)
        else:
            problems = form.problems()
    card = shown(book_card.card_of(access.book(), access.now(), view["mirrored"]))
    asked = today is not None and not problems
    rows = _rows(card, home, today, unit)
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
        answer=_to_play(form, home, today, unit) if today and asked else None,
        rows=rows,
        cold=any(answer.at_least for _, answer in rows if answer),
        card=card,
        arms={swing.swing_deg: arm(swing.swing_deg, view["mirrored"]) for swing in card.swings},
        page_data=_page_data(home),
    )
    return (page, 400) if problems else page


def _said_home() -> dict[str, float | None]:
    said = reading.settings(access.book())
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


def _home() -> Conditions:
    """Where the card was made; what was not said is the standard 15 degrees at sea level."""
    names = {"temperature_c": "home_temperature_c", "altitude_m": "home_altitude_m"}
    said = _said_home()
    return Conditions(**{name: said[own] for name, own in names.items() if said[own] is not None})


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


def _to_play(form: ConditionsForm, home: Conditions, today: Conditions, unit: str) -> Answer | None:
    if form.carry.data is None:
        return None
    return carry_to_play(to_m(float(form.carry.data), unit), home, today, unit)


def _rows(card: Card, home: Conditions, today: Conditions | None, unit: str) -> list[tuple[CardCell, Answer | None]]:
    """Every number shown on the card, longest first, with what it becomes today (None: as it is)."""
    cells = sorted(card.cells.values(), key=lambda cell: -cell.shown_carry_m)
    if today is None or doubts(today, unit):
        return [(cell, None) for cell in cells]
    table = _table(home.temperature_c, home.altitude_m)
    return [
        (
            cell,
            fly_by_table(table, cell.shown_carry_m, today, unit) or carry_today(cell.shown_carry_m, home, today, unit),
        )
        for cell in cells
    ]


@lru_cache(maxsize=64)
def _table(temperature_c: float, altitude_m: float) -> ConditionTable:
    """The coefficients of one home; their fit is far too slow for every request."""
    return condition_table(_LADDER_M, Conditions(temperature_c, altitude_m))


def _page_data(home: Conditions) -> dict[str, Any]:
    """What conditions.js needs to give the same answers without signal."""
    return {
        "table": told(home.temperature_c, home.altitude_m),
        "cold_ball_degc": COLD_BALL_DEGC,
        "air_matters_m": AIR_MATTERS_M,
        "measured_m": MEASURED_M,
        "ranges": {
            "temperature_c": TEMPERATURE_C_RANGE,
            "altitude_m": ALTITUDE_M_RANGE,
            "tail_mps": WIND_MPS_RANGE,
            "target_up_m": TARGET_UP_M_RANGE,
            "carry_m": CARRY_M_RANGE,
        },
    }
