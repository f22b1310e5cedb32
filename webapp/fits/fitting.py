"""What fits a carry: the card's numbers ranked by their chance of landing in a window.

Knows no page, book or clock, and no words: those are in fitting_words.py. static/rules/fitting.js holds the same rules
for a phone without signal.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from ..card import card_words
from ..card.card_data import Card, CellKey
from ..card.strike import Margin
from ..estimate.chance import Chances, Table, percents, rank, tables
from ..estimate.forecast import forecast
from ..estimate.pool import Pooled
from ..facts import LONGEST_CARRY_M
from ..units import CLOSE, YARD_M

FEWEST_IN = 0.25  # a window that no typical carry lies in is fitted by a number that lands there this often
# Trouble farther from the landing than this is to be kept clear of and no more: a ball just clear of it is not near the
# flag. Common practice, no source; twice what is usually called near at 120 yards.
GUARDS_M = 20 * YARD_M


class NoQuestion(ValueError):
    """What was asked has no answer; the text says why in a plain sentence."""


@dataclass(frozen=True)
class Question:
    """Where the ball has to land, in metres of carry.

    Attributes
    ----------
    carry_m : float
        The carry asked for: the flag less the roll.
    front_m, back_m : float
        The window that counts as "in", 0 < front_m <= carry_m <= back_m.
    clear_m : float or None
        Trouble in front that the player named, to be told about; None where the margin stands in for it.
    must_carry : bool
        Whether numbers that clear `clear_m`, where it is known, nine times in ten come first.
    """

    carry_m: float
    front_m: float
    back_m: float
    clear_m: float | None = None
    must_carry: bool = False


@dataclass(frozen=True)
class Candidate:
    """One number of the card with its table of chances; `twins` names the numbers for the same distance."""

    club_id: str
    swing_deg: float
    club: str
    swing: str
    carry_m: float
    nine_in_ten_carry_m: float
    rough: bool
    trust: str
    n: int
    visits: int
    twins: tuple[str, ...]
    table: Table

    @property
    def name(self) -> str:
        """How pages call it: "56 9:00"."""
        return f"{self.club} {self.swing}"


@dataclass(frozen=True)
class Choice:
    """A candidate and how its next ball would land; `short`, `inside`, `long` are whole per cent adding to 100."""

    candidate: Candidate
    chances: Chances
    short: int
    inside: int
    long: int


@dataclass(frozen=True)
class Answer:
    """The choices best first; empty when nothing fits, and then `closest` is the number nearest to the carry.

    `missing_m` [m] is what the closest lacks: above 0 it is that much short, below 0 that much long.
    """

    ranked: tuple[Choice, ...]
    closest: Choice | None = None
    missing_m: float = 0.0


def question(
    flag_m: float,
    margin: Margin,
    roll_m: float = 0.0,
    front_m: float | None = None,
    back_m: float | None = None,
    must_carry: bool = False,
) -> Question:
    """The question behind a flag [m], the roll after landing [m, below 0 where the ball spins back] and trouble [m].

    A side without trouble that guards the landing ends at the player's own margin. NoQuestion where the parts cannot be
    true together.
    """
    given = [value for value in (flag_m, roll_m, front_m, back_m) if value is not None]
    if not all(math.isfinite(value) for value in given):
        raise NoQuestion("A distance must be a plain number.")
    carry_m = flag_m - roll_m
    if not 0 < carry_m <= LONGEST_CARRY_M:
        raise NoQuestion("The ball would have to land at your feet or out of reach: check the distance and the roll.")
    if front_m is not None and back_m is not None and front_m > back_m:
        raise NoQuestion("The trouble in front lies behind the trouble at the back: check the two.")
    if front_m is not None and front_m > carry_m + CLOSE:
        raise NoQuestion("The ball would land short of the trouble in front: check the distance and the roll.")
    if back_m is not None and back_m < carry_m - CLOSE:
        raise NoQuestion("The ball would land past the trouble at the back: check the distance and the roll.")
    wide_m = margin.at(carry_m)
    front = front_m if front_m is not None and guards(carry_m, front_m) else max(carry_m - wide_m, 0.0)
    back = back_m if back_m is not None and guards(carry_m, back_m) else carry_m + wide_m
    return Question(carry_m, front, back, front_m, must_carry)


def guards(carry_m: float, end_m: float) -> bool:
    """Whether trouble whose near end is at `end_m` is near enough to a landing at `carry_m` to bound what is in."""
    return abs(carry_m - end_m) <= GUARDS_M + CLOSE


def candidates(card: Card, pooled: Pooled) -> tuple[Candidate, ...]:
    """The numbers the card shows; `pooled` is the estimate behind it (Estimate in card/build.py)."""
    twins: dict[CellKey, list[str]] = {}
    for pair in card.twins:
        for one, other in ((pair.first, pair.second), (pair.second, pair.first)):
            if card.cells[other].key not in card.hidden:
                twins.setdefault(one, []).append(card_words.name_of(card, other))
    found = []
    for (place, cell), table in zip(card.cells.items(), tables(forecast(pooled)), strict=False):
        if cell.key not in card.hidden:
            club, swing = card.club(place[0]).name, card.swing(place[1]).name
            found.append(
                Candidate(
                    *place, club, swing, cell.shown_carry_m, cell.nine_in_ten_carry_m,
                    cell.rough, card_words.trust_of(cell), cell.n, cell.visits, tuple(twins.get(place, ())), table,
                )
            )  # fmt: skip
    return tuple(found)


def answer(question: Question, among: Sequence[Candidate]) -> Answer:
    """The candidates by their chance inside the window, then by the smaller worse side.

    Nothing fits when no typical carry lies in the window and no number lands there one time in four.
    """
    if not among:
        return Answer(())
    must_m = question.clear_m if question.must_carry else None
    nine = [one.nine_in_ten_carry_m for one in among]
    ranked = tuple(
        Choice(among[fit.cell], fit.chances, *percents(fit.chances))
        for fit in rank([one.table for one in among], nine, question.front_m, question.back_m, must_m)
    )
    inside = max(choice.chances.inside for choice in ranked)
    if inside >= FEWEST_IN or any(question.front_m <= one.carry_m <= question.back_m for one in among):
        return Answer(ranked)
    closest = min(ranked, key=lambda choice: abs(choice.candidate.carry_m - question.carry_m))
    return Answer((), closest, question.carry_m - closest.candidate.carry_m)


def plain(found: Answer) -> dict[str, object]:
    """The answer as JSON's own types: chances as fractions, carries in metres."""
    ranked = [_plain(choice) for choice in found.ranked]
    if found.closest is None:
        return {"ranked": ranked, "closest": None}
    more = {"typical_carry_m": found.closest.candidate.carry_m, "missing_m": found.missing_m}
    return {"ranked": ranked, "closest": {**_plain(found.closest), **more}}


def _plain(choice: Choice) -> dict[str, object]:
    return {
        "club": choice.candidate.club,
        "swing_deg": choice.candidate.swing_deg,
        "short": choice.chances.short,
        "in": choice.chances.inside,
        "long": choice.chances.long,
        "nine_in_ten_carry_m": choice.candidate.nine_in_ten_carry_m,
    }
