"""What a period says first: its balls, what moved, the strike, the aim, ranked by size of change times certainty.

Knows figures of two periods; each line names the balls that it is made of, and its numbers are theirs.
"""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from ..card.balls import aimed_of
from ..card.card_data import CellKey
from ..card.card_words import Length, aim_of, count, plain_tenths
from ..card.strike import BANDS_M, LEAST_BALLS_A_BAND, bias_of
from ..estimate.drift import MOVED_ERRORS, PERHAPS_ERRORS, Verdict
from ..units import whole
from .compare import Comparison
from .period import Pair
from .side import Side
from .verdicts import by_visits, certainty, sd

LEAST_MOVED_BALLS = 2  # clean ones a side, before a number is said to have moved; our choice
MOST_NAMED_TOO = 2  # beside the heaviest; its part of the page lists them all

Row = Mapping[str, Any]
Parts = tuple[str | Length, ...]


@dataclass(frozen=True)
class Line:
    """A sentence and the part of the later period (of one cell, or "" for all) that holds exactly its balls."""

    words: Parts
    part: str = "all"
    cell: CellKey | None = None
    weight_m: float = 0.0


def lines(
    compared: Comparison, pair: Pair, shots: Sequence[Row], name: Callable[[CellKey], str], day: Callable[[str], str],
    unit: str, margin_m: float | None = None,
) -> list[Line]:  # fmt: skip
    """At most four: the last visit and the period's balls first, then what changed, the heaviest first.

    Parameters
    ----------
    shots : every shot of the book, newest first.
    name, day : how its reader calls a cell, and a moment of the player's clock: by the day or by the week.
    margin_m : what the player calls "in" [m]; None for the usual share.
    """
    if not compared.after.n:
        return [Line((f"{_last(shots, day)}No ball {pair.name}.",))]
    found = [_moved(compared, name, unit), _strike(compared, unit), _aim(pair.after.of(shots), unit, margin_m)]
    ranked = sorted((line for line in found if line), key=lambda line: -line.weight_m)
    return [Line((_last(shots, day) + _begun(compared.after, pair, day),)), *ranked]


def _last(shots: Sequence[Row], day: Callable[[str], str]) -> str:
    """A visit is of the day it began on, also one that runs past midnight."""
    of_visit = [shot for shot in shots if shot["visit_id"] == shots[0]["visit_id"]]
    return f"Last visit {day(min(shot['local_at'] for shot in of_visit))}. " if shots else ""


def _begun(side: Side, pair: Pair, day: Callable[[str], str]) -> str:
    is_since = pair.name.startswith("since")  # any other name says how many visits
    since, visits = (f" ({day(pair.begins_on)})", f"{count(side.visits, 'visit')}, ") if is_since else ("", "")
    balls = f"{count(side.n, 'ball')}, {side.n_counted} for the card."
    return f"{pair.name[:1].upper()}{pair.name[1:]}{since}: {visits}{balls}"


def _moved(compared: Comparison, name: Callable[[CellKey], str], unit: str) -> Line | None:
    """The number that moved most for sure, and the names of others that moved; None where no change stands out.

    Of sixteen numbers that stayed one lies two errors off every other time. How sure it is that none of n would lie
    that far off by chance is the certainty of one to the power of n (Šidák 1967, from memory).
    """
    found, sure_of = [], []
    for change in compared.told:
        verdict, before, after = change.verdict, change.before, change.after
        if verdict is None or verdict.word == "no sign" or before is None or after is None:
            continue
        sure = certainty(verdict.change_m / verdict.error_m)
        sure_of_all = sure ** len(compared.told)
        if sure_of_all < certainty(PERHAPS_ERRORS):
            continue
        enough = min(before.n_clean, after.n_clean) >= LEAST_MOVED_BALLS
        is_moved = verdict.word == "moved" and enough and sure_of_all > certainty(MOVED_ERRORS)
        word = "Moved" if is_moved else "Perhaps moved"
        balls = f" ({count(after.n_clean, 'clean ball')}; {before.n_clean} before)."
        words = (f"{word}: {name(change.cell)}, ", *_change(verdict, unit), balls)
        found.append(Line(words, "number", change.cell, abs(verdict.change_m) * sure))
        sure_of += [change.cell] if is_moved else []
    if not found:
        return None
    heaviest = max(found, key=lambda line: line.weight_m)
    others = [name(cell) for cell in sure_of if cell != heaviest.cell]
    return replace(heaviest, words=(*heaviest.words, *_moved_too(others)))


def _moved_too(names: Sequence[str]) -> Parts:
    """ " So did 51 full.", " So did 51 full, 46 9:00 and 3 more."; nothing without a name."""
    if not names:
        return ()
    told, more = names[:MOST_NAMED_TOO], len(names) - MOST_NAMED_TOO
    parts = [*told, f"{more} more"] if more > 0 else told
    return (f" So did {' and '.join(filter(None, (', '.join(parts[:-1]), parts[-1])))}.",)


def _change(verdict: Verdict, unit: str) -> Parts:
    """ "87 to 80: 7 shorter, give or take 4", the carries by visits; in tenths where both show as one number."""
    shown = [whole(length_m, unit) for length_m in (verdict.before_m, verdict.after_m)]
    if shown[0] == shown[1]:
        before, after, apart = by_visits(verdict, unit)
        return (f"{before} to {after}: {apart}",)
    error = max(whole(verdict.error_m, unit), 1)
    way = "longer" if shown[1] > shown[0] else "shorter"
    said = f": {abs(shown[1] - shown[0])} {way}, give or take {error}"
    return Length(verdict.before_m), " to ", Length(verdict.after_m), said


def _strike(compared: Comparison, unit: str) -> Line | None:
    """The contact that comes more or less often and whose cost changed most; None where no share shows a sign of it."""
    before, after = compared.before, compared.after
    if before.cost is None or after.cost is None:
        return None
    found = []
    for contact in after.contacts.counts:
        cost_m = [-side.cost.by_contact.get(contact, 0.0) for side in (before, after) if side.cost]
        if contact not in compared.verdicts or min(cost_m) < 0 or not max(cost_m):  # clean, and what flies on
            continue
        told = compared.verdicts[contact]
        if told.word == "no sign":
            continue
        weight_m = abs(cost_m[1] - cost_m[0]) * told.certainty
        was, now = (side.contacts.said(contact) for side in (before, after))
        said = f"{contact.capitalize()}: from {was} to {now} of balls"
        costs = f"; {contact} costs {plain_tenths(cost_m[1], unit)} {unit} a ball, was {plain_tenths(cost_m[0], unit)}"
        balls = f" ({after.contacts.counts[contact]} of {count(after.contacts.n, 'ball')})."
        found.append(Line((said + costs + balls,), contact, None, weight_m))
    return max(found, key=lambda line: line.weight_m, default=None)


def _aim(shots: Sequence[Row], unit: str, margin_m: float | None) -> Line | None:
    """The band of distances whose balls end furthest off for sure; None before any has balls enough."""
    found = []
    for part, (low_m, high_m) in BANDS_M.items():
        balls = aimed_of(shots, low_m, high_m)
        aim = bias_of(balls, low_m, high_m, margin_m)
        if aim is None or aim.n < LEAST_BALLS_A_BAND:
            continue
        error_m = sd([shot["carry_m"] - shot["meant_carry_m"] for shot in balls]) / math.sqrt(aim.n)
        sure = certainty(aim.all_m / error_m) if error_m else 1.0
        words = ("Aim: ", *aim_of(aim, unit, capital=False), f" ({count(aim.n, 'ball')} to a number).")
        found.append(Line(words, part, None, abs(aim.all_m) * sure))
    return max(found, key=lambda line: line.weight_m, default=None)
