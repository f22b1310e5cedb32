"""The plain forms of a bucket: its start and one ball typed; their ranges come from facts.py.

Knows no book: the page fills a form and reads it.
"""

from wtforms import DecimalField, RadioField, SelectField, StringField
from wtforms.validators import Length, NumberRange, Optional, ValidationError

from ..facts import BALLS, CONTACTS, JUDGED_BY, LANDED, MODES, NAME_LENGTH, SURFACES, WIND_FORCES, WINDS
from .setup import BALL_KINDS, JUDGES, LONGEST_CARRY, PlainForm, number, plain

_OFFSET = NumberRange(-50, 50, message="A bay offset is from -50 to 50.")
_CARRY = NumberRange(0, LONGEST_CARRY, message=f"A carry is a number from 0 to {LONGEST_CARRY}.")
_WIND_WORDS = ("calm", "into me", "down the range", "from the left", "from the right")
_MODE_WORDS = ("make the swing", "hit the number")
_LANDED_WORDS = ("seen", "lost sight", "way short", "way over")


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
    bay_offset: DecimalField = number("bay offset", Optional(), _OFFSET)


class ShotForm(PlainForm):
    """One ball without the patch; the page gives the clubs and swings to choose from."""

    club_id = SelectField("club")
    swing_deg = SelectField("swing")
    mode = SelectField("mode", choices=dict(zip(MODES, _MODE_WORDS, strict=True)))
    meant_carry: DecimalField = number("meant carry", Optional(), _CARRY)
    carry: DecimalField = number("carry, where it landed", Optional(), _CARRY)
    contact = SelectField("contact", choices={word: word for word in CONTACTS}, default="clean")
    landed = SelectField("landing", choices=dict(zip(LANDED, _LANDED_WORDS, strict=True)))

    def validate_landed(self, field: SelectField) -> None:
        """A seen landing has a carry."""
        if field.data == "seen" and self.carry.data is None and not self.carry.errors:
            raise ValidationError("Give the carry, or say that the landing was not seen.")
