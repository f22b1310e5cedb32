"""The plain forms of what a thermometer, a forecast and a launch monitor say; their ranges come from facts.py.

Knows no book: a page fills a form and reads it.
"""

from functools import partial
from typing import ClassVar

from wtforms import RadioField, SelectField, StringField
from wtforms.validators import Optional

from ..delivery.readings import FIELD_OF, UNIT_OF, from_stored, is_speed, to_stored
from ..facts import DELIVERY, SETTINGS
from ..units import ALTITUDE_NAMES, SPEED_NAMES, TEMPERATURE_NAMES
from .numbers import Bounds, altitude_within, number, temperature_within
from .setup import PlainForm
from .shown import Filled


class ConditionsForm(PlainForm):
    """What is played in; asked through the address, it changes nothing and needs no token."""

    class Meta:
        csrf = False

    carry = number("carry to the target", Optional(), what="the carry")
    temperature = number("temperature", Optional(), signed=True)
    temperature_unit = SelectField("unit of temperature", choices=TEMPERATURE_NAMES)
    altitude = number("altitude", Optional(), signed=True)
    altitude_unit = SelectField("unit of altitude", choices=ALTITUDE_NAMES)
    wind = number("wind speed", Optional())
    speed_unit = SelectField("unit of speed", choices=SPEED_NAMES)
    wind_to = RadioField("the wind is", choices={"into": "against", "down": "behind"}, default="into")
    wind_at = RadioField("said by", choices={"forecast": "a forecast", "ball": "at the ball"}, default="forecast")
    height = number("target height", Optional())
    side = RadioField("the target is", choices={"up": "up", "down": "down"}, default="up")
    unit = StringField("unit")

    def value(self, name: str, default: float) -> float:
        """A field's number; `default` where it was left empty."""
        return default if self[name].data is None else float(self[name].data)


class HomeForm(PlainForm):
    """Where the card's carries are measured."""

    home_temperature = number(
        "usual temperature", Optional(), temperature_within(SETTINGS["home_temperature_c"]),
        what="home temperature", signed=True,
    )  # fmt: skip
    home_temperature_unit = SelectField("unit of home temperature", choices=TEMPERATURE_NAMES)
    home_altitude = number(
        "altitude there", Optional(), altitude_within(SETTINGS["home_altitude_m"]), what="home altitude", signed=True
    )
    home_altitude_unit = SelectField("unit of home altitude", choices=ALTITUDE_NAMES)


class ExpectedForm(PlainForm):
    """What a coach expects of longer shots; a statement to compare with, not a rule."""

    expected = RadioField("Expected of longer shots", choices={word: word for word in ("higher", "level", "lower")})


class DeliveryBase(PlainForm, Filled):
    """The unit beside the speeds; `DeliveryForm` adds a field for every delivery number."""

    unit_beside: ClassVar = {column: "speed_unit" for column in FIELD_OF if is_speed(column)}
    speed_unit = SelectField("speeds in", choices=SPEED_NAMES)


def _within(column: str) -> Bounds:
    """Refuse what no fact can hold; what is merely odd is asked about later."""
    names = SPEED_NAMES if is_speed(column) else dict.fromkeys(SPEED_NAMES, UNIT_OF.get(column, "°"))
    return Bounds(
        DELIVERY[FIELD_OF[column]],
        partial(to_stored, column),
        partial(from_stored, column),
        names,
        lambda form, _: form.speed_unit.data,
    )


DeliveryForm = type(
    "DeliveryForm",
    (DeliveryBase,),
    {column: number(DELIVERY[FIELD_OF[column]].label, Optional(), _within(column), signed=True) for column in FIELD_OF},
)
