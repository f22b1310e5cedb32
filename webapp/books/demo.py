"""The demo book: Heron's invented wedges and visits, put into a book like every other fact.

Knows the files of seed_data/; their days are counted back from the moment of loading, so the demo is never old.
"""

import csv
from datetime import UTC, datetime, time, timedelta
from typing import Any

from .. import folders
from ..files.ball_row import Known, Row, own_id
from ..files.importing import read_rows
from ..moments import moment_of, moved, text_of
from ..store.directory import Directory
from ..units import to_m
from .make_facts import fact

ALIAS = "demo"
NICKNAME = "Heron"
_SETTINGS = {"hand": "right", "unit": "yd", "judged_by": "monitor", "ball": "range", "nickname": NICKNAME}
_TEXTS = ("place", "surface", "ball", "judged_by", "wind")


def load_demo(directory: Directory, now: str) -> str:
    """Make the demo book if it is missing or empty; gives its id. `now` is the moment its days count back from."""
    return _filled(directory, directory.book_of_alias(ALIAS) or directory.new_book(now, ALIAS), now)


def own_demo(directory: Directory, now: str) -> str:
    """A demo book for one visitor alone, who may then write, set aside and delete as in any book; gives its id."""
    return _filled(directory, directory.new_book(now), now)


def _filled(directory: Directory, book_id: str, now: str) -> str:
    with directory.open_book(book_id) as book:
        if book.cursor == 0:
            refused = book.add(demo_facts(now), None, now).refused
            if refused:
                raise ValueError(f"the demo book's own data were refused: {refused[0]['message']}")
    return book_id


def demo_facts(now: str) -> list[dict[str, Any]]:
    """The facts of the demo book, its last visit a few days before `now`; the same ids each time."""
    visits = {row["visit"]: row for row in _table("visits")}
    begun = {visit: _begin(row, now) for visit, row in visits.items()}
    home = moved(min(begun.values()), days=-1)
    clubs = _table("clubs")
    known = Known(
        clubs={row["name"]: own_id("club", row["name"]) for row in clubs},
        buckets={_visit_id(visit) for visit in visits},
        judged_by="monitor",
    )
    balls = read_rows(enumerate((_ball(row, begun) for row in _table("balls")), 2), known)
    if balls.refused:
        raise ValueError(f"balls.csv, line {balls.refused[0].line}: {balls.refused[0].reason}")
    ends = {ball["body"]["bucket_id"]: ball["made_at"] for ball in balls.facts}
    facts = [fact("setting", {"name": name, "value": value}, home) for name, value in _SETTINGS.items()]
    for row in clubs:
        body = {"name": row["name"], "loft_deg": float(row["loft_deg"]), "sole_note": row["sole_note"]}
        club = fact("club", body, home, id=known.clubs[row["name"]])
        carry_m = to_m(float(row["full_carry_yd"]), "yd")
        facts += [club, fact("full_carry", {"club_id": club["id"], "carry_m": carry_m}, home)]
    for visit, row in visits.items():
        body = {name: row[name] for name in _TEXTS}
        body |= {"temperature_c": float(row["temperature_c"]), "warm_up_balls": int(row["warm_up_balls"])}
        body["ended_at"] = ends[_visit_id(visit)]
        facts.append(fact("bucket", body, begun[visit], id=_visit_id(visit)))
    return facts + balls.facts


def _table(name: str) -> list[dict[str, str]]:
    with (folders.SEED_DATA / f"{name}.csv").open(newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file, strict=True))


def _begin(row: Row, now: str) -> str:
    """When a visit began: so many days before now, at its hour."""
    day = moment_of(now).date() - timedelta(days=int(row["days_ago"]))
    return text_of(datetime.combine(day, time.fromisoformat(row["start"]), UTC))


def _ball(row: Row, begun: dict[str, str]) -> dict[str, str]:
    """A row as an import would have it."""
    made_at = moved(begun[row["visit"]], seconds=int(row["second"]))
    return {**row, "made_at": made_at, "bucket": _visit_id(row["visit"]), "unit": "yd"}


def _visit_id(visit: str) -> str:
    return own_id("demo visit", visit)
