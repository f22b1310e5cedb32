"""The boxes of the plain forms that take a number, and the ranges that are shown in the unit a person chose.

Knows no book. A box bears its name and its bounds in SI, so that static/ui/typed.js says the same before it is sent.
"""

from collections.abc import Callable
from decimal import Decimal
from functools import lru_cache
from typing import Any

from flask_wtf import FlaskForm
from markupsafe import Markup
from wtforms import DecimalField, ValidationError
from wtforms.validators import Optional
from wtforms.widgets import TextInput, html_params

from ..fields import Field
from ..typed import bounds_words, number_typed
from ..units import (
    ALTITUDE_NAMES,
    TEMPERATURE_NAMES,
    UNIT_NAMES,
    from_altitude_m,
    from_degc,
    from_m,
    tenths,
    to_altitude_m,
    to_degc,
    to_m,
)


@lru_cache(maxsize=1024)
def _attributes(told: tuple[tuple[str, str | bool], ...]) -> Markup:
    return Markup(html_params(**dict(told)))


def attributes(**told: Any) -> Markup:
    """The attributes of a box as HTML, kept: the same few boxes are drawn again and again, which takes long."""
    return _attributes(tuple((name, value if isinstance(value, bool) else str(value)) for name, value in told.items()))


class NumberBox(TextInput):
    """A text box, since the browser's number box drops a comma and hands on nothing for what it cannot read."""

    html_params = staticmethod(attributes)

    def __call__(self, field: Any, **attributes: Any) -> Any:
        """The box with its name and bounds."""
        attributes.setdefault("data-typed", field.what)
        for name in ("low", "high", "min", "max"):
            if getattr(field.flags, name, None) is not None:
                attributes.setdefault(f"data-{name}", getattr(field.flags, name))
        return super().__call__(field, **attributes)


class Number(DecimalField):
    """A number as people type it, with a point or a comma; `what` is its name in a refusal."""

    widget = NumberBox()
    data: Any  # a Decimal; None where nothing was typed, or no number

    def __init__(self, label: str, what: str = "", **how: Any) -> None:
        self.what = what or label
        super().__init__(label, places=None, **how)

    def process_formdata(self, valuelist: list[str]) -> None:
        """Read the number; what is none is refused in words."""
        self.data = None
        try:
            self.data = number_typed(valuelist[0]) if valuelist else None
        except ValueError as wrong:
            raise ValueError(refusal(self.what, str(wrong))) from wrong


class Bounds:
    """Refuses what lies outside a field of facts.py, in the unit that the form names beside the box."""

    def __init__(
        self,
        field: Field,
        to_stored: Callable[[float, str], float],
        from_stored: Callable[[float, str], float],
        names: dict[str, str],
        unit_of: Callable[[FlaskForm, Number], str],
    ) -> None:
        assert field.low is not None
        assert field.high is not None
        self.low, self.high = field.low, field.high
        self.to_stored, self.from_stored, self.names, self.unit_of = to_stored, from_stored, names, unit_of
        self.field_flags = {"low": field.low, "high": field.high}

    def __call__(self, form: FlaskForm, entry: Number) -> None:
        """ValidationError with the range; a unit that is none is refused by its own field."""
        unit = self.unit_of(form, entry)
        if entry.data is None or unit not in self.names:
            return
        if not self.low <= self.to_stored(float(entry.data), unit) <= self.high:
            low, high = self.from_stored(self.low, unit), self.from_stored(self.high, unit)
            raise ValidationError(refusal(entry.what, bounds_words(low, high, self.names[unit])))


def length(label: str, field: Field, *checks: Any, what: str = "", signed: bool = False) -> Number:
    """A length within a field of facts.py, typed in the unit that the form goes by (`PlainForm.length_unit`)."""
    bounds = Bounds(field, to_m, from_m, UNIT_NAMES, lambda form, _: form.length_unit())
    return number(label, *(checks or (Optional(),)), bounds, what=what, signed=signed)


def in_box(length_m: float | None, unit: str) -> Decimal | None:
    """What a box shows of a length: its tenths in the unit on show, None for an empty box."""
    return None if length_m is None else Decimal(f"{tenths(length_m, unit):g}")


def temperature_within(field: Field) -> Bounds:
    """A temperature in the unit chosen beside its box, in the field NAME_unit."""
    return Bounds(field, to_degc, from_degc, TEMPERATURE_NAMES, _beside)


def altitude_within(field: Field) -> Bounds:
    """An altitude in the unit chosen beside its box, in the field NAME_unit."""
    return Bounds(field, to_altitude_m, from_altitude_m, ALTITUDE_NAMES, _beside)


def whole_number(label: str, low: int, high: int, what: str = "") -> Number:
    """A count from `low` to `high`; a part of one is refused, not cut off."""

    def check(form: FlaskForm, entry: Number) -> None:
        """ValidationError for anything else."""
        if entry.data is not None and (entry.data % 1 or not low <= entry.data <= high):
            raise ValidationError(refusal(entry.what, f"must be a whole number from {low} to {high}"))

    return number(label, Optional(), check, what=what)


def number(label: str, *checks: Any, what: str = "", signed: bool = False) -> Number:
    """A number for a phone's number keys; one that may be `signed` for all keys, as number keys may lack the minus."""
    keys = {} if signed else {"inputmode": "decimal"}
    return Number(label, what, validators=list(checks), render_kw={"autocomplete": "off", **keys})


def refusal(what: str, wrong: str) -> str:
    """A sentence about an entry out of its name and what is wrong with it."""
    return f"{what[:1].upper()}{what[1:]} {wrong}."


def _beside(form: FlaskForm, entry: Number) -> str:
    return str(form[f"{entry.name}_unit"].data)
