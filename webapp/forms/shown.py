"""What a form was filled with as its page came, so that an older page changes only what was answered on it.

Knows no book: a page fills a form, and the form carries what it was filled with in a hidden box.
"""

import json
from decimal import Decimal
from typing import Any, ClassVar

from flask_wtf import FlaskForm
from wtforms import BooleanField, Field, HiddenField

from .numbers import Number


class Filled(FlaskForm):
    """A form that stands filled with what is known; the template writes `as_shown` into its box `shown`."""

    # The answers that are not made of the box of their own name alone.
    made_of: ClassVar[dict[str, tuple[str, ...]]] = {}
    # The box of the unit in which an answer was typed.
    unit_beside: ClassVar[dict[str, str]] = {}
    shown = HiddenField()

    def body(self) -> dict[str, Any]:
        """Everything the form says, by name."""
        raise NotImplementedError

    def changed(self, stood: FlaskForm) -> dict[str, Any]:
        """What the form says otherwise than its page did: the rest keeps every digit, whatever it is by now.

        `stood` is the form as it would be filled now, for a page that does not say what it showed.
        """
        return {
            name: value
            for name, value in self.body().items()
            if any(self.altered(box, stood) for box in self.made_of.get(name, (name,)))
            or (value is not None and self.is_converted(name, stood))
        }

    def is_converted(self, name: str, stood: FlaskForm) -> bool:
        """Whether an answer is in another unit than its page showed; beside an empty box a unit says nothing."""
        return name in self.unit_beside and self.altered(self.unit_beside[name], stood)

    def altered(self, name: str, stood: FlaskForm) -> bool:
        """Whether a box holds something else than its page showed; one that did not come is as it was, save a tick."""
        box, shown = self[name], self.told()
        before = shown[name] if name in shown else _plain(stood[name])
        return bool(box.raw_data or isinstance(box, BooleanField)) and _plain(box) != before

    def as_shown(self) -> str:
        """What the boxes hold as the page comes; of a form that is shown again what its first page held."""
        if self.shown.raw_data is not None:
            return str(self.shown.data or "")
        boxes = {name: box for name, box in self._fields.items() if name not in ("shown", "csrf_token")}
        return json.dumps({name: _plain(box) for name, box in boxes.items()})

    def told(self) -> dict[str, Any]:
        """What the page says that its boxes held; {} where it does not say so."""
        try:
            told = json.loads(self.shown.data or "")
        except (ValueError, RecursionError):
            return {}
        return told if isinstance(told, dict) else {}


def _plain(box: Field) -> Any:
    """What a box holds, however it was written: "5" and "5.0" are one number, and nothing is an empty text."""
    if box.data is None:
        return ""
    return str(Decimal(str(box.data)).normalize()) if isinstance(box, Number) else box.data
