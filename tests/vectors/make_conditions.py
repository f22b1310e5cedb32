"""Writes conditions.json: `python -m tests.vectors.make_conditions`.

The coefficients stand in the file as they are sent to a phone, so that both languages reckon from the same digits.
"""

import json
import random
from dataclasses import asdict
from pathlib import Path
from typing import Any

from webapp.conditions.condition_table import ConditionTable, Number, fly_by_table, play_by_table
from webapp.conditions.today import (
    ALTITUDE_M_RANGE,
    CARRY_M_RANGE,
    COLD_BALL_DEGC,
    TARGET_UP_M_RANGE,
    TEMPERATURE_C_RANGE,
    WIND_MPS_RANGE,
    Conditions,
)
from webapp.pages.conditions import told
from webapp.units import MPH_MPS, YARD_M

FILE = Path(__file__).parent / "conditions.json"
HOMES = {"lowland": (20.0, 50.0), "mountain": (5.0, 1500.0)}
RANGES = {
    "temperature_c": TEMPERATURE_C_RANGE,
    "altitude_m": ALTITUDE_M_RANGE,
    "tail_mps": WIND_MPS_RANGE,
    "target_up_m": TARGET_UP_M_RANGE,
    "carry_m": CARRY_M_RANGE,
}
RULES = {"plays": play_by_table, "flies": fly_by_table}
DRAWN = 12  # of each home and verb


def main() -> None:
    """Write the file beside this one, one case a line."""
    tables = {name: told(*home) for name, home in HOMES.items()}
    lines = ",\n".join(json.dumps(case) for name, table in tables.items() for case in cases(name, table))
    head = json.dumps({"cold_ball_degc": COLD_BALL_DEGC, "ranges": RANGES, "tables": tables})
    FILE.write_text(f'{head[:-1]}, "cases": [\n{lines}\n]}}\n', encoding="utf-8")


def cases(home: str, table: dict[str, Any]) -> list[dict[str, Any]]:
    """Conditions one at a time, all together, as at home, and where the phone has to wait for the solver."""
    own = Conditions(*HOMES[home])
    chosen = [
        (60, own),
        (100, Conditions(4.0, own.altitude_m)),
        (50, Conditions(own.temperature_c, 1000.0)),
        (80, Conditions(own.temperature_c, own.altitude_m, -10 * MPH_MPS)),
        (80, Conditions(own.temperature_c, own.altitude_m, 10 * MPH_MPS, "ball")),
        (60, Conditions(own.temperature_c, own.altitude_m, target_up_m=3 * YARD_M)),
        (20, Conditions(own.temperature_c, own.altitude_m, target_up_m=9 * YARD_M)),
        (3, own),
        (60, Conditions(-60.0)),
        (140, Conditions(own.temperature_c, own.altitude_m, -20 * MPH_MPS)),
    ]
    draw = random.Random(home)
    for _ in range(DRAWN):
        carry = draw.uniform(15, 125)
        up_m = draw.uniform(-0.05, 0.05) * carry * YARD_M
        wind = draw.uniform(*WIND_MPS_RANGE)
        air = draw.uniform(*TEMPERATURE_C_RANGE), draw.uniform(*ALTITUDE_M_RANGE)
        chosen.append((carry, Conditions(*air, wind, draw.choice(["forecast", "ball"]), up_m)))
    read = table_of(table)
    return [case(home, read, verb, carry * YARD_M, today) for carry, today in chosen for verb in RULES]


def case(home: str, table: ConditionTable, verb: str, asked_m: float, today: Conditions) -> dict[str, Any]:
    """One question with its answer by the rule, in yards for plays and metres for flies."""
    unit = {"plays": "yd", "flies": "m"}[verb]
    answer = RULES[verb](table, asked_m, today, unit)
    found = None
    if answer is not None:
        found = {name: getattr(answer, name) for name in ("carry_m", "low_m", "high_m", "at_least", "sentence")}
        found["parts"] = [asdict(part) for part in answer.parts]
    return {"home": home, "verb": verb, "asked_m": asked_m, "today": asdict(today), "unit": unit, "answer": found}


def table_of(told_table: dict[str, Any]) -> ConditionTable:
    """A table as it was sent, read back."""
    numbers = tuple(Number(**number) for number in told_table["numbers"])
    return ConditionTable(**{**told_table, "numbers": numbers})


if __name__ == "__main__":
    main()
