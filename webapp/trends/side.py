"""Plain figures of one period: its balls by what they tell, the strike, the aim, the next-visit nines.

Knows rows of shots; nothing of a second period or of the card's own estimate of a number.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from ..card.balls import aimed_of, struck_of
from ..card.strike import Bias, Cost, Shares, bias_of, cost_together, shares_of
from ..practice.scores import lands_within

Row = Mapping[str, Any]


@dataclass(frozen=True)
class Side:
    """One period: of `n_struck` balls `n` pass the filters; these are `n_counted`, `n_aimed` and `n_out` together.

    Counted balls build the card, aimed ones were hit to a number, the others are left out. Of `n_nine` balls of cold
    next-visit nines `n_within` came down within 5 yd of their number.
    """

    n_struck: int
    n: int
    n_counted: int
    n_aimed: int
    n_out: int
    visits: int
    contacts: Shares
    cost: Cost | None
    aim: Bias | None
    n_nine: int
    n_within: int


def figures_of(own: Sequence[Row], n_struck: int, margin_m: float | None = None) -> Side:
    """The plain figures of some balls that passed the filters, out of `n_struck`."""
    counted = [shot for shot in own if shot["counted"]]
    aimed = aimed_of(own)
    return Side(
        n_struck=n_struck,
        n=len(own),
        n_counted=len(counted),
        n_aimed=len(aimed),
        n_out=len(own) - len(counted) - len(aimed),
        visits=len({shot["visit_id"] for shot in own}),
        contacts=shares_of(struck_of(own)),
        cost=cost_together(counted),
        aim=bias_of(aimed, None, None, margin_m),
        n_nine=len(nine := nine_of(own)),
        n_within=sum(map(lands_within, nine)),
    )


def nine_of(shots: Iterable[Row]) -> list[Row]:
    """The balls of cold next-visit nines."""
    return [shot for shot in shots if shot.get("nine")]
