"""What fits a carry, in the words a player reads.

Knows no page; static/rules/fitting_words.js says the same without signal, held to it by shared cases.
"""

import math
from collections.abc import Sequence

from ..card.card_words import percent
from ..estimate.model import TOLD_BIAS
from ..units import CLOSE, from_m, round_half_up, whole
from .fitting import Answer, Candidate, Choice, Question


def asked_words(question: Question, flag_m: float, unit: str) -> str:
    """The question in a line: "Carry 66, in from 58 to 70", "Land 58 for a flag at 62, in from 52 to 63"."""
    carry, flag = whole(question.carry_m, unit), whole(flag_m, unit)
    land = f"Carry {carry}" if carry == flag else f"Land {carry} for a flag at {flag}"
    return f"{land}, in from {whole(question.front_m, unit)} to {whole(question.back_m, unit)}"


def chance_words(choice: Choice) -> str:
    """The chances: "short 11 / in 85 / long 4"."""
    return f"short {choice.short} / in {choice.inside} / long {choice.long}"


def nine_words(candidate: Candidate, question: Question, unit: str) -> str:
    """The nine-in-ten carry, against trouble in front where there is any; it is never rounded up to clear it."""
    nine = from_m(candidate.nine_in_ten_carry_m, unit)
    roughly = "roughly " if candidate.rough else ""
    if question.clear_m is None:
        return f"Nine in ten carry {roughly}{math.floor(nine + CLOSE)}"
    front, told = from_m(question.clear_m, unit), round_half_up(nine * 10) / 10
    clear = f"clear of the trouble to {whole(question.clear_m, unit)}"
    if nine >= front - CLOSE:
        return f"Nine in ten carry {roughly}{told:.1f}: {clear}"
    told = told if told < front else math.floor(nine * 10) / 10
    return f"Nine in ten carry {roughly}{told:.1f}: not {'quite ' if front - nine < 1 else ''}{clear}"


def rests_words(candidate: Candidate, unit: str) -> str:
    """What the number is: "carries 61, settled"."""
    return f"carries {whole(candidate.carry_m, unit)}, {candidate.trust}"


def more_words(candidate: Candidate, question: Question, unit: str) -> str:
    """What else to weigh: "Nine in ten carry 57.9: not quite clear of the trouble to 58. Twin of 51 10:30."."""
    nine = nine_words(candidate, question, unit)
    *others, last = candidate.twins or ("",)
    twins = ", ".join(others) + " and " + last if others else last
    return f"{nine}. Twin of {twins}." if twins else f"{nine}."


def nothing_words(found: Answer, question: Question, unit: str) -> str:
    """Why nothing fits, such as "Nothing fits 135. Closest is 46 full: it carries 112, 23 short"."""
    if found.closest is None:
        return ""
    closest = found.closest.candidate
    carry, asked = whole(closest.carry_m, unit), whole(question.carry_m, unit)
    off = f"{asked - carry} short" if asked > carry else f"{carry - asked} long" if carry > asked else "on the number"
    return f"Nothing fits {asked}. Closest is {closest.name}: it carries {carry}, {off}."


def must_words(found: Answer, question: Question, unit: str) -> str:
    """Said where trouble must be carried and its end is unknown, or no number clears it nine times in ten; else ""."""
    if not question.must_carry or not found.ranked:
        return ""
    if question.clear_m is None:
        return "To carry the trouble in front, say how far it reaches: “trouble in front to” is empty."
    safest = max((choice.candidate for choice in found.ranked), key=lambda one: one.nine_in_ten_carry_m)
    if safest.nine_in_ten_carry_m >= question.clear_m:
        return ""
    return f"No number carries {whole(question.clear_m, unit)} nine times in ten. The safest is {safest.name}."


def told_words(among: Sequence[Candidate]) -> str:
    """Why the chances of a stated number lie below it; "" where the card shows none."""
    if not any(one.trust == "told" for one in among):
        return ""
    return f"A carry that you stated is taken to be {percent(TOLD_BIAS)} too long until a ball of it is hit."


def as_text(found: Answer, question: Question, flag_m: float, unit: str) -> str:
    """The whole answer in lines, for a terminal."""
    lines = [f"{asked_words(question, flag_m, unit)} {unit}"]
    if not found.ranked and found.closest is None:
        return "\n".join([*lines, "There is no number on the card to choose from."])
    lines += [said for said in (nothing_words(found, question, unit), must_words(found, question, unit)) if said]
    shown = found.ranked or ((found.closest,) if found.closest else ())
    for choice in shown:
        one = choice.candidate
        more = f"{rests_words(one, unit)}. {more_words(one, question, unit)}"
        lines.append(f"{one.name:16}{chance_words(choice):30}{more}")
    return "\n".join(lines)
