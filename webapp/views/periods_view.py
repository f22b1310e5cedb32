"""What the page of two periods and its lists of balls show, for the player and the coach alike.

Knows a card, rows and an address' question; which names and days its reader may see comes in.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from ..card.card_data import Card, CellKey
from ..card.card_words import count, percent, tenths
from ..facts import BALLS, CONTACTS, JUDGED_BY, MODES, SURFACES
from ..trends import compare
from ..trends.compare import CellSide, Comparison
from ..trends.period import Filters, NoPeriod, Pair, Period, pair_of

PRESETS = {
    "lesson": "since a mark",
    "last": "the last visit against all before",
    "three": "the last three visits against all before",
    "days": "the last 60 days against the 60 before",
    "weeks": "this week against the last",
    "dates": "two stretches of days",
}
_ASKED = (
    *("what", "mark", "from", "to", "after_from", "after_to"),
    *("first", "surface", "ball", "mode", "judged_by", "place"),
)
PARTS = ("all", "counted", "number", "aimed", "out", *CONTACTS)
Row = Mapping[str, Any]
Name = Callable[[CellKey], str]


@dataclass(frozen=True)
class Asked:
    """What an address asks of a book: the rows, the two periods or why there are none, and the way of asking."""

    shots: Sequence[Row]
    pair: Pair | None
    problem: str
    question: dict[str, str]


def asked(
    args: Mapping[str, str], card: Card, visits: Sequence[Sequence[Row]], marks: Sequence[Row], shots: Sequence[Row],
    clock: str,
) -> Asked:  # fmt: skip
    """Read the question; a kind of ball that it does not name is the card's own."""
    question = {"ball": card.ball, **{name: args[name] for name in _ASKED if name in args}}
    try:
        return Asked(shots, pair_of(question, visits, marks, shots, clock), "", question)
    except NoPeriod as problem:
        return Asked(shots, None, str(problem), question)


def page(found: Asked, card: Card, name: Name, unit: str, margin_m: float | None) -> dict[str, Any]:
    """The page of two periods."""
    told = compared(found, card, margin_m) if found.pair else None
    places = sorted({shot["place"] for shot in found.shots if shot["place"]})
    return {
        "pair": found.pair,
        "problem": found.problem,
        "compared": told,
        "name": name,
        "unit": unit,
        "question": found.question,
        "presets": PRESETS,
        "choices": {"surface": SURFACES, "ball": BALLS, "mode": MODES, "judged_by": JUDGED_BY, "place": places},
        "header": lambda side: header(side, found.pair.after.filters) if found.pair else "",
        "cell_words": lambda side: cell_words(side, unit),
        "strike": _strike_rows(told, unit) if told else [],
    }


def compared(found: Asked, card: Card, margin_m: float | None) -> Comparison:
    """The comparison that a question asks for; ValueError when it asks for none."""
    if found.pair is None:
        raise ValueError(found.problem)
    sigma = {place: cell.spread_m / cell.typical_carry_m for place, cell in card.cells.items()}
    return compare.compare(found.shots, found.pair, sigma, margin_m)


def balls(found: Asked, args: Mapping[str, str]) -> dict[str, Any] | None:
    """The balls that one figure rests on, oldest first, with that figure again; None where nothing such is asked."""
    side, part, key = args.get("side", "after"), args.get("part", "all"), args.get("cell", "")
    if found.pair is None or side not in ("before", "after") or part not in PARTS:
        return None
    period: Period = getattr(found.pair, side)
    own = period.of(found.shots)
    if key:
        club, _, swing = key.rpartition(":")
        own = [shot for shot in own if shot["club_id"] == club and f"{shot['swing_deg']:g}" == swing]
    chosen = sorted(_part(own, part), key=lambda shot: (shot["struck_at"], shot["id"]))
    carries_m = [shot["carry_m"] for shot in chosen if shot["landed"] == "seen" and shot["carry_m"] is not None]
    off_m = [shot["carry_m"] - shot["meant_carry_m"] for shot in compare.aimed_of(chosen)]
    return {
        "balls": chosen,
        "mean_m": sum(carries_m) / len(carries_m) if carries_m else None,
        "off_m": sum(off_m) / len(off_m) if off_m and part == "aimed" else None,
        "of": len(own),
        "part": part,
        "side": side,
        "period": period,
    }


def header(side: compare.Side, filters: Filters) -> str:
    """The balls of a period and what they are: "33 of 56 balls (grass, first of a run) in 3 visits: 24 for ..."."""
    if not side.n:
        return "no balls"
    some = f"{side.n} of {count(side.n_struck, 'ball')}" if side.n < side.n_struck else count(side.n, "ball")
    of = f" ({filters.words})" if filters.words else ""
    out = f", {side.n_out} left out" if side.n_out else ""
    parts = f"{side.n_counted} for the card, {side.n_aimed} to a number{out}"
    return f"{some}{of} in {count(side.visits, 'visit')}: {parts}"


def cell_words(side: CellSide | None, unit: str) -> tuple[str, str]:
    """A cell's plain mean and what it rests on; "no balls" without any."""
    if side is None:
        return "no balls", ""
    rests = f"{side.n_clean} clean of {count(side.n, 'ball')} in {count(side.visits, 'visit')}"
    if side.mean_m is None:
        return "none clean", rests
    mean = f"{_plain(side.mean_m, unit)}{f' ± {_plain(side.error_m, unit)}' if side.error_m is not None else ''}"
    return mean, f"spread {_plain(side.sd_m, unit)}; {rests}" if side.sd_m is not None else rests


def _part(shots: Sequence[Row], part: str) -> Sequence[Row]:
    counted = [shot for shot in shots if shot["counted"]]
    aimed = compare.aimed_of(shots)
    if part in CONTACTS:
        return [shot for shot in compare.struck_of(shots) if shot["contact"] == part]
    return {
        "all": shots,
        "counted": counted,
        "aimed": aimed,
        "number": compare.clean_of(shots),
        "out": [shot for shot in shots if shot not in counted and shot not in aimed],
    }[part]


def _strike_rows(compared: Comparison, unit: str) -> list[tuple[str, str, str, str]]:
    """Rows of the strike and the aim: what, before, after, and the part of the lists that holds its balls."""
    before, after = compared.before, compared.after
    rows = [
        (contact, _share(before, contact), _share(after, contact), contact)
        for contact in CONTACTS
        if contact in before.contacts.counts or contact in after.contacts.counts
    ]
    costs = [tenths(side.cost.lost_m, unit) if side.cost else "no balls" for side in (before, after)]
    rows.append((f"strike costs, {unit} a ball", *costs, "counted"))
    aims = [
        f"{tenths(side.aim.all_m, unit)}; {side.aim.short} short, {side.aim.within} in, {side.aim.long} long"
        if side.aim else "no balls"
        for side in (before, after)
    ]  # fmt: skip
    return [*rows, (f"against the meant, {unit}", *aims, "aimed")]


def _share(side: compare.Side, contact: str) -> str:
    if not side.contacts.n:
        return "no balls"
    return f"{percent(side.contacts.share(contact))} ({side.contacts.counts.get(contact, 0)} of {side.contacts.n})"


def _plain(length_m: float | None, unit: str) -> str:
    return tenths(length_m or 0.0, unit).lstrip("+")
