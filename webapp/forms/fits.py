"""The plain forms of choosing a shot and of a course note; their ranges come from facts.py.

Knows no book: the page fills a form and reads it.
"""

from wtforms import BooleanField, RadioField, SelectField, StringField
from wtforms.validators import InputRequired, NumberRange, Optional

from ..facts import LIES
from ..fits.course_notes import LANDINGS
from .setup import LONGEST_CARRY, PlainForm, number

_DISTANCE = NumberRange(1, LONGEST_CARRY, message=f"A distance is a number from 1 to {LONGEST_CARRY}.")
_ROLL = NumberRange(-30, 100, message="Roll is a number from -30 to 100.")


class FitsForm(PlainForm):
    """A question asked through the address; it changes nothing, so it needs no token."""

    class Meta:
        csrf = False

    flag = number("How far", InputRequired("Give a distance as a number."), _DISTANCE)
    roll = number("of which roll", Optional(), _ROLL)
    front = number("trouble in front to", Optional(), _DISTANCE)
    back = number("trouble behind from", Optional(), _DISTANCE)
    must = BooleanField("must carry the trouble in front")
    unit = StringField("unit")

    def length(self, name: str) -> float | None:
        """A field's number in the unit it was asked in; None where it was left empty."""
        value = self[name].data
        return None if value is None else float(value)


class CourseNoteForm(PlainForm):
    """One shot remembered after a round."""

    meant = number("meant", InputRequired("Say how far it was meant to carry."), _DISTANCE)
    landed = RadioField("landed", choices={word: word for word in LANDINGS})
    lie = SelectField("lie", choices={word: word for word in LIES}, default=LIES[0])
