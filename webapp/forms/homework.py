"""The plain form that takes homework: its code or link, and for which rows a stand-in is wanted.

Knows no book: the page reads the code and accepts what it holds.
"""

from wtforms import StringField
from wtforms.validators import InputRequired

from .setup import PlainAction, PlainForm, pin_box


class HomeworkForm(PlainForm):
    """A code as it was pasted, or out of the address's fragment."""

    code = StringField("The link or code from your coach", [InputRequired("Paste the link or the code first.")])
    pin = pin_box()


class AsideForm(PlainAction):
    """Setting homework aside, or taking it up again; a junior's guardian is asked."""

    pin = pin_box()
