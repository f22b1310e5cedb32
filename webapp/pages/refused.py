"""Refused entries: what a phone needs to name and mend what the server did not take.

Knows the fields of facts and the open book; the entries themselves are on the phone (static/pages/refused.js).
"""

from flask import Blueprint, Flask, render_template

from .. import doors, phone_data, reader

refused = Blueprint("refused", __name__)


def register(app: Flask) -> None:
    """Add the page."""
    app.register_blueprint(refused)


@refused.get("/refused")
def show() -> str:
    """The page; the phone fills it."""
    return render_template("refused.html", page_data=phone_data.refused(doors.book(), reader.view()))
