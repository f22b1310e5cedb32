"""The plain form of an eye check: ten distances said, and then what each measured.

Knows no book: the page fills a form and reads it.
"""

from wtforms import RadioField
from wtforms.validators import NumberRange, Optional

from ..facts import EYE_CHECKED_BY
from .setup import LONGEST_CARRY, PlainForm, number

BALLS = range(1, 11)
_REACH = NumberRange(2, LONGEST_CARRY, message=f"A distance is a number from 2 to {LONGEST_CARRY}.")
WAYS = dict(zip(EYE_CHECKED_BY, ("by laser", "by the range's markers", "by a launch monitor", "by paces"), strict=True))


class EyeCheckForm(PlainForm):
    """Ten balls; `said` is filled before the page shows a box for `measured`."""

    by = RadioField("Measured", choices=WAYS, default=EYE_CHECKED_BY[0])

    def said(self) -> dict[int, float]:
        """What was said of each ball, by its number."""
        return {at: float(self[f"said_{at}"].data) for at in BALLS if self[f"said_{at}"].data is not None}

    def pairs(self) -> list[tuple[float, float]]:
        """Said and measured of each ball that has both."""
        measured = {at: self[f"measured_{at}"].data for at in BALLS}
        return [(said, float(measured[at])) for at, said in self.said().items() if measured[at] is not None]


for _ball in BALLS:
    for _what in ("said", "measured"):
        _box = number(f"ball {_ball}, {_what}", Optional(), _REACH)
        setattr(EyeCheckForm, f"{_what}_{_ball}", _box)
