"""What conditions do to a carry, in sentences: the range with its reasons, or why no carry is given.

Knows no page and no physics; static/rules/condition_words.js says the same without signal.
"""

from webapp.conditions.day import Conditions
from webapp.conditions.today import NO_CARD, NO_GAIN, TOO_LONG, TOO_SHORT, TOO_STEEP, TOO_WIDE, Answer, Part
from webapp.units import YARD_M, from_m, round_half_up, whole, whole_words

AIR_MATTERS_M = 20.0 * YARD_M
MEASURED_M = 75.0 * YARD_M
_COLDER = {"plays": "more", "flies": "less"}


def sentence(asked_m: float, answer: Answer, home: Conditions, today: Conditions, unit: str, verb: str) -> str:
    """What `asked_m` [m] becomes and why, or why not; `verb` is "plays" or "flies"."""
    if answer.low_m is None or answer.high_m is None:
        return _refusal(asked_m, answer, today, unit)
    low, high = whole(answer.low_m, unit), whole(answer.high_m, unit)
    shown = f"{low}" if low == high else f"{low} to {high}"
    beyond = f" or {_COLDER[verb]}" if answer.at_least else ""
    asked = f"{whole_words(asked_m, unit)} {verb} {shown}{beyond}"
    if not answer.parts:
        return f"{asked}: nothing differs from where the card was made."
    reasons = ", ".join(_reason(part, home, today, unit) for part in answer.parts)
    cold = "; a cold ball, not counted here, costs more" if answer.at_least else ""
    return f"{asked}: {reasons}{cold}."


def note(asked_m: float, unit: str) -> str:
    """What else to know of a carry that short or that long; "" where nothing is."""
    if asked_m < AIR_MATTERS_M:
        return f"Under {whole_words(AIR_MATTERS_M, unit)} air and wind hardly matter; height does."
    if asked_m > MEASURED_M:
        return f"Over {whole_words(MEASURED_M, unit)} how much the ball spins is guessed, not measured: trust it less."
    return ""


def _refusal(asked_m: float, answer: Answer, today: Conditions, unit: str) -> str:
    asked = whole_words(asked_m, unit)
    return {
        NO_CARD: "No carry is given: there is no number on the card yet.",
        TOO_LONG: (
            f"No carry is given: your longest number flies {whole_words(answer.reach_m, unit)} today, "
            f"{asked} is beyond it."
        ),
        TOO_SHORT: f"No carry is given: {asked} is shorter than these sums go.",
        TOO_STEEP: (
            f"Cannot get there: none of your launches comes down at {asked} on a target "
            f"{whole_words(today.target_up_m, unit)} up. It takes a higher shot; no carry is given."
        ),
        NO_GAIN: f"No carry is given: into this wind a longer swing hardly flies further near {asked}.",
        TOO_WIDE: (
            f"No carry is given: what this wind does at {asked} depends too much on how high and with how much spin "
            f"the ball starts; {whole_words(answer.open_m, unit)} lie between a low and a high one."
        ),
    }[answer.refused]


def _reason(part: Part, home: Conditions, today: Conditions, unit: str) -> str:
    words = {
        "temperature": "colder air" if today.temperature_c < home.temperature_c else "warmer air",
        "altitude": "more altitude" if today.altitude_m > home.altitude_m else "less altitude",
        "wind": "wind against" if today.tail_mps < 0.0 else "wind behind",
        "height": "the target up" if today.target_up_m > 0.0 else "the target down",
    }
    size = round_half_up(abs(from_m(part.change_m, unit)))
    return f"{words[part.cause]} {'adds' if part.change_m >= 0.0 else 'takes off'} {size or 'under 1'}"
