"""Writes conditions.json: `python -m tests.vectors.make_conditions`.

The launches stand in the file as they are sent to a phone, so that both languages reckon from the same digits.
"""

import json
import random
from dataclasses import asdict
from pathlib import Path
from typing import Any

from webapp.conditions.day import (
    WIND_MPS_RANGE,
    Conditions,
    doubts,
)
from webapp.conditions.launches import ClubLaunch, launch_of_loft
from webapp.conditions.rungs import Number, Rung, ladder
from webapp.conditions.today import day_of, flies, plays
from webapp.conditions.told import told
from webapp.conditions.words import note, sentence
from webapp.facts import ALTITUDE_M_RANGE, TEMPERATURE_C_RANGE
from webapp.physics.motion import Launch
from webapp.units import MPH_MPS, YARD_M

FILE = Path(__file__).parent / "conditions.json"
HOMES = {
    "lowland": Conditions(20.0, 50.0),
    "mountain": Conditions(5.0, 1500.0),
    "nothing": Conditions(),
    "two short numbers": Conditions(20.0, 50.0),
}
CARDS = {46: (55, 80, 96, 112), 52: (49, 71, 85, 99), 56: (42, 61, 73, 85), 60: (35, 52, 62, 72)}
DRAWN = 14  # of each home


def main() -> None:
    """Write the file beside this one, one case a line."""
    ladders = {name: told(_ladder(name), home) for name, home in HOMES.items()}
    lines = ",\n".join(json.dumps(case) for name, sent in ladders.items() for case in _cases(name, sent))
    FILE.write_text(f'{{"ladders": {json.dumps(ladders)}, "cases": [\n{lines}\n]}}\n', encoding="utf-8")


def answered(sent: dict[str, Any], asked_m: float, today: Conditions, unit: str) -> dict[str, Any]:
    """What the rule says of one question, from a ladder as it was sent: doubts, or the answer and every rung's."""
    home = Conditions(**sent["home"])
    if problems := doubts(today, asked_m, unit):
        return {"doubts": problems}
    rungs = [
        Rung(rung["key"], rung["card_m"], tuple(Launch(*flight) for flight in rung["flights"]))
        for rung in sent["rungs"]
    ]
    day = day_of(rungs, home, today)
    answer = plays(day, asked_m)
    found = {name: getattr(answer, name) for name in ("carry_m", "low_m", "high_m", "at_least", "refused")}
    flown = [flies(day, place) for place in range(len(rungs))]
    return {
        **found,
        "parts": [asdict(part) for part in answer.parts],
        "sentence": sentence(asked_m, answer, home, today, unit, "plays"),
        "note": note(asked_m, unit),
        "flies": [[one.refused] if one.refused else [one.low_m, one.carry_m, one.high_m] for one in flown],
    }


def _ladder(name: str) -> tuple[Rung, ...]:
    cards = {"nothing": {}, "two short numbers": {46: (40,), 56: (33,)}}
    numbers = [
        Number(f"{loft} {carry}", carry * YARD_M, launch_of_loft(loft))
        for loft, row in cards.get(name, CARDS).items()
        for carry in row
    ]
    own = Number("own", 66 * YARD_M, ClubLaunch(22.0, 180.0))
    return ladder(numbers if name in cards else [*numbers, own], HOMES[name])


def _cases(name: str, sent: dict[str, Any]) -> list[dict[str, Any]]:
    """Conditions one at a time, all together, as at home, at every refusal, and drawn from the offered ranges."""
    home = HOMES[name]
    air = home.temperature_c, home.altitude_m
    chosen = [
        (60, home),
        (95, Conditions(4.0, home.altitude_m)),
        (50, Conditions(home.temperature_c, 1000.0)),
        (80, Conditions(*air, -10 * MPH_MPS)),
        (80, Conditions(*air, 10 * MPH_MPS, "ball")),
        (60, Conditions(*air, target_up_m=3 * YARD_M)),
        (12, Conditions(*air, target_up_m=9 * YARD_M)),
        (12, Conditions(*air, target_up_m=-2 * YARD_M)),
        (110, Conditions(*air, -12 * MPH_MPS)),
        (85, Conditions(*air, -15 * MPH_MPS)),
        (55, Conditions(*air, -18 * MPH_MPS)),
        (6, Conditions(*air, target_up_m=-3 * YARD_M)),
        (3, home),
        (24, Conditions(*air, target_up_m=5 * YARD_M)),
        (60, Conditions(-60.0, 9000.0, -70 * MPH_MPS, target_up_m=-40 * YARD_M)),
    ]
    draw = random.Random(name)
    for _ in range(DRAWN if sent["rungs"] else 0):
        carry = draw.uniform(12, 120)
        up_m = draw.uniform(-0.05, 0.05) * carry * YARD_M
        wind = draw.uniform(*WIND_MPS_RANGE)
        drawn = draw.uniform(*TEMPERATURE_C_RANGE), draw.uniform(*ALTITUDE_M_RANGE)
        chosen.append((carry, Conditions(*drawn, wind, draw.choice(["forecast", "ball"]), up_m)))
    units = draw.choices(["yd", "m"], k=len(chosen))
    return [
        {"home": name, "asked_m": carry * YARD_M, "today": asdict(today), "unit": unit}
        | {"answer": answered(sent, carry * YARD_M, today, unit)}
        for (carry, today), unit in zip(chosen, units, strict=True)
    ]


if __name__ == "__main__":
    main()
