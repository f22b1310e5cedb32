"""What a comparison looks at: two stretches of the player's own days, and which balls of them.

Knows rows of shots, buckets and marks; nothing of pages, and the present comes in as an argument.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property
from typing import Any

from ..facts import BALLS, JUDGED_BY, MODES, SURFACES

RECENT_DAYS = 60
THREE = 3

Row = Mapping[str, Any]


class NoPeriod(ValueError):
    """A question that names no stretch of time; its text says why in plain words."""


@dataclass(frozen=True)
class Filters:
    """Which balls of a period are looked at; "" or False for all."""

    first: bool = False
    surface: str = ""
    ball: str = ""
    mode: str = ""
    judged_by: str = ""
    place: str = ""

    def holds(self, shot: Row) -> bool:
        """Whether a shot passes."""
        return (not self.first or shot["run_index"] == 1) and all(shot[name] == value for name, value in self._asked)

    @cached_property
    def _asked(self) -> tuple[tuple[str, str], ...]:
        """The filters that are set: thousands of shots are asked about them."""
        every = ((name, getattr(self, name)) for name in ("surface", "ball", "mode", "judged_by", "place"))
        return tuple((name, value) for name, value in every if value)

    @property
    def words(self) -> str:
        """What is looked at: "grass, first of a run"; "" for everything."""
        modes = {"swing": "make the swing", "distance": "hit the number", "": ""}
        ball, judged = (f"{self.ball} balls" if self.ball else ""), (f"by {self.judged_by}" if self.judged_by else "")
        parts = (self.surface, ball, modes[self.mode], judged, self.place, "first of a run" if self.first else "")
        return ", ".join(part for part in parts if part)


@dataclass(frozen=True)
class Period:
    """From `start` up to, but without, `end`: days of the player's clock, such as 2025-05-01, or moments with a Z.

    "" is no bound. Texts of days compare with texts of times as days do. A moment holds wherever the player was: after
    a flight the clocks of two visits may stand in the other order.
    """

    start: str = ""
    end: str = ""
    filters: Filters = Filters()

    def struck_in(self, shots: Iterable[Row]) -> list[Row]:
        """The shots of this stretch, whatever the filters say, in the order they came."""
        start, end = self.start, self.end or "~"  # no text of a day or a time comes after this one
        begins_by, ends_by = _clock_of(self.start), _clock_of(self.end)
        return [shot for shot in shots if start <= shot[begins_by] and shot[ends_by] < end]

    def of(self, shots: Iterable[Row]) -> list[Row]:
        """Its shots, in the order they came."""
        return list(filter(self.filters.holds, self.struck_in(shots)))


@dataclass(frozen=True)
class Pair:
    """Two periods to compare and what they are called: `name` is the later one's.

    `begins_on` is the player's clock as the later one begins with a mark or a visit, else "".
    """

    name: str
    before: Period
    after: Period
    earlier: str = "before"
    begins_on: str = ""


def _clock_of(bound: str) -> str:
    """The column of a shot that a bound compares with."""
    return "struck_at" if bound.endswith("Z") else "local_at"


def filters_of(asked: Mapping[str, str]) -> Filters:
    """The filters an address asks for; NoPeriod for one that there is not."""
    allowed = {"surface": SURFACES, "ball": BALLS, "mode": MODES, "judged_by": JUDGED_BY}
    for name, choices in allowed.items():
        if asked.get(name, "") not in ("", *choices):
            raise NoPeriod(f"There is no {name.replace('_', ' ')} called {asked[name][:20]!r}.")
    chosen = {name: asked.get(name, "") for name in allowed}
    return Filters(first=asked.get("first") == "1", place=asked.get("place", ""), **chosen)


def pair_of(
    asked: Mapping[str, str], visits: Sequence[Sequence[Row]], marks: Sequence[Row], shots: Sequence[Row], clock: str
) -> Pair:
    """The two periods an address asks for by `what`; NoPeriod says why it asks for none.

    Parameters
    ----------
    asked : the address: what (lesson, last, three, days, weeks, dates), mark, the four dates, and the filters.
    visits : newest first, each as its buckets in the order begun, with begun_at and local_at.
    marks : newest first. shots : any order; a mark may name one of them.
    clock : the player's clock now.
    """
    what = asked.get("what") or ("lesson" if marks else "three")
    filters = filters_of(asked)
    today = date.fromisoformat(clock[:10])
    if what == "dates":
        bounds = [_day(asked, name) for name in ("from", "to", "after_from", "after_to")]
        if bounds[0] > bounds[1] or bounds[2] > bounds[3]:
            raise NoPeriod("The dates are the wrong way round: a period begins before it ends.")
        ends = [(day + timedelta(days=1)).isoformat() for day in (bounds[1], bounds[3])]
        before, after = (Period(bounds[at].isoformat(), ends[at // 2], filters) for at in (0, 2))
        return Pair("in the second period", before, after, "in the first period")
    if what == "days":
        late, earlier = ((today - timedelta(days=RECENT_DAYS * times)).isoformat() for times in (1, 2))
        before, after = Period(earlier, late, filters), Period(late, "", filters)
        return Pair(f"in the last {RECENT_DAYS} days", before, after, f"in the {RECENT_DAYS} days before")
    if what == "weeks":
        monday = today - timedelta(days=today.weekday())
        last = (monday - timedelta(days=7)).isoformat()
        before, after = Period(last, monday.isoformat(), filters), Period(monday.isoformat(), "", filters)
        return Pair("this week", before, after, "last week")
    name, (begins, begins_on) = _begins(what, asked.get("mark", ""), visits, marks, shots)
    earlier = f"before {name.partition(' ')[2]}"  # "since the lesson", "on the last visit"
    return Pair(name, Period("", begins, filters), Period(begins, "", filters), earlier, begins_on)


def begins_at(mark: Row, visits: Sequence[Sequence[Row]], shots: Sequence[Row]) -> tuple[str, str]:
    """From when on it is "after" a mark, and the player's clock then: its ball, else its bucket, else its day."""
    struck = (shot for shot in shots if mark["shot_id"] and shot["id"] == mark["shot_id"])
    ball = next(((shot["struck_at"], shot["local_at"]) for shot in struck), None)
    begun = (one for visit in visits for one in visit if mark["bucket_id"] and one["id"] == mark["bucket_id"])
    bucket = next(((one["begun_at"], one["local_at"]) for one in begun), None)
    day = str(mark["on"]).removesuffix("Z")
    return ball or bucket or (day, day)


def _begins(
    what: str, mark_id: str, visits: Sequence[Sequence[Row]], marks: Sequence[Row], shots: Sequence[Row]
) -> tuple[str, tuple[str, str]]:
    if what == "lesson":
        mark = next((one for one in marks if mark_id in ("", one["id"])), None)
        if mark is None:
            raise NoPeriod("There is no such mark. A mark parts a before from an after: a lesson, a new club.")
        return f"since the {'mark' if mark['what'] == 'other' else mark['what']}", begins_at(mark, visits, shots)
    if what not in ("last", "three"):
        raise NoPeriod("There is no such period.")
    hit = {shot["bucket_id"] for shot in shots}
    struck = [visit for visit in visits if any(bucket["id"] in hit for bucket in visit)]
    if not struck:
        raise NoPeriod("There is no visit with balls yet, so there is nothing to compare.")
    some = struck[: 1 if what == "last" else THREE]
    name = f"on the last {('visit', 'two visits', 'three visits')[len(some) - 1]}"
    return name, min((bucket["begun_at"], bucket["local_at"]) for bucket in some[-1])


def _day(asked: Mapping[str, str], name: str) -> date:
    try:
        return date.fromisoformat(asked.get(name, ""))
    except ValueError as error:
        raise NoPeriod("Give four days, such as 2025-05-01: where each period begins and ends.") from error
