"""What the page of two periods and its lists of balls show, for the player and the coach alike.

Knows a card, rows and an address' question; which names and days its reader may see comes in.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from ..card.balls import aimed_of, clean_of, seen, struck_of
from ..card.card_data import Card, CellKey
from ..card.card_words import count, meant_within, percent, plain_tenths, signed_tenths
from ..card.strike import BANDS_M
from ..facts import BALLS, CONTACTS, JUDGED_BY, MODES, SURFACES
from ..practice.scores import NINE_WITHIN_M
from ..trends import compare, lasted, side
from ..trends.compare import CellSide, Comparison
from ..trends.period import Filters, NoPeriod, Pair, pair_of
from ..trends.side import Side
from ..trends.verdicts import Found, by_visits, way_variance
from ..units import whole

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
PARTS = ("all", "counted", "number", "aimed", *BANDS_M, "nine", "late", "cold", "out", *CONTACTS)
SIDES = ("before", "after", "both")
_PARTS_SAID = {
    "all": "", "counted": "for the card", "number": "clean ones for the card", "aimed": "hit to a number",
    "nine": "of next-visit nines", "late": "late in a run", "cold": "that nothing led up to", "out": "left out",
}  # fmt: skip
Row = Mapping[str, Any]
Name = Callable[[CellKey], str]


@dataclass(frozen=True)
class Asked:
    """What an address asks of a book: the rows, the two periods or why there are none, and the way of asking."""

    shots: Sequence[Row]
    pair: Pair | None
    problem: str
    question: dict[str, Any]


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
    both = [
        shot for period in (found.pair.before, found.pair.after) for shot in period.of(found.shots)
    ] if found.pair else []  # fmt: skip
    places = sorted({shot["place"] for shot in found.shots if shot["place"]})
    return {
        "pair": found.pair,
        "problem": found.problem,
        "compared": told,
        "name": name,
        "unit": unit,
        "question": found.question,
        "presets": dict(PRESETS),
        "choices": {"surface": SURFACES, "ball": BALLS, "mode": MODES, "judged_by": JUDGED_BY, "place": places},
        "header": lambda one: header(one, found.pair.after.filters) if found.pair else "",
        "judged": judged_words(*(clean_of(one.of(found.shots)) for one in (found.pair.before, found.pair.after)))
        if found.pair
        else "",
        "cell_words": lambda one: cell_words(one, unit),
        "by_visits": lambda verdict: "{} to {} by visits: {}".format(*by_visits(verdict, unit)),
        "spread_words": spread_words,
        "strike": _strike_rows(told, unit) if told else [],
        "lasted": lasted.lasted(both, card.cells) if found.pair else [],
        "nines": lasted.cold_nines(both),
        "within": f"{whole(NINE_WITHIN_M, unit)} {unit}",
        "share": lambda part, n: f"{part} of {n} ({percent(part / n)})" if n else "no balls",
    }


def judged_words(before: Sequence[Row], after: Sequence[Row]) -> str:
    """ "by eye before, by monitor after" where the periods' balls were judged in other ways, else ""."""
    if not before or not after or not way_variance(before, after):
        return ""
    used = [{ball["judged_by"] for ball in balls} for balls in (before, after)]
    return ", ".join(
        f"by {' and '.join(way for way in JUDGED_BY if way in ways)} {when}"
        for ways, when in zip(used, SIDES[:2], strict=True)
    )


def compared(found: Asked, card: Card, margin_m: float | None) -> Comparison:
    """The comparison that a question asks for; ValueError when it asks for none."""
    if found.pair is None:
        raise ValueError(found.problem)
    sigma = {place: cell.spread_m / cell.typical_carry_m for place, cell in card.cells.items()}
    return compare.compare(found.shots, found.pair, sigma, margin_m, card.mishits)


def balls(
    found: Asked, card: Card, args: Mapping[str, str], unit: str, margin_m: float | None
) -> dict[str, Any] | None:
    """The balls that one figure rests on, oldest first, in the words that led there; None where none are asked for."""
    which, part, key = args.get("side", "after"), args.get("part", "all"), args.get("cell", "")
    if found.pair is None or which not in SIDES or part not in PARTS:
        return None
    periods = (found.pair.before, found.pair.after) if which == "both" else (getattr(found.pair, which),)
    shots = found.shots
    if key:
        club, _, swing = key.rpartition(":")
        shots = [shot for shot in shots if shot["club_id"] == club and f"{shot['swing_deg']:g}" == swing]
    own = [shot for period in periods for shot in period.of(shots)]
    chosen = sorted(_part(own, part), key=lambda shot: (shot["struck_at"], shot["id"]))
    figure = _figure(part, chosen, side.figures_of(own, len(own), margin_m), unit)
    if part == "number" and which != "both":
        figure += _by_visits(compared(found, card, margin_m), key, which, unit)
    return {
        "balls": chosen,
        "of": len(own),
        "period": {"before": found.pair.earlier, "after": found.pair.name}.get(which, "in both periods"),
        "what": ("hit to a number ", *meant_within(*BANDS_M[part]))
        if part in BANDS_M
        else (_PARTS_SAID.get(part, part),),
        "figure": figure,
    }


def _figure(part: str, chosen: Sequence[Row], told: Side, unit: str) -> str:
    """What a list of balls comes to, in the words of the figure that led to it; "" where its count is the figure."""
    if part in CONTACTS and told.contacts.n:
        cost_m = -told.cost.by_contact.get(part, 0.0) if told.cost else 0.0
        costs = f"{'costs' if cost_m >= 0 else 'adds'} {_plain(cost_m, unit)} {unit} a ball"
        noted = f"{count(told.contacts.n, 'ball')} with a strike noted"
        return f"{told.contacts.said(part)} of {noted}; {part} {costs}."
    if part == "counted" and told.cost:
        return f"The strike costs {_plain(told.cost.lost_m, unit)} {unit} a ball."
    if part == "nine" and chosen:
        return f"{told.n_within} of {told.n_nine} within {whole(NINE_WITHIN_M, unit)} {unit}."
    off_m = [shot["carry_m"] - shot["meant_carry_m"] for shot in aimed_of(chosen)]
    if off_m and (part == "aimed" or part in BANDS_M):
        return f"On average {signed_tenths(sum(off_m) / len(off_m), unit)} {unit} against the meant carry."
    carries_m = [shot["carry_m"] for shot in chosen if seen(shot)]
    return f"They carried {_plain(sum(carries_m) / len(carries_m), unit)} {unit} on average." if carries_m else ""


def _by_visits(compared: Comparison, key: str, which: str, unit: str) -> str:
    """What a number's balls come to in its verdict, where there is one: each visit counts for what it tells."""
    for change in compared.told:
        if change.verdict and f"{change.cell[0]}:{change.cell[1]:g}" == key:
            level_m = change.verdict.before_m if which == "before" else change.verdict.after_m
            return f" By visits it is {_plain(level_m, unit)} {unit}: one day moves all its balls."
    return ""


def header(one: Side, filters: Filters) -> str:
    """The balls of a period and what they are: "33 of 56 balls (grass, first of a run) in 3 visits: 24 for ..."."""
    if not one.n:
        return "no balls"
    some = f"{one.n} of {count(one.n_struck, 'ball')}" if one.n < one.n_struck else count(one.n, "ball")
    of = f" ({filters.words})" if filters.words else ""
    out = f", {one.n_out} left out" if one.n_out else ""
    parts = f"{one.n_counted} for the card, {one.n_aimed} to a number{out}"
    return f"{some}{of} in {count(one.visits, 'visit')}: {parts}"


def cell_words(one: CellSide | None, unit: str) -> tuple[str, str]:
    """A cell's plain mean and what it rests on; "no balls" without any."""
    if one is None:
        return "no balls", ""
    rests = f"{one.n_clean} clean of {count(one.n, 'ball')} in {count(one.visits, 'visit')}"
    if one.mean_m is None:
        return "none clean", rests
    mean = f"{_plain(one.mean_m, unit)}{f' ± {_plain(one.error_m, unit)}' if one.error_m is not None else ''}"
    return mean, f"spread {_plain(one.sd_m, unit)}; {rests}" if one.sd_m is not None else rests


def _part(shots: Sequence[Row], part: str) -> Sequence[Row]:
    if part in CONTACTS:
        return [shot for shot in struck_of(shots) if shot["contact"] == part]
    if part in BANDS_M:
        return aimed_of(shots, *BANDS_M[part])
    ways: dict[str, Callable[[Sequence[Row]], Sequence[Row]]] = {
        "all": lambda some: some,
        "counted": _counted_of,
        "aimed": aimed_of,
        "number": clean_of,
        "nine": side.nine_of,
        "late": lasted.late_of,
        "cold": lasted.cold_of,
        "out": _out_of,
    }
    return ways[part](shots)


def _counted_of(shots: Sequence[Row]) -> list[Row]:
    return [shot for shot in shots if shot["counted"]]


def _out_of(shots: Sequence[Row]) -> list[Row]:
    ins = {shot["id"] for shot in (*_counted_of(shots), *aimed_of(shots))}
    return [shot for shot in shots if shot["id"] not in ins]


@dataclass(frozen=True)
class StrikeRow:
    """A figure of both periods that is no cell's own, the part of the lists that holds its balls, and its verdict."""

    what: str
    before: str
    after: str
    part: str
    verdict: str = ""
    change: str = ""


def _strike_rows(compared: Comparison, unit: str) -> list[StrikeRow]:
    """Rows of the strike, the aim and the nines."""
    sides = before, after = compared.before, compared.after

    def row(what: str, figures: Sequence[str], part: str, verdict: str, in_unit: bool = False) -> StrikeRow:
        told = compared.verdicts.get(verdict)
        word, change = _verdict(told, unit if in_unit else "") if told else ("", "")
        return StrikeRow(what, figures[0], figures[1], part, word, change)

    rows = [
        row(contact, [_share(one, contact) for one in sides], contact, contact)
        for contact in CONTACTS
        if contact in before.contacts.counts or contact in after.contacts.counts
    ]
    costs = [_plain(one.cost.lost_m, unit) if one.cost else "no balls" for one in sides]
    aims = [signed_tenths(one.aim.all_m, unit) if one.aim else "no balls" for one in sides]
    ends = [
        f"{one.aim.short} short, {one.aim.within} in, {one.aim.long} long" if one.aim else "no balls" for one in sides
    ]
    nines = [f"{one.n_within} of {one.n_nine}" if one.n_nine else "no balls" for one in sides]
    return [
        *rows,
        row(f"strike costs, {unit} a ball", costs, "counted", "cost", in_unit=True),
        row(f"against the meant, {unit}", aims, "aimed", "aim", in_unit=True),
        row("short, in, long", ends, "aimed", "in"),
        row(f"next-visit nine, within {whole(NINE_WITHIN_M, unit)} {unit}", nines, "nine", "nine"),
    ]


def spread_words(told: Found | None) -> str:
    """What became of a spread: "spread wider, perhaps"; "" where nothing is seen of a change."""
    if told is None or told.word == "no sign":
        return ""
    return f"spread {'wider' if told.change > 0 else 'narrower'}{', perhaps' if told.word == 'perhaps' else ''}"


def _verdict(told: Found, unit: str) -> tuple[str, str]:
    """The word for a difference, and the difference itself: in a unit of length, else of shares in per cent."""
    if unit:
        return told.word, f"{signed_tenths(told.change, unit)} ± {_plain(told.error, unit)} {unit}"
    sign = "" if percent(abs(told.change)) == "0%" else "−" if told.change < 0 else "+"
    how_sure = f" ± {percent(told.error)}"
    if told.chance is not None:
        how_sure = f", chance\u00a0{percent(told.chance)}" if sign else ""
    return told.word, f"{sign}{percent(abs(told.change))}{how_sure}"


def _share(one: Side, contact: str) -> str:
    if not one.contacts.n:
        return "no balls"
    return f"{one.contacts.said(contact)} ({one.contacts.counts.get(contact, 0)} of {one.contacts.n})"


def _plain(length_m: float | None, unit: str) -> str:
    return plain_tenths(abs(length_m or 0.0), unit)
