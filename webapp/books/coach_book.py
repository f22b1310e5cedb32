"""A book as a coach link shows it: every wedge under a key of the link's own, no place, and what its profile allows.

Knows rows of a book and the link's secret; a fact's own id tells when it was made, so none goes into a coach's page.
"""

import hashlib
import hmac
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from ..card.build import Estimate, estimate
from ..card.card_data import cell_key
from ..card.names import Names, given_names
from ..card.rows import Rows
from ..days import day, day_and_month
from ..link_profile import Profile
from ..moments import local, moment_of
from ..practice import scores
from ..practice.homework import Progress
from ..store import estimate_rows, reading
from ..store.book import Book
from . import follow_homework, keep_remarks, read_card
from .plan_practice import Planner, ToldPart

_KEY_LETTERS = 12
_IDS = ("id", "bucket_id", "visit_id")


@dataclass(frozen=True)
class CoachHomework:
    """Homework as a coach may see it: its key, the player's clock at accepting it, how far it has got, its balls."""

    key: str
    local_at: str
    progress: Progress
    balls: list[dict[str, Any]]
    nine_balls: list[dict[str, Any]]


class CoachBook:
    """What may be read of an open book through the link of a secret `token` and a profile."""

    def __init__(self, book: Book, token: str, profile: Profile) -> None:
        self._book = book
        self.profile = profile
        self._token = token.encode()
        self._keys = {club.id: self._key(club.id) for club in reading.clubs(book, retired=True)}

    def estimate_of(self, now: str, mirrored: bool, ball: str | None) -> Estimate:
        """The card as of `now` and its numbers, made for the same moment as the player's card."""
        made = estimate(self._rows(now), read_card.numbers_moment(self._book, now), mirrored, ball)
        return replace(made, card=replace(made.card, as_of=now))

    def _rows(self, now: str) -> Rows:
        """The rows of the card as of `now`, wedges under the link's keys, without what only a phone needs."""
        rows = read_card.rows_of(self._book, now)
        return replace(
            rows,
            clubs=[self._club(club) for club in rows.clubs],
            full_carries={self._keys[club_id]: carry_m for club_id, carry_m in rows.full_carries.items()},
            balls=[self._ball(ball) for ball in rows.balls],
            strikes=[{**ball, "club_id": self._named(ball["club_id"])} for ball in rows.strikes],
            settings=self._settings(rows.settings),
            open_buckets=(),
        )

    def shots_of_cell(self, key: str, swing_deg: float) -> list[dict[str, Any]]:
        """The latest shots of the wedge behind a key with one swing, newest first; [] for a key nobody gave."""
        club_id = next((club_id for club_id, own in self._keys.items() if own == key), "")
        shots = reading.shots_of_cell(self._book, club_id, swing_deg) if club_id and self.profile.has_shots else []
        return [self._shot(shot) for shot in shots]

    def shots(self, most: int) -> list[dict[str, Any]]:
        """The latest shots of the whole book, newest first, without their place."""
        if not self.profile.has_shots:
            return []
        shots = scores.with_nines(reading.buckets(self._book, most), reading.shots(self._book, most=most))
        return [self._shot(shot) for shot in shots]

    def visits(self, most: int) -> list[list[dict[str, Any]]]:
        """The latest visits, newest first, each as its buckets with no more than their times."""
        return [
            [
                {"id": self._key(bucket["id"]), "begun_at": bucket["begun_at"], "local_at": bucket["local_at"]}
                for bucket in visit
            ]
            for visit in reading.visits(self._book, most)
        ]

    def homework(self) -> list[CoachHomework]:
        """Homework that was accepted, the latest first, without its words: they name wedges by their ids."""
        if not self.profile.has_shots:
            return []
        ahead_min = reading.utc_offset_min(self._book)
        return [
            CoachHomework(
                self._key(one.id),
                local(one.accepted_at, ahead_min),
                one.progress,
                [self._shot(ball) for ball in one.balls],
                [self._shot(ball) for ball in one.nine_balls],
            )
            for one in follow_homework.followed(self._book)
            if not one.aside
        ]

    def ball_of(self, key: str) -> tuple[dict[str, Any], str] | None:
        """The ball behind a key of this link, and how a remark names it; None for a key nobody gave."""
        shot_id = next((one for one in reading.shot_ids(self._book) if self._key(one) == key), "")
        shot = reading.shot(self._book, shot_id) if shot_id and self.profile.has_shots else None
        return (self._shot(shot), keep_remarks.ball_key(self._book.id, shot_id)) if shot else None

    def state(self) -> str:
        """A word that is another once anything was noted; it tells nothing of what or when."""
        return self._key(repr(self._book.state()))

    def latest_cell(self) -> str:
        """The key of the number that was struck last; "" before a ball, and where shots are not shown."""
        if not self.profile.has_shots:
            return ""
        latest = next(iter(reading.shots(self._book, most=1)), None)
        return cell_key(self._named(latest["club_id"]), latest["swing_deg"]) if latest else ""

    def marks(self) -> list[dict[str, Any]]:
        """The player's marks, newest first, without their words."""
        named = ("id", "bucket_id", "shot_id")
        return [
            {name: self._key(mark[name]) if mark[name] else "" for name in named}
            | {"what": mark["what"], "on": mark["on"]}
            for mark in reading.marks(self._book)
        ]

    def every_club(self) -> dict[str, reading.Club]:
        """All wedges there ever were, by the link's keys."""
        clubs = (self._club(club) for club in reading.clubs(self._book, retired=True))
        return {club.id: club for club in clubs}

    def names(self, mirrored: bool) -> Names:
        """How pages call the wedges that there ever were, by the link's keys, and any length of swing."""
        return given_names(self.every_club().values(), reading.swings(self._book), mirrored)

    def sole_notes(self) -> list[tuple[str, str]]:
        """Names of wedges in the bag and what the player noted of their bounce and sole."""
        return [(club.name, club.sole_note) for club in reading.clubs(self._book) if club.sole_note]

    def has_balls(self, ball: str) -> bool:
        """Whether any ball of this kind counts for the card."""
        return estimate_rows.has_balls(self._book, ball)

    def next_bucket(self, now: str, unit: str, mirrored: bool, balls: int) -> list[ToldPart]:
        """What the plan rule would have the player hit next, in words; what the course asked for is not among it."""
        if not self.profile.has_shots:
            return []
        planner = Planner(self._book, now, unit, mirrored, knows_course=False)
        return planner.told(planner.bucket(balls)) if planner.card.cells else []

    def clock(self, now: str) -> str:
        """The player's clock now."""
        return local(now, reading.utc_offset_min(self._book))

    def day(self, moment: str) -> str:
        """A moment of the player's clock as this link tells it: its day, or its week."""
        if self.profile.days:
            return day(moment)
        year, number, _ = moment_of(moment).isocalendar()
        return f"week {number} of {year}"

    def short_day(self, moment: str) -> str:
        """As `day`, for a narrow column: "22 Nov", or "week 47"."""
        return day_and_month(moment) if self.profile.days else f"week {moment_of(moment).isocalendar()[1]}"

    def _club(self, club: Any) -> Any:
        return replace(club, id=self._keys[club.id], follows=self._named(club.follows), made_at="")

    def _shot(self, shot: Mapping[str, Any]) -> dict[str, Any]:
        delivery = shot["delivery"] if self.profile.has_delivery else {}
        return self._ball(shot) | {"place": "", "delivery": delivery}

    def _ball(self, ball: Mapping[str, Any]) -> dict[str, Any]:
        named = {name: self._key(ball[name]) for name in _IDS if ball.get(name)}
        return {**ball, **named, "club_id": self._named(ball["club_id"])}

    def _settings(self, settings: Mapping[str, Any]) -> dict[str, Any]:
        """The settings with the keys of cells renamed: "club id:degrees", in `moved_cells` with a moment behind it."""
        changed = {}
        for name in ("hidden_cells", "moved_cells"):
            entries = [entry.partition(":") for entry in settings[name]]
            changed[name] = [f"{self._named(club_id)}:{rest}" for club_id, _, rest in entries]
        return {**settings, **changed}

    def _named(self, club_id: str) -> str:
        return self._keys.get(club_id, "")

    def _key(self, own_id: str) -> str:
        return hmac.new(self._token, own_id.encode(), hashlib.sha256).hexdigest()[:_KEY_LETTERS]
