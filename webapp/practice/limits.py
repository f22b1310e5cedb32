"""How many balls were struck today and this week, and when to rest or stop, in words.

Knows no page and no table; it advises and never stops anybody. Not medical advice.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from ..moments import days_between, local

REST_EVERY = 20  # balls; common practice, no source
SUGGESTED, SUGGESTED_JUNIOR_ON_MATS = 60, 40  # wedge balls a day; common practice, no source
WEEK_DAYS = 7
STILL_TODAY_DAYS = 6 / 24  # practice that runs past midnight is still today's
LEAST_FAT_ON_MATS = 8
MUCH_FAT = 0.25


@dataclass(frozen=True)
class Struck:
    """Balls struck, warm-up included: today, in the last seven days, and the limit a day that the player set."""

    today: int
    week: int
    limit: int | None


def struck(buckets: Iterable[Mapping[str, Any]], limit: int | None, now: str, utc_offset_min: int = 0) -> Struck:
    """The count from buckets with begun_at, local_at, n (balls noted) and warm_up_balls, as of `now`.

    Days are those of the player's clock, `utc_offset_min` minutes ahead of UTC; a week is today and six days before.
    """
    week, today = of_week(buckets, now, utc_offset_min), local(now, utc_offset_min)[:10]
    of_today = [
        one for one in week if one["local_at"][:10] >= today or days_between(one["begun_at"], now) < STILL_TODAY_DAYS
    ]
    return Struck(sum(map(balls_of, of_today)), sum(map(balls_of, week)), limit)


def of_week(buckets: Iterable[Mapping[str, Any]], now: str, utc_offset_min: int = 0) -> list[Mapping[str, Any]]:
    """Those of the last seven days; arguments as in `struck`."""
    today = date.fromisoformat(local(now, utc_offset_min)[:10])
    first = (today - timedelta(days=WEEK_DAYS - 1)).isoformat()
    return [one for one in buckets if one["local_at"][:10] >= first]


def balls_of(bucket: Mapping[str, Any]) -> int:
    """Every ball of a bucket, warm-up included."""
    return int(bucket["n"] + (bucket["warm_up_balls"] or 0))


def words(count: Struck, more: int = 0) -> str:
    """What to say of the count, or of a plan of `more` balls on top of it; "" when nothing needs to be said."""
    if count.limit is not None and count.today >= count.limit and not more:
        return f"{count.today} balls today, and your limit is {count.limit}. Stopping here is fine; noting goes on."
    if count.limit is not None and more and count.today + more > count.limit:
        already = f" with the {count.today} struck today" if count.today else ""
        return f"{more} balls{already} are more than your limit of {count.limit} a day."
    if not more and count.today and count.today % REST_EVERY == 0:
        return f"{count.today} balls today: take a rest."
    return ""


def suggested(junior: bool) -> int:
    """The limit a day to suggest where the player has set none."""
    return SUGGESTED_JUNIOR_ON_MATS if junior else SUGGESTED


def wrist_words(fat: int, n: int, surface: str) -> str:
    """A word about fat shots off mats, which load the lead wrist and elbow; "" where there are few."""
    if surface != "mat" or fat < LEAST_FAT_ON_MATS or fat < MUCH_FAT * n:
        return ""
    return (
        f"{fat} of {n} balls were fat, off a mat: that loads the lead wrist and elbow. "
        "Grass, or fewer balls, is kinder. Pain means stop."
    )
