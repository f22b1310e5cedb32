"""Arguments about how a ball's wedge and swing are called, and about what a bucket or visit did to the numbers."""

from typing import Any

from webapp.units import YARD_M


def change(name: str, then: tuple[float, str], now: tuple[float, str], struck: int) -> dict[str, Any]:
    """A number [yd] and its trust, before and after, and how many balls it took."""
    return {
        "name": name,
        "then_m": then[0] * YARD_M,
        "then_trust": then[1],
        "now_m": now[0] * YARD_M,
        "now_trust": now[1],
        "struck": struck,
    }


MOVED = change("56 9:00", (60, "guess"), (56, "early"), 10)
FURTHER = change("60 full", (72, "early"), (67, "early"), 3)
HELD = change("51 full", (99, "settled"), (99.2, "settled"), 20)
SURER = change("46 full", (112, "early"), (112, "settled"), 5)
CHANGES: dict[str, tuple[list[dict[str, Any]], str]] = {
    "nothing was struck": ([], "yd"),
    "one moved": ([MOVED], "yd"),
    "one moved, in metres": ([MOVED], "m"),
    "the one that moved further": ([MOVED, FURTHER], "yd"),
    "a number that moved before one that is only surer": ([SURER, MOVED, HELD], "yd"),
    "a surer one before one that held, however many balls": ([HELD, SURER], "yd"),
    "held": ([HELD], "yd"),
    "of two that held the one with more balls": ([{**HELD, "name": "51 9:00", "struck": 4}, HELD], "yd"),
    "of two alike the first": ([MOVED, {**MOVED, "name": "56 10:30"}], "yd"),
    "half a yard is a step once it shows": ([change("56 9:00", (54.4, "early"), (54.6, "early"), 4)], "yd"),
    "half a yard that does not show is none": ([change("56 9:00", (54.0, "early"), (54.4, "early"), 4)], "yd"),
}


BAG = {
    "clubs": [{"id": "a", "name": "56"}, {"id": "b", "name": "Lob wedge"}],
    "swings": [
        {"swing_deg": 90.0, "name": "hip"},
        {"swing_deg": 97.5, "name": "2:45"},
        {"swing_deg": 180.0, "name": "full"},
    ],
}
GONE = {**BAG, "left_bag": [{"id": "c", "name": "58", "heir": "a"}], "left_swings": {"60": "8:00", "67.5": "8:15"}}
NAMED: dict[str, tuple[dict[str, Any], tuple[str, float]]] = {
    "a swing with a name of its own": (BAG, ("a", 90.0)),
    "a place on the clock, of a wedge with a long name": (BAG, ("b", 97.5)),
    "a wedge that left the bag": (GONE, ("c", 180.0)),
    "a swing that was left out": (GONE, ("a", 60.0)),
    "both, at half a degree": (GONE, ("c", 67.5)),
    "a wedge that the page was not told of": (BAG, ("c", 90.0)),
}


def cases() -> dict[str, tuple[dict[str, Any], dict[str, list[Any]]]]:
    """By function: shared entries and the arguments of each case."""
    named = {said: [data, {"club_id": club, "swing_deg": deg}] for said, (data, (club, deg)) in NAMED.items()}
    moved = {said: list(given) for said, given in CHANGES.items()}
    return {"visit/namesOf": ({}, named), "ending/movedWords": ({}, moved)}
