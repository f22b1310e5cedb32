"""The plain forms that take a coach's remark: its code or link; and set a kept one aside.

Knows no book: the page reads the code and keeps what it holds.
"""

from wtforms import StringField
from wtforms.validators import InputRequired

from .setup import PlainAction, PlainForm, pin_box


class RemarkForm(PlainForm):
    """A code as it was pasted, or out of the address's fragment."""

    code = StringField("The link or code from your coach", [InputRequired("Paste the link or the code first.")])
    pin = pin_box()


class RemarkAsideForm(PlainAction):
    """Setting a remark aside, or taking it up again; a junior's guardian is asked."""

    pin = pin_box()
