"""Plans for a bucket: which balls to hit, in which order, how many of each kind, and why each is there.

Knows a card and no table, page or clock; chance comes in as an argument.
"""

import random
from collections.abc import Container, Sequence
from dataclasses import dataclass, replace
from itertools import groupby

from ..card.card_data import Card, CardCell, CellKey
from ..card.card_words import rests_on
from ..estimate.next_cell import next_cells
from ..estimate.pool import Pooled
from ..moments import days_between, moved
from ..units import LENGTH_M, round_half_up
from .course_use import course_use
from .plan_words import LASTING_WHY, WHY, Call, written

# Common practice, no source, unless said otherwise.
FEWEST_BALLS, MOST_BALLS = 5, 150
BLOCK = 5
MOST_BUILDING = 15  # longer blocks of one call flatter
MOST_WARM_UP, WARM_UP_SHARE = 6, 6
MOST_OWN, OWN_SHARE = 4, 10
MIXED_CELLS = 6
NINE = 9
NINE_AFTER_DAYS = 0.5  # less than twelve hours after practice nothing has been slept over
NINE_FROM_BALLS = 24
SPRING_BALLS = 3
WIDE_SHARE = 0.12  # width of the 80% interval of the typical carry, as a share of it
HIDDEN_USE = 0.3
CALL_WORDS = {"swing": "a swing to make", "number": "its number to hit", "distance": "a distance to land it at"}
CALL_KINDS = tuple(CALL_WORDS)


@dataclass(frozen=True)
class Line:
    """Balls in a row for one cell and the reason: "56 9:00, 5 balls: early, 6 balls in 2 visits"."""

    cell: CellKey
    balls: int
    why: str


@dataclass(frozen=True)
class Part:
    """A stretch of a plan. `balls` may have no calls: warm-up, and the last ones, are the player's own."""

    name: str
    balls: int
    why: str
    calls: tuple[Call, ...] = ()
    lines: tuple[Line, ...] = ()


@dataclass(frozen=True)
class Plan:
    """A whole bucket: its parts in order; their balls add up to `balls`."""

    balls: int
    parts: tuple[Part, ...]

    @property
    def calls(self) -> tuple[Call, ...]:
        """Every call in order."""
        return tuple(call for part in self.parts for call in part.calls)

    @property
    def words(self) -> list[str]:
        """The calls as they go into a bucket."""
        return [written(call) for call in self.calls]


@dataclass(frozen=True)
class Wish:
    """What the player asks for: the cells of the mixed balls (none: the usual ones), how they are called, all mixed."""

    cells: tuple[CellKey, ...] = ()
    kinds: tuple[str, ...] = CALL_KINDS
    only_mixed: bool = False


def plan(
    card: Card, order: Sequence[CellKey], balls: int, unit: str, chance: random.Random,
    nine: bool = False, wish: Wish | None = None, often: Container[CellKey] = (),
) -> Plan:  # fmt: skip
    """A plan for exactly `balls` balls.

    Parameters
    ----------
    order : sequence of CellKey
        The cells worth a block of balls, the first the most (`to_build`).
    balls : int
        FEWEST_BALLS to MOST_BALLS; ValueError outside.
    unit : str
        Whole numbers of it are called.
    nine : bool
        Whether the bucket opens with the next-visit nine.
    often : container of CellKey
        The cells that the course asks for most (course_use.py), which is said of them.
    """
    if not FEWEST_BALLS <= balls <= MOST_BALLS:
        raise ValueError(f"a plan is for {FEWEST_BALLS} to {MOST_BALLS} balls")
    wish = wish or Wish()
    mixed_cells = wish.cells or usual_cells(card)
    if wish.only_mixed:
        return Plan(balls, (mixed_part(card, mixed_cells, balls, wish.kinds, unit, chance),))
    warm_up, own = min(MOST_WARM_UP, balls // WARM_UP_SHARE), min(MOST_OWN, balls // OWN_SHARE)
    parts = [Part("warm-up", warm_up, "not counted; short and easy first")]
    left = balls - warm_up - own
    if nine and balls >= NINE_FROM_BALLS:
        parts.append(nine_part(card, unit, chance))
        left -= NINE
    building = min(MOST_BUILDING, BLOCK * round(left / 2 / BLOCK)) if len(mixed_cells) > 1 else left
    if left - building < len(mixed_cells):
        building = left
    if building:
        parts.append(_building(card, order, building, often))
    if left > building:
        parts.append(mixed_part(card, mixed_cells, left - building, wish.kinds, unit, chance))
    parts.append(Part("yours", own, "nothing is planned: hit what you like, or stop"))
    return Plan(balls, tuple(part for part in parts if part.balls))


def nine_alone(card: Card, unit: str, chance: random.Random) -> Plan:
    """The next-visit nine and nothing else."""
    return Plan(NINE, (nine_part(card, unit, chance),))


def spring_check(card: Card) -> Plan:
    """A few balls for each old number, to see whether last season's card still holds; empty without old ones."""
    old = [cell for cell in _shown(card) if cell.trust == "old"]
    calls = tuple(Call(cell.club_id, cell.swing_deg, "swing", None, "old") for cell in old for _ in range(SPRING_BALLS))
    part = Part("spring check", len(calls), "a few balls each for numbers that are old", calls, _lines(card, calls))
    return Plan(len(calls), (part,) if calls else ())


def as_it_stands(card: Card, calls: Sequence[Call]) -> Plan:
    """Given calls in their order as one part, such as the rest of a stopped plan; each with its reason of today."""
    todays = tuple(
        call if not call.why or call.why in LASTING_WHY
        else replace(call, why=why_build(card.cells[call.club_id, call.swing_deg]))
        for call in calls
    )  # fmt: skip
    part = Part("the rest", len(todays), "as it was planned", todays, _lines(card, todays))
    return Plan(len(todays), (part,) if todays else ())


def to_build(
    card: Card, pooled: Pooled, blocks: int = MOST_BUILDING // BLOCK, course_m: Sequence[float] = ()
) -> list[CellKey]:
    """The cells that sharpen the card most, block after block; `pooled` begins with the card's cells in their order.

    What is hidden is used little, a yard counts alike wherever it lies, and what the course asks for (`course_m`, the
    carries meant there [m]) counts the more. Before all comes the thinnest cell that is marked out of order.
    """
    places = [(club.id, swing.swing_deg) for club in card.clubs for swing in card.swings]
    k = len(places)
    own = replace(pooled, m=pooled.m[:k], V=pooled.V[:k, :k], sigma=pooled.sigma[:k])
    asked = course_use(card, course_m)
    use = [
        card.cells[at].typical_carry_m * asked[at] * (HIDDEN_USE if card.cells[at].key in card.hidden else 1)
        for at in places
    ]
    chosen = [places[at] for at in next_cells(own, use, BLOCK, blocks)] if k else []
    crossed = [at for at in places if card.cells[at].out_of_order and card.cells[at].key not in card.hidden]
    return [min(crossed, key=lambda at: card.cells[at].n), *chosen][:blocks] if crossed else chosen


def nine_opens_at(last_struck_at: str | None, now: str) -> str:
    """When the next-visit nine may be struck: "" for now, else the moment twelve hours after the last ball."""
    if last_struck_at is None or days_between(last_struck_at, now) >= NINE_AFTER_DAYS:
        return ""
    return moved(last_struck_at, days=NINE_AFTER_DAYS)


def nine_part(card: Card, unit: str, chance: random.Random) -> Part:
    """Nine different calls, one ball each, to a number; a bag of fewer cells gives some cells more than one number."""
    cells = _spread_out(_shown(card), NINE)
    calls = [_to_number(cell, cell.shown_carry_m, unit, "nine") for cell in cells]
    chance.shuffle(calls)
    taken = {(call.club_id, call.swing_deg, call.meant_carry_m) for call in calls}
    step = 1
    while cells and len(calls) < NINE:
        # Shorter and longer in turn, so that a small bag gives nine different calls too.
        for cell in cells:
            off_m = LENGTH_M[unit] * 3 * ((step + 1) // 2) * (-1 if step % 2 else 1)
            call = _to_number(cell, max(cell.shown_carry_m + off_m, LENGTH_M[unit]), unit, "nine")
            same = (call.club_id, call.swing_deg, call.meant_carry_m) in taken
            if not same and len(calls) < NINE:
                taken.add((call.club_id, call.swing_deg, call.meant_carry_m))
                calls.append(call)
        step += 1
    return Part("next-visit nine", len(calls), f"{WHY['nine']} One cold ball each, before any practice", tuple(calls))


def mixed_part(
    card: Card, cells: Sequence[CellKey], balls: int, kinds: Sequence[str], unit: str, chance: random.Random
) -> Part:
    """Mixed calls: never the same cell twice running, all cells nearly equally often, the kinds in turn."""
    deal = dealt(cells, balls, chance)
    in_turn = [kind for kind in CALL_KINDS if kind in kinds] or list(CALL_KINDS)
    calls = []
    for place, at in enumerate(deal):
        cell, kind = card.cells[at], in_turn[place % len(in_turn)]
        if kind == "swing":
            calls.append(Call(*at, "swing", None, "mixed"))
        else:
            reach_m = cell.two_in_three_half_m if kind == "distance" else 0.0
            calls.append(_to_number(cell, cell.shown_carry_m + chance.uniform(-reach_m, reach_m), unit, "mixed"))
    why = f"another call each time: {_listed([CALL_WORDS[kind] for kind in in_turn])}"
    return Part("mixed", balls, why, tuple(calls), _lines(card, sorted(calls, key=lambda call: _place(card, call))))


def dealt(cells: Sequence[CellKey], balls: int, chance: random.Random) -> list[CellKey]:
    """Cells in a random order, never one twice running, dealt from a pack that holds each twice.

    So each comes nearly as often as any other, yet the next can't be told. One cell alone is given all along.
    """
    cells = list(dict.fromkeys(cells))
    if len(cells) < 2:
        return cells * balls
    order: list[CellKey] = []
    pack: list[CellKey] = []
    while len(order) < balls:
        pack = pack or [*cells, *cells]
        last = order[-1] if order else None
        free = [cell for cell in pack if cell != last]
        if not free:
            pack = [*pack, *cells]
            continue
        # A cell that fills half of what is left must go now, or it would have to follow itself.
        pressing = [cell for cell in free if 2 * pack.count(cell) > len(pack)]
        order.append(chance.choice(pressing or free))
        pack.remove(order[-1])
    return order


def usual_cells(card: Card) -> tuple[CellKey, ...]:
    """The cells mixed balls are called from: six of those with balls, spread over the distances; else of all shown."""
    known = [cell for cell in _shown(card) if cell.n]
    chosen = _spread_out(known if len(known) >= MIXED_CELLS else _shown(card), MIXED_CELLS)
    return tuple((cell.club_id, cell.swing_deg) for cell in chosen)


def why_build(cell: CardCell) -> str:
    """Why a cell is worth a block of balls: a key of WHY."""
    if cell.trust in ("guess", "told", "old"):
        return cell.trust
    if cell.out_of_order:
        return "order"
    if cell.trust == "early":
        return "early"
    return "wide" if cell.typical_high_m - cell.typical_low_m > WIDE_SHARE * cell.typical_carry_m else "near"


def _building(card: Card, order: Sequence[CellKey], balls: int, often: Container[CellKey]) -> Part:
    """Whole blocks for the first cells of the order; what is over goes to the first."""
    blocks = list(order)[: max(1, balls // BLOCK)] or [(cell.club_id, cell.swing_deg) for cell in _shown(card)[:1]]
    share, over = divmod(balls, len(blocks))
    counts: dict[CellKey, int] = {}
    for place, at in enumerate(blocks):
        counts[at] = counts.get(at, 0) + share + (place < over)
    calls = tuple(
        Call(*at, "swing", None, why_build(card.cells[at])) for at, n in counts.items() for _ in range(n)
    )  # fmt: skip
    lines = tuple(
        replace(line, why=f"{line.why}; often needed on the course") if line.cell in often else line
        for line in _lines(card, calls)
    )
    return Part("card-building", balls, "these balls sharpen your card most", calls, lines)


def _lines(card: Card, calls: Sequence[Call]) -> tuple[Line, ...]:
    lines = []
    for at, group in groupby(calls, key=lambda call: (call.club_id, call.swing_deg)):
        members = list(group)
        cell = card.cells[at]
        why = WHY.get(members[0].why, "")
        resting = f" ({rests_on(cell)})" if cell.n and members[0].why in ("early", "old", "wide", "order") else ""
        lines.append(Line(at, len(members), why + resting))
    return tuple(lines)


def _to_number(cell: CardCell, carry_m: float, unit: str, why: str) -> Call:
    """A call to the nearest whole number of the unit, kept to the centimetre as a plan's words keep it."""
    whole = max(1, round_half_up(carry_m / LENGTH_M[unit]))
    return Call(cell.club_id, cell.swing_deg, "distance", round(whole * LENGTH_M[unit], 2), why)


def _shown(card: Card) -> list[CardCell]:
    """The cells the player shows, from short to long; all of them where he hides all."""
    shown = [cell for cell in card.cells.values() if cell.key not in card.hidden] or list(card.cells.values())
    return sorted(shown, key=lambda cell: cell.shown_carry_m)


def _spread_out(cells: Sequence[CardCell], most: int) -> list[CardCell]:
    """At most `most` of the cells, evenly from the first to the last."""
    if len(cells) <= most:
        return list(cells)
    return [cells[round(at * (len(cells) - 1) / (most - 1))] for at in range(most)]


def _place(card: Card, call: Call) -> float:
    return card.cells[call.club_id, call.swing_deg].shown_carry_m


def _listed(words: Sequence[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} or {words[-1]}"
