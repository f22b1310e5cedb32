"""What a player remembers after a round: meant carry, landed short, on or long, and the lie; kept apart from the card.

Knows no book and no page; notes come in and go out as the words of a fact.
"""

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from ..card.strike import margin
from ..facts import LIES, LONGEST_CARRY_M
from ..units import CLOSE

ABOUT = "course"  # what the note that holds the words is about
LANDINGS = ("short", "on", "long")


@dataclass(frozen=True)
class CourseNote:
    """One shot of a round: meant carry [m], where it landed, from which lie."""

    meant_m: float
    landed: str
    lie: str


@dataclass(frozen=True)
class Tally:
    """How many of `n` shots landed short, on and long."""

    n: int
    short: int
    on: int
    long: int


def words_of(note: CourseNote) -> str:
    """The words a note is kept in: "meant_m=60.3504 landed=short lie=rough"."""
    return f"meant_m={note.meant_m:.4f} landed={note.landed} lie={note.lie}"


def read(words: str) -> CourseNote | None:
    """The note these words hold; None when they hold none."""
    told = dict(part.partition("=")[::2] for part in words.split())
    try:
        note = CourseNote(float(told["meant_m"]), told["landed"], told["lie"])
    except (KeyError, ValueError):
        return None
    fits = 0 < note.meant_m <= LONGEST_CARRY_M and note.landed in LANDINGS and note.lie in LIES
    return note if fits else None


def of_ball(ball: Mapping[str, Any], margin_m: float | None) -> CourseNote | None:
    """A ball logged during a round as a note; None where its carry or the meant one is not known.

    `margin_m` is what the player calls "in"; the step of judging of the ball is the least.
    """
    meant_m, carry_m = ball["meant_carry_m"], ball["carry_m"]
    if not meant_m:
        return None
    if ball["landed"] == "under":
        return CourseNote(meant_m, "short", ball["lie"])
    if ball["landed"] == "over":
        return CourseNote(meant_m, "long", ball["lie"])
    if ball["landed"] != "seen" or carry_m is None:
        return None
    wide_m = margin(ball["judged_by"], margin_m).at(meant_m) + CLOSE
    off_m = carry_m - meant_m
    return CourseNote(meant_m, "short" if off_m < -wide_m else "long" if off_m > wide_m else "on", ball["lie"])


def meant_carries(written: Iterable[str], balls: Iterable[Mapping[str, Any]]) -> list[float]:
    """The carries [m] that the course asked for: of notes in their words, and of balls logged during a round."""
    noted = [note.meant_m for words in written if (note := read(words))]
    return noted + [ball["meant_carry_m"] for ball in balls if ball["meant_carry_m"]]


def tally(notes: Iterable[CourseNote]) -> Tally:
    """Notes counted by where they landed."""
    counts = Counter(note.landed for note in notes)
    return Tally(counts.total(), counts["short"], counts["on"], counts["long"])
