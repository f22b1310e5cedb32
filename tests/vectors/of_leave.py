"""Arguments of what to leave: cards with peaks and valleys, flat and empty ones, questions with roll and trouble.

The cards are those of of_fitting.py and two invented ones; what their distances come to is held to fitting.answer by
tests/core/test_leave.py.
"""

from dataclasses import asdict, replace
from typing import Any

from tests.core.test_fitting import HEAVY_TAILED, USUAL, normal
from tests.vectors.twins import left
from webapp.estimate.chance import Table
from webapp.fits.fitting import NoQuestion
from webapp.units import YARD_M

CARDS = {
    "two far apart": (normal(61, 3), normal(78, 4, trust="guess", n=0)),
    "three near": (normal(50, 5), normal(58, 3), normal(66, 6)),
    "with mishits": HEAVY_TAILED,
    "no ball": (normal(61, 3, trust="told", n=0), normal(85, 4, trust="guess", n=0)),
    "one number": (normal(61, 4),),
    "alike": tuple(normal(carry, 4) for carry in range(40, 60, 2)),
    "much the same": tuple(normal(carry, 6) for carry in range(50, 54)),
    "the longest": (normal(380, 9), normal(400, 9)),
    "no card": (),
}
AHEAD_YD: dict[str, dict[str, Any] | None] = {
    "by itself": None,
    "240 left": {"flag": 240},
    "240 left with roll and trouble": {"flag": 240, "roll": 3, "front": 232, "back": 243},
    "240 left, must carry": {"flag": 240, "front": 236, "must": True},
    "240 left, must carry what no number clears": {"flag": 240, "front": 239.8, "back": 244, "must": True},
    "must carry what is not said": {"flag": 240, "must": True},
    "180 left, trouble far behind": {"flag": 180, "back": 260},
    "180 left, must carry what ends far short": {"flag": 180, "front": 100, "must": True},
    "no room": {"flag": 240, "front": 239.8, "back": 240.2},
    "spins back": {"flag": 240, "roll": -2},
    "nearer than the longest": {"flag": 61},
    "a little beyond the longest": {"flag": 81},
    "beyond the longest, trouble before it": {"flag": 81, "front": 79},
    "less than a shot beyond the longest": {"flag": 81, "front": 80.5, "back": 81.5},
    "less than a shot from where trouble is carried": {"flag": 80, "front": 74, "must": True},
    "a shot beyond the longest": {"flag": 82, "front": 81.5, "back": 82.5},
    "beyond what fits": {"flag": 99},
    "in reach of a few": {"flag": 69.4},
    "in reach, but must carry": {"flag": 78, "front": 74, "must": True},
    "a little nearer than the shortest": {"flag": 57.4},
    "just nearer than the shortest, rolls": {"flag": 60.8, "roll": 2},
    "nearer than the shortest, trouble before it": {"flag": 58, "front": 57, "must": True},
    "nearer than the shortest, trouble behind it": {"flag": 58, "back": 60},
    "nearer than what fits": {"flag": 54},
    "nearer than the shortest": {"flag": 20},
    "trouble crossed": {"flag": 240, "front": 244, "back": 232},
    "beyond the longest": {"flag": 1e9},
}
TABLE = Table(60, YARD_M, (0.0, 0.25, 0.5, 1.0))


def cases() -> dict[str, tuple[dict[str, Any], dict[str, list[Any]]]]:
    """The arguments by rule and function, each with what they share."""
    cards = {name: [asdict(one) for one in card] for name, card in CARDS.items()}
    bare = {name: [asdict(replace(one, table=TABLE)) for one in card] for name, card in CARDS.items()}
    shared = {**cards, "margin": asdict(USUAL)}
    asked = {
        f"{card}, {name}, {unit}": [{"$": card}, {"$": "margin"}, unit, in_m(ahead)]
        for card in CARDS
        for name, ahead in AHEAD_YD.items()
        if name in ("by itself", "240 left, must carry") or card == "two far apart"
        for unit in (("yd", "m") if name == "by itself" or "a little" in name else ("yd",))
    }
    found, words, answers, troubles, reached = {}, {}, {}, {}, {}
    for name, (card, _, unit, ahead) in asked.items():
        try:
            found[name] = left(cards[card["$"]], asdict(USUAL), unit, ahead)
        except NoQuestion:
            continue
        words[name] = [{"$": name}, bare[card["$"]], unit]
        if ahead:
            answers[name] = [{"$": name}, bare[card["$"]], ahead["flag_m"], unit]
            troubles[name] = [{"$": name}, ahead, unit]
        if ahead and found[name]["distances"]:
            reached[name] = [{"$": name}, ahead["flag_m"], unit]
    some = {name: one["distances"][len(one["distances"]) // 2] for name, one in found.items() if one["distances"]}
    return {
        "leave/leave": (shared, asked),
        "leave/byChance": (found, {name: [{"$": name}] for name in found}),
        "leave/atFlag": (found, reached),
        "leave/inReach": (found, reached),
        "leave/layUp": (found, reached),
        "leave/listed": (found, {**reached, "without a flag": [{"$": "three near, by itself, yd"}, None, "yd"]}),
        "leave/standingOf": ({}, {name: [one] for name, one in some.items()}),
        "leave/missM": (
            {"table": asdict(TABLE)},
            {f"meant {yards:g} yd": [{"$": "table"}, yards * YARD_M] for yards in (50, 60, 61.3, 62, 63, 70)},
        ),
        "leave_words/bestWords": (found, words),
        "leave_words/chancesWords": (found, {name: [{"$": name}] for name in found}),
        "leave_words/worstM": (found, {name: [{"$": name}] for name in found}),
        "leave_words/answerWords": (found, answers),
        "leave_words/troubleWords": (found, troubles),
        "leave_words/inWords": ({}, {name: [one] for name, one in some.items()}),
        "leave_words/missWords": (
            {},
            {f"{name}, {unit}": [one, unit] for name, one in some.items() for unit in ("yd", "m")},
        ),
    }


def in_m(ahead: dict[str, Any] | None) -> dict[str, Any] | None:
    """What lies ahead in metres."""
    if ahead is None:
        return None
    lengths = {f"{name}_m": value * YARD_M for name, value in ahead.items() if name != "must"}
    return {**lengths, "must_carry": ahead.get("must", False)}
