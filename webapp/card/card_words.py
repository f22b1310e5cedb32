"""What a card says in plain sentences, each naming the numbers it rests on.

Knows no page; a sentence's lengths stay in metres, so that its reader's unit can be put in late.
"""

import math
from dataclasses import dataclass

from ..units import CLOSE, YARD_M, from_m, round_half_up, whole
from .card_data import Card, CardCell, CellKey
from .strike import LEAST_BALLS_A_BAND, Bias, Strikes

MOST_SENTENCES = 3
WORTH_SAYING_M = 1.5 * YARD_M  # a bias under this is no more than the step of judging
WORTH_A_BALL_M = 0.3 * YARD_M
OLD_SHARE = 1 / 3  # of the numbers, from which on the card says that a season has passed; our choice
LEAST_CARD_COST_BALLS = 10  # of fewer, one fat ball makes the sentence


@dataclass(frozen=True)
class Length:
    """A length [m] inside a sentence, shown in whole units; `with_unit` where nothing else tells that it is one."""

    length_m: float
    with_unit: bool = False


@dataclass(frozen=True)
class Sentence:
    """Words and lengths in order; `cell` or `anchor` names where the balls behind it are found.

    One that tells `trust` is old as soon as a phone moved the card by newer balls.
    """

    parts: tuple[str | Length, ...]
    cell: CellKey | None = None
    anchor: str = ""
    trust: bool = False


def sentences(card: Card, unit: str, most: int = MOST_SENTENCES) -> list[Sentence]:
    """The few things a reader should know first, at most one of each sort: trust, aim, strike, gaps, order."""
    numbers = _aim(card, unit), _strike(card, unit), _gap(card, unit)
    said = least_trusted(card), *numbers, _order(card), _hole(card, unit)
    return [sentence for sentence in said if sentence][:most]


def name_of(card: Card, cell: CellKey) -> str:
    """How pages call a cell: "56 9:00"."""
    return f"{card.club(cell[0]).name} {card.swing(cell[1]).name}"


def trust_of(cell: CardCell) -> str:
    """How far a number may be trusted: its word, or "settled by eye" where no ball of it was measured."""
    return "settled by eye" if cell.trust == "settled" and cell.by_eye else cell.trust


def rests_on(cell: CardCell) -> str:
    """What a number rests on: "24 balls in 3 visits", "the latest 200 balls in 9 visits, at most 50 a visit"."""
    if not cell.n:
        return "no balls yet"
    balls = f"{'the latest ' if cell.of_latest else ''}{count(cell.n, 'ball')} in {count(cell.visits, 'visit')}"
    return f"{balls}, at most {cell.at_most} a visit" if cell.at_most else balls


def how_many(cell: CardCell) -> str:
    """How many balls a number rests on, as a table says it: "24", "latest 200"."""
    return f"{'latest ' if cell.of_latest else ''}{cell.n}"


def count(n: int, what: str) -> str:
    """A number of things: "1 visit", "3 visits"."""
    return f"{n} {what}{'' if n == 1 else 's'}"


def signed_tenths(length_m: float, unit: str) -> str:
    """A difference of lengths with one decimal and a true sign: "−1.3", "+0.4", "0.0"."""
    said = plain_tenths(length_m, unit)
    return f"+{said}" if length_m > 0 and said != "0.0" else said


def plain_tenths(length_m: float, unit: str) -> str:
    """A length with one decimal and a true minus sign where it is below zero: "1.3", "−0.4"."""
    steps = round_half_up(abs(from_m(length_m, unit)) * 10)
    return f"{'−' if steps and length_m < 0 else ''}{steps / 10:.1f}"


def nine_in_ten(cell: CardCell, unit: str) -> str:
    """The nine-in-ten carry with one decimal; like what fits it never rounds up to what is not reached."""
    return f"{math.floor(from_m(cell.nine_in_ten_carry_m, unit) * 10 + CLOSE) / 10:.1f}"


def percent(share: float) -> str:
    """A share of 1 as whole per cent."""
    return f"{round_half_up(share * 100)}%"


def short_or_long(bias: Bias, unit: str) -> tuple[str | Length, ...]:
    """ "short by 4 yd", "long by 2 yd", or "on the number" when the bias would show as 0."""
    if round_half_up(abs(from_m(bias.all_m, unit))) == 0:
        return ("on the number",)
    return ("short by " if bias.all_m < 0 else "long by ", Length(abs(bias.all_m), with_unit=True))


def band_of(bias: Bias) -> tuple[str | Length, ...]:
    """ "under 40", "40 to 70", "70 and beyond", or "at all distances": a band holds its lower end."""
    if bias.low_m is None:
        return ("at all distances",) if bias.high_m is None else ("under ", Length(bias.high_m))
    if bias.high_m is None:
        return Length(bias.low_m), " and beyond"
    return Length(bias.low_m), " to ", Length(bias.high_m)


def aim_of(bias: Bias, unit: str, capital: bool = True) -> tuple[str | Length, ...]:
    """ "Short by 4 yd from 70 on", "short by 3 yd from 40 to 70": which way balls hit to a number end, and where."""
    first, *rest = short_or_long(bias, unit)
    first = str(first).capitalize() if capital else first
    return (first, *rest, " ", *meant_within(bias.low_m, bias.high_m))


def meant_within(low_m: float | None, high_m: float | None) -> tuple[str | Length, ...]:
    """ "under 40", "from 40 to 70", "from 70 on", or "at all distances"."""
    if low_m is None:
        return ("at all distances",) if high_m is None else ("under ", Length(high_m))
    return ("from ", Length(low_m), *((" on",) if high_m is None else (" to ", Length(high_m))))


def stretch(low_m: float, high_m: float, unit: str) -> tuple[str | Length, ...]:
    """A stretch of distances: "104 to 107", or "67" where both ends show as one number."""
    if whole(low_m, unit) == whole(high_m, unit):
        return (Length((low_m + high_m) / 2),)
    return Length(low_m), " to ", Length(high_m)


def old_enough_to_check(card: Card) -> int:
    """How many numbers are old where these are a third of the card or more, as after a winter; else 0."""
    old = sum(cell.trust == "old" for cell in card.cells.values())
    return old if old >= OLD_SHARE * len(card.cells) else 0


def _most_are_guesses(card: Card) -> bool:
    shown = [cell for cell in card.cells.values() if cell.key not in card.hidden]
    return sum(cell.trust == "guess" for cell in shown) > len(shown) / 2


def least_trusted(card: Card) -> Sentence | None:
    """The cells one may trust least; while most are guesses none is singled out."""
    shown = [cell for cell in card.cells.values() if cell.key not in card.hidden]
    for word, says, both_are in (("guess", "a guess", "guesses"), ("old", "old", "old"), ("early", "early", "early")):
        found = [cell for cell in shown if cell.trust == word]
        if word == "guess" and _most_are_guesses(card):
            still = "still guesses" if any(cell.n for cell in shown) else "guesses until balls are hit"
            return Sentence((f"{len(found)} of {len(shown)} numbers are {still}.",), anchor="pole", trust=True)
        if found and len(found) < len(shown):
            place = {club.id: at for at, club in enumerate(card.clubs)}  # every reader of a card knows its wedges by it
            first, *others = sorted(found, key=lambda cell: (cell.n, cell.swing_deg, place[cell.club_id]))
            more = f", and so are {len(others)} others" if others else ""
            cell = (first.club_id, first.swing_deg)
            rest = "" if word == "guess" else f" ({rests_on(first)})"
            if len(others) == 1:
                other = name_of(card, (others[0].club_id, others[0].swing_deg))
                return Sentence((f"{name_of(card, cell)} and {other} are {both_are}.",), cell=cell, trust=True)
            return Sentence((f"{name_of(card, cell)} is {says}{rest}{more}.",), cell=cell, trust=True)
    return None


def _balls(n: int, strikes: Strikes) -> str:
    """The balls that the strike is told from: "40 balls", or "40 of the latest 1,000 balls"."""
    return f"{n} of the latest {strikes.latest:,} balls" if strikes.latest else count(n, "ball")


def _aim(card: Card, unit: str) -> Sentence | None:
    bands = [band for band in card.strikes.bias if band.n >= LEAST_BALLS_A_BAND]
    worst = max(bands, key=lambda band: abs(band.all_m), default=None)
    if worst is None or abs(worst.all_m) < WORTH_SAYING_M:
        return None
    return Sentence((*aim_of(worst, unit), f" ({_balls(worst.n, card.strikes)} hit to a number)."), anchor="aim")


def _strike(card: Card, unit: str) -> Sentence | None:
    cost = card.strikes.cost
    if cost is None or cost.n < LEAST_CARD_COST_BALLS:
        return None
    contact, worst_m = min(cost.by_contact.items(), key=lambda item: item[1], default=("", 0.0))
    if worst_m > -WORTH_A_BALL_M:
        return None
    costs = f"{contact.capitalize()} costs {plain_tenths(-worst_m, unit)} {unit} a ball"
    says = f"{costs} ({_balls(cost.n, card.strikes)})."
    return Sentence((says,), anchor="strike")


def _gap(card: Card, unit: str) -> Sentence | None:
    worst = max((gap for gap in card.gaps if gap.called), key=lambda gap: gap.gap_m, default=None)
    if worst is None:
        return None
    names = f"From {worst.stronger.name} to {worst.weaker.name} full swings {'' if worst.certain else 'perhaps '}lie "
    if whole(worst.gap_m, unit) == whole(worst.limit_m, unit):
        return Sentence((names, "just over the limit of ", Length(worst.limit_m), " apart."), anchor="gaps")
    parts = (names, Length(worst.gap_m), " apart, over the limit of ", Length(worst.limit_m), ".")
    return Sentence(parts, anchor="gaps")


def _order(card: Card) -> Sentence | None:
    crossed = [cell for cell in card.cells.values() if cell.out_of_order]
    if not crossed:
        return None
    thinner = min(crossed, key=lambda cell: (cell.n, cell.club_id))
    cell = (thinner.club_id, thinner.swing_deg)
    says = f"{name_of(card, cell)} is out of order with another swing of its wedge: a few balls with it would tell."
    return Sentence((says,), cell=cell)


def _hole(card: Card, unit: str) -> Sentence | None:
    """The widest stretch that no shot carries; among guesses a hole is no more than a guess itself."""
    if _most_are_guesses(card):
        return None
    widest = max(card.uncovered, key=lambda stretch: stretch[1] - stretch[0], default=None)
    if widest is None:
        return None
    return Sentence(("No shot carries ", *stretch(*widest, unit), "."), anchor="pole")
