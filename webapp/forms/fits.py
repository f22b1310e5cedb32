"""The plain forms of choosing a shot, of what to leave and of a course note; their ranges come from facts.py.

Knows no book: the page fills a form and reads it.
"""

from wtforms import BooleanField, RadioField, SelectField, StringField
from wtforms.validators import InputRequired

from ..facts import KINDS, LIES
from ..fits.course_notes import LANDINGS
from ..units import UNIT_NAMES
from .numbers import length
from .setup import STATED_CARRY, PlainForm


class FitsForm(PlainForm):
    """A question asked through the address; it changes nothing, so it needs no token."""

    class Meta:
        csrf = False

    flag = length("How far", STATED_CARRY, InputRequired("Give a distance as a number."), what="the distance")
    roll = length("of which roll", KINDS["shot"]["roll_m"], what="roll")
    front = length("trouble in front to", STATED_CARRY)
    back = length("trouble behind from", STATED_CARRY)
    must = BooleanField("must carry the trouble in front")
    unit = StringField("unit")

    def length_unit(self) -> str:
        """The unit of the address, or else the page's."""
        return self.unit.data if self.unit.data in UNIT_NAMES else super().length_unit()

    def length(self, name: str) -> float | None:
        """A field's number in the unit it was asked in; None where it was left empty."""
        value = self[name].data
        return None if value is None else float(value)


class LeaveForm(FitsForm):
    """How far is left, with roll and trouble as in what fits; without it the card is asked by itself."""

    flag = length("Left to the flag", STATED_CARRY, what="the distance")

    @property
    def is_bare(self) -> bool:
        """Whether nothing is asked."""
        return not any(
            self[name].raw_data and self[name].raw_data[0].strip() for name in ("flag", "roll", "front", "back")
        )


class CourseNoteForm(PlainForm):
    """One shot remembered after a round."""

    meant = length("meant", STATED_CARRY, InputRequired("Say how far it was meant to carry."), what="the meant carry")
    landed = RadioField("landed", choices={word: word for word in LANDINGS})
    lie = SelectField("lie", choices={word: word for word in LIES}, default=LIES[0])
