"""Arguments of the eye check's sentence: eyes with and without bias, too few pairs, slips, both units."""

from typing import Any

from webapp.units import YARD_M


def pairs(*yards: tuple[float, float]) -> list[dict[str, float]]:
    """Pairs of a distance said and the same distance measured, in yards."""
    return [{"said_m": said * YARD_M, "measured_m": measured * YARD_M} for said, measured in yards]


LONG = [(50 * 1.06, 50.0), (60 * 1.05, 60.0), (40 * 1.07, 40.0), (80 * 1.06, 80.0)]
SETS = {
    "none": pairs(),
    "one": pairs((55, 50)),
    "two": pairs((55, 50), (60, 58)),
    "an eye that sees long": pairs(*LONG),
    "an eye that sees short": pairs(*((measured, said) for said, measured in LONG)),
    "an eye that is right on average": pairs((50, 54), (62, 58), (45, 44), (70, 71), (80, 78)),
    "a slip of entry": pairs(*LONG, (520, 52)),
    "two slips": pairs(*LONG, (520, 52), (26, 52)),
    "slips alone": pairs((100, 50), (26, 52), (9, 90)),
    "three pairs that may be chance": pairs((52, 50), (63, 60), (81, 80)),
    "hardly off": pairs((31, 30), (42, 40), (52, 50), (63, 60), (73, 70), (84, 80)),
    "always right": pairs((50, 50), (60, 60), (70, 70)),
}


def cases() -> dict[str, tuple[dict[str, Any], dict[str, list[Any]]]]:
    """The arguments by rule and function, each with what they share."""
    both = {f"{name}, {unit}": [told, unit] for name, told in SETS.items() for unit in ("yd", "m")}
    return {"eye/eyeWords": ({}, both)}
