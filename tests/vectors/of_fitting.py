"""Arguments of choosing a shot: F4 and F12 of the design, their words, and questions that cannot be answered.

The four numbers of the first card are the worked example F4, whose figures tests/core/test_fitting.py states by hand.
"""

from dataclasses import asdict
from typing import Any

from tests.core.test_fitting import F4, HEAVY_TAILED, USUAL
from tests.vectors.twins import answered, asked
from webapp.fits.fitting import NoQuestion
from webapp.units import YARD_M

ASKED_YD: dict[str, dict[str, Any]] = {
    "F4": {"flag": 66, "front": 58, "back": 70},
    "F4, must carry": {"flag": 66, "front": 58, "back": 70, "must": True},
    "no number carries it": {"flag": 66, "front": 61, "must": True},
    "must carry what is not said": {"flag": 66, "must": True},
    "a flag alone": {"flag": 66},
    "just near enough to guard": {"flag": 66, "front": 46},
    "too far in front to guard": {"flag": 66, "front": 45.9, "must": True},
    "too far behind to guard": {"flag": 66, "back": 86.1},
    "F12": {"flag": 62, "roll": 4, "front": 52},
    "spins back": {"flag": 62, "roll": -1},
    "out of reach": {"flag": 135},
    "too near": {"flag": 18},
    "a narrow window": {"flag": 30, "back": 31},
    "trouble crossed": {"flag": 66, "front": 70, "back": 58},
    "short of the trouble": {"flag": 66, "front": 70},
    "past the trouble": {"flag": 66, "back": 60},
    "more roll than carry": {"flag": 5, "roll": 6},
    "beyond the longest": {"flag": 1e9},
}
CARDS = {"F4": F4, "with mishits": HEAVY_TAILED}


def cases() -> dict[str, tuple[dict[str, Any], dict[str, list[Any]]]]:
    """The arguments by rule and function, each with what they share."""
    cards = {name: [asdict(one) for one in card] for name, card in CARDS.items()}
    bare = {name: {one["swing"]: _without_table(one) for one in card} for name, card in cards.items()}
    asking = {name: [in_m(yards), asdict(USUAL)] for name, yards in ASKED_YD.items()}
    put, words = {}, {}
    for name, args in asking.items():
        try:
            put[name] = asked(*args)
        except NoQuestion:
            continue
    for name, ask in put.items():
        for card in cards:
            found = answered(ask, cards[card])
            named = _with_candidates(found, bare[card])
            best = named["ranked"][0] if named["ranked"] else named["closest"]
            for unit in ("yd", "m"):
                words[f"{name}, {card}, {unit}"] = (ask, ASKED_YD[name]["flag"] * YARD_M, named, best, unit)
    of = words.items()
    ask, _, _, best, _ = words["F4, F4, yd"]
    # Nine in ten end this far before trouble at 58: a hair that would round up to it, and a good deal.
    before = {
        f"{metres:g} short of the trouble": [
            {**best["candidate"], "nine_in_ten_carry_m": 58 - metres}, {**ask, "clear_m": 58.0}, "m"
        ]
        for metres in (0.04, 0.96, 1.04, 2.5)
    }  # fmt: skip
    nothing = {"nobody to choose from": [{"ranked": [], "closest": None, "missing_m": 0.0}, put["F4"], "yd"]}
    # Two numbers alike inside: the one whose worse side is smaller comes first, told apart by far more than a rounding.
    tied = [
        {**cards["F4"][0], "swing": swing, "table": {"first": 60, "step_m": YARD_M, "below": below}}
        for swing, below in (("lopsided", [0.0, 0.4, 0.4, 0.9, 0.9, 1.0]), ("even", [0.0, 0.2, 0.25, 0.75, 0.8, 1.0]))
    ]
    window = {
        "carry_m": 62.5 * YARD_M,
        "front_m": 62 * YARD_M,
        "back_m": 63 * YARD_M,
        "clear_m": None,
        "must_carry": False,
    }
    answers = (
        {**cards, "alike inside": tied, "alike in all": [{**tied[1], "swing": name} for name in ("one", "other")]},
        {
            **{f"{name}, {card}": [ask, {"$": card}] for name, ask in put.items() for card in cards},
            "an empty card": [put["F4"], []],
            "equal chances inside": [window, {"$": "alike inside"}],
            "equal in all": [window, {"$": "alike in all"}],
        },
    )
    return {
        "fitting/question": ({}, asking),
        "fitting/answer": answers,
        "fitting/best": answers,
        "fitting_words/askedWords": ({}, {name: [ask, flag_m, unit] for name, (ask, flag_m, _, _, unit) in of}),
        "fitting_words/chanceWords": ({}, {name: [best] for name, (_, _, _, best, _) in of}),
        "fitting_words/restsWords": ({}, {name: [best["candidate"], unit] for name, (_, _, _, best, unit) in of}),
        "fitting_words/nineWords": (
            {},
            {name: [best["candidate"], ask, unit] for name, (ask, _, _, best, unit) in of} | before,
        ),
        "fitting_words/moreWords": (
            {},
            {
                **{name: [best["candidate"], ask, unit] for name, (ask, _, _, best, unit) in of},
                **{
                    f"{count} twins": [{**cards["F4"][0], "twins": names[:count]}, put["F4"], "yd"]
                    for names in [["43 7:30", "60 10:30", "64 full"]]
                    for count in (1, 2, 3)
                },
            },
        ),
        "fitting_words/nothingWords": ({}, {name: [f, ask, unit] for name, (ask, _, f, _, unit) in of} | nothing),
        "fitting_words/mustWords": ({}, {name: [f, ask, unit] for name, (ask, _, f, _, unit) in of} | nothing),
    }


def in_m(yards: dict[str, Any]) -> dict[str, Any]:
    """A question in metres."""
    lengths = {f"{name}_m": value * YARD_M for name, value in yards.items() if name != "must"}
    return {**lengths, "must_carry": yards.get("must", False)}


def _without_table(one: dict[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in one.items() if name != "table"}


def _with_candidates(found: Any, bare: dict[str, Any]) -> Any:
    """An answer as the phone holds it, its candidates whole but for their tables, which no word needs."""

    def whole(choice: Any) -> Any:
        return choice and {"candidate": bare[choice["candidate"]["swing"]], "percents": choice["percents"]}

    return {**found, "ranked": [whole(one) for one in found["ranked"]], "closest": whole(found["closest"])}
