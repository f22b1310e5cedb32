"""The plain form of an eye check: ten distances said, and then what each measured.

Knows no book: the page fills a form and reads it.
"""

from decimal import Decimal

from wtforms import RadioField
from wtforms.validators import NumberRange, Optional, ValidationError

from ..facts import EYE_CHECKED_BY
from .setup import LONGEST_CARRY, Number, PlainForm, number

BALLS = range(1, 11)
PACE_RANGE = (Decimal("0.4"), Decimal("1.6"))
_STEP = NumberRange(*PACE_RANGE, message="A pace is a number from 0.4 to 1.6.")
_REACH = NumberRange(2, LONGEST_CARRY, message=f"A distance is a number from 2 to {LONGEST_CARRY}.")
WAYS = dict(zip(EYE_CHECKED_BY, ("by laser", "by the range's markers", "by a launch monitor", "by paces"), strict=True))


class EyeCheckForm(PlainForm):
    """Ten balls; `said` is filled before the page shows a box for `measured`."""

    by = RadioField("Measured", choices=WAYS, default=EYE_CHECKED_BY[0])
    pace = number("one of your paces", Optional(), _STEP)

    def validate_pace(self, _: Number) -> None:
        """Refuse paces that add up to more than any carry."""
        if any(measured > LONGEST_CARRY for _, measured in self.pairs()):
            raise ValidationError(_REACH.message)

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
        _box = number(f"ball {_ball}, {_what}", Optional(), _REACH)
        setattr(EyeCheckForm, f"{_what}_{_ball}", _box)
