"""What the strike costs, how often each contact comes from each surface, and where balls end against the meant carry.

Knows no table, page or estimate of a cell; rows of balls come in, the newest of one kind of ball.
"""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from ..estimate.chance import whole_parts
from ..estimate.plain import cost_of_contact
from ..facts import CONTACTS, SURFACES
from ..touch import STEPS
from ..units import CLOSE, YARD_M
from .balls import aimed_of, in_band, seen

MARGIN_SHARE, LEAST_MARGIN_M = 0.08, 4 * YARD_M  # the usual margin of "in"; common practice, no source
STEP_M = {way: step * YARD_M for way, step in STEPS.items()}  # whatever unit is on show: the margin is the book's
BANDS_M: dict[str, tuple[float | None, float | None]] = {  # of the meant carry: from, up to but without
    "near": (None, 40 * YARD_M), "middle": (40 * YARD_M, 70 * YARD_M), "far": (70 * YARD_M, None),
}  # fmt: skip
LEAST_BALLS_A_BAND = 5

Row = Mapping[str, Any]


@dataclass(frozen=True)
class Cost:
    """Metres per ball by contact: below 0 lost, above 0 won; they add up to `total_m`. Of `n` balls `n_clean` clean."""

    n: int
    n_clean: int
    by_contact: dict[str, float]

    @property
    def total_m(self) -> float:
        """Mean of all balls less the mean of the clean ones."""
        return sum(self.by_contact.values())

    @property
    def lost_m(self) -> float:
        """The short side alone: what contacts that fall short cost."""
        return sum(cost for cost in self.by_contact.values() if cost < 0)

    @property
    def won_m(self) -> float:
        """The long side alone: what contacts that fly on add, which hides the loss in the total."""
        return sum(cost for cost in self.by_contact.values() if cost > 0)


@dataclass(frozen=True)
class Shares:
    """How often each contact came, as counts of `n` balls with a contact noted."""

    n: int
    counts: dict[str, int]

    def share(self, contact: str) -> float:
        """Share of one contact, 0 to 1; 0 without balls."""
        return self.counts.get(contact, 0) / self.n if self.n else 0.0

    def said(self, contact: str) -> str:
        """Share of one contact in whole per cent, such as "4%"; those of all contacts add to 100.

        Equal remainders go to the earlier contact; Fractions keep them equal.
        """
        whole = whole_parts([Fraction(count, self.n) for count in self.counts.values()], 100) if self.n else []
        return f"{dict(zip(self.counts, whole, strict=False)).get(contact, 0)}%"


@dataclass(frozen=True)
class Bias:
    """Where distance-called balls of a band ended: mean of carry less meant carry [m], all and clean ones.

    `low_m`, `high_m` bound the meant carry (None: no bound). `short`, `within`, `long` count against the margin.
    """

    low_m: float | None
    high_m: float | None
    n: int
    n_clean: int
    all_m: float
    clean_m: float | None
    short: int
    within: int
    long: int


@dataclass(frozen=True)
class Strikes:
    """All that is said of the strike on the card; of the `latest` balls of any kind alone, 0 where of all."""

    cost: Cost | None = None
    by_surface: dict[str, Shares] | None = None
    bias: tuple[Bias, ...] = ()
    overall: Bias | None = None
    latest: int = 0


@dataclass(frozen=True)
class Margin:
    """How far off the meant carry a ball is still "in": a share of that carry, never less than `least_m` [m]."""

    share: float
    least_m: float

    def at(self, meant_m: float) -> float:
        """The margin [m] either way of a meant carry [m]."""
        return max(self.share * meant_m, self.least_m)


def margin(judged_by: str, chosen_m: float | None = None) -> Margin:
    """The margin the player chose [m], else 8%, at least 4 yd; never under the step of judging."""
    step_m = STEP_M.get(judged_by, 0.0)
    if chosen_m is not None:
        return Margin(0.0, max(chosen_m, step_m))
    return Margin(MARGIN_SHARE, max(LEAST_MARGIN_M, step_m))


def strikes(balls: Sequence[Row], margin_m: float | None = None) -> Strikes:
    """Everything from rows that `struck_of` lets through.

    A row holds club_id, swing_deg, mode, counted, meant_carry_m, carry_m, landed, contact, surface and judged_by.
    `margin_m` is what the player calls "in"; None stands for 8% of the meant carry, at least 4 yd. Cost comes from
    counted swing-called balls, bias from distance-called balls alone, and the two are never pooled.
    """
    aimed = aimed_of(balls)
    return Strikes(
        cost=cost_together(balls),
        by_surface={
            surface: shares for surface in SURFACES if (shares := shares_of(_from(surface, balls))).n
        },
        bias=tuple(
            band for low, high in BANDS_M.values() if (band := bias_of(aimed, low, high, margin_m)) is not None
        ),
        overall=bias_of(aimed, None, None, margin_m),
    )  # fmt: skip


def cost_together(balls: Iterable[Row]) -> Cost | None:
    """The cost of contact over all cells of these balls, as `strikes` says it; None without a clean one."""
    return _together(_cost_by_cell(balls).values())


def cost_of(balls: Iterable[Row]) -> Cost | None:
    """The cost of contact among the balls of one cell, nothing where all are clean; None without a clean one."""
    noted = [ball for ball in balls if ball["contact"] and seen(ball)]
    contacts = [ball["contact"] for ball in noted]
    if "clean" not in contacts:
        return None
    by_contact = cost_of_contact([ball["carry_m"] for ball in noted], contacts)
    ordered = {contact: by_contact[contact] for contact in CONTACTS if contact in by_contact}
    return Cost(len(noted), contacts.count("clean"), ordered)


def losses_m(balls: Iterable[Row], cost: Cost) -> list[float]:
    """What each ball behind a cost lost to its strike [m, below 0 for a loss]; their mean is `cost.lost_m`."""
    cells: dict[tuple[str, float], list[Row]] = {}
    for ball in balls:
        if ball["contact"] and seen(ball):
            cells.setdefault((ball["club_id"], ball["swing_deg"]), []).append(ball)
    lost: list[float] = []
    for noted in cells.values():
        clean = [ball["carry_m"] for ball in noted if ball["contact"] == "clean"]
        if clean:
            mean_m = sum(clean) / len(clean)
            falls = [cost.by_contact.get(ball["contact"], 0.0) < 0 for ball in noted]
            lost += [ball["carry_m"] - mean_m if short else 0.0 for ball, short in zip(noted, falls, strict=True)]
    return lost


def shares_of(balls: Iterable[Row]) -> Shares:
    """The contacts noted, those lost from sight included."""
    counts = Counter(ball["contact"] for ball in balls if ball["contact"])
    return Shares(counts.total(), {contact: counts[contact] for contact in CONTACTS if counts[contact]})


def bias_of(aimed: Iterable[Row], low_m: float | None, high_m: float | None, margin_m: float | None) -> Bias | None:
    """Bias of the balls whose meant carry lies in [low_m, high_m); None without any."""
    band = [ball for ball in aimed if in_band(ball, low_m, high_m)]
    if not band:
        return None
    off = [ball["carry_m"] - ball["meant_carry_m"] for ball in band]
    clean = [miss for ball, miss in zip(band, off, strict=True) if ball["contact"] == "clean"]
    sides = Counter(_side(ball, miss, margin_m) for ball, miss in zip(band, off, strict=True))
    return Bias(
        low_m, high_m, len(band), len(clean), sum(off) / len(off), sum(clean) / len(clean) if clean else None,
        sides["short"], sides["within"], sides["long"],
    )  # fmt: skip


def _cost_by_cell(balls: Iterable[Row]) -> dict[tuple[str, float], Cost]:
    cells: dict[tuple[str, float], list[Row]] = {}
    for ball in balls:
        if ball["counted"]:
            cells.setdefault((ball["club_id"], ball["swing_deg"]), []).append(ball)
    return {place: cost for place, rows in cells.items() if (cost := cost_of(rows))}


def _together(costs: Iterable[Cost]) -> Cost | None:
    """Costs of cells weighed by their balls: each ball is compared with the clean balls of its own cell."""
    every = list(costs)
    n = sum(cost.n for cost in every)
    if not n:
        return None
    by_contact = {
        contact: sum(cost.by_contact.get(contact, 0.0) * cost.n for cost in every) / n
        for contact in CONTACTS
        if any(contact in cost.by_contact for cost in every)
    }
    return Cost(n, sum(cost.n_clean for cost in every), by_contact)


def _side(ball: Row, miss_m: float, margin_m: float | None) -> str:
    wide_m = margin(ball["judged_by"], margin_m).at(ball["meant_carry_m"]) + CLOSE
    return "short" if miss_m < -wide_m else "long" if miss_m > wide_m else "within"


def _from(surface: str, balls: Iterable[Row]) -> list[Row]:
    return [ball for ball in balls if ball["surface"] == surface]
