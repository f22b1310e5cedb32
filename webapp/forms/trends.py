"""The plain forms of trends and visits: a dated mark, and a visit set aside.

Knows no book: the page fills a form and reads it.
"""

from wtforms import DateField, RadioField, StringField
from wtforms.validators import InputRequired, Length

from ..facts import KINDS, NAME_LENGTH
from .setup import PlainForm, plain

WHATS = KINDS["mark"]["what"].choices


class MarkForm(PlainForm):
    """A day after which numbers may differ."""

    what = RadioField("What was it", choices={word: word for word in WHATS}, default=WHATS[0])
    on = DateField("on", validators=[InputRequired("Give the day.")])
    words = StringField(
        "in a few words", validators=[Length(max=200, message="A mark has at most 200 characters."), plain]
    )


class AsideForm(PlainForm):
    """Why a whole visit is set aside."""

    reason = StringField(
        "why", validators=[Length(max=NAME_LENGTH, message="A reason has at most 40 characters."), plain],
        render_kw={"maxlength": NAME_LENGTH},
    )  # fmt: skip
