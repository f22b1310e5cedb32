"""The plain forms of the set-up pages; their ranges come from facts.py.

Knows no book: a page fills a form and reads it.
"""

import json
import re
from collections.abc import Mapping
from typing import Any, ClassVar

from flask_wtf import FlaskForm
from flask_wtf.file import FileField, FileRequired
from markupsafe import Markup
from wtforms import BooleanField, Field, PasswordField, RadioField, SelectField, StringField
from wtforms.i18n import DummyTranslations
from wtforms.validators import InputRequired, Length, NumberRange, Optional, ValidationError

from .. import fields
from ..facts import BALL_LIMIT_RANGE, BALLS, JUDGED_BY, LOFT_DEG_RANGE, LONGEST_CARRY_M, NAME_LENGTH, SETTINGS
from ..fields import text
from ..link_profile import DEFAULT, SHOWS
from ..units import FOOT_M, UNIT_NAMES, USUAL_UNIT, to_m
from .numbers import Number, in_box, length, number, whole_number
from .shown import Filled

MOST_CLUBS = 6
# The shortest carry that can be stated is a foot, so that every unit's range begins with 1.
STATED_CARRY = fields.length("carry", FOOT_M, LONGEST_CARRY_M)


def _loft(label: str, *checks: Any, called: str = "A wedge’s loft") -> Number:
    """A loft [deg] as it is stamped; `called` so in a refusal."""
    low, high = LOFT_DEG_RANGE
    return number(label, *checks, NumberRange(low, high, message=f"{called} must be from {low:g} to {high:g}°."))


def _no_longer(what: str, longest: int) -> Length:
    return Length(max=longest, message=f"{what} has at most {longest} characters.")


HANDS = {"right": "right-handed", "left": "left-handed"}
JUDGES = {
    "eye": "by eye",
    "markers": "by the range’s markers",
    "laser": "by laser to a flag",
    "monitor": "by a launch monitor",
}
# How long a coach link may last [days], as the form says it.
ENDS = {"7": "a week", "14": "two weeks", "30": "30 days", "90": "90 days"}
BALL_KINDS = {"range": "range balls", "own": "my own balls"}
assert tuple(JUDGES) == JUDGED_BY
assert tuple(BALL_KINDS) == BALLS


# The bidirectional controls of Unicode Standard Annex 9, and signs without a shape.
_TURNS_ROUND = re.compile(r"[\u202a-\u202e\u2066-\u2069]")
_UNSEEN = re.compile(r"[\s\u00ad\u200b-\u200f\u2060\ufeff]+")


def plain(_: FlaskForm, field: StringField) -> None:
    """Refuse markup and control characters, as facts.py does, and what would turn a page's words round or not be seen.

    The last two in what is typed here alone: facts.py takes them, since a book of before may hold them.
    """
    typed = field.data or ""
    wrong = text(field.label.text, NAME_LENGTH * 10).misfit(typed)
    if _TURNS_ROUND.search(typed):
        wrong = "must not hold signs that turn the writing round"
    elif typed.strip() and _UNSEEN.fullmatch(typed):
        wrong = "must hold a letter or a figure"
    if wrong:
        raise ValidationError(f"“{field.label.text}” {wrong}.")


class OurSentences(DummyTranslations):
    """The form library's own sentences in ours."""

    _OURS: ClassVar = {
        "Not a valid choice.": "Choose one of the answers offered.",
        "Invalid Choice: could not coerce.": "Choose one of the answers offered.",
        "This field is required.": "An answer is missing.",
        "The CSRF token is missing.": "The form was too old. Send it again.",
    }

    def gettext(self, string: str) -> str:
        """Our sentence for the library's."""
        return self._OURS.get(string, string)


class PlainForm(FlaskForm):
    """A form whose refusals all say that nothing was changed."""

    class Meta(FlaskForm.Meta):
        """How the form library speaks."""

        def get_translations(self, form: FlaskForm) -> OurSentences:
            """Our sentences."""
            return OurSentences()

        def render_field(self, field: Field, render_kw: dict[str, Any]) -> Markup:
            """A box marked where what it holds was refused."""
            marked = {"aria-invalid": "true", **render_kw} if field.errors else render_kw
            return Markup(super().render_field(field, marked))

    def __init__(self, *given: Any, lengths_in: str = USUAL_UNIT, **also: Any) -> None:
        """`lengths_in` is the unit of the page, where the form itself does not ask for one."""
        super().__init__(*given, **also)
        self._lengths_in = lengths_in

    def length_unit(self) -> str:
        """The unit that lengths are typed in: that of the form's own field `unit`, or else the page's."""
        return self._lengths_in

    def problems(self) -> list[str]:
        """Each thing wrong, in a sentence."""
        return [str(wrong) for wrongs in self.errors.values() for wrong in wrongs if wrong]


class StartForm(PlainForm):
    """What a book cannot do without: hand, units, lofts, and one full carry if it is known."""

    hand = RadioField("I play", choices=HANDS, default="right")
    unit = RadioField("Distances in", choices=UNIT_NAMES, default=USUAL_UNIT)
    loft_1 = _loft("first wedge", InputRequired("Give at least one loft."), called="The first wedge’s loft")
    loft_2 = _loft("second wedge", Optional(), called="The second wedge’s loft")
    loft_3 = _loft("third wedge", Optional(), called="The third wedge’s loft")
    loft_4 = _loft("fourth wedge", Optional(), called="The fourth wedge’s loft")
    loft_5 = _loft("fifth wedge", Optional(), called="The fifth wedge’s loft")
    loft_6 = _loft("sixth wedge", Optional(), called="The sixth wedge’s loft")
    known_loft = _loft(
        "loft of the wedge whose carry I know", Optional(), called="The loft of the wedge whose carry you know"
    )
    known_carry = length("its full carry", STATED_CARRY)
    join_code = StringField("word of this private server", validators=[_no_longer("The word", 80)])
    clinic = StringField("code of the clinic", validators=[_no_longer("A code", 300)])

    def length_unit(self) -> str:
        """The unit chosen with the carry."""
        return str(self.unit.data)

    def lofts(self) -> list[float]:
        """The lofts given [deg], strongest first."""
        given = (getattr(self, f"loft_{place}").data for place in range(1, MOST_CLUBS + 1))
        return sorted(float(loft) for loft in given if loft is not None)

    def validate(self, extra_validators: Any = None) -> bool:
        """Each answer by itself, then together: wedges that can be told apart, and whose the known carry is."""
        if not super().validate(extra_validators):
            return False
        lofts, wrong = self.lofts(), []
        if len(set(lofts)) < len(lofts):
            wrong.append("Two wedges have the same loft. Name the second one in the bag once the book is open.")
        known = self.known_loft.data
        if self.known_carry.data is not None and (not known or float(known) not in lofts):
            none_such = f"None of your wedges has a loft of {known:g}°. " if known else ""
            wrong.append(f"{none_such}Say which of them carries this far.")
        self.known_carry.errors = wrong
        return not wrong


class ClubForm(PlainForm, Filled):
    """One wedge in the bag."""

    name = StringField("name", validators=[_no_longer("A name", NAME_LENGTH), plain])
    loft_deg = _loft("loft", InputRequired("Give the loft stamped on the wedge."))
    carry = length("full carry", STATED_CARRY)
    sole_note = StringField("bounce and sole", validators=[_no_longer("The note on bounce and sole", 200), plain])

    def body(self) -> dict[str, Any]:
        """The wedge as the form says, without its full carry; one without a name is called by its loft."""
        loft_deg = float(self.loft_deg.data)
        name = (self.name.data or "").strip() or f"{loft_deg:g}"
        return {"name": name, "loft_deg": loft_deg, "sole_note": self.sole_note.data or ""}


class SwingForm(PlainForm):
    """One length of swing: a place on the clock and a name of the player's own."""

    clock = StringField("place on the clock", validators=[InputRequired()])
    name = StringField("own name", validators=[_no_longer("A name", NAME_LENGTH), plain])


def pin_box(label: str = "Guardian’s PIN") -> PasswordField:
    """A box for the PIN of a junior's guardian; what was typed never comes back in a page."""
    return PasswordField(label, render_kw={"inputmode": "numeric", "autocomplete": "off"})


class SettingsForm(PlainForm, Filled):
    """What the whole book goes by."""

    made_of: ClassVar = {"gap_limit_m": ("gap_limit",), "margin_m": ("margin",)}

    hand = RadioField("I play", choices=HANDS)
    unit = RadioField("Distances in", choices=UNIT_NAMES)
    seen_from = RadioField("Hours on my clock", choices={"front": "as seen from the front", "self": "as I see it"})
    judged_by = SelectField("Carries are usually judged", choices=JUDGES)
    ball = RadioField("The card shows", choices=BALL_KINDS)
    thumb = RadioField(
        "Buttons for", choices={"": "the trail thumb", "right": "the right thumb", "left": "the left thumb"}
    )
    junior = BooleanField("junior: numbers age in 45 days, and wider gaps are fine; a guardian’s PIN is asked for")
    pin = pin_box("Guardian’s PIN, to switch junior off")
    nickname = StringField("Nickname, for a coach", validators=[_no_longer("A nickname", NAME_LENGTH), plain])
    gap_limit = length("Warn of gaps above", SETTINGS["gap_limit_m"], what="“Warn of gaps above”")
    margin = length("A ball is “in” within", SETTINGS["margin_m"], what="“A ball is ‘in’ within”")
    ball_limit = whole_number("Most balls a day", *BALL_LIMIT_RANGE, what="“Most balls a day”")

    @classmethod
    def filled(cls, said: Mapping[str, Any], unit: str) -> "SettingsForm":
        """The form with every setting in its box, lengths in `unit`."""
        form = cls(formdata=None, data=said)
        form.gap_limit.data, form.margin.data = in_box(said["gap_limit_m"], unit), in_box(said["margin_m"], unit)
        return form

    def told(self) -> dict[str, Any]:
        """What the page's boxes held; one of an older version tells the settings instead, lengths in metres."""
        told = super().told()
        if "gap_limit_m" not in told:
            return told
        said = {name: None if field.misfit(told.get(name)) else told.get(name) for name, field in SETTINGS.items()}
        return dict(json.loads(self.filled(said, self.length_unit()).as_shown()))

    def body(self) -> dict[str, Any]:
        """The settings by name; lengths are typed in the unit that the page was shown in, whichever is chosen on it."""
        chosen = ("hand", "unit", "seen_from", "judged_by", "ball", "thumb", "junior")
        typed = {f"{name}_m": self[name].data for name in ("gap_limit", "margin")}
        return {
            **{name: self[name].data for name in chosen},
            **{name: None if one is None else to_m(float(one), self.length_unit()) for name, one in typed.items()},
            "nickname": (self.nickname.data or "").strip(),
            "ball_limit": None if self.ball_limit.data is None else int(self.ball_limit.data),
        }


class LinkForm(PlainForm):
    """A coach link."""

    label = StringField("for whom", validators=[_no_longer("The name of the reader", NAME_LENGTH), plain])
    days = SelectField("open for", choices=ENDS, default="14")
    shows = RadioField("it shows", choices=SHOWS, default=DEFAULT)
    nickname = BooleanField("show my nickname")
    by_day = BooleanField("show days instead of weeks")
    pin = pin_box()


class PinForm(PlainForm):
    """A button that a junior's guardian is asked about."""

    pin = pin_box()


class CodeForm(PlainForm):
    """A recovery or joining code, as typed."""

    code = StringField("code", validators=[InputRequired("Type the code of the sheet."), _no_longer("A code", 300)])


class ResetForm(CodeForm):
    """The recovery sheet's code, and the PIN that is to hold from now on."""

    pin = pin_box("The guardian’s new PIN, 4 to 8 digits")


class BringForm(PlainForm):
    """A file to bring back."""

    file = FileField("file", validators=[FileRequired("Choose a file: a book as JSON or balls as CSV.")])
    pin = pin_box("Guardian’s PIN, for a book with homework or remarks")


class StartFileForm(BringForm):
    """A book to begin with: its file, and the word of a private server."""

    join_code = StringField("word of this private server", validators=[_no_longer("The word", 80)])


class TableForm(PlainForm):
    """A table of balls from anywhere."""

    file = FileField("file", validators=[FileRequired("Choose a file: a table as CSV, TSV or XLSX.")])


class DeleteForm(PlainForm):
    """The last yes before a book is deleted."""

    yes = BooleanField(
        "Yes, delete all of it", validators=[InputRequired("Nothing was deleted: tick the box to say yes.")]
    )


class PlainAction(PlainForm):
    """A button without fields: only the token that says it was pressed on our page."""
