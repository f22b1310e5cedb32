"""Arguments of a plan's words; what each gives is also said in tests/core/test_plan_words.py."""

from typing import Any

A, B, C = (f"00000000-0000-0000-0000-0000000000{loft}" for loft in (56, 60, 46))
WORDS = {
    "a swing to make": f"{A}:90:swing",
    "a number to hit with its reason": f"{A}:90:distance:49.38:mixed",
    "a reason without a carry": f"{B}:112.5:swing::early",
    "a carry with two decimals": f"{C}:180:distance:102.40:nine",
    "a reason not known here is none": f"{C}:180:swing::later",
    "the name of a thing every object has is no reason": f"{C}:180:swing::constructor",
    "a place of a homework": f"{A}:90:swing::lesson:0a1b2c3d.17",
    "a place of a homework without a reason": f"{A}:90:distance:49.38::0a1b2c3d.1",
    "a place of a homework that is none": f"{A}:90:swing::lesson:0a1b2c3d.0",
    "no club": ":90:swing",
    "no swing": f"{A}::swing",
    "a swing beyond full": f"{A}:181:swing",
    "a swing below one degree": f"{A}:0.5:swing",
    "a swing with an underscore": f"{A}:1_0:swing",
    "a swing with spaces": f"{A}: 90 :swing",
    "a swing as a power of ten": f"{A}:9e1:swing",
    "a swing with a sign": f"{A}:+90:swing",
    "a swing in hexadecimal": f"{A}:0x5A:swing",
    "a swing in digits of another script": f"{A}:\N{ARABIC-INDIC DIGIT NINE}\N{ARABIC-INDIC DIGIT ZERO}:swing",
    "a swing in hundredths": f"{A}:133.33:swing",
    "a swing finer than hundredths": f"{A}:133.333:swing",
    "a carry in digits of another script": f"{A}:90:distance:\N{ARABIC-INDIC DIGIT FIVE}",
    "a place of a homework in digits of another script": f"{A}:90:swing::lesson:0a1b2c3d.1\N{ARABIC-INDIC DIGIT ONE}",
    "a mode not known": f"{A}:90:both",
    "a carry that is no number": f"{A}:90:distance:far",
    "the longest carry": f"{A}:90:distance:365.76",
    "a carry beyond the longest": f"{A}:90:distance:365.77",
    "free words": "hit some wedges",
    "nothing": "",
}
WRITTEN = {
    "a swing to make": {"club_id": A, "swing_deg": 90, "mode": "swing", "meant_carry_m": None, "why": ""},
    "a number to hit": {"club_id": A, "swing_deg": 90, "mode": "distance", "meant_carry_m": 49.38, "why": "mixed"},
    "a reason alone": {"club_id": B, "swing_deg": 112.5, "mode": "swing", "meant_carry_m": None, "why": "early"},
    "a place of a homework": {
        "club_id": A,
        "swing_deg": 90,
        "mode": "swing",
        "meant_carry_m": None,
        "why": "lesson",
        "homework_ref": "0a1b2c3d.300",
    },
    "a carry alone": {"club_id": C, "swing_deg": 180, "mode": "distance", "meant_carry_m": 102.4, "why": ""},
}
ONE, TWO, THREE = (f"{club}:90:swing" for club in (A, B, C))
STRUCK: dict[str, tuple[list[str], list[str]]] = {
    "the first ball": ([ONE, TWO], []),
    "ball 18 after 17": ([ONE, TWO, THREE], ["1", "2"]),
    "balls of the player's own choice take no place": ([ONE, TWO], ["1", "", ""]),
    "shots come in any order": ([ONE, TWO, THREE], ["2", "1"]),
    "a plan that is done": ([ONE], ["1"]),
    "no plan": ([], ["7"]),
    "a word that cannot be read is passed over": (["hit some wedges", TWO], []),
    "a reference that is no place": ([ONE], ["x1", "0"]),
    "a reference in digits of another script": ([ONE, TWO], ["1\N{ARABIC-INDIC DIGIT ONE}"]),
}


NOON = 1_767_225_600_000  # a moment [ms since 1970]
HALF_DAY = 12 * 3600 * 1000
OPENS: dict[str, tuple[int | None, int]] = {
    "no ball yet": (None, NOON),
    "a ball just now": (NOON, NOON),
    "a moment short of twelve hours": (NOON, NOON + HALF_DAY - 1000),
    "twelve hours": (NOON, NOON + HALF_DAY),
    "a day": (NOON, NOON + 2 * HALF_DAY),
}


def cases() -> dict[str, tuple[dict[str, Any], dict[str, list[Any]]]]:
    """The arguments by rule and function, each with what they share."""
    shots = {name: [{"plan_ref": ref} for ref in refs] for name, (_, refs) in STRUCK.items()}
    return {
        "plan/parse": ({}, {name: [word] for name, word in WORDS.items()}),
        "plan/written": ({}, {name: [call] for name, call in WRITTEN.items()}),
        "plan/done": ({}, {name: [some] for name, some in shots.items()}),
        "nine/nineOpensAt": ({}, {name: list(times) for name, times in OPENS.items()}),
        "plan/nextCall": ({}, {name: [STRUCK[name][0], some] for name, some in shots.items()}),
    }
