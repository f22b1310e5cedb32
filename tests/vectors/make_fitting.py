"""Writes fitting.json: `python -m tests.vectors.make_fitting`.

The four numbers of the first case are the worked example F4, whose figures tests/core/test_fitting.py states by hand;
this file only carries questions, answers and words to the browser with all digits.
"""

import json
from dataclasses import asdict
from pathlib import Path

from tests.core.test_fitting import F4, HEAVY_TAILED
from webapp.card.strike import Margin
from webapp.fits import fitting_words as words
from webapp.fits.fitting import Candidate, NoQuestion, answer, question
from webapp.units import YARD_M

HERE = Path(__file__).parent
USUAL = Margin(0.08, 4 * YARD_M)
CARDS: dict[str, tuple[Candidate, ...]] = {"F4": F4, "with mishits": HEAVY_TAILED, "empty": ()}
ASKED_YD: list[dict[str, object]] = [
    {"flag": 66, "front": 58, "back": 70},
    {"flag": 66, "front": 58, "back": 70, "must": True},
    {"flag": 66, "front": 61, "must": True},
    {"flag": 66, "must": True},
    {"flag": 66},
    {"flag": 62, "roll": 4, "front": 52},
    {"flag": 62, "roll": -1},
    {"flag": 135},
    {"flag": 18},
    {"flag": 30, "back": 31},
    {"flag": 66, "front": 70, "back": 58},
    {"flag": 66, "front": 70},
    {"flag": 66, "back": 60},
    {"flag": 5, "roll": 6},
    {"flag": 1e9},
]


def main() -> None:
    """One case a line, so that a change shows which case it is."""
    cases = [case(card, asked, unit) for card in ("F4", "with mishits") for asked in ASKED_YD for unit in ("yd", "m")]
    cases.append(case("empty", {"flag": 66}, "yd"))
    cards = json.dumps({name: [asdict(one) for one in among] for name, among in CARDS.items()})
    lines = ",\n".join(json.dumps(one) for one in cases)
    (HERE / "fitting.json").write_text(f'{{"cards": {cards},\n"cases": [\n{lines}\n]}}\n', encoding="utf-8")


def case(card: str, asked_yd: dict[str, object], unit: str) -> dict[str, object]:
    """One question with its answer in figures and words; distances in yards here, in metres in the file."""
    asked = {f"{name}_m": float(str(asked_yd[name])) * YARD_M for name in asked_yd if name != "must"}
    asked["must_carry"] = bool(asked_yd.get("must", False))
    made: dict[str, object] = {"margin": asdict(USUAL), "unit": unit, "asked": asked, "card": card}
    try:
        put = question(margin=USUAL, **asked)  # type: ignore[arg-type]
    except NoQuestion as problem:
        return {**made, "problem": str(problem)}
    found = answer(put, CARDS[card])
    shown = found.ranked or ((found.closest,) if found.closest else ())
    return {
        **made,
        "asked_words": words.asked_words(put, asked["flag_m"], unit),
        "nothing_words": words.nothing_words(found, put, unit),
        "must_words": words.must_words(found, put, unit),
        "missing_m": found.missing_m,
        "choices": [
            {
                "name": choice.candidate.name,
                "chances": [choice.chances.short, choice.chances.inside, choice.chances.long],
                "words": [
                    words.chance_words(choice),
                    words.rests_words(choice.candidate, unit),
                    words.more_words(choice.candidate, put, unit),
                ],
            }
            for choice in shown
        ],
    }


if __name__ == "__main__":
    main()
