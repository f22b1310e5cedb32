"""The plain forms of the set-up pages; their ranges come from facts.py.

Knows no book: a page fills a form and reads it.
"""

from flask_wtf import FlaskForm
from flask_wtf.file import FileField, FileRequired
from wtforms import BooleanField, DecimalField, RadioField, SelectField, StringField
from wtforms.validators import InputRequired, Length, NumberRange, Optional, ValidationError

from .facts import BALLS, JUDGED_BY, LOFT_DEG_RANGE, NAME_LENGTH
from .fields import text

LONGEST_CARRY = 400
MOST_CLUBS = 6
_LOFT = NumberRange(*LOFT_DEG_RANGE, message=f"A wedge's loft is from {LOFT_DEG_RANGE[0]:g} to {LOFT_DEG_RANGE[1]:g}°.")
_CARRY = NumberRange(1, LONGEST_CARRY, message=f"A carry is a number from 1 to {LONGEST_CARRY}.")
HANDS = [("right", "right-handed"), ("left", "left-handed")]
UNITS = [("yd", "yards"), ("m", "metres")]
JUDGES = [
    ("eye", "by eye"),
    ("markers", "by the range's markers"),
    ("laser", "by laser to a flag"),
    ("monitor", "by a launch monitor"),
]
BALL_KINDS = [("range", "range balls"), ("own", "my own balls")]
assert tuple(value for value, _ in JUDGES) == JUDGED_BY
assert tuple(value for value, _ in BALL_KINDS) == BALLS


def plain(_: FlaskForm, field: StringField) -> None:
    """Refuse markup and control characters, as facts.py does."""
    wrong = text(field.label.text, NAME_LENGTH * 10).misfit(field.data or "")
    if wrong:
        raise ValidationError(f"{field.label.text} {wrong}.")


class PlainForm(FlaskForm):
    """A form whose refusals all say that nothing was changed."""

    def problems(self) -> list[str]:
        """Each thing wrong, in a sentence."""
        return [str(wrong) for wrongs in self.errors.values() for wrong in wrongs if wrong]


def number(label: str, *checks: NumberRange | InputRequired | Optional) -> DecimalField:
    """A number field for a phone's number keys."""
    return DecimalField(label, places=None, validators=list(checks), render_kw={"inputmode": "decimal"})


class StartForm(PlainForm):
    """What a book cannot do without: hand, units, lofts, and one full carry if it is known."""

    hand = RadioField("I play", choices=HANDS, default="right")
    unit = RadioField("Distances in", choices=UNITS, default="yd")
    loft_1 = number("first wedge", InputRequired("Give at least one loft."), _LOFT)
    loft_2 = number("second wedge", Optional(), _LOFT)
    loft_3 = number("third wedge", Optional(), _LOFT)
    loft_4 = number("fourth wedge", Optional(), _LOFT)
    loft_5 = number("fifth wedge", Optional(), _LOFT)
    loft_6 = number("sixth wedge", Optional(), _LOFT)
    known_loft = number("loft of the wedge whose carry I know", Optional(), _LOFT)
    known_carry = number("its full carry", Optional(), _CARRY)
    join_code = StringField("word of this private server", validators=[Length(max=80)])

    def lofts(self) -> list[float]:
        """The lofts given [deg], strongest first."""
        given = (getattr(self, f"loft_{place}").data for place in range(1, MOST_CLUBS + 1))
        return sorted(float(loft) for loft in given if loft is not None)

    def validate_loft_2(self, _: DecimalField) -> None:
        """Refuse two wedges that could not be told apart."""
        lofts = self.lofts()
        if len(set(lofts)) < len(lofts):
            raise ValidationError(
                "Two wedges have the same loft. Name the second one in the bag once the book is open."
            )

    def validate_known_carry(self, field: DecimalField) -> None:
        """A known carry must be one of the wedges'."""
        if field.data is not None and (self.known_loft.data is None or float(self.known_loft.data) not in self.lofts()):
            raise ValidationError("Say which of your wedges carries this far.")


class ClubForm(PlainForm):
    """One wedge in the bag."""

    name = StringField("name", validators=[Length(max=NAME_LENGTH, message="A name has at most 40 characters."), plain])
    loft_deg = number("loft", InputRequired("Give the loft stamped on the wedge."), _LOFT)
    carry = number("full carry", Optional(), _CARRY)
    sole_note = StringField("bounce and sole", validators=[Length(max=200), plain])


class SwingForm(PlainForm):
    """One length of swing: a place on the clock and a name of the player's own."""

    clock = StringField("place on the clock", validators=[InputRequired("Say where the lead arm stops, such as 9:00.")])
    name = StringField(
        "own name", validators=[Length(max=NAME_LENGTH, message="A name has at most 40 characters."), plain]
    )


class SettingsForm(PlainForm):
    """What the whole book goes by."""

    hand = RadioField("I play", choices=HANDS)
    unit = RadioField("Distances in", choices=UNITS)
    seen_from = RadioField("Hours on my clock", choices=[("front", "as seen from the front"), ("self", "as I see it")])
    judged_by = SelectField("Carries are usually judged", choices=JUDGES)
    ball = RadioField("The card shows", choices=BALL_KINDS)
    thumb = RadioField(
        "Buttons for", choices=[("", "the trail thumb"), ("right", "the right thumb"), ("left", "the left thumb")]
    )
    junior = BooleanField("junior: numbers age in 45 days, gaps up to 20 yards are fine")
    nickname = StringField("Nickname, for a coach", validators=[Length(max=NAME_LENGTH), plain])
    gap_limit = number("Warn of gaps above", Optional(), NumberRange(1, 60, message="A gap limit is from 1 to 60."))
    ball_limit = number("Balls a day", Optional(), NumberRange(5, 500, message="A ball limit is from 5 to 500."))


class LinkForm(PlainForm):
    """A coach link."""

    label = StringField("for whom", validators=[Length(max=NAME_LENGTH), plain])
    days = SelectField(
        "open for", choices=[("7", "a week"), ("14", "two weeks"), ("30", "30 days"), ("90", "90 days")], default="14"
    )
    nickname = BooleanField("show my nickname")


class CodeForm(PlainForm):
    """A recovery or joining code, as typed."""

    code = StringField("code", validators=[InputRequired("Type the code of the sheet."), Length(max=80)])


class BringForm(PlainForm):
    """A file to bring back."""

    file = FileField("file", validators=[FileRequired("Choose a file: a book as JSON or balls as CSV.")])


class DeleteForm(PlainForm):
    """The last yes before a book is deleted."""

    yes = BooleanField(
        "Yes, delete all of it", validators=[InputRequired("Nothing was deleted: tick the box to say yes.")]
    )


class PlainAction(PlainForm):
    """A button without fields: only the token that says it was pressed on our page."""
