"""Arguments of homework: its code whole, cut, altered, newer, foreign and huge; a bag with and without what is asked.

What each gives is also said in tests/core/test_homework.py and test_homework_code.py.
"""

import base64
import json
import zlib
from typing import Any

from webapp.practice.homework_code import Asked, Homework, Row, made
from webapp.units import YARD_M

OWN_ID = "0a1b2c3d-4e5f-6071-8293-a4b5c6d7e8f9"
OTHER_ID = "ffffffff-4e5f-6071-8293-a4b5c6d7e8f9"
ONE = Row((Asked("60", 60.0, 135.0),), 5, "swing")
MIXED = Row(tuple(Asked(f"{loft}", float(loft), deg) for loft in (46, 51, 56) for deg in (90.0, 180.0)), 12, "distance")
NUMBER = Row((Asked("Old one", 55.5, 97.5),), 7, "distance", 49.38)
WALK = Homework(OWN_ID, (ONE, MIXED), "2026-11-29", "quiet wrists")


def packed(told: Any, raw: bytes | None = None) -> str:
    """A code with a true checksum around anything."""
    text = json.dumps(told).encode() if raw is None else raw
    deflate = zlib.compressobj(9, zlib.DEFLATED, -zlib.MAX_WBITS)
    body = deflate.compress(text) + deflate.flush()
    return base64.urlsafe_b64encode(body + zlib.crc32(body).to_bytes(4, "big")).decode().rstrip("=")


SOUND: dict[str, Any] = {"v": 1, "id": "ChssPU5fYHGCk6S1xtfo-Q", "c": [[60, "60"]], "r": [[5, 0, 0, 0, 135]]}
WHOLE = made(WALK)
CODES = {
    "the walk's homework": WHOLE,
    "a link": f"https://range.example/homework#{WHOLE}",
    "spaces around a link": f"  /homework#{WHOLE}\n",
    "a number to hit, a name that is no loft": made(Homework(OWN_ID, (NUMBER,))),
    "the nine alone": made(Homework(OWN_ID, (), "2026-11-29")),
    "letters beyond ASCII": made(Homework(OWN_ID, (ONE,), "", "früh, ruhig \N{WHITE SMILING FACE}")),
    "made by hand": packed(SOUND),
    "fields of a later kind of the same version": packed({**SOUND, "later": [1]}),
    "nothing": "",
    "a link without a code": "https://range.example/homework#",
    "cut by a letter": WHOLE[:-1],
    "cut in half": WHOLE[: len(WHOLE) // 2],
    "one letter changed": WHOLE[:20] + ("A" if WHOLE[20] != "A" else "B") + WHOLE[21:],
    "free words": "hit some nines",
    "letters of no code": "aGVsbG8",
    "a space inside": WHOLE[:10] + " " + WHOLE[10:],
    "very long": "A" * 1001,
    "of a newer version": packed({**SOUND, "v": 2, "r": "otherwise"}),
    "of a version that is none": packed({**SOUND, "v": 0}),
    "of a version in words": packed({**SOUND, "v": "1"}),
    "foreign JSON": packed({"hello": "there"}),
    "a list": packed([1, 2]),
    "no object": packed(None),
    "no JSON": packed(None, b"hit some nines"),
    "no UTF-8": packed(None, b'{"v": 1, "f": "\xff"}'),
    "not a number": packed(None, b'{"v": NaN}'),
    "deep": packed(None, b"[" * 3000),
    "huge": packed(None, json.dumps(SOUND).encode() + b" " * 200_000),
    "nothing to strike": packed({**SOUND, "r": []}),
    "no id": packed({**SOUND, "id": ""}),
    "an id that is too short": packed({**SOUND, "id": "ChssPU5fYHGCk6S1xtfo"}),
    "balls below nought": packed({**SOUND, "r": [[-5, 0, 0, 0, 135]]}),
    "a thousand balls": packed({**SOUND, "r": [[1000, 0, 0, 0, 135]]}),
    "half a ball": packed({**SOUND, "r": [[5.5, 0, 0, 0, 135]]}),
    "true balls": packed({**SOUND, "r": [[True, 0, 0, 0, 135]]}),
    "more balls in all than a bucket": packed({**SOUND, "r": [[100, 0, 0, 0, 135], [51, 0, 0, 0, 135]]}),
    "as many as a bucket": packed({**SOUND, "r": [[100, 0, 0, 0, 135], [50, 0, 0, 0, 135]]}),
    "nine rows": packed({**SOUND, "r": [[1, 0, 0, 0, 135]] * 9}),
    "a mode that is none": packed({**SOUND, "r": [[5, 2, 0, 0, 135]]}),
    "a carry beyond any": packed({**SOUND, "r": [[5, 1, 400, 0, 135]]}),
    "a carry below nought": packed({**SOUND, "r": [[5, 1, -1, 0, 135]]}),
    "a carry without end": packed(None, json.dumps(SOUND).replace("[[5, 0, 0", "[[5, 1, 1e999").encode()),
    "a wedge that is not told": packed({**SOUND, "r": [[5, 0, 0, 1, 135]]}),
    "a swing without its wedge": packed({**SOUND, "r": [[5, 0, 0, 0, 135, 0]]}),
    "a swing beyond full": packed({**SOUND, "r": [[5, 0, 0, 0, 181]]}),
    "a loft that no wedge has": packed({**SOUND, "c": [[10, "60"]]}),
    "markup in a name": packed({**SOUND, "c": [[60, "<b>"]]}),
    "a focus of 81 letters": packed({**SOUND, "f": "a" * 81}),
    "a focus of 80 pictures": packed({**SOUND, "f": "\N{WHITE SMILING FACE}" * 40 + "\U0001f3cc" * 40}),
    "half a pair in the focus": packed({**SOUND, "f": "\ud800"}),
    "a focus that is a number": packed({**SOUND, "f": 5}),
    "a day that is none": packed({**SOUND, "n": "2026-02-30"}),
    "no day but nothing": packed({**SOUND, "n": None}),
    "the year 0": packed({**SOUND, "n": "0000-01-01"}),
    "a day gone by": packed({**SOUND, "n": "2020-02-29"}),
}

CLUBS = [
    {"id": f"00000000-0000-0000-0000-0000000000{loft}", "name": f"{loft}", "loft_deg": float(loft)}
    for loft in (46, 51, 56, 60)
]
SWINGS = [
    {"swing_deg": deg, "name": name}
    for deg, name in ((45.0, "7:30"), (90.0, "9:00"), (135.0, "10:30"), (180.0, "full"))
]
NO_60 = [*CLUBS[:3], {"id": CLUBS[3]["id"], "name": "58", "loft_deg": 58.0}]
TWO_56 = [{"id": CLUBS[0]["id"], "name": "Old 56", "loft_deg": 56.0}, *CLUBS[1:]]
HALF_A_DEGREE = [*CLUBS[:2], {**CLUBS[2], "loft_deg": 56.5}, CLUBS[3]]
LONG_NAMES = [{**club, "name": f"Wedge {club['name']}"} for club in CLUBS]


def of(*rows: Row) -> Any:
    """Homework of these rows as the phone holds it."""
    return json.loads(
        json.dumps({"id": OWN_ID, "rows": [row.__dict__ for row in rows], "nine_by": "", "focus": ""}, default=vars)
    )


def nine_oclock(swing_deg: float) -> Row:
    """Five balls with a swing [deg] of about nine o'clock; a hair, a hundredth of a degree, is our choice."""
    return Row((Asked("56", 56.0, swing_deg),), 5, "swing")


MATCHED = {
    "all is there": [of(ONE, MIXED), CLUBS, SWINGS],
    "no 60": [of(ONE, MIXED), NO_60, SWINGS],
    "no such swing": [of(NUMBER), CLUBS, SWINGS],
    "neither": [of(NUMBER), CLUBS[:1], SWINGS[3:]],
    "two of one loft": [of(MIXED), TWO_56, SWINGS],
    "the loft under another name": [of(ONE), LONG_NAMES, SWINGS],
    "another loft of the same name": [of(ONE, MIXED), HALF_A_DEGREE, SWINGS],
    "mixed ones that become one": [of(MIXED), CLUBS[:1], SWINGS[3:]],
    "a swing a hair off": [of(nine_oclock(90.009)), CLUBS, SWINGS],
    "a swing more than a hair off": [of(nine_oclock(90.011)), CLUBS, SWINGS],
    "a swing two degrees short": [of(nine_oclock(88.0)), CLUBS, SWINGS],
    "no bag": [of(ONE), [], SWINGS],
    "no swing": [of(ONE), CLUBS, []],
}
CELLS = [[club["id"], swing["swing_deg"]] for club in CLUBS[:3] for swing in SWINGS[1::2]]
BLOCK = {"cells": [CELLS[0]], "balls": 2, "mode": "swing", "carry_m": None, "asks": []}
TO_NUMBER = {"cells": [CELLS[5]], "balls": 1, "mode": "distance", "carry_m": 49.38, "asks": []}
MIX = {"cells": CELLS, "balls": 12, "mode": "distance", "carry_m": None, "asks": []}
NINE = [f"{club_id}:{deg:g}:distance:50.29:nine" for club_id, deg in CELLS]
PLAN = [f"{CELLS[0][0]}:90:swing::lesson:0a1b2c3d.{place}" for place in (1, 2, 3)] + [
    f"{CELLS[1][0]}:180:distance:50.29:nine:0a1b2c3d.4"
]
RUNS = [
    f"{CELLS[0][0]}:90:{rest}"
    for rest in ("swing", "distance", "distance:50.29", "distance:50.30", "distance:50.30:nine")
] + [f"{CELLS[0][0]}:180:distance:50.30", f"{CELLS[2][0]}:180:distance:50.30"]


def bucket(own_id: str = "a", plan: list[str] = PLAN, aside: bool = False) -> dict[str, Any]:
    """A bucket with a plan."""
    return {"id": own_id, "plan": plan, "aside": aside}


def shot(plan_ref: str = "1", bucket_id: str = "a", swing_deg: float = 90.0, **more: Any) -> dict[str, Any]:
    """A ball of the 46 struck for a place of its bucket's plan."""
    cell = {"club_id": CELLS[0][0], "swing_deg": swing_deg}
    return {"id": "", "bucket_id": bucket_id, "plan_ref": plan_ref, **cell, "aside": False, "struck_at": "", **more}


WORK = {"id": OWN_ID, "plan": PLAN}
THREE = [shot("1"), shot("2"), shot("3")]
STRUCK = {
    "none": [[bucket()], []],
    "two of one bucket": [[bucket()], [shot("1"), shot("2")]],
    "a place struck twice": [[bucket()], [shot("1"), shot("1")]],
    "over two buckets": [[bucket(), bucket("b", PLAN[1:])], [shot("1"), shot("1", "b"), shot("3", "b", 180.0)]],
    "a ball set aside": [[bucket()], [shot("1"), shot("2", aside=True)]],
    "a bucket set aside": [[bucket(), bucket("b", aside=True)], [shot("1"), shot("2", "b")]],
    "balls of the player's own choice": [[bucket()], [shot(""), shot("x"), shot("9")]],
    "a bucket not here": [[bucket()], [shot("1", "z")]],
    "a plan that is not homework": [[bucket(plan=[f"{CELLS[0][0]}:90:swing"])], [shot("1")]],
    "places beyond its plan": [[bucket(plan=[PLAN[0].replace(".1", f".{at}") for at in (4, 5, 0)])], THREE],
    "balls of another swing, struck for a plan before this one": [[bucket()], [shot("1", swing_deg=45.0), shot("2")]],
    "balls of another wedge": [[bucket()], [shot("1", club_id=CELLS[2][0]), shot("2")]],
    "a wedge that took another's place": [[bucket()], [shot("1", club_id=CELLS[2][0])], {CELLS[0][0]: CELLS[2][0]}],
    "the one before it": [[bucket()], [shot("1", club_id=CELLS[2][0])], {CELLS[2][0]: CELLS[0][0]}],
    "two whose place one took": [[bucket()], [shot("1", club_id=CELLS[2][0])], {CELLS[n][0]: "new" for n in (0, 2)}],
    "one that left and has no heir": [[bucket()], [shot("1")], {CELLS[0][0]: ""}],
    "other homework": [[bucket(plan=[PLAN[0].replace("0a1b2c3d", "ffffffff")])], [shot("1")]],
}


def cases() -> dict[str, tuple[dict[str, Any], dict[str, list[Any]]]]:
    """The arguments by rule and function, each with what they share."""
    return {
        "homework_code/read": ({}, {name: [code] for name, code in CODES.items()}),
        "homework/matched": ({}, MATCHED),
        "homework/planOf": (
            {},
            {
                "a block, mixed balls and a nine": [OWN_ID, [BLOCK, MIX, TO_NUMBER], NINE],
                "other homework deals otherwise": [OTHER_ID, [BLOCK, MIX], []],
                "the nine alone": [OWN_ID, [], NINE],
                "words that are none": [OWN_ID, [BLOCK], ["hit some nines"]],
                "more than a bucket's plan": [OWN_ID, [{**BLOCK, "balls": 150}] * 3, NINE],
            },
        ),
        "homework/dealt": (
            {},
            {
                f"{n} cells, {balls} balls, seed {seed}": [CELLS[:n], balls, seed]
                for n in (1, 2, 3, 6)
                for balls, seed in ((5, 0), (20, 4294967295), (12, 4294967303))
            },
        ),
        "homework/placesStruck": ({}, {name: [WORK, *some, {}][:4] for name, some in STRUCK.items()}),
        "homework/left": ({}, {f"after {places}": [PLAN, places] for places in ([], [2], [1, 2, 3, 4], [9])}),
        "homework/ofNine": ({}, {"its nine": [PLAN, True], "the rest": [PLAN, False], "no word": [["", "x"], False]}),
        "homework/runsOf": (
            {},
            {
                "three of one and one of its nine": [PLAN],
                "another mode, number, swing or wedge is another row": [RUNS],
                "the same again later": [[NINE[0], NINE[1], NINE[0]]],
                "no word that is none": [["wedge"]],
            },
        ),
        "homework/headWords": ({}, {f"{balls} balls": [balls] for balls in (1, 5, 26, 60, 150)}),
        "homework/nineWords": (
            {},
            {
                f"asked for on {today}": ["2026-11-29", "Sunday 29 November", today]
                for today in ("2026-11-26", "2026-11-29", "2026-11-30")
            },
        ),
        "homework/rowWords": (
            {},
            {
                "a swing to make": [BLOCK, CLUBS, SWINGS, "yd"],
                "one ball to a number in yards": [TO_NUMBER, CLUBS, SWINGS, "yd"],
                "one ball to a number in metres": [TO_NUMBER, CLUBS, SWINGS, "m"],
                "a number of 54 yards": [{**TO_NUMBER, "carry_m": 54 * YARD_M}, CLUBS, SWINGS, "yd"],
                "mixed": [MIX, CLUBS, SWINGS, "yd"],
            },
        ),
    }
