"""What a period says first: its balls, what moved, the strike, the aim, by yards a ball times certainty.

Knows figures of two periods; each line names the balls that it is made of, and its numbers are theirs.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from statistics import NormalDist, fmean, stdev
from typing import Any

from ..card.card_data import CellKey
from ..card.card_words import Length, count, percent, short_or_long, tenths
from ..card.strike import LEAST_BALLS_A_BAND
from .compare import Comparison, Side, aimed_of
from .period import Pair

LEAST_STRUCK = 5  # balls on each side before their strikes are compared

Parts = tuple[str | Length, ...]


@dataclass(frozen=True)
class Line:
    """A sentence and the part of the later period (of one cell, or "" for all) that holds exactly its balls."""

    words: Parts
    part: str = "all"
    cell: CellKey | None = None
    weight_m: float = 0.0


def lines(
    compared: Comparison, pair: Pair, shots: Sequence[Any], name: Callable[[CellKey], str], unit: str
) -> list[Line]:
    """At most four: the period's balls first, then what changed, the heaviest first."""
    if not compared.after.n:
        return [Line((f"No ball {pair.name}.",))]
    found = [_moved(compared, name, unit), _strike(compared, unit), _aim(compared, pair, shots, unit)]
    ranked = sorted((line for line in found if line), key=lambda line: -line.weight_m)
    return [Line(_begun(compared.after, pair)), *ranked]


def certainty(z: float) -> float:
    """How sure a difference of `z` standard errors is no chance: 2 Phi(|z|) - 1, from 0 to 1."""
    return 2 * NormalDist().cdf(abs(z)) - 1


def _begun(side: Side, pair: Pair) -> Parts:
    words = f"{count(side.visits, 'visit')}, {count(side.n, 'ball')}, {side.n_counted} for the card."
    return (f"{pair.name[:1].upper()}{pair.name[1:]}: {words}",)


def _moved(compared: Comparison, name: Callable[[CellKey], str], unit: str) -> Line | None:
    """The number that moved most for sure; None where the drift rule sees no sign of any."""
    found = []
    for change in compared.told:
        verdict, before, after = change.verdict, change.before, change.after
        if verdict is None or verdict.word == "no sign" or before is None or after is None:
            continue
        assert before.mean_m is not None
        assert after.mean_m is not None
        word = "Moved" if verdict.word == "moved" else "Perhaps moved"
        balls = f" ({count(after.n_clean, 'clean ball')}; {before.n_clean} before)."
        error = f" ± {tenths(verdict.error_m, unit).lstrip('+')}"
        words = (f"{word}: {name(change.cell)}, ", Length(before.mean_m), " to ", Length(after.mean_m), error, balls)
        weight_m = abs(verdict.change_m) * certainty(verdict.change_m / verdict.error_m)
        found.append(Line(words, "number", change.cell, weight_m))
    return max(found, key=lambda line: line.weight_m, default=None)


def _strike(compared: Comparison, unit: str) -> Line | None:
    """The contact whose cost changed most; None before both sides have balls enough."""
    before, after = compared.before, compared.after
    if before.cost is None or after.cost is None or min(before.contacts.n, after.contacts.n) < LEAST_STRUCK:
        return None
    found = []
    for contact in after.contacts.counts:
        if contact == "clean":
            continue
        cost_m = [-side.cost.by_contact.get(contact, 0.0) for side in (before, after) if side.cost]
        shares = [side.contacts.share(contact) for side in (before, after)]
        weight_m = abs(cost_m[1] - cost_m[0]) * certainty(_apart(before, after, contact))
        said = f"Strike: {contact} {percent(shares[0])} to {percent(shares[1])}"
        costs = f"; costs {_plain(cost_m[1], unit)} {unit} a ball, was {_plain(cost_m[0], unit)}"
        balls = f" ({after.contacts.counts[contact]} of {count(after.contacts.n, 'ball')})."
        found.append(Line((said + costs + balls,), contact, None, weight_m))
    return max(found, key=lambda line: line.weight_m, default=None)


def _apart(before: Side, after: Side, contact: str) -> float:
    """How many standard errors a contact's two shares lie apart."""
    ns = [side.contacts.n for side in (before, after)]
    shares = [side.contacts.share(contact) for side in (before, after)]
    together = sum(n * share for n, share in zip(ns, shares, strict=True)) / sum(ns)
    error = math.sqrt(together * (1 - together) * sum(1 / n for n in ns))
    return (shares[1] - shares[0]) / error if error else 0.0


def _aim(compared: Comparison, pair: Pair, shots: Sequence[Any], unit: str) -> Line | None:
    aim = compared.after.aim
    if aim is None or aim.n < LEAST_BALLS_A_BAND:
        return None
    off_m = [shot["carry_m"] - shot["meant_carry_m"] for shot in aimed_of(pair.after.of(shots))]
    error_m = stdev(off_m) / math.sqrt(len(off_m))
    weight_m = abs(fmean(off_m)) * (certainty(fmean(off_m) / error_m) if error_m else 1.0)
    words = ("Aim: ", *short_or_long(aim, unit), f" ({count(aim.n, 'ball')} to a number).")
    return Line(words, "aimed", None, weight_m)


def _plain(length_m: float, unit: str) -> str:
    return tenths(length_m, unit).lstrip("+")
