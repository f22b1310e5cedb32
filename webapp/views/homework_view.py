"""What the page where a coach writes homework shows: the rows its address asks for, what is wrong with them, the code.

Knows a card and two periods' cells; no book, link or player. The address holds everything, so nothing has to be kept.
"""

import hashlib
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from itertools import zip_longest
from uuid import UUID

from ..card.card_data import Card, CellKey
from ..card.card_words import count, plain_tenths, rests_on
from ..card.names import given_names
from ..days import weekday
from ..estimate.pool import Pooled
from ..facts import FOCUS_LENGTH, LONGEST_CARRY_M, MODES
from ..fields import is_day, is_plain
from ..practice import homework, plans
from ..practice.homework import Matched
from ..practice.homework_code import MOST_BALLS, MOST_CELLS, MOST_ROWS, Asked, Homework, Row, made
from ..practice.plan_words import WHY
from ..trends.compare import CellChange
from ..typed import bounds_words, number_typed
from ..units import UNIT_NAMES, from_m, to_m

USUAL_BALLS, USUAL_MIXED = "5", "12"
NINE_DAYS = 21
_SEED = re.compile(r"[0-9a-f]{32}")
_NUMBER = re.compile(r"[0-9]{1,4}")

Args = Mapping[str, Sequence[str]]
Name = Callable[[CellKey], str]


@dataclass(frozen=True)
class DraftRow:
    """A row as it stands in its boxes: its cells, and balls, mode and carry as typed."""

    cells: tuple[CellKey, ...]
    balls: str = USUAL_BALLS
    mode: str = MODES[0]
    carry: str = ""

    @property
    def keys(self) -> str:
        """The cells as the address names them."""
        return " ".join(f"{club_id}:{swing_deg:g}" for club_id, swing_deg in self.cells)


@dataclass(frozen=True)
class Draft:
    """What is written so far: the boxes, what is wrong, and the homework that it makes; None before it makes any."""

    rows: tuple[DraftRow, ...]
    nine_by: str
    focus: str
    seed: str
    problems: tuple[str, ...]
    homework: Homework | None


@dataclass(frozen=True)
class Suggestion:
    """A cell worth homework, and why."""

    key: str
    name: str
    why: str


def draft(args: Args, card: Card, name: Name, unit: str, today: str, seed: str) -> Draft:
    """Read the address.

    `card` comes without its hidden cells, `seed` as 32 hexadecimal digits of chance for a draft that has none yet.
    """
    by_key = {cell.key: place for place, cell in card.cells.items()}
    problems: list[str] = []
    rows = _rows(args, by_key, problems)
    nine_by = _day(next(iter(args.get("nine_by", ())), ""), today)
    focus = next(iter(args.get("focus", ())), "").strip()
    if not is_plain(focus, FOCUS_LENGTH):
        problems.append(f"The focus is plain text of at most {FOCUS_LENGTH} letters, without < and >.")
    asked_seed = next(iter(args.get("seed", ())), "")
    seed = asked_seed if _SEED.fullmatch(asked_seed) else seed
    sound = [_row_of(row, card, name, unit, problems) for row in rows]
    if sum(row.balls for row in sound if row) > MOST_BALLS:
        problems.append(f"That is more than the {MOST_BALLS} balls of one homework, the nine aside: take some out.")
    made_of = [row for row in sound if row]
    whole = None
    if not problems and (made_of or nine_by):
        whole = Homework(_id(seed, made_of, nine_by, focus), tuple(made_of), nine_by, focus)
        try:
            made(whole)
        except ValueError as too_long:
            problems.append(str(too_long))
            whole = None
    return Draft(tuple(rows), nine_by, focus, seed, tuple(problems), whole)


def message(told: Homework, card: Card, unit: str) -> str:
    """The homework as a text that can be sent beside its link."""
    return "\n".join(
        (
            f"From your coach: {homework.head_words(told.balls + (plans.NINE if told.nine_by else 0))}.",
            *(f"{words}." for words in row_words(told, card, unit)),
            *((f"Next-visit nine by {weekday(told.nine_by)}.",) if told.nine_by else ()),
            *((f"Focus: {told.focus}",) if told.focus else ()),
        )
    )


def row_words(told: Homework, card: Card, unit: str) -> list[str]:
    """The rows of homework in words, by the card they were written for."""
    rows: list[Matched] = homework.matched(told, card.clubs, card.swings)
    names = given_names(card.clubs, card.swings)
    return [homework.row_words(row, names, unit) for row in rows]


def nine_days(today: str) -> list[tuple[str, str]]:
    """How many days from today a next-visit nine may be due, with what they are called; the first asks for none.

    They are told as days ahead: a link that tells weeks names no day by itself.
    """
    begun = date.fromisoformat(today)
    days = [("+1", "by tomorrow")]
    days += [
        (f"+{ahead}", f"by {begun + timedelta(days=ahead):%A}, in {ahead} days") for ahead in range(2, NINE_DAYS + 1)
    ]
    return [("", "no next-visit nine"), *days]


def suggestions(
    card: Card, pooled: Pooled | None, changes: Sequence[CellChange], name: Name, unit: str
) -> list[Suggestion]:
    """Two cells worth homework: the one whose spread widened most, and what a plan would build first.

    `card` is the whole card that `pooled` belongs to; what it hides is not suggested.
    """
    found: list[Suggestion] = []
    free = {place for place, cell in card.cells.items() if cell.key not in card.hidden}
    widened = [(_widened(change), change) for change in changes if change.cell in free]
    weight, change = max(widened, key=lambda one: one[0], default=(0.0, None))
    if change and weight > 0 and change.before and change.after:
        sds = [plain_tenths(side.sd_m or 0.0, unit) for side in (change.before, change.after)]
        balls = f"{count(change.after.n_clean, 'clean ball')}; {change.before.n_clean} before"
        why = f"its spread widened most, from {sds[0]} to {sds[1]} {unit} ({balls})"
        found.append(Suggestion(card.cells[change.cell].key, name(change.cell), why))
    order = dict.fromkeys(plans.to_build(card, pooled) if pooled else ())
    for when, place in zip(("first", "next"), (at for at in order if at in free), strict=False):
        cell = card.cells[place]
        resting = f" ({rests_on(cell)})" if cell.n else ""
        why = f"a plan would build it {when}: {WHY[plans.why_build(cell)]}{resting}"
        if cell.key not in {one.key for one in found}:
            found.append(Suggestion(cell.key, name(place), why))
    return found[:2]


def _widened(change: CellChange) -> float:
    """How much wider single balls scatter than before [m], by how sure that is."""
    if change.spread is None or not (change.before and change.after and change.before.sd_m and change.after.sd_m):
        return 0.0
    return (change.after.sd_m - change.before.sd_m) * change.spread.certainty


def _rows(args: Args, by_key: Mapping[str, CellKey], problems: list[str]) -> list[DraftRow]:
    """The rows of the boxes, after what the button asked for."""
    rows = []
    boxes = (args.get(name, ()) for name in ("cells", "balls", "mode", "carry"))
    for keys, balls, mode, carry in list(zip_longest(*boxes, fillvalue=""))[:MOST_ROWS]:
        cells = _cells(keys.split(), by_key)
        if len(cells) < len(set(keys.split())) or not cells:
            problems.append("A number that is not on this card was left out.")
        if cells:
            rows.append(DraftRow(cells, balls[:6], mode if mode in MODES else MODES[0], carry[:12]))
    dropped = next(iter(args.get("drop", ())), "")
    if _NUMBER.fullmatch(dropped) and int(dropped) < len(rows):
        del rows[int(dropped)]
    if added := _cells(args.get("add", ()), by_key):
        _add_five(rows, added[:1])
    if args.get("mix") and (mixed := _cells(args.get("mixed", ()), by_key)):
        rows.append(DraftRow(mixed, USUAL_MIXED, MODES[1]))
    if len(rows) > MOST_ROWS:
        problems.append(f"Homework has at most {MOST_ROWS} rows: the last was left out.")
    return rows[:MOST_ROWS]


def _add_five(rows: list[DraftRow], cells: tuple[CellKey, ...]) -> None:
    """Five balls more of a number: in the last row where that is the number's own, else in a row of theirs."""
    last = rows[-1] if rows else None
    if last and (last.cells, last.mode) == (cells, MODES[0]) and _NUMBER.fullmatch(last.balls):
        rows[-1] = replace(last, balls=str(int(last.balls) + int(USUAL_BALLS)))
    else:
        rows.append(DraftRow(cells))


def _cells(keys: Sequence[str], by_key: Mapping[str, CellKey]) -> tuple[CellKey, ...]:
    return tuple(by_key[key] for key in dict.fromkeys(keys) if key in by_key)[:MOST_CELLS]


def _row_of(row: DraftRow, card: Card, name: Name, unit: str, problems: list[str]) -> Row | None:
    """A row as homework holds it; None, and what is wrong told, where a box cannot be taken."""
    called = name(row.cells[0]) if len(row.cells) == 1 else "The mixed balls"
    balls = int(row.balls) if _NUMBER.fullmatch(row.balls) else 0
    if not 1 <= balls <= MOST_BALLS:
        problems.append(f"{called}: balls are a whole number from 1 to {MOST_BALLS}.")
        return None
    carry_m = None
    if row.mode == MODES[1] and len(row.cells) == 1:
        low, high = (from_m(edge_m, unit) for edge_m in (1.0, LONGEST_CARRY_M))
        try:
            number = number_typed(row.carry)
        except ValueError as wrong:
            problems.append(f"{called}: the carry {wrong}.")
            return None
        if number is not None and not low <= float(number) <= high:
            problems.append(f"{called}: the carry {bounds_words(low, high, UNIT_NAMES[unit])}.")
            return None
        carry_m = None if number is None else round(to_m(float(number), unit), 2)
    lanes = {club.id: club for club in card.clubs}
    asked = tuple(Asked(lanes[club_id].name, lanes[club_id].loft_deg, deg) for club_id, deg in row.cells)
    return Row(asked, balls, row.mode, carry_m)


def _id(seed: str, rows: Sequence[Row], nine_by: str, focus: str) -> str:
    """The homework's id, as random as its seed: the same page gives the same one, other content another."""
    return str(UUID(bytes=hashlib.sha256(repr((seed, rows, nine_by, focus)).encode()).digest()[:16]))


def _day(asked: str, today: str) -> str:
    """The day that is asked for, as itself or as so many days from today; "" for none."""
    if re.fullmatch(r"\+[0-9]{1,2}", asked):
        return (date.fromisoformat(today) + timedelta(days=int(asked))).isoformat()
    return asked if is_day(asked) else ""
