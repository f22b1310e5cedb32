"""What lasted: balls late in a run against first and cold ones, cell by cell, and the cold nines one after the other.

Knows rows of shots; practice that flatters shows as a share of late balls near the number that cold ones do not reach.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from statistics import fmean
from typing import Any

from ..card.balls import clean_of, seen
from ..card.card_data import CellKey
from ..practice.scores import NINE_WITHIN_M, lands_within
from ..units import CLOSE
from . import verdicts
from .side import nine_of
from .verdicts import LEAST_BALLS, Found

LATE_FROM = 3  # the third ball of a run and those after it are late; our choice

Row = Mapping[str, Any]


@dataclass(frozen=True)
class Lasted:
    """One cell: of `n_late` late balls and of `n_cold` first and cold ones, how many came down within 5 yd.

    A ball hit to a number is held against that number, any other against the mean of the cell's clean balls.
    """

    cell: CellKey
    n_late: int
    late: int
    n_cold: int
    cold: int
    verdict: Found | None

    @property
    def words(self) -> str:
        """What follows: "holds at practice, not cold yet", the opposite, or why nothing does."""
        if self.verdict is None:
            return f"too few: {LEAST_BALLS} of each tell something"
        if self.verdict.word == "no sign":
            return "as good cold as late"
        perhaps = "perhaps " if self.verdict.word == "perhaps" else ""
        said = "holds at practice, not cold yet" if self.verdict.change < 0 else "holds cold, less so at practice"
        return perhaps + said


@dataclass(frozen=True)
class ColdNine:
    """One cold next-visit nine: the player's clock at its first ball, and how many of `n` came down within 5 yd."""

    local_at: str
    within: int
    n: int


def late_of(shots: Iterable[Row]) -> list[Row]:
    """The counted balls late in their run that have a landing."""
    return [shot for shot in shots if shot["counted"] and _came_down(shot) and (shot["run_index"] or 0) >= LATE_FROM]


def cold_of(shots: Iterable[Row]) -> list[Row]:
    """The balls nothing led up to: counted ones that begin a run, and those of cold nines."""
    return [
        shot for shot in shots
        if _came_down(shot) and (shot.get("nine") or (shot["counted"] and shot["run_index"] == 1))
    ]  # fmt: skip


def lasted(shots: Sequence[Row], cells: Iterable[CellKey]) -> list[Lasted]:
    """What lasted of each cell: those with a verdict first, the surest before, then the others in their order."""
    by_cell: dict[CellKey, list[Row]] = {}
    for shot in shots:
        by_cell.setdefault((shot["club_id"], shot["swing_deg"]), []).append(shot)
    found = [_lasted(cell, by_cell[cell]) for cell in cells if cell in by_cell]
    told = [one for one in found if one.verdict]
    return [*sorted(told, key=_surest), *(one for one in found if not one.verdict)]


def cold_nines(shots: Iterable[Row]) -> list[ColdNine]:
    """The cold nines, oldest first."""
    by_bucket: dict[str, list[Row]] = {}
    for shot in nine_of(shots):
        by_bucket.setdefault(shot["bucket_id"], []).append(shot)
    found = [
        ColdNine(min(shot["local_at"] for shot in own), sum(map(lands_within, own)), len(own))
        for own in by_bucket.values()
    ]
    return sorted(found, key=lambda nine: nine.local_at)


def _lasted(cell: CellKey, shots: Sequence[Row]) -> Lasted:
    clean_m = [shot["carry_m"] for shot in clean_of(shots)]
    mean_m = fmean(clean_m) if clean_m else None

    def holds(shot: Row) -> bool:
        if shot["mode"] == "distance":
            return lands_within(shot)
        return mean_m is not None and seen(shot) and abs(shot["carry_m"] - mean_m) <= NINE_WITHIN_M + CLOSE

    late, cold = late_of(shots), cold_of(shots)
    held_late, held_cold = sum(map(holds, late)), sum(map(holds, cold))
    verdict = verdicts.of_shares((held_late, len(late)), (held_cold, len(cold)))
    return Lasted(cell, len(late), held_late, len(cold), held_cold, verdict)


def _came_down(shot: Row) -> bool:
    """Whether it is known where a ball came down, if only that it was off the scale."""
    return shot["landed"] in ("under", "over") or seen(shot)


def _surest(one: Lasted) -> tuple[float, float]:
    assert one.verdict is not None
    return -one.verdict.errors, -abs(one.verdict.change)
