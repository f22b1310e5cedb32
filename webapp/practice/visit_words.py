"""What a visit says in three sentences from its own balls: where they ended, what moved, what the strike cost.

Knows no page; each sentence names the balls behind it.
"""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from statistics import fmean
from typing import Any

from ..card.balls import aimed_of, clean_of, struck_of
from ..card.card_data import Card, CardCell
from ..card.card_words import Length, Sentence, aim_of, meant_within, name_of, plain_tenths, signed_tenths
from ..card.noted import WIND_WORDS
from ..card.shots_behind import TO_A_NUMBER, why_not
from ..card.strike import LEAST_BALLS_A_BAND, Bias, Strikes, strikes
from ..units import TEMPERATURE_NAMES, temperature_shown, whole
from .scores import Nine, nine_words

MOST_SENTENCES = 3
LEAST_VISIT_COST_BALLS = 5
_FLAGS_CHECKED = {
    "laser": "flags checked by laser",
    "monitor": "flags checked by a monitor",
    "paces": "flags paced",
    "unchecked": "flags not checked",
}
_MONITOR_NOTES = {"outdoor": "outdoor flight", "corrected": "corrected to standard air"}
LEAST_FAR_BALLS = 3  # clean balls of one cell before their mean is set against its number

Row = Mapping[str, Any]
Parts = tuple[str | Length, ...]


@dataclass(frozen=True)
class Change:
    """One number without some balls and with them: its carry as shown [m], its word of trust, its balls."""

    name: str
    then_m: float
    then_trust: str
    now_m: float
    now_trust: str
    struck: int

    def steps(self, unit: str) -> int:
        """By how many whole units the number changed."""
        return abs(whole(self.now_m, unit) - whole(self.then_m, unit))

    def size(self, unit: str) -> tuple[bool, int, int]:
        """How much there is to say of it, to be compared."""
        steps = self.steps(unit)
        return (steps > 0 or self.then_trust != self.now_trust, steps, self.struck)


def sentences(
    shots: Sequence[Row], before: Card, after: Card, nines: Sequence[Nine], unit: str, margin_m: float | None = None
) -> list[Sentence]:
    """At most three: the nine, the aim, the number that moved most (or held), the strike, in this order.

    `shots` are the visit's, `before` and `after` the card without and with them; `nines` all next-visit nines, the
    visit's own first if it has one. An anchor names the list of the visit's balls, "nine", "aim" or "strike"; "moved"
    is said of a number that the visit's balls lay far off, and leads to what changed.
    """
    told = strikes(struck_of(shots, after.ball), margin_m)
    aim = _furthest_off(told)
    found: list[Sentence] = []
    if nines and nines[0].bucket_id in {shot["bucket_id"] for shot in shots}:
        found.append(Sentence((*nine_words(nines), "."), anchor="nine"))
    if aim is not None:
        found.append(Sentence((*aim_of(aim, unit), f" ({aim.n} balls to a number)."), anchor="aim"))
    moved = _moved(shots, before, after, unit)
    if moved is not None:
        found.append(moved)
    if told.cost is not None and told.cost.n >= LEAST_VISIT_COST_BALLS:
        contact, cost_m = min(told.cost.by_contact.items(), key=lambda item: item[1], default=("", 0.0))
        if cost_m < 0:
            found.append(
                Sentence(
                    (f"{contact.capitalize()} cost {plain_tenths(-cost_m, unit)} {unit} a ball.",), anchor="strike"
                )
            )
    return found[:MOST_SENTENCES]


def balls_behind(shots: Sequence[Row], ball: str) -> tuple[Parts, dict[str, list[Row]]]:
    """The balls behind the sentences on the aim and the strike, by anchor, and from which distances the aim's are.

    Where no sentence is on the aim every ball hit to a number is listed, and no distance is named.
    """
    balls = struck_of(shots, ball)
    aim = _furthest_off(strikes(balls))
    low_m, high_m = (aim.low_m, aim.high_m) if aim else (None, None)
    listed = {"aim": aimed_of(balls, low_m, high_m), "strike": [shot for shot in balls if shot["counted"]]}
    return (" ", *meant_within(low_m, high_m)) if aim else (), listed


def _furthest_off(told: Strikes) -> Bias | None:
    """The band of distances whose balls end furthest off; None before any has balls enough."""
    enough = (band for band in told.bias if band.n >= LEAST_BALLS_A_BAND)
    return max(enough, key=lambda band: abs(band.all_m), default=None)


def left_out(shots: Sequence[Row], ball: str) -> str:
    """How many of a visit's balls were left out of the card of a kind of ball and why; "" where none was.

    Balls hit to a number are no stock swings: they were never meant for the card, and are not named.
    """
    reasons = Counter(why for shot in shots if (why := why_not(shot, ball)) not in ("", TO_A_NUMBER))
    if not reasons:
        return ""
    n, named = reasons.total(), ", ".join(f"{why} ({count})" for why, count in reasons.most_common())
    if n == len(shots):
        return f"No ball counts for the card: {next(iter(reasons)) if len(reasons) == 1 else named}."
    return f"{n} of {len(shots)} balls {'was' if n == 1 else 'were'} left out: {named}."


def bucket_words(bucket: Row, unit: str, temperature_unit: str = "c") -> str:
    """What held for a bucket in a line: when by the player's clock, where, and all that bends its carries."""
    words = [
        bucket["place"] or "no place noted",
        bucket["surface"],
        f"{bucket['ball']} balls",
        f"judged by {bucket['judged_by']}",
        _FLAGS_CHECKED.get(bucket["flags_checked"], ""),
        WIND_WORDS.get(bucket["wind"], "") and f"{bucket['wind_force']} wind {WIND_WORDS[bucket['wind']]}",
    ]
    if bucket["temperature_c"] is not None:
        words.append(
            f"{temperature_shown(bucket['temperature_c'], temperature_unit)} {TEMPERATURE_NAMES[temperature_unit]}"
        )
    if bucket["bay_offset_m"]:
        words.append(f"{signed_tenths(bucket['bay_offset_m'], unit)} {unit} added for the bay")
    if bucket["monitor_note"] == "indoor":
        words.append(f"indoor estimates, {'in' if bucket['indoor_counts'] else 'not in'} the card")
    elif bucket["monitor_note"]:
        words.append(_MONITOR_NOTES[bucket["monitor_note"]])
    return f"{bucket['local_at'][11:16]}: {', '.join(word for word in words if word)}"


def moved_words(changes: Sequence[Change], unit: str) -> Parts:
    """The number that changed most, else the most struck that did not; () where nothing was struck.

    What these balls changed is told as what the number is without them, which is no history once later balls count.
    """
    if not changes:
        return ()
    one = max(changes, key=lambda change: change.size(unit))
    if not one.size(unit)[0]:
        return one.name, " is ", Length(one.now_m), f", {one.now_trust}, with this visit or without."
    without = f", {one.now_trust} (without this visit ", Length(one.then_m), f", {one.then_trust})."
    return (one.name, " is now ", Length(one.now_m), *without)


def _moved(shots: Sequence[Row], before: Card, after: Card, unit: str) -> Sentence | None:
    """The cell whose balls lay far off its number, else what `moved_words` says."""
    struck_in = Counter((shot["club_id"], shot["swing_deg"]) for shot in shots if shot["counted"])
    changes = {
        place: Change(
            name_of(after, place), before.cells[place].shown_carry_m, before.cells[place].trust,
            after.cells[place].shown_carry_m, after.cells[place].trust, struck,
        )
        for place, struck in struck_in.items()
        if place in after.cells and place in before.cells
    }  # fmt: skip
    far = {place: found for place in changes if (found := _far_off(shots, after.cells[place]))}
    among = far or changes
    if not among:
        return None
    place = max(among, key=lambda one: changes[one].size(unit))
    if not far:
        return Sentence(moved_words([changes[place]], unit), cell=place)
    one, carries_m = changes[place], far[place]
    verb = " is now " if one.steps(unit) else " stays at "
    mean = f", though this visit’s {len(carries_m)} clean balls carried ", Length(fmean(carries_m))
    words = (f"{one.name}{verb}", Length(one.now_m), *mean, " on average: see what changed.")
    return Sentence(words, cell=place, anchor="moved")


def _far_off(shots: Sequence[Row], now: CardCell) -> list[float]:
    """The carries [m] of a visit's clean balls of a cell whose mean eight in ten balls would not carry; or []."""
    carries_m = [
        shot["carry_m"]
        for shot in clean_of(shots)
        if (shot["club_id"], shot["swing_deg"]) == (now.club_id, now.swing_deg)
    ]
    if len(carries_m) < LEAST_FAR_BALLS or now.next_low_m <= fmean(carries_m) <= now.next_high_m:
        return []
    return carries_m
