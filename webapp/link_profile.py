"""What a coach link shows: how much of the card and its balls, under which name, and how exactly when.

Knows no link and no book. A place, a time of day and the words of a mark are in no profile.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

SHOWS = {
    "card": "the card alone",
    "shots": "the card and the shots behind it",
    "delivery": "shots with their delivery numbers",
}
DEFAULT = "shots"
# A link that is no more than a tablet's code: it is kept so in its profile, and lasts so many minutes.
CODE, CODE_MIN = {"shows": DEFAULT, "nickname": True, "code": True}, 10


@dataclass(frozen=True)
class Profile:
    """`shows` is a key of SHOWS; `days` for days instead of weeks; `follows` for a tablet that follows along."""

    shows: str = DEFAULT
    nickname: bool = False
    days: bool = False
    follows: bool = False

    @property
    def has_shots(self) -> bool:
        """Whether single balls, and what is worked out of them apart from the card, may be read."""
        return self.shows != "card"

    @property
    def has_delivery(self) -> bool:
        """Whether a ball's delivery numbers may be read."""
        return self.shows == "delivery"

    @property
    def words(self) -> str:
        """What is shown: "the card alone, by weeks, without the nickname"."""
        name = "with" if self.nickname else "without"
        return f"{SHOWS[self.shows]}, by {'days' if self.days else 'weeks'}, {name} the nickname"


def profile_of(kept: Mapping[str, Any], junior: bool) -> Profile:
    """The profile of a link by what was kept of it when it was made; a junior's never tells a day."""
    shows = kept.get("shows")
    days = bool(kept.get("days")) and not junior
    return Profile(shows if shows in SHOWS else DEFAULT, bool(kept.get("nickname")), days, bool(kept.get("follows")))
