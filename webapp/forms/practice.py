"""The plain form that asks for another plan; how many balls it may have is said in practice/plans.py.

Knows no book: the page fills a form and reads it.
"""

from ..practice.plans import FEWEST_BALLS, MOST_BALLS
from .numbers import whole_number
from .setup import PlainForm


class OtherPlanForm(PlainForm):
    """A question asked through the address; it changes nothing, so it needs no token."""

    class Meta:
        csrf = False

    other = whole_number("balls", FEWEST_BALLS, MOST_BALLS, what="the number of balls")

    def balls(self) -> int | None:
        """The number asked for; None where none was, or one that no plan is made for."""
        return int(self.other.data) if self.validate() and self.other.data is not None else None
