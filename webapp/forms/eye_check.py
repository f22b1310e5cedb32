"""The plain form of an eye check: ten distances said, and then what each measured.

Knows no book: the page fills a form and reads it.
"""

from decimal import Decimal

from wtforms import RadioField
from wtforms.validators import NumberRange, Optional, ValidationError

from ..facts import EYE_CHECKED_BY, KINDS
from ..typed import bounds_words
from ..units import UNIT_NAMES, from_m, to_m
from .numbers import Number, length, number, refusal
from .setup import JUDGES, PlainForm

BALLS = range(1, 11)
PACE_RANGE = (Decimal("0.4"), Decimal("1.6"))
_STEP = NumberRange(*PACE_RANGE, message="A pace is a number from 0.4 to 1.6.")
_REACH = KINDS["eye_check"]["measured_m"]
WAYS = {"laser": "by laser", "markers": JUDGES["markers"], "monitor": JUDGES["monitor"], "paces": "by paces"}
assert tuple(WAYS) == EYE_CHECKED_BY


class EyeCheckForm(PlainForm):
    """Ten balls; `said` is filled before the page shows a box for `measured`."""

    by = RadioField("Measured", choices=WAYS, default=EYE_CHECKED_BY[0])
    pace = number("one of your paces", Optional(), _STEP)

    def validate_pace(self, _: Number) -> None:
        """Refuse paces that add up to more than any carry."""
        unit = self.length_unit()
        if any(_REACH.misfit(to_m(measured, unit)) for _, measured in self.pairs()):
            low, high = (from_m(edge_m or 0.0, unit) for edge_m in (_REACH.low, _REACH.high))
            raise ValidationError(refusal("measured", bounds_words(low, high, UNIT_NAMES[unit])))

    def said(self) -> dict[int, float]:
        """What was said of each ball, by its number."""
        return {at: float(self[f"said_{at}"].data) for at in BALLS if self[f"said_{at}"].data is not None}

    def pairs(self) -> list[tuple[float, float]]:
        """Said and measured of each ball that has both; paces are counted, and each is as long as was stated."""
        measured, step = {at: self[f"measured_{at}"].data for at in BALLS}, Decimal(1)
        if self.by.data == "paces":
            step = self.pace.data or step
        return [(said, float(measured[at] * step)) for at, said in self.said().items() if measured[at] is not None]


for _ball in BALLS:
    for _what in ("said", "measured"):
        _box = length(f"ball {_ball}, {_what}", KINDS["eye_check"][f"{_what}_m"])
        setattr(EyeCheckForm, f"{_what}_{_ball}", _box)
