"""Refused entries: what a phone needs to name and mend what the server did not take.

Knows the fields of facts and the open book; the entries themselves are on the phone (static/pages/refused.js).
"""

from typing import Any

from flask import Blueprint, Flask, render_template

from .. import access, clock
from ..days import day
from ..facts import KINDS
from ..fields import Field
from ..store import reading

refused = Blueprint("refused", __name__)
_MOST_VISITS = 50  # an entry whose visit is missing belongs to one of the last


def register(app: Flask) -> None:
    """Add the page."""
    app.register_blueprint(refused)


@refused.get("/refused")
def show() -> str:
    """The page; the phone fills it."""
    book, view = access.book(), access.view()
    data = {
        "unit": view["unit"],
        "fields": {kind: {name: _told(field) for name, field in of.items()} for kind, of in KINDS.items()},
        "clubs": [{"id": club.id, "name": club.name} for club in reading.clubs(book, retired=True)],
        "swings": [
            {"swing_deg": swing.swing_deg, "name": swing.name or clock.clock_name(swing.swing_deg, view["mirrored"])}
            for swing in reading.swings(book)
        ],
        "buckets": [{"id": one["id"], "name": _name(one)} for one in reading.buckets(book, most=_MOST_VISITS)],
    }
    return render_template("refused.html", page_data=data)


def _told(field: Field) -> dict[str, Any]:
    """What a box for this field must know; an identity is chosen among names."""
    return {
        "label": field.label,
        "low": field.low,
        "high": field.high,
        "choices": field.choices,
        "required": field.required,
        "default": field.default,
    }


def _name(bucket: dict[str, Any]) -> str:
    return ", ".join(word for word in (day(bucket["local_at"]), bucket["place"]) if word)
