"""Arguments of reading a cell's table and of its trust."""

from dataclasses import asdict
from itertools import pairwise
from typing import Any

import numpy as np

from webapp.estimate.chance import Chances, tables
from webapp.estimate.forecast import Forecast, MishitParts
from webapp.estimate.student import normal_below
from webapp.units import YARD_M

WINDOWS_M = [(58 * YARD_M, 70 * YARD_M), (50.0, 60.0), (33.3, 33.3), (1.0, 20.0), (200.0, 300.0), (1.0, 300.0)]
# Balls, visits, balls of late, whether a carry was stated and the half-width [m], at each edge of the words of trust.
TRUSTED = [(0, 0, 0, False, 6.0), (0, 0, 0, True, 2.0), (9, 3, 9, False, 1.0), (10, 2, 10, False, 1.0),
           (10, 3, 5, False, 2.0), (10, 3, 4, False, 9.0), (30, 1, 30, True, 1.0), (1, 1, 1, True, 4.0),
           (10, 3, 10, True, 2.28), (10, 3, 10, True, 2.29)]  # fmt: skip


def cases() -> dict[str, tuple[dict[str, Any], dict[str, list[Any]]]]:
    """The arguments by rule and function, each with what they share."""
    tables_told = made_tables()
    windows = {
        f"{name}, {front:.1f} to {back:.1f}": [{"$": name}, front, back]
        for name in tables_told
        for front, back in WINDOWS_M
    }
    thirds = [(1 / 3, 1 / 3, 1 / 3), (0.005, 0.99, 0.005), (0.115, 0.845, 0.04), (0.0, 1.0, 0.0), (0.299, 0.402, 0.299)]
    return {
        "cell/chances": (tables_told, windows),
        "cell/twenty": (tables_told, windows),
        "cell/keyOf": ({}, {f"{deg} degrees": [{"club_id": "a", "swing_deg": deg}] for deg in (45.0, 112.5, 180.0)}),
        "cell/percents": ({}, {f"{three}": [asdict(Chances(*three))] for three in thirds}),
        "cell/trust": ({}, {f"{n} balls, {v} visits, {late} of late, told {told}, {half} m": [n, v, late, told, half]
                            for n, v, late, told, half in TRUSTED}),
        "card_words/trustOf": ({}, {f"{trust}, by eye {eye}": [{"trust": trust, "by_eye": eye}]
                                    for trust in ("settled", "early") for eye in (True, False)}),
        "card_words/restsOn": ({}, {f"{n} in {visits}, at most {most}":
                                    [{"n": n, "visits": visits, "of_latest": n == 200, "at_most": most}]
                                    for n, visits, most in ((0, 0, 0), (1, 1, 0), (5, 1, 0), (24, 3, 0), (200, 9, 0),
                                                            (50, 1, 50), (200, 4, 50))}),
        "card_words/howMany": ({}, {f"{n}": [{"n": n, "of_latest": n == 200}] for n in (0, 24, 200)}),
    }  # fmt: skip


def made_tables() -> dict[str, dict[str, Any]]:
    """Tables of a plain normal spread and of a real forecast."""
    yards = np.arange(30, 101)
    made: dict[str, dict[str, Any]] = {}
    for mean, sd in ((63, 4), (60, 5), (66, 6), (67, 5)):
        below = [round(float(x), 12) for x in normal_below((yards - mean) / sd)]
        assert all(one <= other for one, other in pairwise(below))
        made[f"normal {mean}, {sd}"] = {"first": 30, "step_m": YARD_M, "below": below}
    parts = MishitParts(
        np.array([0.35, 0.2, 0.3, 0.15]), np.array([-0.11, -0.33, -0.06, 0.15]), np.array([0.08, 0.25, 0.1, 0.2])
    )
    ahead = Forecast(
        np.log(np.array([63.0, 41.0]) * YARD_M),
        np.array([0.07, 0.1]),
        np.array([14.0, 7.5]),
        np.array([0.18, 0.18]),
        parts,
    )
    for place, table in enumerate(tables(ahead)):
        made[f"forecast {place}"] = {"first": table.first, "step_m": table.step_m, "below": list(table.below)}
    return made
