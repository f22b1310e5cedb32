"""Arguments about single balls: does it count, does it look like a slip, is it time to rest.

F9 of the design stands among the slips: a cell of 48 with a spread of 4, an entry of 74, and 47 was meant.
"""

import math
from typing import Any

from webapp.moments import moment_of, moved
from webapp.units import YARD_M

PLAIN = {"mode": "swing", "contact": "clean", "carry_m": 50.0}
RANGE, OWN = {"ball": "range"}, {"ball": "own"}
BALLS: dict[str, tuple[dict[str, Any], dict[str, Any]]] = {
    "a plain swing": (PLAIN, RANGE),
    "set aside": ({**PLAIN, "aside": True}, RANGE),
    "on a visit set aside": (PLAIN, {**RANGE, "aside": True}),
    "on the course": ({**PLAIN, "course": True}, RANGE),
    "hit to a number": ({**PLAIN, "mode": "distance"}, RANGE),
    "from rough": ({**PLAIN, "lie": "rough"}, RANGE),
    "from a level lie": ({**PLAIN, "lie": "level"}, RANGE),
    "gripped down": ({**PLAIN, "flight": "grip-down"}, RANGE),
    "another kind of ball": (PLAIN, OWN),
    "strong wind all visit": (PLAIN, {**RANGE, "wind": "into", "wind_force": "strong"}),
    "light wind all visit": (PLAIN, {**RANGE, "wind": "into", "wind_force": "light"}),
    "strong wind from this ball on": ({**PLAIN, "wind": "left", "wind_force": "strong"}, RANGE),
    "calm again in a windy visit": (
        {**PLAIN, "wind": "calm", "wind_force": "light"},
        {**RANGE, "wind": "into", "wind_force": "strong"},
    ),
    "an indoor estimate": (PLAIN, {**RANGE, "monitor_note": "indoor"}),
    "an indoor estimate that was let in": (PLAIN, {**RANGE, "monitor_note": "indoor", "indoor_counts": True}),
    "measured outdoors": (PLAIN, {**RANGE, "monitor_note": "outdoor"}),
    "a calm that is called strong": ({**PLAIN, "wind": "calm", "wind_force": "strong"}, RANGE),
}
M, SD = math.log(48 * YARD_M), 4 / 48
# Entry [yd], strike, typed or touched, and the unit it is read in.
ENTRIES: dict[str, tuple[float, str, bool, str]] = {
    "F9, typed": (74, "clean", True, "yd"),
    "F9, touched: one line of tens": (78, "clean", False, "yd"),
    "touched three lines of tens off": (74, "clean", False, "yd"),
    "a step of the scale": (45, "clean", False, "yd"),
    "a step of the scale, typed": (45, "clean", True, "yd"),
    "a digit missing": (4, "clean", True, "yd"),
    "a digit too many": (480, "clean", True, "yd"),
    "digits swapped, yet what they give does not fit": (85, "clean", True, "yd"),
    "ordinary": (56, "clean", True, "yd"),
    "touched, just within four spreads": (66, "clean", False, "yd"),
    "touched, just beyond four spreads": (68, "", False, "yd"),
    "a meant number just within two spreads": (406, "clean", True, "yd"),
    "heavy, within six spreads": (31, "heavy", False, "yd"),
    "heavy, beyond six spreads": (28, "heavy", False, "yd"),
    "thin, typed, beyond six spreads": (84, "thin", True, "yd"),
    "thin, typed, between four and six": (74, "thin", True, "yd"),
    "fat, however far off": (5, "fat", True, "yd"),
    "bladed, however far off": (90, "bladed", False, "yd"),
    "a shank": (20, "shank", True, "yd"),
    "nothing": (0, "clean", True, "yd"),
    "far off and no slip": (22, "clean", True, "yd"),
    "digits are those of the unit": (34 / YARD_M * 1.0, "clean", True, "m"),
    "in metres": (440 / YARD_M, "clean", True, "m"),
}
STRUCK = [(0, None), (19, None), (20, None), (21, None), (40, 60), (60, 60), (61, 60), (59, 60), (0, 60), (100, None)]
PLANNED = [
    (0, None, 40),
    (20, None, 40),
    (0, 40, 40),
    (0, 20, 40),
    (1, 40, 40),
    (22, 20, 40),
    (22, 20, 5),
    (20, 60, 40),
]


def _bucket(key: str, n: int, ahead_min: int | None = 0, **ago: float) -> dict[str, Any]:
    begun_at = moved(EVENING, **{name: -value for name, value in ago.items()})
    return {"id": key, "begun_at": begun_at, "utc_offset_min": ahead_min, "n": n}


EVENING = "2026-05-01T18:00:00.000Z"
EVENING_MS = int(moment_of(EVENING).timestamp() * 1000)
WEEK = [_bucket("a", 26, hours=1), _bucket("b", 30, hours=20), _bucket("c", 44, days=6), _bucket("d", 50, days=7)]
EAST, WEST = 10 * 60, -7 * 60
BUCKETS: dict[str, list[Any]] = {
    "none": [[], [], EVENING_MS, 0],
    "today and seven days": [WEEK, [], EVENING_MS, 0],
    "a second bucket of the day that only the phone knows": [WEEK, [_bucket("e", 9, minutes=5)], EVENING_MS, 0],
    "the open bucket went on since the page was made": [WEEK, [_bucket("a", 31, hours=1)], EVENING_MS, 0],
    "another phone noted more balls in it": [WEEK, [_bucket("a", 3, hours=1)], EVENING_MS, 0],
    "the phone's clock ran ahead as it began": [
        [_bucket("m", 2, hours=18.5)],
        [_bucket("m", 2, hours=17.5)],
        EVENING_MS,
        0,
    ],
    "a page that was kept since yesterday": [[_bucket("f", 20, days=1)], [_bucket("g", 2)], EVENING_MS, 0],
    "past midnight": [[_bucket("h", 20, EAST, hours=5)], [_bucket("i", 3, EAST)], EVENING_MS, EAST],
    "long past midnight": [[_bucket("h", 20, EAST, hours=8)], [_bucket("i", 3, EAST)], EVENING_MS, EAST],
    "west of Greenwich": [[_bucket("j", 20, WEST, hours=10), _bucket("k", 7, WEST, hours=12)], [], EVENING_MS, WEST],
    "a bucket that does not tell its clock": [[_bucket("l", 20, None, hours=2)], [], EVENING_MS, 0],
}


def cases() -> dict[str, tuple[dict[str, Any], dict[str, list[Any]]]]:
    """The arguments by rule and function, each with what they share."""
    entries = {
        name: [yards * YARD_M, contact, typed, M, SD, unit] for name, (yards, contact, typed, unit) in ENTRIES.items()
    }
    return {
        "counts/whyNot": ({}, {name: [shot, bucket, "range"] for name, (shot, bucket) in BALLS.items()}),
        "doubt/likelierM": ({}, entries),
        "limits/struck": ({}, BUCKETS),
        "limits/limitWords": (
            {},
            {f"{n} balls, limit {limit}": [n, limit] for n, limit in STRUCK}
            | {f"{n} balls, limit {limit}, {more} to come": [n, limit, more] for n, limit, more in PLANNED},
        ),
    }
