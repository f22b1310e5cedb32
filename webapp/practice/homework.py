"""Homework in a player's own bag: what cannot be matched, the balls it becomes, which of them are struck, in words.

Knows no code, table, page or clock. static/rules/homework.js does the same on the phone, and tests/vectors/homework/
holds both to it.
"""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Any, Protocol

from ..card.card_data import CellKey
from ..card.card_words import count
from ..card.names import Names, Swing, Wedge
from ..units import round_half_up, whole
from .homework_code import Asked, Homework
from .plan_words import MOST_CALLS, Call, call_of, parse, written
from .scores import NINE_WITHIN_M

SECONDS_A_BALL = 70  # with the look and the note between two balls; common practice, no source
_STEP_MIN = 5
_REF_LETTERS = 8
_SAME_DEG = 0.01
# The next number of the row that deals mixed calls; every phone and the server deal alike (constants from memory).
_FACTOR, _STEP, _RANGE = 1664525, 1013904223, 1 << 32
CONSTANTS = {
    "seconds_a_ball": SECONDS_A_BALL, "step_min": _STEP_MIN, "factor": _FACTOR, "step": _STEP,
    "ref_letters": _REF_LETTERS, "same_deg": _SAME_DEG,
}  # fmt: skip


class WedgeInBag(Wedge, Protocol):
    """A wedge with its stamped loft [deg]."""

    @property
    def loft_deg(self) -> float: ...


@dataclass(frozen=True)
class Matched:
    """A row as a bag can strike it; `asks` names each stand-in as a question, () where all is there."""

    cells: tuple[CellKey, ...]
    balls: int
    mode: str
    carry_m: float | None
    asks: tuple[str, ...]


@dataclass(frozen=True)
class Progress:
    """How far homework has got: distinct places struck of all, and of its nine those within 5 yd of their number."""

    struck: int
    of: int
    nine_struck: int
    nine_within: int
    nine_of: int

    def words(self, unit: str) -> str:
        """ "5 of 26; the nine not struck yet", with "within 5 yd" in whole numbers of a unit."""
        said = f"{self.struck} of {self.of}"
        if not self.nine_of:
            return said
        if not self.nine_struck:
            return f"{said}; the nine not struck yet"
        rest = f", {self.nine_of - self.nine_struck} not struck" if self.nine_struck < self.nine_of else ""
        near = f"within {whole(NINE_WITHIN_M, unit)} {unit}"
        return f"{said}; nine: {self.nine_within} of {self.nine_struck} {near}{rest}"


def matched(homework: Homework, clubs: Sequence[WedgeInBag], swings: Sequence[Swing]) -> list[Matched]:
    """The rows of homework with the wedges and swings of a bag; [] for an empty bag.

    A wedge is known by its name and loft, else by its loft alone, else the nearest loft stands in and is asked about.
    """
    if not clubs or not swings:
        return []
    found = []
    for row in homework.rows:
        cells: dict[CellKey, None] = {}
        asks: dict[str, None] = {}
        for asked in row.cells:
            club, swing = _club(asked, clubs), min(swings, key=lambda one: abs(one.swing_deg - asked.swing_deg))
            cells[club.id, swing.swing_deg] = None
            if club.loft_deg != asked.loft_deg:
                asks[_stands_in(asked, club)] = None
            if abs(swing.swing_deg - asked.swing_deg) > _SAME_DEG:
                asks[f"No swing of {asked.swing_deg:g} degrees among yours: use {swing.name}?"] = None
        found.append(Matched(tuple(cells), row.balls, row.mode, row.carry_m, tuple(asks)))
    return found


def plan_of(homework_id: str, rows: Iterable[Matched], nine: Iterable[str]) -> list[str]:
    """The words of homework, each with its place: the rows in their order, then the words of its next-visit nine."""
    calls = [
        Call(*cell, row.mode, row.carry_m, "lesson")
        for place, row in enumerate(rows)
        for cell in dealt(row.cells, row.balls, int(homework_id[:_REF_LETTERS], 16) + place)
    ]
    calls += [call for word in nine if (call := parse(word))]
    return [
        written(Call(call.club_id, call.swing_deg, call.mode, call.meant_carry_m, call.why, ref))
        for call, ref in zip(calls[:MOST_CALLS], _refs(homework_id), strict=False)
    ]


def dealt(cells: Sequence[CellKey], balls: int, seed: int) -> list[CellKey]:
    """Cells in a mixed order that follows from `seed` alone: each as often as any other, never one twice running."""
    order: list[CellKey] = []
    number = seed % _RANGE
    while len(order) < balls:
        pack = list(cells)
        for place in range(len(pack) - 1, 0, -1):
            number = (number * _FACTOR + _STEP) % _RANGE
            other = number * (place + 1) // _RANGE
            pack[place], pack[other] = pack[other], pack[place]
        if len(pack) > 1 and order and pack[0] == order[-1]:
            pack[0], pack[1] = pack[1], pack[0]
        order += pack
    return order[:balls]


def struck(
    work: Mapping[str, Any], buckets: Iterable[Mapping[str, Any]], shots: Iterable[Mapping[str, Any]],
    heirs: Mapping[str, str],
) -> list[dict[str, Any]]:  # fmt: skip
    """The balls that were struck for homework over all buckets, oldest first, each with its `homework_place` from 1.

    What is set aside is left out. `work` tells id and plan, `buckets` id, plan and aside, `shots` id, bucket_id,
    plan_ref, club_id, swing_deg, struck_at and aside; `heirs` name the wedge that took the place of another.
    placesStruck in static/rules/homework.js tells the places alone.
    """
    plans = {bucket["id"]: bucket["plan"] for bucket in buckets if not bucket["aside"]}
    balls = [
        {**shot, "homework_place": place}
        for shot in shots
        if 0 < (place := place_of(work["id"], plans.get(shot["bucket_id"], []), shot, heirs)) <= len(work["plan"])
        and not shot["aside"]
    ]
    return sorted(balls, key=lambda ball: (ball["struck_at"], ball["id"]))


def places_of(balls: Iterable[Mapping[str, Any]]) -> list[int]:
    """The distinct places of homework that some balls were struck for."""
    return sorted({ball["homework_place"] for ball in balls})


def place_of(homework_id: str, plan: Sequence[str], shot: Mapping[str, Any], heirs: Mapping[str, str]) -> int:
    """The place of homework, from 1, that a ball of a bucket with this plan was struck for; 0 for none.

    A ball that another phone struck for the plan before this one names a place of that: it was struck otherwise.
    """
    call = call_of(plan, shot)
    if not call or abs(call.swing_deg - shot["swing_deg"]) > _SAME_DEG:
        return 0
    called, struck_with = (heirs.get(club_id) or club_id for club_id in (call.club_id, shot["club_id"]))
    own_id, _, place = call.homework_ref.partition(".")
    return int(place) if own_id == homework_id[:_REF_LETTERS] and called == struck_with else 0


def ref_of(homework_id: str) -> str:
    """How a plan's words name homework, before the place: "0a1b2c3d."."""
    return f"{homework_id[:_REF_LETTERS]}."


def left(plan: Sequence[str], places: Collection[int]) -> list[str]:
    """The words of homework whose place is not struck yet."""
    return [word for place, word in enumerate(plan, 1) if place not in places]


def of_nine(words: Iterable[str], nine: bool) -> list[str]:
    """Those of some words that belong to the next-visit nine, or those that do not."""
    return [word for word in words if (call := parse(word)) and (call.why == "nine") == nine]


def strikable(words: Iterable[str], bag: Collection[str], swings: Collection[float]) -> list[str]:
    """Those of some words whose wedge is one of a bag's ids and whose length of swing [deg] is kept."""
    return [word for word in words if (call := parse(word)) and call.club_id in bag and call.swing_deg in swings]


def gone_words(words: Iterable[str], bag: Collection[str], swings: Collection[float]) -> str:
    """What is said of those of some words whose wedge left the bag, or else whose swing was left out."""
    calls = [call for word in words if (call := parse(word))]
    there = [call for call in calls if call.club_id in bag]
    gone = {
        "a wedge that left your bag": len(calls) - len(there),
        "a swing you left out": sum(call.swing_deg not in swings for call in there),
    }
    return "".join(
        f" {count(balls, 'ball')} of it ask{'s' if balls == 1 else ''} for {what}."
        for what, balls in gone.items()
        if balls
    )


def head_words(balls: int) -> str:
    """What homework asks of its player: "26 balls, about 30 minutes"."""
    minutes = max(1, round_half_up(balls * SECONDS_A_BALL / 60 / _STEP_MIN)) * _STEP_MIN
    return f"{count(balls, 'ball')}, about {minutes} minutes"


def nine_words(nine_by: str, day: str, today: str) -> str:
    """What homework says of its next-visit nine, whose last day is called `day`: also that this has gone by."""
    gone = ", a day gone by: strike it anyway, or ask your coach" if nine_by < today else ""
    return f"Next-visit nine by {day}{gone}"


def runs_of(words: Iterable[str]) -> list[Matched]:
    """The balls of a plan's words as rows: those that follow each other with the same call are one."""
    calls = [call for word in words if (call := parse(word))]
    runs = groupby(calls, lambda call: (call.club_id, call.swing_deg, call.mode, call.meant_carry_m))
    return [
        Matched(((club_id, deg),), len(list(run)), mode, carry_m, ()) for (club_id, deg, mode, carry_m), run in runs
    ]


def row_words(row: Matched, names: Names, unit: str) -> str:
    """A row as a reader sees it: "56 9:00: 5 balls, make the swing"."""
    called = ", ".join(map(names.cell, row.cells))
    number = "the number" if row.carry_m is None else f"{whole(row.carry_m, unit)} {unit}"
    mode = "make the swing" if row.mode == "swing" else f"hit {number}"
    if len(row.cells) > 1:
        return f"{count(row.balls, 'mixed ball')}, {mode}: {called}"
    return f"{called}: {count(row.balls, 'ball')}, {mode}"


def _stands_in(asked: Asked, club: WedgeInBag) -> str:
    """The question whether a wedge may stand in: by name, or by loft where the names are the same."""
    if club.name == asked.name:
        return f"No {asked.name} of {asked.loft_deg:g}° in your bag: use the one of {club.loft_deg:g}°?"
    return f"No {asked.name} in your bag: use the {club.name}?"


def _club(asked: Asked, clubs: Sequence[WedgeInBag]) -> WedgeInBag:
    """The wedge asked for, else the one of the nearest loft, of two the one of its name."""
    return min(clubs, key=lambda club: (abs(club.loft_deg - asked.loft_deg), club.name != asked.name))


def _refs(homework_id: str) -> Iterable[str]:
    return (f"{ref_of(homework_id)}{place}" for place in range(1, MOST_CALLS + 1))
