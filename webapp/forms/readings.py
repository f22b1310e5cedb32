"""The plain forms of what a thermometer, a forecast and a launch monitor say; their ranges come from facts.py.

Knows no book: a page fills a form and reads it.
"""

import math
from collections.abc import Callable
from typing import Any

from flask_wtf import FlaskForm
from wtforms import DecimalField, RadioField, SelectField, StringField
from wtforms.validators import NumberRange, Optional, ValidationError

from ..delivery.readings import FIELD_OF, from_stored
from ..facts import CONTACTS, DELIVERY, LANDED, SETTINGS
from ..units import (
    ALTITUDE_NAMES,
    SPEED_NAMES,
    TEMPERATURE_NAMES,
    from_altitude_m,
    from_degc,
    to_altitude_m,
    to_degc,
)
from .setup import LONGEST_CARRY, Number, PlainForm, number

LANDINGS = dict(zip(LANDED, ("seen", "lost sight", "way short", "way over"), strict=True))
_CARRY = NumberRange(0, LONGEST_CARRY, message=f"A carry is a number from 0 to {LONGEST_CARRY}.")


def reading(label: str, *checks: Any) -> Number:
    """An optional number that may be below zero: not asked with a phone's decimal keys, which have no minus sign."""
    return Number(label, places=None, validators=[Optional(), *checks])


class ConditionsForm(PlainForm):
    """What is played in; asked through the address, it changes nothing and needs no token."""

    class Meta:
        csrf = False

    carry = reading("carry to the target")
    temperature = reading("temperature")
    temperature_unit = SelectField("unit of temperature", choices=TEMPERATURE_NAMES)
    altitude = reading("altitude")
    altitude_unit = SelectField("unit of altitude", choices=ALTITUDE_NAMES)
    wind = reading("wind speed")
    speed_unit = SelectField("unit of speed", choices=SPEED_NAMES)
    wind_to = RadioField("the wind is", choices={"into": "against", "down": "behind"}, default="into")
    wind_at = RadioField("said by", choices={"forecast": "a forecast", "ball": "at the ball"}, default="forecast")
    height = reading("target height")
    side = RadioField("the target is", choices={"up": "up", "down": "down"}, default="up")
    unit = StringField("unit")

    def value(self, name: str, default: float) -> float:
        """A field's number; `default` where it was left empty."""
        return default if self[name].data is None else float(self[name].data)


def _home_range(
    stored: str, to_stored: Callable[[float, str], float], from_stored: Callable[[float, str], float], names: Any
) -> Any:
    field = SETTINGS[stored]

    def check(form: FlaskForm, entry: DecimalField) -> None:
        """Refuse what no fact can hold, with the range in the unit chosen."""
        unit = form[f"{entry.name}_unit"].data
        if unit not in names or entry.data is None or field.low is None or field.high is None:
            return
        if not field.low <= to_stored(float(entry.data), unit) <= field.high:
            low, high = math.ceil(from_stored(field.low, unit)), math.floor(from_stored(field.high, unit))
            raise ValidationError(f"{field.label.capitalize()} is from {low} to {high} {names[unit]}.")

    return check


class HomeForm(PlainForm):
    """Where the card's carries are measured."""

    home_temperature = reading(
        "usual temperature", _home_range("home_temperature_c", to_degc, from_degc, TEMPERATURE_NAMES)
    )
    home_temperature_unit = SelectField("unit of home temperature", choices=TEMPERATURE_NAMES)
    home_altitude = reading("altitude", _home_range("home_altitude_m", to_altitude_m, from_altitude_m, ALTITUDE_NAMES))
    home_altitude_unit = SelectField("unit of home altitude", choices=ALTITUDE_NAMES)


class LandingForm(PlainForm):
    """Where a shot came down and how it was struck, put right."""

    carry = number("carry", Optional(), _CARRY)
    landed = RadioField("landing", choices=LANDINGS)
    contact = RadioField("contact", choices={**{word: word for word in CONTACTS}, "": "not noted"})

    def validate_landed(self, field: RadioField) -> None:
        """A landing that was seen has a carry."""
        if field.data == "seen" and self.carry.data is None and not self.carry.errors:
            raise ValidationError("Say how far it carried, or that it was lost from sight.")


class ExpectedForm(PlainForm):
    """What a coach expects of longer shots; a statement to compare with, not a rule."""

    expected = RadioField("Expected of longer shots", choices={word: word for word in ("higher", "level", "lower")})


class DeliveryBase(PlainForm):
    """The unit beside the speeds; `DeliveryForm` adds a field for every delivery number."""

    speed_unit = SelectField("speeds in", choices=SPEED_NAMES)


def _within(column: str) -> Any:
    field = DELIVERY[FIELD_OF[column]]

    def check(form: FlaskForm, entry: DecimalField) -> None:
        """Refuse what no fact can hold; what is merely odd is asked about later."""
        unit = form.speed_unit.data
        if unit not in SPEED_NAMES:
            return
        low, high = (from_stored(column, edge, unit) for edge in (field.low, field.high))
        if entry.data is not None and not low <= float(entry.data) <= high:
            raise ValidationError(f"{field.label.capitalize()} is from {low:.0f} to {high:.0f}.")

    return check


DeliveryForm = type(
    "DeliveryForm",
    (DeliveryBase,),
    {column: reading(DELIVERY[FIELD_OF[column]].label, _within(column)) for column in FIELD_OF},
)
