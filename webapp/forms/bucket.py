"""The plain forms of a bucket: its start, one ball typed and one put right; their ranges come from facts.py.

Knows no book: the page fills a form and reads it.
"""

from typing import Any, ClassVar

from wtforms import Field, RadioField, SelectField, StringField
from wtforms.validators import Length, Optional, ValidationError

from ..card.noted import FLIGHT_WORDS
from ..facts import (
    BALLS,
    CONTACTS,
    DIRECTIONS,
    FLAG_CHECKS,
    JUDGED_BY,
    KINDS,
    LANDED_WORDS,
    LIES,
    MODES,
    MONITOR_NOTES,
    NAME_LENGTH,
    SURFACES,
    SWING_CHECKS,
    WIND_FORCES,
    WINDS,
)
from ..units import TEMPERATURE_NAMES, to_degc, to_m
from .numbers import length, number, temperature_within
from .setup import BALL_KINDS, JUDGES, PlainForm, plain
from .shown import Filled

_BUCKET, _SHOT = KINDS["bucket"], KINDS["shot"]
_WIND_WORDS = ("calm", "into me", "down the range", "from the left", "from the right")
_MODE_WORDS = ("make the swing", "hit the number")
_UNSAID = {"": "not said"}
_MONITOR_WORDS = ("outdoor flight", "an indoor estimate", "corrected to standard air")
_CHECK_WORDS = ("by laser", "by a launch monitor", "by paces", "not checked")


def _or_not_noted(label: str, answers: tuple[str, ...]) -> SelectField:
    return SelectField(label, choices={"": "not noted", **{word: word for word in answers}}, default="")


class BucketForm(PlainForm):
    """What holds for a whole visit."""

    surface = RadioField("Hitting from", choices={word: word for word in SURFACES}, default=SURFACES[0])
    ball = RadioField("With", choices=BALL_KINDS, default=BALLS[0])
    judged_by = RadioField("Carries judged", choices=JUDGES, default=JUDGED_BY[1])
    place = StringField(
        "place",
        validators=[Length(max=NAME_LENGTH, message="A place has at most 40 characters."), plain],
        render_kw={"maxlength": NAME_LENGTH, "list": "places"},
    )
    wind = SelectField("wind", choices=dict(zip(WINDS, _WIND_WORDS, strict=True)))
    wind_force = SelectField("wind force", choices={word: word for word in WIND_FORCES})
    bay_offset = length("bay offset", _BUCKET["bay_offset_m"], signed=True)
    temperature = number("temperature", Optional(), temperature_within(_BUCKET["temperature_c"]), signed=True)
    temperature_unit = SelectField("unit of temperature", choices=TEMPERATURE_NAMES, default="c")
    monitor_note = SelectField(
        "the monitor shows", choices=_UNSAID | dict(zip(MONITOR_NOTES, _MONITOR_WORDS, strict=True)), default=""
    )
    flags_checked = SelectField(
        "flags checked", choices=_UNSAID | dict(zip(FLAG_CHECKS, _CHECK_WORDS, strict=True)), default=""
    )

    def body(self) -> dict[str, Any]:
        """A bucket as the form says."""
        said = ("surface", "ball", "judged_by", "wind", "wind_force", "monitor_note", "flags_checked")
        offset = self.bay_offset.data
        return {
            **{name: self[name].data for name in said},
            "place": (self.place.data or "").strip(),
            "bay_offset_m": None if offset is None else to_m(float(offset), self.length_unit()),
            "temperature_c": self._temperature_c(),
        }

    def _temperature_c(self) -> float | None:
        typed = self.temperature.data
        return None if typed is None else to_degc(float(typed), self.temperature_unit.data)


class BucketCorrection(BucketForm, Filled):
    """What holds for a bucket, put right; lists to choose from, as a visit may have several buckets."""

    made_of: ClassVar = {"bay_offset_m": ("bay_offset",), "temperature_c": ("temperature",)}
    unit_beside: ClassVar = {"temperature_c": "temperature_unit"}
    surface = SelectField("hit from", choices={word: word for word in SURFACES})
    ball = SelectField("kind of ball", choices=BALL_KINDS)
    judged_by = SelectField("carries judged", choices=JUDGES)


class _OneBall(PlainForm):
    """What a ball is asked both when it is noted and afterwards."""

    lie = SelectField("lie", choices={lie: lie for lie in LIES}, default=LIES[0])
    flight = SelectField("grip or flight", choices={"": "the usual", **FLIGHT_WORDS}, default="")
    roll = length("roll after landing", _SHOT["roll_m"], what="roll", signed=True)
    no_carry: ClassVar[str]  # what is said of a landing that was seen and has none

    def validate_landed(self, field: Field) -> None:
        """A landing that was seen has a carry."""
        if field.data == "seen" and self["carry"].data is None and not self["carry"].errors:
            raise ValidationError(self.no_carry)

    def validate_carry(self, field: Field) -> None:
        """A carry that was typed is not let go in silence where the landing says that it was not seen."""
        unseen = self["landed"].data in LANDED_WORDS and self["landed"].data != "seen"
        if unseen and field.data is not None and self._typed_anew():
            raise ValidationError(
                "Say that it was seen, or empty the carry: a ball that was not seen to land has none."
            )

    def _typed_anew(self) -> bool:
        return True


class ShotForm(_OneBall):
    """One ball without the patch; the page gives the clubs and swings to choose from."""

    no_carry = "Give the carry, or say that the landing was not seen."
    club_id = SelectField("club")
    swing_deg = SelectField("swing")
    mode = SelectField("mode", choices=dict(zip(MODES, _MODE_WORDS, strict=True)))
    meant_carry = length("meant carry", _SHOT["meant_carry_m"])
    carry = length("carry, where it landed", _SHOT["carry_m"], what="carry")
    contact = SelectField("contact", choices={word: word for word in CONTACTS}, default="clean")
    landed = SelectField("landing", choices=LANDED_WORDS)
    judged_by = SelectField("judged", choices={"": "as the bucket", **JUDGES}, default="")


class LandingForm(_OneBall, Filled):
    """Where a ball came down, how it was struck and what held for it, put right."""

    no_carry = "Say how far it carried, or that it was lost from sight."
    _LANDING: ClassVar = ("landed", "carry")  # one answer in two boxes
    made_of: ClassVar = {"landed": _LANDING, "carry_m": _LANDING, "roll_m": ("roll",)}
    carry = length("carry", _SHOT["carry_m"])
    landed = RadioField("landing", choices=LANDED_WORDS)
    contact = RadioField("contact", choices={**{word: word for word in CONTACTS}, "": "not noted"})
    judged_by = SelectField("judged", choices=JUDGES, default=JUDGED_BY[1])
    wind = SelectField("wind", choices={"": "as the bucket", **dict(zip(WINDS, _WIND_WORDS, strict=True))}, default="")
    wind_force = _or_not_noted("wind force", WIND_FORCES)
    direction = _or_not_noted("direction", DIRECTIONS)
    swing_check = _or_not_noted("was it that swing", SWING_CHECKS)

    def _typed_anew(self) -> bool:
        """Not a carry that stood there and was left; a page that does not say what it showed counts as left."""
        return self.altered("carry", self)

    def body(self) -> dict[str, Any]:
        """A ball as the form says."""
        chosen = {box.name: box.data for box in self if isinstance(box, SelectField)}
        typed = (self.carry.data if self.landed.data == "seen" else None, self.roll.data)
        carry_m, roll_m = (None if one is None else to_m(float(one), self.length_unit()) for one in typed)
        return {**chosen, "carry_m": carry_m, "roll_m": roll_m}
