"""Writes one_cell.json and fits.json: `python -m tests.vectors.make`.

The figures of the first four one-cell cases are also stated by hand in tests/core/test_estimate_one_cell.py, where
the rule is held against the joint Gaussian answer; this file only carries them to the browser with all digits.
"""

import json
import math
from pathlib import Path

import numpy as np

from webapp.estimate.chance import Table, chances, percents, tables
from webapp.estimate.forecast import Forecast, MishitParts
from webapp.estimate.one_cell import OneCell, replay
from webapp.estimate.student import normal_below
from webapp.units import YARD_M

HERE = Path(__file__).parent
PI = {"clean": 0.93, "heavy": 0.30, "thin": 0.30, "fat": 0.08, "bladed": 0.08, "": 0.80}
STATE = OneCell(math.log(50 * YARD_M), 0.03**2, 0.06**2, 0.028**2, PI)
TEN = [(52, "clean"), (55, "clean"), (49, "clean"), (54, "clean"), (57, "clean"), (53, "clean"), (41, "fat"),
       (55, "clean"), (60, "thin"), (54, "clean")]  # fmt: skip
CASES = {
    "one clean ball": (STATE, [[(53, "clean")]]),
    "one clean ball far short": (STATE, [[(38, "clean")]]),
    "one fat ball": (STATE, [[(48, "fat")]]),
    "ten balls of one bucket": (STATE, [TEN]),
    "the same ten balls in three buckets": (STATE, [TEN[:4], TEN[4:7], TEN[7:]]),
    "no open bucket": (STATE, []),
    "an open bucket without a ball of the cell": (STATE, [[], [(53, "clean")]]),
    "a shank, a lost ball and a contact not noted": (STATE, [[(20, "shank"), (None, "clean"), (51, "")]]),
    "slips of entry": (STATE, [[(5, "clean"), (500, "clean"), (94, ""), (49, "clean")]]),
    "every contact on a wide guess": (
        OneCell(math.log(30 * YARD_M), 0.25**2, 0.09**2, 0.028**2, PI),
        [[(36, contact)] for contact in PI],
    ),
}


def main() -> None:
    """Write both files beside this one."""
    write("one_cell.json", [one_cell_case(name, *case) for name, case in CASES.items()])
    write("fits.json", fits_cases())


def one_cell_case(name: str, state: OneCell, buckets_yd: list[list[tuple[float | None, str]]]) -> dict[str, object]:
    """One case with its answer; carries in yards here, in metres in the file."""
    buckets = [[(None if yd is None else yd * YARD_M, contact) for yd, contact in balls] for balls in buckets_yd]
    answer = replay(state, buckets)
    return {
        "name": name,
        "state": {"m0": state.m0, "v0": state.v0, "s2": state.s2, "omega2": state.omega2, "pi": state.pi},
        "buckets": [[{"carry_m": carry_m, "contact": contact} for carry_m, contact in balls] for balls in buckets],
        "m": answer.m,
        "v": answer.v,
        "weights": answer.weights,
    }


def fits_cases() -> list[dict[str, object]]:
    """Tables of a plain normal spread and of a real forecast, each with windows on and between the yards."""
    yards = range(30, 101)
    made = {
        f"normal {mean}, {sd}": {"first": 30, "step_m": YARD_M,
                                 "below": [round(float(x), 12) for x in normal_below((np.array(yards) - mean) / sd)]}
        for mean, sd in ((63, 4), (60, 5), (66, 6), (67, 5))
    }  # fmt: skip
    parts = MishitParts(
        np.array([0.35, 0.2, 0.3, 0.15]), np.array([-0.11, -0.33, -0.06, 0.15]), np.array([0.08, 0.25, 0.1, 0.2])
    )
    ahead = Forecast(np.log(np.array([63.0, 41.0]) * YARD_M), np.array([0.07, 0.1]), np.array([14.0, 7.5]), 0.18, parts)
    for place, table in enumerate(tables(ahead)):
        made[f"forecast {place}"] = {"first": table.first, "step_m": table.step_m, "below": list(table.below)}
    windows = [(58 * YARD_M, 70 * YARD_M), (50.0, 60.0), (33.3, 33.3), (1.0, 20.0), (200.0, 300.0), (1.0, 300.0)]
    return [fits_case(name, table, front_m, back_m) for name, table in made.items() for front_m, back_m in windows]


def fits_case(name: str, table: dict[str, object], front_m: float, back_m: float) -> dict[str, object]:
    """One table and window with its chances and whole percents."""
    found = chances(Table(table["first"], table["step_m"], tuple(table["below"])), front_m, back_m)
    short, inside, long = percents(found)
    return {
        "name": name,
        "table": table,
        "front_m": front_m,
        "back_m": back_m,
        "chances": {"short": found.short, "inside": found.inside, "long": found.long},
        "percents": {"short": short, "inside": inside, "long": long},
    }


def write(name: str, cases: list[dict[str, object]]) -> None:
    """One case a line, so that a change shows which case it is."""
    (HERE / name).write_text("[\n" + ",\n".join(json.dumps(case) for case in cases) + "\n]\n", encoding="utf-8")


if __name__ == "__main__":
    main()
