"""What a player said the columns and words of a table mean.

Knows the words of files/columns.py; what this makes of a line is row_of_line.py's.
"""

from collections.abc import Sequence
from dataclasses import asdict, dataclass, field
from typing import Any

from ..facts import KINDS
from ..files.columns import MEANINGS, WORDS

LEAVE_OUT = "-"  # the answer for a word whose rows are not wanted
SAME_WORD = {"bucket": "visit"}
# What a column may be said to be, in the order it is asked for; the rest as files/columns.py has it.
FIRST_ASKED = {
    "carry": "where it landed, not where it stopped",
    "club": "the wedge, by its name or loft",
    "made_at": "when it was struck, in one column",
    "date": "in a column of its own",
    "time": "in a column of its own",
    "swing": "9:00, full, degrees, or any words: each is asked for",
    "contact": MEANINGS["contact"],
    "visit": "such as a number or a name; one a day unless told",
    "surface": MEANINGS["surface"],
}
_NOT_ASKED = ("id", "bucket", "club_id", "retired")
ASKED: dict[str, str] = {
    **FIRST_ASKED,
    **{name: meaning for name, meaning in MEANINGS.items() if name not in (*FIRST_ASKED, *_NOT_ASKED)},
    "utc_offset_min": "minutes your clock was ahead of UTC; if not told, that of your nearest bucket or this phone",
}
NEEDED = ("carry", "club")
OF_VISIT = ("surface", "ball", "judged_by")
# The words that a column can hold whose own words are few, with those.
CHOICES: dict[str, Sequence[str]] = {
    **{word: KINDS["shot"][word].choices for word in WORDS},
    **{word: KINDS["bucket"][word].choices for word in OF_VISIT},
}


@dataclass(frozen=True)
class Chosen:
    """What a table's columns mean: `columns` tells for each word of ASKED the place of its column, from 0.

    `unit` is that of lengths ("" where a column tells it); `dates` an order of told_moment.ORDERS, `decimal` the sign
    before decimals ("" where each cell shows its own), `day` the day of rows that tell none. `answers` say for each
    word what a text of its column stands for, `of_all` what holds of every row.
    """

    columns: dict[str, int]
    unit: str = ""
    dates: str = ""
    decimal: str = ""
    day: str = ""
    answers: dict[str, dict[str, str]] = field(default_factory=dict)
    of_all: dict[str, str] = field(default_factory=dict)

    def plain(self) -> dict[str, Any]:
        """As JSON can say it."""
        return asdict(self)

    @classmethod
    def of(cls, told: Any) -> "Chosen | None":
        """What `plain` gave; None for anything else, since a fact may say whatever a phone sent."""
        try:
            found = cls(**told)
        except TypeError:
            return None
        texts = (found.unit, found.dates, found.decimal, found.day)
        are_texts = all(isinstance(text, str) for text in texts) and _is_of_texts(found.of_all)
        are_places = isinstance(found.columns, dict) and all(type(at) is int for at in found.columns.values())
        are_answers = isinstance(found.answers, dict) and all(map(_is_of_texts, found.answers.values()))
        return found if are_texts and are_places and are_answers else None

    @property
    def tells_when(self) -> bool:
        """Whether a column says on which day a ball was struck."""
        return bool(self.when_column)

    @property
    def when_column(self) -> str:
        """The word of the column that holds the day; "" where none does."""
        return next((word for word in ("made_at", "date", "time") if word in self.columns), "")


def _is_of_texts(told: Any) -> bool:
    return isinstance(told, dict) and all(isinstance(text, str) for text in told.values())
